"""One vessel's past and next days in numbers, ready to plot; densities in animals per mL, times in days since 1970.

No Qt and no drawing here.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from rackview.core.clock import day_number
from rackview.core.dataclass import dataclass
from rackview.core.events import Clean, Count, Event, Feed, Harvest, Reading, Rest, Restart, Return, Split, TopUp
from rackview.core.rack import Rack

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from rackview.science.state.track import Track

STEPS = 120
RATE_STEPS = 40
"""Parts of the time shown at whose ends densities and rates are drawn; one is a multiple of the other."""
AHEAD_DAYS = (0.0, 0.25, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0)
QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)
ALL_DAYS = 3650.0
ACTIONS = Harvest | Feed | Clean | Split | Restart | TopUp | Reading | Rest | Return


@dataclass(frozen=True, slots=True)
class CountPoint:
    """One count: when, density with the ends of its interval, the event's id."""

    day: float
    per_ml: float
    low: float
    high: float
    event: str


@dataclass(frozen=True, slots=True)
class ActionMark:
    """One action in the history."""

    day: float
    kind: str
    event: Event


@dataclass(frozen=True, slots=True, eq=False)
class History:
    """What the history plot shows from `first` to `last`; `now` lies between."""

    first: float
    now: float
    last: float
    track: Track
    fan: NDArray[np.float64] | None
    """one row per day of AHEAD_DAYS, one column per quantile of QUANTILES"""
    counts: tuple[CountPoint, ...]
    marks: tuple[ActionMark, ...]
    eggs: tuple[tuple[float, float], ...]
    rates: tuple[tuple[float, float, float], ...]
    """day, birth and loss per day"""
    band: tuple[float, float]
    floor: float


def history(rack: Rack, vessel: str, at: datetime, days: float | None) -> History:
    """The vessel's history over the last `days` days before `at` (None: all of it), and what is expected next."""
    import numpy as np

    from rackview.advice.api import forecast
    from rackview.science.state.track import estimates, track_of

    now = day_number(at)
    log, profile = rack.log(vessel, now), rack.profile(vessel)
    events = log.events()
    begin = events[0].day if events else now - 1
    first = max(now - (ALL_DAYS if days is None else days), min(begin - 0.5, now - 2))
    shown = [e for e in events if e.day >= first]
    days_shown = np.linspace(first, now, STEPS + 1)
    then = estimates(log, profile, days_shown.tolist())
    believed = then[-1]
    counts = [e for e in shown if isinstance(e, Count) and e.vessel == vessel]
    fan = None
    if believed.density_per_ml is not None and believed.density_per_ml.median > 0.0:
        fan = forecast(rack, vessel, at, AHEAD_DAYS, QUANTILES)
    rates = [
        (float(day), one.birth_per_day.median, one.loss_per_day.median)
        for day, one in zip(days_shown[:: STEPS // RATE_STEPS], then[:: STEPS // RATE_STEPS], strict=True)
        if one.birth_per_day is not None and one.loss_per_day is not None
    ]
    return History(
        first=first,
        now=now,
        last=now + AHEAD_DAYS[-1],
        track=track_of(days_shown, then),
        fan=fan,
        counts=tuple(CountPoint(e.day, *believed.counted(e), e.id) for e in counts),
        marks=tuple(ActionMark(e.day, e.kind, e) for e in shown if isinstance(e, ACTIONS)),
        eggs=tuple(
            (e.day, e.with_eggs / e.females_checked) for e in counts if e.with_eggs is not None and e.females_checked
        ),
        rates=tuple(rates),
        band=(profile.band_low_per_ml, profile.band_high_per_ml),
        floor=profile.floor_per_ml,
    )
