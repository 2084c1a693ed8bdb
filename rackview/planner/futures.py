"""Sampled futures of one strain: what each culture may be and become, and what may be needed, the same draws each time.

Several causes of a fall stand side by side in the futures, and none rules out another: a culture near its ceiling for
days, one that is sick already and does not show it, one that caught it from a neighbour, a cause that all share, and
none that a keeper sees. The draws come
from fixed streams (common random numbers), so that two ways to act differ by what they do and not by luck, and the
same input gives the same choice. A vessel's draws depend on its place in the rack alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from rackview.science.risk.constants import USUAL_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from rackview.planner.culture import Culture, Falls, NeedAhead, Problem

    Array = NDArray[Any]
    """Arrays of single or double precision."""

DAYS, DAYS_MOST = 12, 17
"""Days played ahead: a brood is fed for 8 to 10 and a thinned rack grows back within five; more where a brood is
announced that is fed longer than that."""
FED_DAYS = (8, 10)
"""For how long a brood is fed of which needs were said for its first days only."""
SEED = 20_260_301
BEND = (0.0, 1.3)
"""How late crowding is felt: growth falls with p (1 + bend (p - 1)) where p is the share of the ceiling, so 0 is the
logistic and 1 its square."""
MEMORY, SHARED = 0.75, 0.35
"""How much of a day's good or bad growth is left the next day, and what share of it the vessels have in common: room,
water and bottle. Common practice, no source."""
ALIKE = 0.5
"""Share of what is not known of growth and ceiling (as variance) in which the cultures of a rack are alike: one
clone, one feed, one water. Common practice, no source."""
DEPTH = (0.3, 0.95)
"""What a fall takes of a culture."""
CAUGHT_AFTER = 1.0
"""Days after which a culture that caught what a neighbour has falls at the earliest: tools, hands and splashes carry
it. Common practice, no source."""
SHARED_PER_DAY, SHARED_HITS = 1.0 / 220.0, 0.55
"""How often a cause that all share comes (a bottle, a batch of water, the room, an infection that goes round), and the
share of the cultures that it brings down. Common practice, no source."""
CROWD_HAZARD = 0.006
"""Chance per day and squared day near the ceiling in the futures in which days there bring a culture down. Both are
published: cultures that stand full for weeks and cultures that fall within days of it. Common practice, no source."""
SWIFT = 0.3
"""Least share of a change in crowding that growth follows within a day: eggs take a day to hatch and young two to lay,
and laying may remember a week. A thinned culture grows back the later for it."""
LOGS = (-12.0, 16.0)
"""Log densities that can be reckoned with."""
NEED_SD, HATCH_SHIFT, EARLY = 0.12, 0.2, 0.2
"""Spread of a need said ahead, and the chance that a hatch comes a day later or earlier than said."""
GAP_DAYS = (8.0, 26.0)
"""Days from now to the hatch of a brood that nobody has announced yet: broods come every two to three weeks."""
BUILT_FOR = 0.16
"""Share of what a rack holds when full that its broods usually take on their greatest day."""
RAMP = (0.45, 0.14)
"""Share of its greatest need that a brood has on its first day, and by how much it rises a day."""
HANDS_SD = 0.07
"""How much amounts taken by hand are off: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Futures:
    """Arrays (single precision) over days (T), vessels (V), ways (1) and futures (S); millions and rates per day.

    `animals` and `falls_on` are (V, S), `per_full` is 1 over the ceiling, `rate`, `bend`, `prone`, `swift` and `hazard`
    (V, 1, S); `growth`, `luck` and `depth` (T, V, 1, S); `need` and `hands` (T, 1, S). `asked` are the days with a
    need in any future.
    """

    animals: Array
    rate: Array
    per_full: Array
    bend: Array
    growth: Array
    hazard: Array
    luck: Array
    depth: Array
    falls_on: Array
    prone: Array
    swift: Array
    need: Array
    hands: Array
    asked: tuple[bool, ...]

    @property
    def size(self) -> int:
        """How many futures."""
        return int(self.animals.shape[1])

    def some(self, size: int) -> Futures:
        """The first of them."""
        arrays = {
            f.name: np.ascontiguousarray(getattr(self, f.name)[..., :size]) for f in fields(self) if f.name != "asked"
        }
        return Futures(asked=self.asked, **arrays)

    @property
    def days(self) -> int:
        """How many days."""
        return int(self.need.shape[0])


def days_for(need: NeedAhead) -> int:
    """How many days to play ahead: to the end of the brood that is announced, within bounds."""
    last = max((t for t, m in enumerate(need.millions) if m > 0.0), default=0)
    if (begin := need.goes_on) is not None:
        last = max(last, begin + FED_DAYS[1] - 1)
    return min(max(last + 1, DAYS), DAYS_MOST)


