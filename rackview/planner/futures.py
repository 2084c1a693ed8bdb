"""Sampled futures of one strain: what each culture may be and become, and what may be needed, the same draws each time.

Several causes of a fall stand side by side in the futures, and none rules out another: a culture near its ceiling for
days, one that is sick already and does not show it, one that caught it from a neighbour, a cause that all share, and
none that a keeper sees. The draws come
from fixed streams (common random numbers), so that two ways to act differ by what they do and not by luck, and the
same input gives the same choice. A vessel's draws depend on its place in the rack alone.
"""

from __future__ import annotations

import math
from dataclasses import fields
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.core.outlook import Outlook
from rackview.planner.constants import (
    AFTER_KNOWN,
    ALIKE,
    BEND,
    BROOD_DAYS,
    BUILT_FOR,
    CAUGHT_AFTER,
    CEILING_SD_MOST,
    CROWD_HAZARD,
    DAYS,
    DAYS_MOST,
    DENSITY_SD_MOST,
    DEPTH,
    EARLY,
    FALL_WITHIN,
    FED_DAYS,
    GAP_DAYS,
    HANDS_SD,
    HATCH_SHIFT,
    HEIGHT,
    LEAST_FILL,
    LOGS,
    MEMORY,
    NEED_DAY_SD,
    NEED_SD,
    NEW_CEILING,
    NEW_CEILING_SD,
    NEW_DAILY_SD,
    NEW_RATE,
    NEW_RATE_SD,
    NORMAL_LOW,
    NORMAL_TOP,
    OVER_CEILING,
    RACK_DRAWS,
    RACK_NORMALS,
    RAMP,
    RATES,
    SEED,
    SHARED,
    SHARED_HITS,
    SHARED_PER_DAY,
    SHARED_SEED,
    SWIFT,
    SWIFT_UNDER_LOW,
    VESSEL_DRAWS,
)
from rackview.science.risk.constants import USUAL_PER_DAY

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from rackview.planner.culture import NeedAhead, Problem

    Array = NDArray[Any]
    """Arrays of single or double precision."""

