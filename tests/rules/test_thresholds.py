"""The thresholds that can be changed: every one of the catalogue is named, bounded, and kept in order with others."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from rackview.core import profile as prof
from rackview.core.errors import InputError
from rackview.rules.catalogue.table import RULES
from rackview.rules.catalogue.thresholds import RISING, THRESHOLDS, check_thresholds


def test_every_threshold_of_the_catalogue_can_be_changed():
    used = {field for rule in RULES for field in rule.thresholds}
    assert used == set(THRESHOLDS)
    assert used <= set(prof.THRESHOLDS)


@pytest.mark.parametrize("strain", prof.strains())
def test_shipped_profiles_keep_to_bounds_and_order(strain):
    profile = prof.strains()[strain]
    check_thresholds(profile, {field: getattr(profile, field) for field in THRESHOLDS})


@pytest.mark.parametrize(("lower", "upper"), [two for row in RISING for two in pairwise(row)])
def test_a_value_on_the_wrong_side_of_another_names_both(lower, upper):
    profile = prof.strains()["rotifer-L"]
    high, one = getattr(profile, upper), THRESHOLDS[lower]
    value = (high + one.high) / 2
    with pytest.raises(InputError) as caught:
        check_thresholds(replace(profile, **{lower: value}), {lower: value})
    assert caught.value.field == lower
    assert THRESHOLDS[upper].name in str(caught.value)
    low = getattr(profile, lower)
    under = (low + THRESHOLDS[upper].low) / 2
    if THRESHOLDS[upper].low < low:
        with pytest.raises(InputError) as caught:
            check_thresholds(replace(profile, **{upper: under}), {upper: under})
        assert caught.value.field == upper


def test_a_slip_of_the_hand_is_refused_with_the_bounds():
    profile = prof.strains()["rotifer-L"]
    with pytest.raises(InputError, match=r"0\.01 per day to 5 per day"):
        check_thresholds(replace(profile, fall_per_day=30.0), {"fall_per_day": 30.0})
    with pytest.raises(InputError):
        check_thresholds(replace(profile, floor_per_ml=-3.0), {"floor_per_ml": -3.0})


def test_no_salt_water_is_lighter_than_pure_water():
    """Specific gravity is the ratio to pure water, which has 1 by that definition."""
    profile = prof.strains()["rotifer-L"]
    with pytest.raises(InputError):
        check_thresholds(replace(profile, sg_target=0.999), {"sg_target": 0.999})
    check_thresholds(replace(profile, sg_target=1.0), {"sg_target": 1.0})


def test_equal_values_are_in_order():
    profile = replace(prof.strains()["rotifer-L"], floss_days=2.0)
    check_thresholds(profile, {"floss_days": 2.0})
