"""The days before a loss in numbers, ready to draw: density, eggs, feed, water and what hands did. No Qt here."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from rackview.advice.record.aftermath import Aftermath
from rackview.core.clock import day_number
from rackview.core.dataclass import dataclass
from rackview.core.events import Clean, Count, Event, Feed, Harvest, Reading
from rackview.core.rack import Rack
from rackview.rules.view import dry_g, share_with_eggs
from rackview.rules.water import reading_salinity

Series = tuple[tuple[float, float], ...]
STEPS = 113
"""Looks at the estimate: eight a day over two weeks."""


@dataclass(frozen=True, slots=True)
class LossDays:
    """Days since 1970 with values: densities per mL with the ends of their intervals, the rest as plain series.

    `offset` is the keeper's offset from UTC in days; `acts` are the days of harvests, cleanings and contacts.
    """

    begin: float
    end: float
    lost: float | None
    offset: float
    estimate: tuple[tuple[float, float, float, float], ...]
    counts: tuple[tuple[float, float, float, float], ...]
    band: tuple[float, float]
    floor: float
    eggs: Series
    feed: Series
    water: dict[str, Series]
    acts: dict[str, tuple[float, ...]]


def loss_days(rack: Rack, after: Aftermath, at: datetime) -> LossDays:
    """The numbers behind the page `after`; `at` is now in the keeper's zone."""
    from rackview.science.state.estimate import estimate
    from rackview.science.state.track import track

    vessel, profile = after.vessel, rack.profile(after.vessel)
    begin = day_number(after.begins)
    end = day_number(after.lost_at or at)
    log = rack.log(vessel, end)
    events = [n.event for n in log.back(begin) if n.event is not None and n.day >= begin]
    own = [e for e in reversed(events) if e.vessel == vessel]
    believed = estimate(log, profile, end)
    counts = [(e.day, *believed.counted(e)) for e in own if isinstance(e, Count) and e.stage == "all"]
    course = track(log, profile, begin, end, STEPS)
    rows = zip(*(v.tolist() for v in (course.days, course.low90, course.median, course.high90)), strict=True)
    offset = (at.utcoffset() or timedelta(0)) / timedelta(days=1)
    return LossDays(
        begin=begin,
        end=end,
        lost=None if after.lost_at is None else end,
        offset=offset,
        estimate=tuple((a, b, c, d) for a, b, c, d in rows if c == c and c > 0),
        counts=tuple(counts),
        band=(profile.band_low_per_ml, profile.band_high_per_ml),
        floor=profile.floor_per_ml,
        eggs=_series(own, lambda e: share_with_eggs(e) if isinstance(e, Count) else None),
        feed=_series(own, lambda e: dry_g(e, rack.stock) if isinstance(e, Feed) else None),
        water={
            "temperature": _series(own, lambda e: e.temperature_c if isinstance(e, Reading) else None),
            "salinity": _series(own, lambda e: reading_salinity(e) if isinstance(e, Reading) else None),
            "ph": _series(own, lambda e: e.ph if isinstance(e, Reading) else None),
            "tan": _series(own, lambda e: e.tan_mg_l if isinstance(e, Reading) else None),
        },
        acts={
            "harvest": tuple(e.day for e in own if isinstance(e, Harvest)),
            "clean": tuple(e.day for e in own if isinstance(e, Clean)),
            "contact": tuple(day_number(c.at) for c in after.contacts),
        },
    )


def _series(events: list[Event], value: Callable[[Event], float | None]) -> Series:
    return tuple((e.day, v) for e in events if (v := value(e)) is not None)
