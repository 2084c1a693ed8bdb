"""Ways to act today, around what a sound keeper would do: more or less, from this vessel or that, with transfers."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.planner import policy
from rackview.planner.constants import (
    AS_WELL,
    CUT,
    DEEP_WANTS,
    DEEPEST,
    DOUBTED,
    FEW_SCALES,
    GIVER_ILL,
    GIVER_LEAST,
    GIVER_SHARE,
    GIVERS,
    GIVES_MOST,
    LESS,
    LESS_TODAY,
    LEVELS,
    MARGIN,
    MINUTES,
    MOVES,
    NEVER,
    RESERVE_GIVES,
    SCALES,
    SHARE_DIGITS,
    SHORT_SCALE,
    SLOW_SHARE,
    SMALLEST,
    STARTS,
    THINNED,
    TOP,
    WANT_MORE,
    WANTS,
)
from rackview.planner.culture import Culture, Problem, Transfer
from rackview.planner.rollout import Acts, Bench

if TYPE_CHECKING:
    from rackview.planner.futures import Array


@dataclass(frozen=True, slots=True)
class Way:
    """One way to act: scale of the stock, want of today's need and of the days after, and what is changed at vessels.

    `deep` lets cultures serve to the thinnest that they live at.
    `aside` serve nothing, `first` serve first and deeply, `kept` are not thinned, `cut` are thinned by this share at
    least; all by place of the vessel. `left` are left alone altogether.
    """

    scale: float = 1.0
    want: float = MARGIN
    later: float = MARGIN
    aside: frozenset[int] = frozenset()
    deep: bool = False
    first: frozenset[int] = frozenset()
    kept: frozenset[int] = frozenset()
    cut: tuple[tuple[int, float], ...] = ()
    left: frozenset[int] = frozenset()
    transfers: tuple[Transfer, ...] = ()


def median_animals(problem: Problem) -> Array:
    """Animals believed in each culture, millions."""
    looks = [(c.outlook, c.level_l) for c in problem.cultures]
    return np.array([0.0 if o is None else math.exp(o.log_density) * litres / 1e3 for o, litres in looks])


def acts(problem: Problem, bench: Bench, ways: list[Way]) -> Acts:
    """The ways as arrays."""
    cultures, v, c = problem.cultures, len(problem.cultures), len(ways)
    animals = np.repeat(median_animals(problem)[:, None], c, axis=1)
    most = np.array([k.most if k.gives and not k.reserve else 0.0 for k in cultures])[:, None]
    food = np.array([k.food for k in cultures])[:, None]
    full = bench.known_full[:, :, 0]
    scale = np.array([w.scale for w in ways])
    aim = np.maximum(np.minimum(bench.now * scale, TOP)[None, :] * full, bench.least[:, :, 0])
    levels = np.repeat(np.array((*LEVELS, NEVER))[:, None, None], v, axis=1).repeat(c, axis=2)
    lowest = np.maximum(DEEPEST, [k.lowest_per_ml * k.volume_l / 1e3 for k in cultures] / full[:, 0])
    least = np.array([k.rinse if k.gives and not k.reserve else 0.0 for k in cultures])[:, None].repeat(c, axis=1)
    doubted = [k for k, one in enumerate(cultures) if one.doubted]
    fixed = frozenset(k for k, one in enumerate(cultures) if not one.thins)
    for w, way in enumerate(ways):
        for i in way.kept | way.left | fixed:
            aim[i, w] = np.inf
        if way.deep:
            levels[-1, :, w] = lowest
        for i in doubted:
            levels[0, i, w] = NEVER
        for i in way.aside | way.left:
            levels[:, i, w] = NEVER
        for i in way.first:
            levels[:-1, i, w] = LEVELS[-1]
        for i, share in way.cut:
            least[i, w] = max(share, least[i, w])
        for i in way.left:
            least[i, w] = 0.0
    levels = np.where(food[None], levels, NEVER)
    spare = np.maximum(animals - bench.least[:, :, 0], 0.0)
    rinsed = np.minimum(np.minimum(least, most) * animals, spare)
    thinned = np.minimum(most, np.float32(THINNED)) if problem.need.open_m > 0.0 else most
    taken = np.maximum(policy.thinning(animals, aim, thinned), rinsed)
    want = np.array([w.want for w in ways]) * problem.need.open_m
    missing = np.maximum(want - (taken * food).sum(axis=0), 0.0)
    taken = policy.serving(animals, taken, missing, full, most, levels)
    part = taken / np.maximum(animals, 1e-12)
    take = np.where(part < SMALLEST, 0.0, part)
    cost, later = np.array([_cost(problem, bench, w) for w in ways]), np.array([w.later for w in ways])
    return Acts(take, *_transfers(problem, ways), scale, cost, later)


def _transfers(problem: Problem, ways: list[Way]) -> tuple[Array, Array, Array]:
    place = {c.vessel: k for k, c in enumerate(problem.cultures)}
    giver, taker = np.full((MOVES, len(ways)), -1), np.full((MOVES, len(ways)), -1)
    share = np.zeros((MOVES, len(ways)))
    for w, way in enumerate(ways):
        for m, one in enumerate(way.transfers[:MOVES]):
            giver[m, w], taker[m, w], share[m, w] = place[one.giver], place[one.taker], one.share
    return giver, taker, share


def _cost(problem: Problem, bench: Bench, way: Way) -> float:
    anew = {c.vessel: c.anew for c in problem.cultures}
    gained = sum(anew[t.taker] for t in way.transfers) * problem.worth.vessel
    part = dict(zip(anew, median_animals(problem) / bench.known_full[:, 0, 0], strict=True))
    thins = sum(1.0 - min(float(part[t.giver]), 1.0) for t in way.transfers) * GIVER_SHARE * problem.worth.vessel
    pace = {c.vessel: 0.0 if c.outlook is None else c.outlook.rate_per_day for c in problem.cultures}
    best = max(1e-6, *pace.values())
    slows = sum(1.0 - pace[t.giver] / best for t in way.transfers) * SLOW_SHARE * problem.worth.vessel
    return sum(MINUTES[t.action] for t in way.transfers) * problem.worth.minute + thins + slows - gained


def openings(problem: Problem) -> list[Way]:
    """How much stock to keep and how much of today's need to meet."""
    if not problem.need.larvae:
        return [Way()]
    full = 1.0 + problem.need.margin
    found = [Way(scale=s, want=full) for s in SCALES]
    if problem.need.open_m > 0.0:
        found += [Way(scale=s, want=w) for s in FEW_SCALES for w in (*WANTS, WANT_MORE * full)]
        found += [Way(want=w, deep=True) for w in (*WANTS, full) if w >= DEEP_WANTS]
    if any(problem.need.millions[1:]):
        today = LESS_TODAY if problem.need.open_m > 0.0 else (full,)
        found += [Way(scale=SHORT_SCALE, want=w, later=less) for w in today for less in LESS]
    return found


