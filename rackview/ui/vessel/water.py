"""The water of one vessel over time, quantity by quantity, ready to plot. No Qt and no drawing here."""

from __future__ import annotations

from datetime import datetime

from rackview.core.clock import day_number
from rackview.core.dataclass import dataclass
from rackview.core.events import Reading
from rackview.core.rack import Rack
from rackview.language import _
from rackview.rules.water import nh3_near, reading_salinity
from rackview.ui.words import keeper_units as ku

Series = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """One quantity: its name and unit, days since 1970 with values, the ends of its good range if it has any."""

    name: str
    unit: str
    points: Series
    low: float | None = None
    high: float | None = None

    @property
    def titled(self) -> str:
        """The name with its unit."""
        return f"{self.name}, {self.unit}" if self.unit else self.name


@dataclass(frozen=True, slots=True)
class WaterHistory:
    """What was measured from `first` to `now`, in the keeper's units; what was never measured is left out."""

    first: float
    now: float
    curves: tuple[Curve, ...]


def water_history(rack: Rack, vessel: str, at: datetime, days: float | None) -> WaterHistory:
    """The vessel's water tests of the last `days` days before `at` (None: all of them)."""
    now = day_number(at)
    profile, settings = rack.profile(vessel), rack.settings
    readings = [e for e in rack.log(vessel, now).events() if isinstance(e, Reading)]
    begin = readings[0].day if readings else now - 2
    first = begin - 0.5 if days is None else now - days
    shown = [r for r in readings if r.day >= first]
    salinity = tuple((r.day, s) for r in readings if (s := reading_salinity(r)) is not None)
    ammonia = tuple((r.day, v) for r in shown if (v := _nh3(readings, r, salinity)) is not None)

    def plain(column: str) -> Series:
        return tuple((r.day, float(v)) for r in shown if (v := getattr(r, column)) is not None)

    degrees = ku.DEGREES[settings.temperature_unit]
    curves = (
        Curve(
            _("water"),
            degrees,
            tuple((day, ku.temperature(v, settings)) for day, v in plain("temperature_c")),
            ku.temperature(profile.temperature_low_c, settings),
            ku.temperature(profile.temperature_high_c, settings),
        ),
        Curve(
            _("salinity"), "", tuple(p for p in salinity if p[0] >= first), profile.salinity_low, profile.salinity_high
        ),
        Curve(_("pH"), "", plain("ph"), profile.ph_low, profile.ph_high),
        Curve(_("TAN"), "mg/L", plain("tan_mg_l")),
        Curve(_("NH3-N"), "mg/L", ammonia, 0.0, profile.nh3_notice_mg_l),
        Curve(_("oxygen"), "mg/L", plain("oxygen_mg_l"), profile.oxygen_low_mg_l, None),
    )
    return WaterHistory(first, now, tuple(c for c in curves if c.points))


def _nh3(readings: list[Reading], reading: Reading, salinity: Series) -> float | None:
    if reading.tan_mg_l is None:
        return None
    nearest = min(salinity, key=lambda p: abs(p[0] - reading.day), default=None)
    return nh3_near(readings, reading.tan_mg_l, reading.day, None if nearest is None else (nearest[1], nearest[0]))
