"""Every rule of the water at, just under and just over its threshold, and silent where nothing was measured."""

from __future__ import annotations

import pytest

from rackview.core.assessment import Severity
from rackview.core.profile import strains
from rackview.rules.flags import water as rules
from rackview.rules.water import nh3_of, salinity_of, water

L = strains()["rotifer-L"]
TODAY, WEEK, NOTICE = Severity.today, Severity.week, Severity.notice


def reading(day=0.0, **values):
    return {"day": day, "kind": "reading", **values}


@pytest.mark.parametrize(("celsius", "salinity"), [(25.0, 33.1866), (20.0, 31.3354), (None, None)])
def test_a_hydrometer_against_water_of_4_degrees_needs_the_samples_own_warmth(celsius, salinity):
    """Roots of density over that of water at 4 degC by TEOS-10 (tests/science/data/outside_values.csv)."""
    found = salinity_of(None, None, 1.022, "t/4", celsius)
    assert found == (None if salinity is None else pytest.approx(salinity, abs=0.01))


@pytest.mark.parametrize(
    ("rule", "values", "severity"),
    [
        (rules.oxygen, {"oxygen_mg_l": L.oxygen_low_mg_l - 0.01}, TODAY),
        (rules.oxygen, {"oxygen_mg_l": L.oxygen_low_mg_l}, None),
        (rules.oxygen, {"oxygen_mg_l": L.oxygen_low_mg_l + 0.01}, None),
        (rules.oxygen, {"ph": 8.0}, None),
        (rules.ph, {"ph": L.ph_low - 0.01}, WEEK),
        (rules.ph, {"ph": L.ph_low}, None),
        (rules.ph, {"ph": L.ph_low + 0.01}, None),
        (rules.ph, {"ph": L.ph_high}, None),
        (rules.ph, {"ph": L.ph_high + 0.01}, WEEK),
        (rules.ph, {"temperature_c": 25.0}, None),
        (rules.warm, {"temperature_c": L.temperature_high_c}, None),
        (rules.warm, {"temperature_c": L.temperature_high_c + 0.01}, WEEK),
        (rules.warm, {"temperature_c": L.temperature_high_c + 1.99}, WEEK),
        (rules.warm, {"temperature_c": L.temperature_high_c + 2.0}, TODAY),
        (rules.warm, {"ph": 8.0}, None),
        (rules.cold, {"temperature_c": L.temperature_slow_c}, None),
        (rules.cold, {"temperature_c": L.temperature_slow_c - 0.01}, WEEK),
        (rules.cold, {"ph": 8.0}, None),
        (rules.salinity, {"salinity": L.salinity_low}, None),
        (rules.salinity, {"salinity": L.salinity_low - 0.01}, WEEK),
        (rules.salinity, {"salinity": L.salinity_high}, None),
        (rules.salinity, {"salinity": L.salinity_high + 0.01}, WEEK),
        (rules.salinity, {"ph": 8.0}, None),
        (rules.salinity, {"sg": 1.04, "sg_reference": "unknown"}, None),
    ],
)
def test_one_reading(vessel_view, count, rule, values, severity):
    found = rule(vessel_view([count(), reading(**values)]))
    assert (None if found is None else found.severity) == severity


def test_no_rule_of_the_water_fires_without_a_reading(vessel_view, count):
    assert list(rules.water_flags(vessel_view([count()]))) == []


def test_a_reading_of_a_fortnight_ago_says_nothing(vessel_view, count):
    events = [count(), reading(oxygen_mg_l=1.0)]
    assert rules.oxygen(vessel_view(events, day=13.9)) is not None
    assert rules.oxygen(vessel_view(events, day=14.1)) is None


def tan_for(nh3, ph=8.2, c=25.0, s=30.0):
    return nh3 / nh3_of(1.0, ph, c, s)


@pytest.mark.parametrize(
    ("nh3", "severity"),
    [
        (L.nh3_notice_mg_l * 0.999, None),
        (L.nh3_notice_mg_l * 1.001, NOTICE),
        (L.nh3_act_mg_l * 0.999, NOTICE),
        (L.nh3_act_mg_l * 1.001, WEEK),
        (2 * L.nh3_act_mg_l * 0.999, WEEK),
        (2 * L.nh3_act_mg_l * 1.001, TODAY),
    ],
)
def test_ammonia_is_judged_on_what_is_unionised(vessel_view, count, nh3, severity):
    values = {"tan_mg_l": tan_for(nh3), "ph": 8.2, "temperature_c": 25.0, "salinity": 30.0}
    found = rules.ammonia(vessel_view([count(), reading(**values)]))
    assert (None if found is None else found.severity) == severity


@pytest.mark.parametrize("missing", ["tan_mg_l", "ph", "temperature_c"])
def test_ammonia_is_silent_when_a_part_of_it_is_missing(vessel_view, count, missing):
    values = {"tan_mg_l": 500.0, "ph": 8.2, "temperature_c": 25.0, "salinity": 30.0}
    del values[missing]
    view = vessel_view([count(), reading(**values)])
    assert view.water.nh3_mg_l is None
    assert rules.ammonia(view) is None


