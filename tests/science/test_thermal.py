"""Growth and appetite against temperature: a hump, and nothing beyond its ends."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.core.profile import mapping_of, strain_from, strains
from rackview.science import thermal

STRAINS = sorted(strains())


def cardinal(name):
    p = strains()[name]
    return p.growth_min_c, p.growth_opt_c, p.growth_max_c


def growth(name, temperature_c):
    return thermal.growth_factor(temperature_c, strains()[name].usual_c, *cardinal(name))


@given(st.floats(0, 20), st.floats(0.5, 20), st.floats(0.5, 15), st.floats(0, 1), st.floats(0, 1))
def test_growth_rises_to_its_best_and_falls_to_nothing(least, rise, fall, a, b):
    best, most = least + rise, least + rise + fall
    low, high = sorted((a, b))
    up = [thermal.performance(least + rise * x, least, best, most) for x in (low, high)]
    down = [thermal.performance(best + fall * x, least, best, most) for x in (low, high)]
    assert up[0] <= up[1] <= thermal.performance(best, least, best, most) == 1
    assert 1 >= down[0] >= down[1]
    assert thermal.performance(least, least, best, most) == thermal.performance(most, least, best, most) == 0
    outside = np.array([least - 1.5, most + 2])
    assert thermal.performance(outside, least, best, most).tolist() == [0, 0]


@given(st.sampled_from(STRAINS), st.floats(0, 45))
def test_one_value_and_many_are_the_same(name, temperature):
    many = thermal.performance(np.array([temperature, temperature]), *cardinal(name))
    assert many.tolist() == pytest.approx([thermal.performance(temperature, *cardinal(name))] * 2, abs=1e-15)


@pytest.mark.parametrize("name", STRAINS)
def test_each_strain_has_a_hump(name):
    """36 degC is no better than 26, and next to nothing grows at 10 degC."""
    profile = strains()[name]
    assert growth(name, profile.usual_c) == 1
    assert growth(name, 36) < growth(name, 26)
    assert growth(name, 10) < 0.08
    above = [growth(name, profile.temperature_high_c + step) for step in (0, 0.5, 1, 2, 4)]
    assert above == sorted(above, reverse=True)
    assert above[0] > above[1]
    assert profile.growth_min_c < profile.temperature_slow_c
    assert profile.temperature_high_c < profile.growth_max_c
    assert all("memory" not in profile.sources[f"growth_{end}_c"] for end in ("min", "opt", "max"))


def test_a_calanoid_stops_where_the_nauplii_of_acartia_do():
    """Sunar & Kir 2021, J. Therm. Biol. 102:103116: nauplii raised at 28 degC lose control at 11.70 and 34.10 degC."""
    assert growth("copepod-pelagic", 11.70) == growth("copepod-pelagic", 34.10) == 0
    assert growth("copepod-pelagic", 12) > 0
    assert growth("copepod-pelagic", 34) > 0


def test_a_small_rotifer_is_fastest_within_its_printed_optimum_and_a_large_one_below():
    """FAO Fisheries Technical Paper 361, 3.4: S 28 to 35, L 18 to 25 degC."""
    degrees = np.arange(5.0, 40.0, 0.25)
    small, large = (degrees[np.argmax(growth(name, degrees))] for name in ("rotifer-S", "rotifer-L"))
    assert 28 <= small <= 35
    assert 18 <= large <= 25


def test_appetite_follows_the_published_filtration_and_grazing():
    """Schlosser & Anger 1982: + 42 % from 18 to 23.5 degC. Montagnes et al. 2001: 0.94 / (1 + 219000 t^-4.35)."""
    large = (25.0, *cardinal("rotifer-L"))
    rise = thermal.appetite_factor(23.5, *large) / thermal.appetite_factor(18.0, *large)
    assert rise == pytest.approx(1.42, abs=0.03)
    for t in (10.0, 15.0, 20.0, 25.0):
        grazing = (1 + 219000 * 25**-4.35) / (1 + 219000 * t**-4.35)
        assert thermal.appetite_factor(t, *large) == pytest.approx(grazing, abs=0.08)
    assert thermal.appetite_factor(36.0, *large) == 0


def test_a_profile_written_before_gets_its_ends_from_its_band():
    table = mapping_of(strains()["copepod-benthic"])
    for end in ("min", "opt", "max"):
        del table[f"growth_{end}_c"]
    found = strain_from("mine", table)
    assert (found.growth_min_c, found.growth_opt_c, found.growth_max_c) == (8.0, 25.0, 33.0)
    assert "project choice" in found.sources["growth_max_c"]


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("growth_opt_c", 40.0, "growth_max_c: found “34.1”, but needs more than growth_opt_c of 40"),
        ("growth_min_c", 28.0, "growth_opt_c: found “27.5”, but needs more than growth_min_c of 28"),
        ("usual_c", 11.0, "usual_c: found “11.0”, but needs a temperature between growth_min_c 11.7 and"),
    ],
)
def test_a_profile_with_its_temperatures_out_of_order_is_refused(field, value, words):
    table = mapping_of(strains()["copepod-pelagic"]) | {field: {"value": value, "source": "a test"}}
    with pytest.raises(InputError, match=words):
        strain_from("mine", table)
    with pytest.raises(InputError, match="growth_opt_c"):
        strain_from("mine", table | {"growth_opt_c": "warm"})


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: thermal.performance(70, 7, 25, 34),
            "temperature_c: found “70”, but needs a number from -2 to 60 degC",
        ),
        (
            lambda: thermal.performance(20, 25, 25, 34),
            "opt_c: found “25”, but needs a temperature above the least of 25",
        ),
        (lambda: thermal.performance(20, 7, 25, 20), "max_c: found “20”, but needs a temperature above the best of 25"),
        (lambda: thermal.growth_factor(20, 40, 7, 25, 34), "usual_c: found “40”, but needs a temperature above 7 and"),
        (lambda: thermal.appetite_factor(math.nan, 25, 7, 25, 34), "temperature_c: found “nan”"),
    ],
)
def test_bad_temperatures_are_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