NOTHING = Outlook(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
"""Stands in the arrays where nothing is known of a culture; what is usual is put over it."""


@dataclass(frozen=True, slots=True)
class Futures:
    """Arrays (single precision) over days (T), vessels (V), ways (1) and futures (S); millions and rates per day.

    `animals` and `falls_on` are (V, S), `per_full` is 1 over the ceiling, `rate`, `bend`, `prone`, `swift`, `closes`
    and `hazard` (V, 1, S); `growth`, `luck` and `depth` (T, V, 1, S); `need` and `hands` (T, 1, S). `closes` is by what
    share a million more slows its day's growth, as crowding is felt in the middle of the day. `asked` are the days with
    a need in any future.
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
    closes: Array
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
    animals, rate, full, bend, growth, hazard, falls_on, prone = map(_single, _cultures(problem, size, days, beside))
    normal = _rack_draws(size, days)[0]
    growth = growth + _single(math.sqrt(SHARED) * normal[None, :days] * _daily_sd(problem)[:, None, None])
    drawn = _drawn(len(problem.cultures), size, days)
    need = _needs(problem.need, float(middles(full.sum(axis=0))), size, days)
    return Futures(
        animals, rate[:, None], 1.0 / full[:, None], bend[:, None], _by_day(growth), hazard[:, None], drawn.luck,
        drawn.depth, falls_on, CROWD_HAZARD * prone[:, None], drawn.swift,
        0.5 * rate[:, None] * drawn.swift / full[:, None], _single(need)[:, None],
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
    ranks = (np.stack([rng.permutation(size) for _ in range(VESSEL_DRAWS)]) + 0.5) / size
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
    rng = np.random.default_rng([SEED, SHARED_SEED])
    normal = rng.standard_normal((RACK_NORMALS * days, size))
    for t in range(1, days):
        normal[t] = MEMORY * normal[t - 1] + math.sqrt(1.0 - MEMORY**2) * normal[t]
    uniform = (np.stack([rng.permutation(size) for _ in range(RACK_DRAWS)]) + 0.5) / size
    return normal, uniform


def middles(values: Array) -> Array:
    """The median along the last axis, bit by bit that of `np.median`, which loads masked arrays to look for one."""
    ordered = np.sort(values, axis=-1)
    size = ordered.shape[-1]
    found: Array = (ordered[..., (size - 1) // 2] + ordered[..., size // 2]) / 2
    return found


def shares_of(values: Array, levels: Sequence[float]) -> list[Array]:
    """The quantiles at some levels along the last axis, bit by bit those of `np.quantile`, for the same reason."""
    ordered = np.sort(values, axis=-1)
    found = []
    for level in levels:
        at = np.float64(level) * (ordered.shape[-1] - 1)
        low = int(at)
        part, under = at - low, ordered[..., low]
        over = ordered[..., min(low + 1, ordered.shape[-1] - 1)]
        step = over - under
        found.append(under + step * part if part < 0.5 else over - step * (1.0 - part))
    return found


def quantile(p: Array) -> Array:
    """The normal quantile of probabilities, to 5e-4: Abramowitz & Stegun 1964, formula 26.2.23."""
    q = np.minimum(p, 1.0 - p)
    t = np.sqrt(-2.0 * np.log(q))
    (a, b, c), (d, e, f) = NORMAL_TOP, NORMAL_LOW
    z: Array = t - (a + t * (b + t * c)) / (1.0 + t * (d + t * (e + t * f)))
    return np.where(p < 0.5, -z, z)


def _alike(place: int, size: int, days: int) -> Array:
    """A vessel's normals, of which those for growth and ceiling are in part the rack's and go together: (9, S)."""
    z = quantile(_draws(place, size, days)[0])
    z[1:3] = math.sqrt(1.0 - ALIKE) * z[1:3] + math.sqrt(ALIKE) * quantile(_rack_draws(size, days)[1][4:6])
    z[2] = SWIFT_UNDER_LOW * z[1] + math.sqrt(1.0 - SWIFT_UNDER_LOW**2) * z[2]
    return z


@dataclass(frozen=True, slots=True)
class _Drawn:
    """The draws of so many vessels: `ranks` and `z` (9, V, S), `walk` (V, T, S), `comes` and `soon` (V, S).

    `luck` and `depth` (T, V, 1, S) and `swift` (V, 1, S) are as the futures hold them.
    """

    ranks: Array
    z: Array
    walk: Array
    soon: Array
    comes: Array
    luck: Array
    depth: Array
    swift: Array


@lru_cache(maxsize=16)
def _drawn(vessels: int, size: int, days: int) -> _Drawn:
    """The draws of the first vessels of a rack, side by side."""
    each = [_draws(k, size, days) for k in range(vessels)]
    ranks = np.array([e[0] for e in each]).reshape(vessels, VESSEL_DRAWS, size).transpose(1, 0, 2)
    z = (
        np.array([_alike(k, size, days) for k in range(vessels)])
        .reshape(vessels, VESSEL_DRAWS, size)
        .transpose(1, 0, 2)
    )
    soon = np.floor(FALL_WITHIN * ranks[6])
    comes = np.floor(np.log(_rack_draws(size, days)[1][3]) / math.log(1.0 - SHARED_PER_DAY)) + soon
    walk, luck, depth = (np.array([e[1:][i] for e in each]).reshape(vessels, days, size) for i in (0, 1, 2))
    return _Drawn(
        ranks, z, walk, soon, comes, _by_day(_single(luck)), _by_day(_single(depth)),
        _single(SWIFT + (1.0 - SWIFT) * ranks[7])[:, None],
    )  # fmt: skip


def _cultures(problem: Problem, size: int, days: int, beside: list[float]) -> tuple[Array, ...]:
    """Animals, rate, ceiling, bend, growth by the day, hazard, day of a fall that is under way, prone to crowding.

    Arrays over vessels and futures (V, S), growth (V, T, S).
    """
    cultures, why = problem.cultures, problem.falls
    drawn = _drawn(len(cultures), size, days)
    z, ranks = drawn.z, drawn.ranks
    looks = [c.outlook or NOTHING for c in cultures]
    unknown = np.array([c.outlook is None for c in cultures], bool)[:, None]

    def column(values: Iterable[float]) -> Array:
        return np.fromiter(values, float, len(cultures))[:, None]

    log_density = (
        column(k.log_density for k in looks) + column(min(k.log_density_sd, DENSITY_SD_MOST) for k in looks) * z[0]
    )
    animals = np.exp(np.clip(log_density, *LOGS)) * column(c.level_l for c in cultures) / 1e3
    rate = np.clip(column(k.rate_per_day for k in looks) + column(k.rate_sd for k in looks) * z[1], *RATES)
    log_ceiling = (
        column(k.log_ceiling for k in looks) + column(min(k.log_ceiling_sd, CEILING_SD_MOST) for k in looks) * z[2]
    )
    litres = column(c.volume_l for c in cultures)
    full = np.exp(np.clip(log_ceiling, *LOGS)) * litres / 1e3
    full = np.maximum(full, OVER_CEILING * animals / column(max(c.fill, LEAST_FILL) for c in cultures))
    started = NEW_CEILING * column(c.start_per_ml for c in cultures) * np.exp(NEW_CEILING_SD * z[2]) * litres / 1e3
    daily = column(NEW_DAILY_SD if k is NOTHING else math.sqrt(1.0 - SHARED) * k.daily_sd for k in looks)
    often = column(USUAL_PER_DAY if c.outlook is None else c.outlook.collapses_per_day for c in cultures)
    falls = _falls_on(drawn, column(k.collapse_chance for k in looks), column(why.caught * b for b in beside), days)
    return (
        np.where(unknown, 0.0, animals), np.where(unknown, NEW_RATE + NEW_RATE_SD * z[1], rate),
        np.where(unknown, started, full), BEND[0] + (BEND[1] - BEND[0]) * ranks[3], drawn.walk * daily[:, :, None],
        np.broadcast_to(why.often * often, animals.shape), np.where(unknown, _never(days), falls),
        ranks[5] < why.dense,
    )  # fmt: skip


def _never(days: int) -> float:
    """A day beyond those played."""
    return days + 10.0


def _falls_on(drawn: _Drawn, own: Array, caught: Array, days: int) -> Array:
    """The day of a fall that has its cause already or shares it with the rack; beyond the days where there is none."""
    ranks = drawn.ranks
    falls = np.where(ranks[4] < own, drawn.soon, _never(days))
    falls = np.where((ranks[4] >= own) & (ranks[4] < own + (1.0 - own) * caught), CAUGHT_AFTER + drawn.soon, falls)
    found: Array = np.where(ranks[8] < SHARED_HITS, np.minimum(falls, drawn.comes), falls)
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
        found[t] = said[t] * np.exp(NEED_DAY_SD * normal[2 * days + t]) if t and said[t] > 0.0 else said[t]
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
            found[:, s] = np.where(rest & ~inside, found[:, s], moved)
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
    first = max(known + AFTER_KNOWN, GAP_DAYS[0])
    begin = np.floor(first + (GAP_DAYS[1] - GAP_DAYS[0]) * uniform[1])
    height = usual * (HEIGHT[0] + HEIGHT[1] * uniform[2])
    for t in range(days):
        age = t - begin
        part = np.minimum(1.0, RAMP[0] + RAMP[1] * age)
        found[t] += np.where((age >= 0.0) & (age < BROOD_DAYS), height * part, 0.0)
