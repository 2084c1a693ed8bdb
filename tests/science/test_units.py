"""Exact factors and the keeper's units."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from rackview.core.errors import InputError
from rackview.core.tables import TEMPERATURE_UNITS, VOLUME_UNITS
from rackview.science import units

QUANTITY_UNIT = st.sampled_from([(q, u) for q in (*units.FACTORS, "temperature") for u in units.units_of(q)])


@pytest.mark.outside(
    "units",
    "units.to_display",
    ("US gal", "imp gal", "US fl oz", "imp fl oz", "ft3", "lb", "oz", "degF"),
    "scipy.constants",
)
def test_factors_equal_those_of_scipy():
    litre = 1e-3
    assert pytest.approx(constants.gallon / litre, rel=1e-12) == units.L_PER_US_GALLON
    assert pytest.approx(constants.gallon_imp / litre, rel=1e-12) == units.L_PER_IMPERIAL_GALLON
    assert pytest.approx(constants.fluid_ounce / litre * 1000, rel=1e-12) == units.ML_PER_US_FLUID_OUNCE
    assert pytest.approx(constants.fluid_ounce_imp / litre * 1000, rel=1e-12) == units.ML_PER_IMPERIAL_FLUID_OUNCE
    assert pytest.approx(constants.foot**3 / litre, rel=1e-12) == units.L_PER_CUBIC_FOOT
    assert pytest.approx(constants.pound * 1000, rel=1e-12) == units.G_PER_POUND
    assert pytest.approx(constants.oz * 1000, rel=1e-12) == units.G_PER_OUNCE
    assert pytest.approx(constants.convert_temperature(77, "F", "C"), abs=1e-12) == units.celsius(77) == 25


@given(st.floats(-200, 1e6), QUANTITY_UNIT)
def test_display_and_back(value, pair):
    quantity, unit = pair
    shown = units.to_display(value, quantity, unit)
    assert units.from_display(shown, quantity, unit) == pytest.approx(value, rel=1e-12, abs=1e-11)


@given(QUANTITY_UNIT, st.floats(0, 1000), st.floats(0.001, 1000))
def test_units_keep_order(pair, value, more):
    quantity, unit = pair
    assert units.to_display(value, quantity, unit) < units.to_display(value + more, quantity, unit)


def test_the_keepers_units_of_the_settings_are_all_known():
    assert set(VOLUME_UNITS) <= set(units.units_of("volume"))
    assert set(TEMPERATURE_UNITS) <= set(units.units_of("temperature"))


def test_arrays_and_zero_points():
    assert units.to_display(np.array([0.0, 25.0]), "temperature", "degF").tolist() == [32.0, 77.0]
    assert units.fahrenheit(-40) == units.celsius(-40) == -40
    one = units.to_display(1, "volume", "US gal")
    assert isinstance(one, float)
    assert one == pytest.approx(1 / 3.785411784, rel=1e-12)  # NIST SP 811, appendix B.8


@given(st.floats(1, 100), st.floats(1, 100), st.floats(0, 1))
def test_vessel_shapes_agree_where_they_meet(diameter, height, share):
    cylinder = units.cylinder_l(diameter, height)
    assert units.bucket_l(diameter, diameter, height) == pytest.approx(cylinder)
    assert units.lying_cylinder_l(diameter, height, diameter) == pytest.approx(cylinder)
    assert units.lying_cylinder_l(diameter, height, diameter / 2) == pytest.approx(cylinder / 2)
    assert units.bucket_l(diameter, diameter, height, share * height) == pytest.approx(share * cylinder)
    assert units.cone_l(diameter, height) * 3 == pytest.approx(cylinder)
    assert units.box_l(diameter, diameter, height) == pytest.approx(cylinder * 4 / math.pi)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: units.to_display(1, "colour", "red"),
            "quantity: found “colour”, but needs one of temperature, volume",
        ),
        (lambda: units.to_display(1, "volume", "pint"), "unit: found “pint”, but needs one of L, mL, US gal"),
        (lambda: units.to_display(1, "temperature", "K"), "unit: found “K”, but needs one of degC, degF"),
        (lambda: units.to_display(math.nan, "volume", "L"), "value: found “nan”"),
        (lambda: units.celsius(-460), "fahrenheit: found “-460”, but needs a number of -459.67 degF or more"),
        (lambda: units.bucket_l(30, 26, 35, 36), "level_cm: found “36”, but needs a number from 0 to 35 cm"),
        (lambda: units.box_l(0, 1, 1), "length_cm: found “0”"),
    ],
)
def test_bad_units_are_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
