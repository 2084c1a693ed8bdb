"""The outlook: what the planner samples from, read off the belief."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import pytest

from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state.estimate import estimate

START = datetime(2026, 3, 1, 8, tzinfo=UTC)


def outlook(densities, temperature_c=25.0, harvest_l=0.0):
    """The outlook of one vessel of 20 L counted each morning."""
    rack = Rack.build([Vessel("A", "rotifer-L", "1", 1, 20.0)])
    for day, per_ml in enumerate(densities):
        at = START + timedelta(days=day)
        rack = rack.record(
            {"at": at, "vessel": "A", "kind": "count", "tallies": f"{round(per_ml)} {round(per_ml)} {round(per_ml)}"},
            {"at": at, "vessel": "A", "kind": "reading", "temperature_c": temperature_c},
        )
        if harvest_l:
            cut = {"kind": "harvest", "volume_l": harvest_l, "refill_l": harvest_l}
            rack = rack.record({"at": at + timedelta(minutes=9), "vessel": "A", **cut})
    now = day_number(START + timedelta(days=len(densities) - 1, hours=1))
    return estimate(rack.log("A", now), rack.profile("A"), now).outlook


def test_nothing_is_known_of_a_vessel_that_was_never_counted():
    assert outlook([]) is None


def test_a_full_culture_that_stands_still_is_not_taken_for_a_slow_one():
    """Its rate when thin stays near what the strain is known for, and its ceiling is near where it stands."""
    full = outlook([320.0] * 14)
    assert full is not None
    assert full.rate_per_day > 0.3
    assert 0.9 * 320.0 < math.exp(full.log_ceiling) < 1.7 * 320.0


def test_what_grows_under_harvest_has_room_above_it():
    kept, full = outlook([150.0] * 14, harvest_l=6.0), outlook([150.0] * 14)
    assert kept is not None
    assert full is not None
    assert kept.log_ceiling > full.log_ceiling
    assert kept.rate_per_day > full.rate_per_day
    assert min(kept.rate_sd, kept.log_ceiling_sd, kept.log_density_sd, kept.daily_sd) > 0.0


def test_in_a_cool_room_growth_is_slower():
    warm, cool = outlook([150.0] * 3), outlook([150.0] * 3, temperature_c=20.0)
    assert warm is not None
    assert cool is not None
    assert cool.rate_per_day < 0.85 * warm.rate_per_day


def test_the_doubt_of_the_density_is_that_of_its_interval():
    """Half of what is believed lies within 0.674 standard deviations, nine tenths within 1.645."""
    rack = Rack.build([Vessel("A", "rotifer-L", "1", 1, 20.0)])
    rack = rack.record({"at": START, "vessel": "A", "kind": "count", "tallies": "150 161 139"})
    found = estimate(rack.log("A"), rack.profile("A"), day_number(START + timedelta(days=1.5)))
    assert found.outlook is not None
    assert found.density_per_ml is not None
    wide = math.log(found.density_per_ml.high90 / found.density_per_ml.low90) / (2.0 * 1.645)
    assert 0.4 * wide < found.outlook.log_density_sd < 1.2 * wide
    assert math.exp(found.outlook.log_density) == pytest.approx(found.density_per_ml.median, rel=0.01)
