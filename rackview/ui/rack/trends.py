"""Trends of all tiles, turned into places: one time axis for all, and a log scale of its own for each vessel."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from math import floor, isfinite, log
from typing import TYPE_CHECKING

from rackview.advice.constants import SHOWN_BEFORE
from rackview.advice.moment import when
from rackview.core.clock import day_number
from rackview.core.dataclass import dataclass
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack
from rackview.ui.rack.rack_state import Trend

if TYPE_CHECKING:
    from rackview.science.risk.model import Taught

PAST, AHEAD = SHOWN_BEFORE, 3.0
"""Days shown before and after now."""
FAN_DAYS = (0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0)
QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)
NO_OFFSET, A_DAY = timedelta(0), timedelta(days=1)
LEAST_RATIO = 3.0
"""The least ratio of the ends of a scale, so that the noise of a quiet culture does not fill the tile."""
FAN_BEYOND = 2.0
"""How far the fan may widen the scale on either side: beyond it is cut, or a wide fan would flatten the line."""
MARGIN = 1.06
"""Room above and below what is shown."""


@dataclass(frozen=True, slots=True)
class LogScale:
    """Densities to heights from 0 to 1, equal steps for equal ratios."""

    low: float
    high: float

    def at(self, value: float) -> float:
        """The height of a density, held within the scale."""
        if value <= self.low:
            return 0.0
        return min(1.0, log(value / self.low) / log(self.high / self.low))


def gauge_scale(profile: StrainProfile) -> LogScale:
    """The scale on which vessels of a strain are filled: from a quarter of its floor to half over its ceiling."""
    return LogScale(profile.floor_per_ml / 4.0, profile.ceiling_per_ml * 1.5)


@dataclass(frozen=True, slots=True)
class TrendSeries:
    """One vessel's last days and next days in numbers: days from now, animals per mL."""

    line: tuple[tuple[float, float], ...]
    counts: tuple[tuple[float, float], ...]
    breaks: tuple[float, ...]
    fan: tuple[tuple[float, ...], ...]

    def scale(self, profile: StrainProfile) -> LogScale:
        """A scale that holds the line, the counts, what it can of the fan, and at least an edge of the working band."""
        least, most = profile.floor_per_ml / 20.0, profile.ceiling_per_ml * 4.0
        shown = [min(most, max(least, y)) for _, y in (*self.line, *self.counts)]
        low, high = min(shown), max(shown)
        ahead = [y for row in self.fan for y in row[1:] if y > 0 and isfinite(y)]
        if ahead:
            low, high = min(low, max(min(ahead), low / FAN_BEYOND)), max(high, min(max(ahead), high * FAN_BEYOND))
        low, high = min(low, profile.band_high_per_ml), max(high, profile.band_low_per_ml)
        wider = max(1.0, LEAST_RATIO / (high / low)) ** 0.5 * MARGIN
        return LogScale(low / wider, high * wider)


class Trends:
    """Courses of the vessels, worked out again only where history, quarter of an hour or what falls taught changed."""

    def __init__(self) -> None:
        self._known: dict[str, tuple[tuple[Node, StrainProfile, int, Taught], Trend | None]] = {}

    def of(self, rack: Rack, at: datetime) -> dict[str, Trend]:
        """The trend of every vessel that has one."""
        found = self._learn(rack, list(rack.vessels), at)
        return {name: trend for name in rack.vessels if (trend := found[name]) is not None}

    def one(self, rack: Rack, name: str, at: datetime) -> Trend | None:
        """The trend of one vessel, None if it has none; the others are not worked out."""
        return self._learn(rack, [name], at)[name]

    def _learn(self, rack: Rack, names: list[str], at: datetime) -> dict[str, Trend | None]:
        """The trends of these vessels, those that changed worked out side by side.

        What was found is handed over itself, as another thread may be noting the trends of another moment.
        """
        from rackview.advice.situation import lessons_by

        now = when(at)
        keys, trends = {}, {}
        for name in names:
            taught = lessons_by(rack, rack.vessel(name).strain, now.day, now.today)
            key = (rack.log(name, now.day), rack.profile(name), floor(now.day * 96), taught)
            known = self._known.get(name)
            if known is None or any(a is not b and a != b for a, b in zip(known[0], key, strict=True)):
                keys[name] = key
            else:
                trends[name] = known[1]
        for name, found in zip(keys, courses(rack, list(keys), at), strict=True):
            trends[name] = _placed(found, rack.profile(name)) if found.line or found.counts else None
            self._known[name] = (keys[name], trends[name])
        return trends


def courses(rack: Rack, names: Sequence[str], at: datetime) -> list[TrendSeries]:
    """The courses of some vessels around a moment."""
    from rackview.advice.api import forecast
    from rackview.science.state.past import lately, looks, medians

    day, zone = day_number(at), (at.utcoffset() or NO_OFFSET) / A_DAY
    facts = [lately(rack.log(name, day), day - PAST) for name in names]
    asked = [(rack.log(n, day), rack.profile(n), looks(day, zone, f)) for n, f in zip(names, facts, strict=True)]
    found = []
    for name, known, believed in zip(names, facts, medians(asked), strict=True):
        line = tuple((then - day, per_ml) for then, per_ml in believed.items() if per_ml is not None and per_ml > 0)
        fan: list[tuple[float, ...]] = []
        if line and line[-1][0] == 0.0:
            rows = forecast(rack, name, at, FAN_DAYS, QUANTILES).tolist()
            fan = [(ahead, *row) for ahead, row in zip(FAN_DAYS, rows, strict=True)]
        counts = tuple((then - day, per_ml) for then, per_ml in known.counts)
        found.append(TrendSeries(line, counts, tuple(then - day for then in known.breaks), tuple(fan)))
    return found


def _placed(one: TrendSeries, profile: StrainProfile) -> Trend:
    scale = one.scale(profile)

    def x(offset: float) -> float:
        return (offset + PAST) / (PAST + AHEAD)

    stretches: list[list[tuple[float, float]]] = [[]]
    edges = list(one.breaks)
    for offset, density in one.line:
        while edges and offset > edges[0]:
            edges.pop(0)
            stretches.append([])
        stretches[-1].append((x(offset), scale.at(density)))
    now = one.line[-1] if one.line and one.line[-1][0] == 0.0 else None
    return Trend(
        band=(scale.at(profile.band_low_per_ml), scale.at(profile.band_high_per_ml)),
        lines=tuple(tuple(s) for s in stretches if len(s) > 1),
        points=tuple((x(t), scale.at(y)) for t, y in one.counts),
        fan=tuple((x(t), scale.at(a), scale.at(b), scale.at(d), scale.at(e)) for t, a, b, _, d, e in one.fan),
        last=(x(0.0), scale.at(now[1])) if now is not None else None,
    )