def alternatives(problem: Problem, base: Way) -> list[Way]:
    """What may be done otherwise, vessel by vessel, and the transfers that can be made."""
    found = []
    for k, culture in enumerate(problem.cultures):
        if culture.outlook is None or not culture.gives or culture.reserve or not problem.need.larvae:
            continue
        own = frozenset({k})
        found += [_with(base, kept=base.kept | own), _with(base, cut=(*base.cut, (k, CUT)))]
        if problem.need.open_m > 0.0:
            found += [_with(base, aside=base.aside | own), _with(base, first=base.first | own)]
    place = {c.vessel: k for k, c in enumerate(problem.cultures)}
    for one in transfers(problem, base):  # what is moved out thins the giver by itself
        kept = base.kept | {place[one.giver]}
        found.append(_with(base, transfers=(*base.transfers, one), kept=kept))
    return found


def _with(way: Way, **more: object) -> Way:
    from dataclasses import replace

    return replace(way, **more)  # type: ignore[arg-type]


def transfers(problem: Problem, base: Way) -> list[Transfer]:
    """Every transfer worth a look: for each vessel that may take culture, of the best givers, two sizes."""
    used = {n for t in base.transfers for n in (t.giver, t.taker)}
    found = []
    for taker in problem.cultures:
        if not taker.takes or taker.vessel in used:
            continue
        able = [c for c in problem.cultures if c is not taker and _can_give(c, taker) and c.vessel not in used]
        able.sort(key=lambda c: (c.reserve, -_worth_giving(c)))
        for giver in able[:GIVERS]:
            held = math.exp(giver.outlook.log_density) * giver.level_l if giver.outlook else 0.0
            wanted = taker.start_per_ml * taker.volume_l
            shares = {
                round(min(GIVES_MOST if not giver.reserve else RESERVE_GIVES, times * wanted / held), SHARE_DIGITS)
                for times in STARTS
            }
            found += [Transfer(taker.takes, giver.vessel, taker.vessel, s) for s in sorted(shares)]
    return found


def _worth_giving(one: Culture) -> float:
    look = one.outlook
    return 0.0 if look is None else look.log_density - GIVER_ILL * look.collapse_chance + math.log(one.volume_l)


def _can_give(giver: Culture, taker: Culture) -> bool:
    if not giver.seeds or giver.outlook is None or (giver.reserve and taker.takes == "split"):
        return False
    if not taker.urgent and giver.outlook.collapse_chance > DOUBTED:
        return False
    if taker.anew and taker.outlook is not None and giver.outlook.rate_per_day < AS_WELL * taker.outlook.rate_per_day:
        return False
    return math.exp(giver.outlook.log_density) > GIVER_LEAST * giver.least_per_ml