def sample(problem: Problem, size: int, days: int = DAYS) -> Futures:
    """`size` futures of `days` days."""
    ill = [0.0 if c.outlook is None else c.outlook.collapse_chance for c in problem.cultures]
    beside = [max((c for j, c in enumerate(ill) if j != k), default=0.0) for k in range(len(ill))]
    parts = [_culture(c, k, size, days, beside[k], problem.falls) for k, c in enumerate(problem.cultures)]
    animals, rate, full, bend, growth, hazard, falls_on, prone = map(_single, zip(*parts, strict=True))
    normal = _rack_draws(size, days)[0]
    growth = growth + _single(math.sqrt(SHARED) * normal[None, :days] * _daily_sd(problem)[:, None, None])
    luck = _single([_draws(k, size, days)[2] for k in range(len(parts))])
    depth = _single([_draws(k, size, days)[3] for k in range(len(parts))])
    swift = _single([SWIFT + (1.0 - SWIFT) * _draws(k, size, days)[0][7] for k in range(len(parts))])[:, None]
    need = _needs(problem.need, float(np.median(full.sum(axis=0))), size, days)
    return Futures(
        animals, rate[:, None], 1.0 / full[:, None], bend[:, None], _by_day(growth), hazard[:, None], _by_day(luck),
        _by_day(depth), falls_on, CROWD_HAZARD * prone[:, None], swift, _single(need)[:, None],
        _single(np.exp(HANDS_SD * normal[days : 2 * days]))[:, None], tuple(bool(day.any()) for day in need > 0.0),
    )  # fmt: skip


def _single(values: object) -> Array:
    return np.ascontiguousarray(np.array(values, np.float32))


def _by_day(values: Array) -> Array:
    """From (V, T, S) to (T, V, 1, S)."""
    return np.ascontiguousarray(values.transpose(1, 0, 2))[:, :, None, :]


def _daily_sd(problem: Problem) -> Array:
    return np.array([0.0 if c.outlook is None else c.outlook.daily_sd for c in problem.cultures])


@cache
def _draws(place: int, size: int, days: int) -> tuple[Array, Array, Array, Array]:
    """A vessel's draws: stratified uniforms (9, S), walks (T, S), uniforms (T, S), depths of falls (T, S)."""
    rng = np.random.default_rng([SEED, place])
    ranks = (np.stack([rng.permutation(size) for _ in range(9)]) + 0.5) / size
    z = rng.standard_normal((days, size))
    walk = np.empty((days, size))
    walk[0] = z[0]
    for t in range(1, days):
        walk[t] = MEMORY * walk[t - 1] + math.sqrt(1.0 - MEMORY**2) * z[t]
    luck = (np.stack([rng.permutation(size) for _ in range(days)]) + rng.random((days, 1))) / size
    depth = np.log(1.0 - rng.uniform(*DEPTH, (days, size)))
    return ranks, walk, luck, depth


@cache
def _rack_draws(size: int, days: int) -> tuple[Array, Array]:
    """What all vessels share: normals (3 T, S), of which the first T walk, and stratified uniforms (8, S)."""
    rng = np.random.default_rng([SEED, 1_000_003])
    normal = rng.standard_normal((3 * days, size))
    for t in range(1, days):
        normal[t] = MEMORY * normal[t - 1] + math.sqrt(1.0 - MEMORY**2) * normal[t]
    uniform = (np.stack([rng.permutation(size) for _ in range(8)]) + 0.5) / size
    return normal, uniform


def quantile(p: Array) -> Array:
    """The normal quantile of probabilities, to 5e-4: Abramowitz & Stegun 1964, formula 26.2.23."""
    q = np.minimum(p, 1.0 - p)
    t = np.sqrt(-2.0 * np.log(q))
    top = 2.515517 + t * (0.802853 + t * 0.010328)
    z: Array = t - top / (1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308)))
    return np.where(p < 0.5, -z, z)


@cache
def _normals(place: int, size: int, days: int) -> Array:
    return quantile(_draws(place, size, days)[0])


@cache
def _alike(place: int, size: int, days: int) -> Array:
    """A vessel's normals, of which those for growth and ceiling are in part the rack's: (9, S)."""
    z = _normals(place, size, days).copy()
    z[1:3] = math.sqrt(1.0 - ALIKE) * z[1:3] + math.sqrt(ALIKE) * quantile(_rack_draws(size, days)[1][4:6])
    return z


