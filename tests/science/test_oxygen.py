"""Oxygen at saturation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from rackview.core.errors import InputError
from rackview.science import oxygen, seawater

TEMPERATURE, SALINITY, PRESSURE = st.floats(0, 39), st.floats(0, 39), st.floats(0.55, 1.1)


@pytest.mark.outside(
    "oxygen", "oxygen.saturation_mg_l", ("fresh, cold", "fresh, warm"), "EN 25814:1992, 31 printed values"
)
def test_benson_and_krause_against_the_european_standard(table):
    """EN 25814:1992: half a unit of the printed digit; its reprint at 6 and 7 degC is rounded otherwise."""
    for row in table("oxygen_en25814"):
        t, printed = row["t_C"], row["L_published"]
        tolerance = 0.062 if t in (6, 7) else 0.0501 if t < 16 else 0.00501
        assert oxygen.saturation_mg_l(t, 0) == pytest.approx(printed, abs=tolerance)
        # the standard's straight line in salinity is a rougher fit
        assert oxygen.saturation_mg_l(t, 35) == pytest.approx(printed - 35 * row["K_published"], abs=0.2)


@pytest.mark.outside("oxygen", "oxygen.saturation_mg_l", ("brackish", "sea"), "Garcia & Gordon 1992 by gsw 3.6")
def test_benson_and_krause_against_garcia_and_gordon(table):
    rows = table("oxygen_gsw")
    t, sp = (np.array([r[c] for r in rows]) for c in ("t90_C", "SP"))
    assert oxygen.saturation_mg_l(t, sp) == pytest.approx([r["gsw_mg_L"] for r in rows], rel=5e-4)
    assert oxygen.saturation_umol_kg(t, sp) == pytest.approx([r["gsw_umol_kg"] for r in rows], abs=6e-6)


@given(TEMPERATURE, SALINITY)
def test_mg_per_litre_and_umol_per_kg_are_one_amount(temperature, salinity):
    by_mass = oxygen.saturation_umol_kg(temperature, salinity) * seawater.density(salinity, temperature) * 31.9988e-6
    assert oxygen.saturation_mg_l(temperature, salinity) == pytest.approx(by_mass, rel=2e-3)


@given(TEMPERATURE, SALINITY, PRESSURE)
def test_warm_salty_water_under_thin_air_holds_less(temperature, salinity, pressure):
    here = oxygen.saturation_mg_l(temperature, salinity, pressure)
    assert oxygen.saturation_mg_l(temperature + 0.5, salinity, pressure) < here
    assert oxygen.saturation_mg_l(temperature, salinity + 0.5, pressure) < here
    assert oxygen.saturation_mg_l(temperature, salinity, pressure - 0.02) < here


@given(st.floats(0, 20), TEMPERATURE, SALINITY, PRESSURE)
def test_percent_inverts(mg_l, temperature, salinity, pressure):
    percent = oxygen.percent_saturation(mg_l, temperature, salinity, pressure)
    assert oxygen.mg_l_from_percent(percent, temperature, salinity, pressure) == pytest.approx(mg_l, abs=1e-9)


def test_standard_air_pressure():
    assert oxygen.pressure_at_altitude(0) == 1
    assert oxygen.pressure_at_altitude(500) > oxygen.pressure_at_altitude(600)


@pytest.mark.outside("oxygen", "oxygen.pressure_at_altitude", ("plain", "mountain"), "hydrostatic balance, CODATA")
@pytest.mark.parametrize("metres", [0, 300, 1000, 2500, 5000])
def test_standard_air_pressure_by_the_hydrostatic_balance(metres):
    """15 degC at the sea and 6.5 K a km, ISO 2533:1975; g and R of CODATA by scipy, 28.9644 g/mol of dry air."""
    exponent = constants.g * 0.0289644 / (constants.R * 0.0065)
    assert oxygen.pressure_at_altitude(metres) == pytest.approx((1 - 0.0065 * metres / 288.15) ** exponent, rel=2e-5)


@pytest.mark.outside("oxygen", "oxygen.mg_l_from_ml_l", "any", "molmass and CODATA: an ideal gas")
def test_ml_per_litre():
    """1 mL(STP) of O2 is 1.42905 mg: an ideal gas of the same molar mass holds 0.1 % less."""
    molmass = pytest.importorskip("molmass")
    ideal = molmass.Formula("O2").mass / (1e3 * constants.R * constants.zero_Celsius / constants.atm)
    assert oxygen.mg_l_from_ml_l(1) == pytest.approx(1.42905, abs=1e-5)
    assert oxygen.mg_l_from_ml_l(1) / ideal == pytest.approx(1.001, abs=0.0003)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: oxygen.saturation_mg_l(41, 35), "temperature_c: found “41”, but needs a number from 0 to 40 degC"),
        (lambda: oxygen.saturation_mg_l(25, 41), "salinity: found “41”"),
        (
            lambda: oxygen.saturation_mg_l(25, 35, 101.325),
            "pressure_atm: found “101.325”, but needs a number from 0.5 to 1.1 atm",
        ),
        (lambda: oxygen.percent_saturation(-1, 25, 35), "mg_l: found “-1”, but needs a number from 0 to 60 mg/L"),
        (lambda: oxygen.mg_l_from_percent(501, 25, 35), "percent: found “501”"),
        (lambda: oxygen.pressure_at_altitude(9000), "metres: found “9000”"),
    ],
)
def test_bad_oxygen_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
