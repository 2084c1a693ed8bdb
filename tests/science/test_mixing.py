"""Salt, dilution, evaporation and refills keep the mass of salt and of water."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.science import mixing
from rackview.science.mixing import WaterBody

VOLUME, SALINITY, TEMPERATURE = st.floats(0.5, 500), st.floats(0.5, 41), st.floats(5, 35)
WATER = st.builds(WaterBody, VOLUME, SALINITY, TEMPERATURE)


def salt_g(water):
    return mixing.salt_for_water(water.volume_l, water.salinity, water.temperature_c)


def test_two_waters_joined():
    """5 L of 35 and 10 L of 20 at 25 degC: 25.037 by mass (gsw 3.6.23), where volumes alone would say 25.000."""
    found = mixing.join([WaterBody(5, 35, 25), WaterBody(10, 20, 25)])
    assert found.salinity == pytest.approx(25.03705993838447, abs=1e-8)
    assert found.temperature_c == pytest.approx(25)


def test_a_harvest_refilled_with_saltier_water():
    """20 L of 25, 5 L replaced by 5 L of 30 at 25 degC: 26.2535 (gsw 3.6.23)."""
    found = mixing.after_refill(WaterBody(20, 25, 25), 5, WaterBody(5, 30, 25))
    assert found.water.salinity == pytest.approx(26.253471051560222, abs=1e-8)
    assert found.salinity_step == pytest.approx(1.253471, abs=1e-6)
    assert found.warning == ""


def test_a_step_above_five_is_warned_about():
    found = mixing.after_refill(WaterBody(20, 20, 25), 10, WaterBody(10, 35, 21))
    assert found.warning.startswith("This moves the salinity by 7.5, more than 5 at once: do it in 2 steps")
    assert found.temperature_step == pytest.approx(-2, abs=0.05)
    assert mixing.after_refill(WaterBody(20, 20, 25), 10, WaterBody(10, 35, 21), most_step=8).warning == ""


@given(st.lists(WATER, min_size=1, max_size=4))
def test_joining_keeps_salt_and_mass(waters):
    joined = mixing.join(waters)
    assert salt_g(joined) == pytest.approx(sum(salt_g(w) for w in waters), rel=1e-9)
    mass = mixing.mass_kg(joined.volume_l, joined.salinity, joined.temperature_c)
    assert mass == pytest.approx(sum(mixing.mass_kg(w.volume_l, w.salinity, w.temperature_c) for w in waters), rel=1e-9)
    assert min(w.salinity for w in waters) - 1e-9 <= joined.salinity <= max(w.salinity for w in waters) + 1e-9
    assert joined.temperature_c <= max(w.temperature_c for w in waters) + 1e-9


@given(VOLUME, SALINITY, TEMPERATURE, st.floats(0.1, 1))
def test_salt_into_fresh_water_gives_that_salinity(fresh, salinity, temperature, dry):
    salt = mixing.salt_into_fresh(fresh, salinity, temperature)
    finished = mixing.volume_with_salt(fresh, salinity, temperature)
    assert finished > fresh * 0.999
    assert mixing.salt_for_water(finished, salinity, temperature) == pytest.approx(salt, rel=1e-9)
    assert mixing.salt_into_fresh(fresh, salinity, temperature, dry) * dry == pytest.approx(salt, rel=1e-12)


@given(VOLUME, st.tuples(SALINITY, SALINITY).map(sorted), TEMPERATURE)
def test_raising_and_diluting_keep_the_salt(volume, salinities, temperature):
    low, high = salinities
    added = mixing.salt_to_raise(volume, low, high, temperature)
    mass = mixing.mass_kg(volume, low, temperature) + added / 1000
    salt = mixing.salt_for_water(volume, low, temperature) + added
    assert salt / mass == pytest.approx(mixing.g_per_kg(high), rel=1e-9)
    fresh = mixing.fresh_to_dilute(volume, high, low, temperature)
    if fresh > 1e-9:
        assert mixing.join(
            [WaterBody(volume, high, temperature), WaterBody(fresh, 0, temperature)]
        ).salinity == pytest.approx(low, rel=1e-9)


@given(VOLUME, st.floats(1, 30), st.floats(0.001, 0.2), TEMPERATURE)
def test_evaporation_and_top_up_invert(volume, salinity, share, temperature):
    now = mixing.salinity_after_evaporation(volume, salinity, share * volume, temperature)
    assert now > salinity
    assert mixing.evaporated_l(volume, salinity, now, temperature) == pytest.approx(share * volume, rel=1e-7)


@given(st.floats(5, 60), st.floats(15, 35), TEMPERATURE, st.floats(0.1, 0.6), st.floats(5, 40))
def test_refill_salinity_brings_the_vessel_where_it_should_be(volume, salinity, temperature, share, refill):
    vessel = WaterBody(volume, salinity, temperature)
    taken = share * volume
    wanted = mixing.after_refill(vessel, taken, WaterBody(taken, refill, temperature)).water.salinity
    assert mixing.refill_salinity(vessel, taken, taken, wanted) == pytest.approx(refill, abs=1e-6)


@given(SALINITY, SALINITY, st.floats(0.5, 10))
def test_steps_are_enough_and_no_more(salinity, wanted, most):
    steps = mixing.salinity_steps(salinity, wanted, most)
    assert steps * most >= abs(wanted - salinity) - 1e-6
    assert steps == 0 or (steps - 1) * most < abs(wanted - salinity)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: mixing.salt_for_water(0, 25, 25),
            "volume_l: found “0”, but needs a number above 0 and at most 1000000 L",
        ),
        (lambda: mixing.salt_for_water(20, 50, 25), "salinity: found “50”, but needs a number from 0 to 42"),
        (lambda: mixing.salt_for_water(20, 25, 25, 0), "dry_fraction: found “0”"),
        (
            lambda: mixing.salt_to_raise(20, 30, 25, 25),
            "wanted: found “25”, but needs a practical salinity of at least the 30",
        ),
        (lambda: mixing.fresh_to_dilute(20, 25, 30, 25), "at most the 25 there is"),
        (lambda: mixing.fresh_to_dilute(20, 25, 0, 25), "wanted: found “0”"),
        (lambda: mixing.evaporated_l(20, 30, 25, 25), "salinity_now: found “25”"),
        (lambda: mixing.salinity_after_evaporation(20, 30, 19, 25), "lost_l: found “19”"),
        (lambda: mixing.join([]), "one water or more"),
        (
            lambda: mixing.after_refill(WaterBody(20, 25, 25), 20, WaterBody(5, 25, 25)),
            "less than the 20 L in the vessel",
        ),
        (
            lambda: mixing.refill_salinity(WaterBody(20, 20, 25), 2, 2, 35),
            "wanted: found “35”, but needs .* from 18.0 to 22.2",
        ),
        (lambda: mixing.refill_salinity(WaterBody(20, 20, 25), 20, 2, 35), "taken_l: found “20”"),
        (lambda: mixing.join([WaterBody(float("nan"), 20, 25)]), "volume_l: found “nan”"),
    ],
)
def test_bad_mixing_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