def test_ammonia_takes_ph_and_temperature_read_near_it_only(vessel_view, count):
    near = [count(), reading(0.0, tan_mg_l=20.0), reading(0.9, ph=8.2, temperature_c=25.0)]
    far = [count(), reading(0.0, tan_mg_l=20.0), reading(1.1, ph=8.2, temperature_c=25.0)]
    assert vessel_view(near, day=2.0).water.nh3_mg_l is not None
    assert vessel_view(far, day=2.0).water.nh3_mg_l is None


@pytest.mark.parametrize(
    ("rule", "field", "first", "step", "fires"),
    [
        (rules.temperature_step, "temperature_c", 25.0, 2.99, False),
        (rules.temperature_step, "temperature_c", 25.0, 3.0, True),
        (rules.temperature_step, "temperature_c", 25.0, -3.01, True),
        (rules.salinity_step, "salinity", 25.0, L.salinity_step - 0.01, False),
        (rules.salinity_step, "salinity", 25.0, L.salinity_step, True),
        (rules.salinity_step, "salinity", 25.0, -L.salinity_step, True),
    ],
)
def test_steps_between_readings(vessel_view, count, rule, field, first, step, fires):
    events = [count(), reading(0.0, **{field: first}), reading(1.0, **{field: first + step})]
    assert (rule(vessel_view(events, day=1.0)) is not None) is fires
    assert rule(vessel_view(events[:2], day=1.0)) is None
    apart = [count(), reading(0.0, **{field: first}), reading(2.5, **{field: first + step})]
    assert rule(vessel_view(apart, day=2.5)) is None


def test_evaporation_is_told_before_the_limit(vessel_view, count):
    target = rules.target_salinity(L.sg_target)
    assert target == pytest.approx(29.22, abs=0.02)  # SG 1.022 at 25/25 is 29.2195: TEOS-10
    for over, fires in ((L.salinity_step - 0.02, False), (L.salinity_step + 0.02, True)):
        found = rules.evaporation(vessel_view([count(), reading(salinity=target + over)]))
        assert (found is not None) is fires
    assert rules.evaporation(vessel_view([count(), reading(salinity=L.salinity_high + 0.1)])) is None


def test_the_newest_of_each_value_is_kept_with_its_age_and_event(vessel_view, count):
    view = vessel_view([count(), reading(0.0, ph=7.9, temperature_c=24.0), reading(2.0, ph=8.1)], day=3.0)
    assert view.water.ph.value == 8.1
    assert view.water.ph.age_days == pytest.approx(1.0)
    assert view.water.temperature_c.value == 24.0
    assert view.water.temperature_c.age_days == pytest.approx(3.0)
    assert view.water.ph.event
    assert water(view.log, view.day) == view.water


def test_steps_and_excess_of_temperature_are_the_keepers_own(vessel_view, count):
    def view(**profile):
        readings = [{"day": d, "kind": "reading", "temperature_c": c} for d, c in ((0.0, 25.0), (1.0, 29.0))]
        return vessel_view([count(), *readings], day=1.0, profile=profile)

    assert rules.temperature_step(view()) is not None
    assert rules.temperature_step(view(temperature_step_c=4.1)) is None
    assert rules.warm(view()) is None, "one reading of a daily round alone may be a slip"
    assert rules.warm(vessel_view([count(), reading(temperature_c=29.0)])).severity is Severity.week
    assert rules.warm(view(warm_today_c=0.5)).severity is Severity.today


@pytest.mark.parametrize(
    ("rule", "field", "bad", "good"),
    [
        (rules.ph, "ph", L.ph_low - 0.3, 8.0),
        (rules.cold, "temperature_c", L.temperature_slow_c - 1.0, 25.0),
        (rules.warm, "temperature_c", L.temperature_high_c + 0.5, L.temperature_high_c - 1.0),
        (rules.salinity, "salinity", L.salinity_high + 2.0, 29.0),
        (rules.evaporation, "salinity", 34.9, 29.0),
    ],
)
def test_what_stands_day_after_day_is_said_once_and_is_news_again_when_it_was_gone(
    vessel_view, count, rule, field, bad, good
):
    values = [good, bad, bad, bad, bad, bad, *[good] * 8, bad, bad]
    said = []
    for days in range(1, len(values) + 1):
        readings = [reading(float(day), **{field: value}) for day, value in enumerate(values[:days])]
        said.append(rule(vessel_view([count(), *readings], day=days - 1.0)) is not None)
    expected = [False, False, True, True, *[False] * 10, False, True]
    assert said == expected


@pytest.mark.parametrize(
    ("rule", "field", "limit", "beyond"),
    [
        (rules.ph, "ph", L.ph_high, 0.3),
        (rules.ph, "ph", L.ph_low, -0.3),
        (rules.cold, "temperature_c", L.temperature_slow_c, -1.0),
        (rules.warm, "temperature_c", L.temperature_high_c, 0.5),
        (rules.salinity, "salinity", L.salinity_high, 2.0),
        (rules.salinity, "salinity", L.salinity_low, -2.0),
    ],
)
def test_a_reading_at_the_limit_is_within_it_yesterday_too(vessel_view, count, rule, field, limit, beyond):
    """So the first beyond it in a daily round is one look, which may be a slip; the second is not."""
    readings = [reading(float(day), **{field: v}) for day, v in enumerate((limit, limit + beyond, limit + beyond))]
    assert rule(vessel_view([count(), *readings[:2]], day=1.0)) is None
    assert rule(vessel_view([count(), *readings], day=2.0)) is not None
