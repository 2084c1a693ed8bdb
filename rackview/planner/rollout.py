"""Plays ways to act on sampled futures: arrays over vessels, ways and futures, a loop over days alone."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.planner import policy
from rackview.planner.constants import (
    BROOD_DAYS,
    CROWDED_MOST,
    FADES,
    GIVEN,
    GIVES,
    GONE,
    GONE_GROWTH,
    KEPT,
    LATER,
    LATER_LESS,
    LEFT_SHARE,
    LEFT_STOCK,
    LEFT_TIMES,
    MENDS,
    MINUTES,
    NEAR,
    NEAR_MOST,
    NEAR_WIDTH,
    SEED_SHARE,
    SHRINKS,
    SICK_DAYS,
    SICK_GROWTH,
    SLOWEST,
    STRAIN_SHARE,
    THINNED,
    THRIFT,
    TOP,
    USUAL_FULL_M,
    USUAL_RATE,
    WEAK_GROWTH,
)
from rackview.planner.futures import middles
from rackview.planner.value import Worth, kept

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rackview.planner.culture import Problem
    from rackview.planner.futures import Array, Futures

TINY = 1e-9


@dataclass(frozen=True, slots=True)
class Starts:
    """A culture put into one vessel on a day to come, one for each way (C,): day from now on, vessel, millions."""

    day: Array
    vessel: Array
    millions: Array


@dataclass(frozen=True, slots=True)
class Acts:
    """Ways to act today (C of them): share taken of each culture (V, C), transfers, aims for the days ahead.

    `giver`, `taker` (M, C) are indices, -1 for none; `share` what is moved of the giver. `scale` (C,) multiplies the
    share of the ceiling that cultures are kept at, `later` (C,) is how much of the need is taken on the days after
    today; `cost` (C,) is what the transfers cost in the keeper's worth. `starts` are cultures from outside, if any.
    """

    take: Array
    giver: Array
    taker: Array
    share: Array
    scale: Array
    cost: Array
    later: Array
    starts: Starts | None = None

    def some(self, which: Array | list[int]) -> Acts:
        """Some of the ways."""
        return Acts(
            self.take[:, which], self.giver[:, which], self.taker[:, which], self.share[:, which],
            self.scale[which], self.cost[which], self.later[which],
        )  # fmt: skip

    @property
    def size(self) -> int:
        """How many ways."""
        return int(self.take.shape[1])


@dataclass(frozen=True, slots=True)
class Played:
    """What came of each way in each future: value and share of a brood lost (C, S).

    Where more was asked for, by day: share met, animals given and what could be (T, C, S); `takes` (T, V, C) is the
    mean of what each vessel gives and `animals` of what it held.
    """

    value: Array
    lost: Array
    met: Array
    given: Array
    stock: Array
    takes: Array
    animals: Array


@dataclass(frozen=True, slots=True)
class Bench:
    """What does not differ between the ways: the futures, what the keeper knows of them, and worth.

    Arrays over vessels have the shape (V, 1, 1), `aim` (T, 1, 1, S), of which `now` is today's. `can` is the share
    that a culture gives at most, `per_m` what a million counts against one in a usual rack. `mouths_m` a day is given
    away at `mouth_worth` a million before anything is thrown away.
    """

    futures: Futures
    known_full: Array
    dead: Array
    least: Array
    can: Array
    food: Array
    all_food: bool
    serves: Array
    ration: Array
    aim: Array
    now: float
    worth: Worth
    per_m: float
    larvae: bool
    left_stock: float
    mouths_m: float = 0.0
    mouth_worth: float = 0.0

    def some(self, size: int) -> Bench:
        """The same with the first futures alone."""
        return replace(self, futures=self.futures.some(size), aim=self.aim[..., :size])

    @classmethod
    def of(cls, problem: Problem, futures: Futures) -> Bench:
        """The bench of a problem."""
        cultures = problem.cultures
        known = middles(1.0 / futures.per_full[:, 0, :])
        ahead = policy.coming(futures.need[:, 0, :])
        serves = np.array([not c.reserve for c in cultures])
        rate = _rate(futures, known * serves)
        aim = _aim(problem, ahead, float(known[serves].sum()), rate)
        full = known[:, None, None].astype(np.float32)
        food = [c.food for c in cultures]
        return cls(
            futures, full, GONE * full, _column([c.least_per_ml * c.volume_l / 1e3 for c in cultures]),
            _column([0.0 if c.reserve else c.most for c in cultures]), _column(food), all(food), serves[:, None, None],
            _column([c.ration for c in cultures]),
            aim[:, None, None, :], float(middles(aim[0])),
            problem.worth, USUAL_FULL_M / max(float(known.sum()), TINY), problem.need.larvae,
            LEFT_STOCK * min(max(USUAL_RATE / max(rate, SLOWEST), LEFT_TIMES[0]), LEFT_TIMES[1]),
            problem.need.mouths_m, problem.need.mouth_worth,
        )  # fmt: skip


def _aim(problem: Problem, ahead: Array, full_m: float, rate: float) -> Array:
    if not problem.need.larvae:
        return np.full_like(ahead, KEPT)
    return policy.aim_share(ahead, full_m, rate)


def _rate(futures: Futures, weights: Array) -> float:
    """Growth of a thin culture on this rack, per day, the larger vessels with more weight."""
    each = middles(futures.rate[:, 0, :])
    return float((weights * each).sum() / max(float(weights.sum()), TINY))


def _column(values: Sequence[float]) -> Array:
    return np.array(values, np.float32)[:, None, None]


class _State:
    """Cultures on the way through the days, arrays (V, C, S), changed in place.

    `health` is growth against a sound culture's, not all 1 once one is `ailing`, `felt` the crowding that it goes
    by, `strain` days near the ceiling, `falls_on` the day on which a fall comes that is under way now.
    """

    def __init__(self, bench: Bench, acts: Acts) -> None:
        f = bench.futures
        shape = (f.animals.shape[0], acts.size, f.size)
        self.n: Array = np.empty(shape, np.float32)
        self.n[:] = f.animals[:, None, :]
        self.strain: Array = np.zeros(shape, np.float32)
        self.health: Array = np.ones(shape, np.float32)
        self.felt: Array = np.empty(shape, np.float32)
        self.felt[:] = np.minimum(f.animals[:, None, :] * f.per_full, CROWDED_MOST)
        self.room: Array = np.empty(shape, np.float32)
        self.ailing = False
        self.falls_on = f.falls_on[:, None, :]
        self.last_fall = float(np.where(f.falls_on < f.days, f.falls_on, -1.0).max())
        if (acts.giver >= 0).any():
            self.falls_on = np.repeat(self.falls_on, acts.size, axis=1)

    def move(self, giver: Array, taker: Array, share: Array) -> None:
        """Transfers of some ways, one each: what the taker held is given up, and it inherits what ails the giver."""
        for c in np.flatnonzero(giver >= 0):
            i, j = int(giver[c]), int(taker[c])
            moved = share[c] * self.n[i, c]
            self.n[i, c] -= moved
            self.n[j, c] = moved
            self.falls_on[j, c] = self.falls_on[i, c]

    def start(self, starts: Starts, t: int) -> None:
        """The cultures that are started on day `t`, sound and unstrained."""
        for c in np.flatnonzero(starts.day == t):
            k = int(starts.vessel[c])
            self.n[k, c] = np.maximum(self.n[k, c], starts.millions[c])
            self.strain[k, c], self.health[k, c] = 0.0, 1.0


def play(bench: Bench, acts: Acts, full: bool = False, script: Array | None = None) -> Played:
    """Play every way on every future; `script` (T, V, C), if given, are the shares to take day by day."""
    f, worth = bench.futures, bench.worth
    state = _State(bench, acts)
    alive = np.ones((acts.size, f.size))
    value = -np.repeat(acts.cost[:, None], f.size, axis=1)
    lost = np.zeros((acts.size, f.size))
    told = _Told()
    for t in range(f.days):
        need = f.need[t]
        share = acts.take if t == 0 else None if script is None else script[t]
        taken = _later(bench, state, acts, t) if share is None else share[:, :, None].astype(np.float32) * state.n
        if full:
            told.stood.append(state.n.mean(axis=2))
            told.stocks.append((state.n * bench.can).sum(axis=0))
        total = taken.sum(axis=0)
        given = (total if t or bench.all_food else (taken * bench.food).sum(axis=0)) * f.hands[t]
        if f.asked[t]:
            met = np.where(need > 0.0, np.minimum(given / np.maximum(need, TINY), 1.0), 1.0)
            gone = alive * (1.0 - kept(met))
            value -= LATER_LESS**t * worth.brood * (gone + THRIFT / BROOD_DAYS * alive * (1.0 - met))
            alive = np.where(need > 0.0, alive - gone, 1.0)
            lost += gone
        if bench.larvae:
            spare = np.maximum(total - need, 0.0)
            value -= bench.per_m * worth.spare_m * spare
            if bench.mouths_m > 0.0:
                value += bench.per_m * (bench.mouth_worth + worth.spare_m) * np.minimum(spare, bench.mouths_m)
        else:
            value += bench.per_m * worth.mouth_m * total
        value -= worth.minute * MINUTES["harvest"] * (taken > 0.0).sum(axis=0)
        state.n -= taken
        if t == 0:
            for m in range(acts.giver.shape[0]):
                state.move(acts.giver[m], acts.taker[m], acts.share[m])
        else:
            _restarts(bench, state, value)
        if acts.starts is not None:
            state.start(acts.starts, t)
        value -= bench.per_m * worth.feed_g * (bench.ration * state.n).sum(axis=0)
        if full:
            told.mets.append(met if f.asked[t] else np.ones_like(value))
            told.gives.append(given)
            told.takes.append(taken.mean(axis=2))
        _live(bench, state, t)
    value += _left(bench, state)
    return Played(value, lost, *map(np.array, (told.mets, told.gives, told.stocks, told.takes, told.stood)))


class _Told:
    """What is kept of the days where more than the value is asked for."""

    def __init__(self) -> None:
        self.mets: list[Array] = []
        self.gives: list[Array] = []
        self.stocks: list[Array] = []
        self.takes: list[Array] = []
        self.stood: list[Array] = []


def _later(bench: Bench, state: _State, acts: Acts, t: int) -> Array:
    """What the sound keeper takes on a later day."""
    share = np.minimum(bench.aim[t] * acts.scale[None, :, None], TOP).astype(np.float32)
    aim = np.maximum(share * bench.known_full, bench.least)
    if not bench.futures.asked[t]:
        return policy.thinning(state.n, aim, bench.can)
    need = bench.futures.need[t]
    taken = policy.thinning(state.n, aim, np.where(need > 0.0, np.minimum(bench.can, np.float32(THINNED)), bench.can))
    missing = np.maximum(acts.later[:, None] * need - taken.sum(axis=0), 0.0)
    return policy.serving(state.n, taken, missing, bench.known_full, bench.can, LATER)


def _restarts(bench: Bench, state: _State, value: Array) -> None:
    """The emptiest culture of each future that is as good as gone is started anew from the fullest; its cost."""
    gone = state.n < bench.dead
    if not gone.any():
        return
    c, s = np.nonzero(gone.any(axis=0))
    part = state.n[:, c, s] / bench.known_full[:, :, 0]
    low, high = part.argmin(axis=0), part.argmax(axis=0)
    able = part[high, np.arange(len(c))] > GIVES
    c, s, i, j = c[able], s[able], high[able], low[able]
    moved = GIVEN * state.n[i, c, s]
    state.n[i, c, s] -= moved
    state.n[j, c, s] = moved
    state.strain[j, c, s] = 0.0
    value[c, s] -= bench.worth.minute * MINUTES["restart"] + bench.worth.vessel


def _live(bench: Bench, state: _State, t: int) -> None:
    """One day of growth, strain and falls; in place, as this is where the time goes."""
    f, part, rate = bench.futures, state.felt, state.room
    np.minimum(np.multiply(state.n, f.per_full, out=rate), CROWDED_MOST, out=rate)
    rate -= part
    rate *= f.swift
    part += rate
    slows = state.n * f.closes  # a day's growth crowds itself: what is felt is the middle of the day
    np.multiply(part, f.rate * f.bend, out=rate)  # growth is rate (1 - p (1 + bend (p - 1))) and the day's luck
    rate += f.rate * (1.0 - f.bend)
    rate *= part
    np.subtract(f.rate + f.growth[t], rate, out=rate)
    slows += 1.0
    rate /= slows
    if state.ailing:
        rate *= state.health
    gone = state.n < bench.dead
    if gone.any():
        rate *= np.where(gone, np.float32(GONE_GROWTH), np.float32(1.0))
    falls = f.luck[t] < state.strain * state.strain * f.prone + f.hazard
    if t <= state.last_fall:
        falls |= state.falls_on == t
    if t < SICK_DAYS:
        sick = (state.falls_on > t) & (state.falls_on < SICK_DAYS)
        rate *= np.where(sick, np.float32(SICK_GROWTH), np.float32(1.0))
    np.maximum(rate, SHRINKS, out=rate)
    if state.ailing:
        state.health += MENDS
        np.minimum(state.health, 1.0, out=state.health)
    if falls.any():
        state.ailing = True
        np.copyto(rate, f.depth[t], where=falls)
        state.health[falls] = WEAK_GROWTH
    state.n *= np.exp(rate, out=rate)
    np.multiply(state.n, f.per_full, out=rate)
    rate -= NEAR
    rate *= 1.0 / NEAR_WIDTH
    near = rate > 0.0
    np.minimum(rate, NEAR_MOST, out=rate)
    rate += state.strain
    state.strain *= FADES
    np.copyto(state.strain, rate, where=near)


def _left(bench: Bench, state: _State) -> Array:
    """What the stock left at the end is worth: live cultures, and enough of them for what may come."""
    part = state.n / bench.known_full
    live = (np.minimum(part / SEED_SHARE, 1.0) * bench.worth.vessel).sum(axis=0)
    stock = state.n.sum(axis=0) / bench.known_full.sum()
    found: Array = live + bench.worth.strain * np.minimum(stock / STRAIN_SHARE, 1.0)
    if bench.larvae:
        found = found + LEFT_SHARE * bench.worth.brood * (1.0 - np.exp(-stock / bench.left_stock))
    return found
