"""A vessel to try rules on: its density and rates are given, its facts come from events."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import pytest

from rackview.core.assessment import Interval
from rackview.core.clock import day_number
from rackview.core.profile import strains
from rackview.core.rack import Rack
from rackview.core.tables import Stock
from rackview.core.vessel import Vessel
from rackview.rules.care import care
from rackview.rules.view import View
from rackview.rules.water import water
from rackview.science.state.estimate import estimate

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
Z90 = 1.6448536269514722


@dataclass
class Believed:
    """An estimate with a lognormal density and a normal net rate, as the rules use it."""

    per_ml: float | None = 200.0
    sd: float = 0.1
    net: float | None = 0.3
    net_sd: float = 0.05
    hungry_days: float = 0.0
    level_l: float = 20.0
    collapse_chance: float = 0.0
    ovigerous_share: float | None = None
    ceiling_per_ml: float | None = 450.0
    highest_per_ml: float | None = 250.0
    aliquot_cv: float = 0.12

    @property
    def density_per_ml(self) -> Interval | None:
        if self.per_ml is None:
            return None
        return Interval(self.per_ml, *(self.per_ml * math.exp(z * self.sd) for z in (-Z90, Z90)))

    @property
    def median_per_ml(self) -> float | None:
        return self.per_ml

    @property
    def median_net_per_day(self) -> float | None:
        return self.net

    @property
    def net_per_day(self) -> Interval | None:
        if self.net is None:
            return None
        return Interval(self.net, self.net - Z90 * self.net_sd, self.net + Z90 * self.net_sd)

    def chance_below(self, floor_per_ml: float, days: float) -> float:
        if self.per_ml is None:
            return math.nan
        median = math.log(max(self.per_ml, 1e-12)) + days * (self.net or 0.0)
        spread = math.hypot(self.sd, days * self.net_sd)
        if spread == 0.0:
            return 1.0 if median < math.log(floor_per_ml) else 0.0
        return 0.5 * math.erfc((median - math.log(floor_per_ml)) / (spread * math.sqrt(2.0)))


def at(days: float) -> datetime:
    """The moment `days` days after the record begins."""
    return START + timedelta(days=days)


@pytest.fixture
def moment():
    """The moment so many days after the record begins."""
    return at


@pytest.fixture
def believed():
    """The class of given estimates."""
    return Believed


@pytest.fixture
def vessel_view():
    """A function that makes a view of one vessel from events and a given estimate."""

    def make(
        events=(),
        day: float = 0.0,
        strain: str = "rotifer-L",
        estimate: Believed | None = None,
        profile: dict[str, float] | None = None,
        reserve: bool = False,
        stock: tuple[Stock, ...] = (),
        others: tuple[Vessel, ...] = (),
        volume_l: float = 20.0,
    ) -> View:
        vessel = Vessel("V", strain, "A", 1, volume_l, reserve)
        rows = [
            {"at": at(e.get("day", 0.0)), "vessel": "V"} | {k: v for k, v in e.items() if k != "day"} for e in events
        ]
        rack = Rack.build([vessel, *others], stock=stock).record(*rows)
        now = day_number(at(day))
        log = rack.log("V", now)
        chosen = strains()[strain]
        return View(
            vessel=vessel,
            profile=chosen.with_values(profile) if profile else chosen,
            log=log,
            care=care(log),
            estimate=estimate or Believed(level_l=volume_l),  # type: ignore[arg-type]
            water=water(log, now),
            day=now,
            today=math.floor(now),
            stock=stock,
        )

    return make


@pytest.fixture
def real_view(vessel_view):
    """A function that makes a view of one vessel from events, with the estimate that they give."""

    def make(events, day: float) -> View:
        view = vessel_view(events, day)
        return replace(view, estimate=estimate(view.log, view.profile, view.day))

    return make


@pytest.fixture
def count():
    """A count event as a row, of any density in 1 mL aliquots."""

    def make(day: float = 0.0, tallies: str = "200 205 195", **more) -> dict[str, object]:
        return {"day": day, "kind": "count", "tallies": tallies, **more}

    return make