def _culture(one: Culture, place: int, size: int, days: int, beside: float, why: Falls) -> tuple[Array, ...]:
    """Animals, rate, ceiling, bend, growth by the day, hazard, day of a fall that is under way, prone to crowding."""
    ranks, walk, _, _ = _draws(place, size, days)
    z = _alike(place, size, days)
    bend = BEND[0] + (BEND[1] - BEND[0]) * ranks[3]
    look = one.outlook
    if look is None:
        usual = 0.55 + 0.12 * z[1]
        full = np.full(size, 3.5 * one.start_per_ml) * np.exp(0.35 * z[2])
        empty = np.zeros(size)
        falls = np.full(size, float(days + 9))
        quiet = np.full(size, why.often * USUAL_PER_DAY)
        return empty, usual, full * one.volume_l / 1e3, bend, walk * 0.08, quiet, falls, ranks[5] < why.dense
    animals = np.exp(np.clip(look.log_density + min(look.log_density_sd, 1.5) * z[0], *LOGS)) * one.level_l / 1e3
    rate = np.clip(look.rate_per_day + look.rate_sd * z[1], 0.03, 1.5)
    full = np.exp(np.clip(look.log_ceiling + min(look.log_ceiling_sd, 1.0) * z[2], *LOGS)) * one.volume_l / 1e3
    full = np.maximum(full, 0.85 * animals / max(one.fill, 0.05))
    falls = _falls_on(look.collapse_chance, why.caught * beside, place, size, days)
    hazard = np.full(size, why.often * look.collapses_per_day)
    own = math.sqrt(1.0 - SHARED) * look.daily_sd
    return animals, rate, full, bend, walk * own, hazard, falls, ranks[5] < why.dense


def _falls_on(own: float, caught: float, place: int, size: int, days: int) -> Array:
    """The day of a fall that has its cause already or shares it with the rack; beyond the days where there is none."""
    ranks = _draws(place, size, days)[0]
    soon = np.floor(3.0 * ranks[6])
    falls = np.where(ranks[4] < own, soon, float(days + 9))
    falls = np.where((ranks[4] >= own) & (ranks[4] < own + (1.0 - own) * caught), CAUGHT_AFTER + soon, falls)
    comes = np.floor(np.log(_rack_draws(size, days)[1][3]) / math.log(1.0 - SHARED_PER_DAY)) + soon
    found: Array = np.where(ranks[8] < SHARED_HITS, np.minimum(falls, comes), falls)
    return found


def _needs(need: NeedAhead, full_m: float, size: int, days: int) -> Array:
    """Sampled need, millions, shape (T, S); the day that has begun is known."""
    normal, uniform = _rack_draws(size, days)
    said, ends = _said(need, days, uniform)
    late = np.zeros(days + 2, bool)
    late[: min(len(need.early), days)] = need.early[:days]
    level = np.exp(NEED_SD * normal[2 * days])
    found = np.zeros((days, size))
    rows = np.arange(days)
    for t in range(days):
        found[t] = said[t] * np.exp(0.08 * normal[2 * days + t]) if t and said[t] > 0.0 else said[t]
    if need.spread > 0.0:
        found[1:] *= np.exp(need.spread * normal[2 * days])[None, :]
    found = np.where(rows[:, None] < ends[None, :], found, 0.0)
    if late.any():
        first = int(np.argmax(late))
        end = first + int(np.argmin(np.append(said[first:] > 0.0, False)))
        for s in range(size):
            shift = -1 if uniform[0, s] < EARLY else 1 if uniform[0, s] > 1.0 - HATCH_SHIFT else 0
            begin = max(first + shift, 1)
            source = rows - (begin - first)
            inside = (source >= first) & (source < min(end, ends[s])) & (rows >= begin)
            moved = np.where(inside, said[np.clip(source, 0, days)], 0.0) * level[s]
            rest = (rows < first) | (rows >= end)
            found[:, s] = np.where(rest & ~inside, np.where(rest, found[:, s], 0.0), moved)
    if need.more:
        _unannounced(found, need, full_m, uniform)
    if days:
        found[0] = max(said[0] - need.done_m, 0.0)
    return found


def _said(need: NeedAhead, days: int, uniform: Array) -> tuple[Array, Array]:
    """Needs said (days + 2), a brood cut short by the last of them carried on, and the day it ends in each future."""
    said = np.zeros(days + 2)
    said[: min(len(need.millions), days)] = need.millions[:days]
    ends = np.full(uniform.shape[1], days + 2)
    begin = need.goes_on
    if begin is not None and need.said_days is not None and need.said_days < days:
        last = min(begin + FED_DAYS[1], days)
        said[need.said_days : last] = said[need.said_days - 1]
        fed = FED_DAYS[0] + np.floor((FED_DAYS[1] - FED_DAYS[0] + 1) * uniform[6])
        ends = np.maximum(begin + fed, need.said_days).astype(int)
    return said, ends


def _unannounced(found: Array, need: NeedAhead, full_m: float, uniform: Array) -> None:
    """Broods that nobody has announced yet, after the last need known of; those before it would have been."""
    days = found.shape[0]
    known = max((t for t, m in enumerate(need.millions) if m > 0.0), default=-1)
    if need.goes_on is not None:
        known = max(known, need.goes_on + FED_DAYS[1] - 1)
    usual = max(BUILT_FOR * full_m, max(need.millions, default=0.0))
    first = max(known + 4.0, GAP_DAYS[0])
    begin = np.floor(first + (GAP_DAYS[1] - GAP_DAYS[0]) * uniform[1])
    height = usual * (0.55 + 0.65 * uniform[2])
    for t in range(days):
        age = t - begin
        part = np.minimum(1.0, RAMP[0] + RAMP[1] * age)
        found[t] += np.where((age >= 0.0) & (age < 9.0), height * part, 0.0)
