"""What the water's flags say is what the advice does: nothing is taken “as it grows back” where nothing grows."""

from __future__ import annotations

from math import log

import pytest

from rackview.advice.api import advise, assess, forecast
from rackview.core.profile import strains
from rackview.rules.water import nh3_of


def asked(rack, at, vessel, **reading):
    """Suggestions for one vessel after a reading of this morning."""
    kind = {"at": at(7, 6), "vessel": vessel, "kind": "reading", **reading}
    return {s.action: s for s in advise(rack.record(kind), at(7, 10)) if s.vessel == vessel}


@pytest.mark.parametrize("celsius", [8.0, 33.5, 36.0])
def test_far_outside_its_band_a_vessel_is_neither_harvested_nor_fed_more(three, at, celsius):
    usual, now = (asked(three, at, "C", temperature_c=c) for c in (25.0, celsius))
    assert usual["harvest"].amount > 0, "or the test says nothing"
    assert "harvest" not in now
    assert now.get("feed") is None or now["feed"].amount < usual["feed"].amount


@pytest.mark.parametrize(("strain", "per_ml"), [("rotifer-L", 210.0), ("copepod-pelagic", 6.0)])
@pytest.mark.parametrize("times", [1.05, 3.0])
def test_over_the_acting_limit_of_ammonia_nothing_is_taken_as_if_it_grew_back(build, at, strain, per_ml, times):
    """Acartia tonsa, Jepsen et al. 2015, Aquaculture Research 46:420-431; rotifers, Araujo, Hagiwara & Snell 2001."""
    rack = build({"A": (strain, "1", 1, 20.0, per_ml), "R": (strain, "2", 1, 8.0, per_ml, "reserve")})
    water = {"ph": 8.3, "temperature_c": 25.0, "salinity": 30.0}
    total = times * strains()[strain].nh3_act_mg_l / nh3_of(1.0, 8.3, 25.0, 30.0)
    found = asked(rack, at, "A", tan_mg_l=total, **water)
    if "harvest" in found:
        assert "water needs changing, as ammonia is high" in found["harvest"].why
    flags = assess(
        rack.record({"at": at(7, 6), "vessel": "A", "kind": "reading", "tan_mg_l": total, **water}), "A", at(7, 10)
    )
    assert "ammonia" in {f.code for f in flags.flags}


def test_the_forecast_has_a_hump_of_temperature(three, at):
    """Growth ends at the cold and at the hot end; the three temperatures stand in the profile, each with its source."""

    def in_three_days(celsius):
        kind = {"vessel": "C", "kind": "reading", "temperature_c": celsius}
        return forecast(three.record({**kind, "at": at(7, 6)}), "C", at(7, 10), [3], [0.5])[0, 0]

    best = strains()["rotifer-L"].growth_opt_c
    found = {c: in_three_days(c) for c in (5.0, 10.0, 17.0, best, 31.0, 36.0)}
    assert found[5.0] < found[10.0] < found[17.0] < found[best]
    assert found[best] > found[31.0] > found[36.0]
    now = assess(three, "C", at(7, 10)).density_per_ml.median
    grown = {c: log(per_ml / now) for c, per_ml in found.items()}
    for lethal in (5.0, 36.0):  # of one reading seven tenths are believed, and good days fade only slowly
        assert grown[lethal] < 0.5 * grown[best]
