"""One forecast everywhere: tile, vessel page, bench and Python show the same fan for the same vessel and moment."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from rackview.advice.api import forecast
from rackview.advice.moment import when
from rackview.advice.whatif import future
from rackview.core import events as ev
from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.ui.rack import trends
from rackview.ui.vessel import history

START = datetime(2026, 1, 1, 8, tzinfo=UTC)


@pytest.fixture(scope="module")
def rack() -> Rack:
    """Two vessels of one strain, one of which swings, so that the pool is not the filter alone."""
    rng = np.random.default_rng(1)
    events: list[ev.Event] = []
    for d in range(30):
        for name, log in (("A", 5.0 + 0.8 * math.sin(d / 1.4)), ("B", 5.2)):
            at = START + timedelta(days=d)
            events.append(ev.Count(at=at, vessel=name, tallies=tuple(rng.poisson(math.exp(log), 3).tolist())))
            events.append(ev.Harvest(at=at + timedelta(hours=1), vessel=name, volume_l=2.0, refill_l=2.0))
    return Rack.build([Vessel(n, "rotifer-L", "1", k, 20.0) for k, n in enumerate("AB", 1)], events)


@pytest.mark.parametrize("vessel", ["A", "B"])
def test_the_fan_is_the_same_wherever_it_is_shown(rack: Rack, vessel: str) -> None:
    at = START + timedelta(days=29, hours=5)
    day, log, profile = day_number(at), rack.log(vessel, day_number(at)), rack.profile(vessel)
    tile = trends.course(log, profile, day).fan
    wanted = forecast(rack, vessel, at, trends.FAN_DAYS, trends.QUANTILES)
    assert np.array([row[1:] for row in tile]) == pytest.approx(wanted, rel=1e-12)
    page = history.history(rack, vessel, at, 14.0).fan
    assert page == pytest.approx(forecast(rack, vessel, at, history.AHEAD_DAYS, history.QUANTILES), rel=1e-12)
    bench = future(rack, vessel, when(at), day)
    assert np.array(bench.fan) == pytest.approx(forecast(rack, vessel, at, bench.days, bench.quantiles), rel=1e-12)
