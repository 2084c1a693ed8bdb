"""One forecast everywhere: tile, vessel page, bench and Python show the same fan for the same vessel and moment."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from rackview.advice.api import forecast
from rackview.advice.choice.problem import outlook_with_signs
from rackview.advice.moment import when
from rackview.advice.situation import view_of
from rackview.advice.what_if.vessel import future
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
    tile = trends.courses(rack, [vessel], at)[0].fan
    wanted = forecast(rack, vessel, at, trends.FAN_DAYS, trends.QUANTILES)
    assert np.array([row[1:] for row in tile]) == pytest.approx(wanted, rel=1e-12)
    page = history.history(rack, vessel, at, 14.0).fan
    assert page == pytest.approx(forecast(rack, vessel, at, history.AHEAD_DAYS, history.QUANTILES), rel=1e-12)
    bench = future(rack, vessel, when(at), day_number(at))
    assert np.array(bench.fan) == pytest.approx(forecast(rack, vessel, at, bench.days, bench.quantiles), rel=1e-12)


def test_signs_of_a_fall_lower_the_low_end_of_every_fan(rack: Rack) -> None:
    """The chance on which the flags rest is in the fan: few eggs and slow swimming, with the same count."""
    at = START + timedelta(days=30, minutes=5)
    fans = []
    for look in ({"with_eggs": 20, "swimming": 4}, {"with_eggs": 1, "swimming": 2}):
        seen = ev.Count(at=START + timedelta(days=30), vessel="B", tallies=(180, 181), females_checked=40, **look)
        now = rack.record(seen)
        fans.append(history.history(now, "B", at, 14.0).fan)
        assert np.array([row[1:] for row in trends.courses(now, ["B"], at)[0].fan])[-1] == pytest.approx(
            fans[-1][7], rel=1e-9
        )
    assert history.AHEAD_DAYS[7] == trends.FAN_DAYS[-1]
    well, ill = fans
    assert ill[7, 0] < 0.7 * well[7, 0]
    assert ill[7, 2] < well[7, 2], "a likely fall raises no middle"


def test_those_who_decide_reckon_with_the_same_chance_of_a_fall(rack: Rack) -> None:
    at = START + timedelta(days=30, minutes=5)
    seen = ev.Count(
        at=START + timedelta(days=30), vessel="B", tallies=(180, 181), with_eggs=1, females_checked=40, swimming=2
    )
    view = view_of(rack.record(seen), "B", when(at))
    look = outlook_with_signs(view)
    none = (1.0 - look.collapse_chance) * math.exp(-3.0 * look.collapses_per_day)
    assert 1.0 - none == pytest.approx(view.risk.chance, rel=1e-6)
