"""Un-ionised ammonia on every pH scale."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.core.profile import strains
from rackview.science import ammonia

PH, TEMPERATURE, SALINITY = st.floats(5, 9.9), st.floats(5, 34), st.floats(5, 39)
SCALE = st.sampled_from(ammonia.SCALES)


@pytest.mark.outside(
    "ammonia", "ammonia.unionised_fraction", ("NBS", "total", "free"), "PyCO2SYS 1.8.3, 145 conditions"
)
def test_every_scale_against_the_table_of_pyco2sys(table):
    rows = table("ammonia_scales")
    ph, t, sp = (np.array([r[c] for r in rows]) for c in ("pH", "t_C", "SP"))
    for scale in ("NBS", "total", "free"):
        found = 100 * ammonia.unionised_fraction(ph, t, sp, scale)
        assert found == pytest.approx([r[f"pct_pH_is_{scale}"] for r in rows], abs=6e-5)
    bell = 100 / (1 + 10 ** (ammonia.pk_bell(t, sp) - ph))
    assert bell == pytest.approx([r["pct_bell2008"] for r in rows], abs=6e-5)


@pytest.mark.parametrize(("scale", "code"), [("total", 1), ("seawater", 2), ("free", 3), ("NBS", 4)])
@pytest.mark.outside("ammonia", "ammonia.pk", ("NBS", "total", "seawater", "free"), "PyCO2SYS 1.8.3")
def test_the_constant_against_pyco2sys(scale, code):
    import PyCO2SYS

    salinity, temperature = (a.ravel() for a in np.meshgrid([5, 12, 25, 35, 40], [10, 18, 25, 30]))
    found = PyCO2SYS.sys(
        par1=8.0, par2=2200, par1_type=3, par2_type=1, salinity=salinity, temperature=temperature, opt_pH_scale=code
    )
    assert ammonia.pk(temperature, salinity, scale) == pytest.approx(-np.log10(found["k_ammonia"]), rel=1e-12)


@pytest.mark.outside(
    "ammonia",
    "ammonia.unionised_fraction",
    "printed table, salinity 34",
    "Bower & Bidwell 1978, J. Fish. Res. Board Can. 35",
)
def test_bower_and_bidwell_is_in_effect_a_free_scale_table(table):
    """44 printed values, salinity 34: within 2 % on the free scale, 6 to 11 % below them on the NBS scale."""
    rows = table("ammonia_bower_bidwell")
    assert len(rows) == 44
    for row in rows:
        free = 100 * ammonia.unionised_fraction(row["pH"], row["t_C"], 34, "free")
        nbs = 100 * ammonia.unionised_fraction(row["pH"], row["t_C"], 34)
        assert free == pytest.approx(row["pct_published"], rel=0.02)
        assert 0.88 < nbs / row["pct_published"] < 0.94


@pytest.mark.parametrize(
    ("ph", "temperature", "salinity", "scale", "expected"),
    [
        # Clegg & Whitfield 1995, documentation of R's wq package
        (8.0, 25, 35, "total", 0.0556),
        (7.8, 25, 35, "total", 0.0358),
        (8.0, 25, 35, "free", 0.0440),
        (7.8, 25, 35, "free", 0.0282),
        # the same equation evaluated from memory, unverified
        (8.0, 25, 20, "total", 0.0575),
        (7.5, 25, 25, "total", 0.0188),
        (8.2, 27, 20, "total", 0.1013),
        (8.0, 20, 30, "total", 0.0386),
    ],
)
def test_clegg_and_whitfield_before_the_step_to_seawater(ph, temperature, salinity, scale, expected):
    """Those values are per kg of water: 1 - 0.001005 S is taken out again before comparing."""
    pk = ammonia.pk(temperature, salinity, scale) + math.log10(1 - 0.001005 * salinity)
    # their free-scale form is a second fit, good to 0.009 in pK
    tolerance = 6e-5 if scale == "total" else 6e-5 + 0.009 * math.log(10) * expected
    assert 1 / (1 + 10 ** (pk - ph)) == pytest.approx(expected, abs=tolerance)


@given(PH, TEMPERATURE, SALINITY, SCALE, st.floats(0.001, 0.1))
def test_more_is_unionised_at_higher_ph_and_warmer(ph, temperature, salinity, scale, step):
    here = ammonia.unionised_fraction(ph, temperature, salinity, scale)
    assert 0 < here < 1
    assert ammonia.unionised_fraction(ph + step, temperature, salinity, scale) > here
    assert ammonia.unionised_fraction(ph, temperature + step, salinity, scale) > here


@given(st.floats(6, 9), TEMPERATURE, st.floats(15, 39))
def test_an_nbs_reading_put_into_the_total_scale_overstates(ph, temperature, salinity):
    nbs, free, total = (ammonia.unionised_fraction(ph, temperature, salinity, s) for s in ("NBS", "free", "total"))
    assert nbs < free < total


@given(PH, TEMPERATURE, SALINITY)
def test_the_straight_line_of_bell_agrees_with_the_free_scale(ph, temperature, salinity):
    if temperature < 10:
        return
    assert ammonia.pk_bell(temperature, salinity) == pytest.approx(ammonia.pk(temperature, salinity, "free"), abs=0.025)


@given(st.floats(0.01, 20), PH, TEMPERATURE, st.floats(0, 39))
def test_unionised_mg_l_is_proportional_and_between_its_range(total, ph, temperature, salinity):
    one = ammonia.unionised_mg_l(1.0, ph, temperature, salinity)
    assert ammonia.unionised_mg_l(total, ph, temperature, salinity) == pytest.approx(total * one, rel=1e-12)
    low, high = ammonia.unionised_range(total, ph, temperature, salinity, 0.1)
    assert low <= total * one <= high * (1 + 1e-12)


def test_a_tenth_of_ph_moves_it_by_a_quarter():
    low, high = ammonia.unionised_range(1.0, 7.5, 25, 25, 0.1)
    here = ammonia.unionised_mg_l(1.0, 7.5, 25, 25)
    assert high / here == pytest.approx(1.25, abs=0.02)
    assert low / here == pytest.approx(0.80, abs=0.02)


@given(st.floats(5, 11.9), st.floats(0, 49))
def test_fresh_water_fraction_is_half_where_ph_is_pk(ph, temperature):
    pk = ammonia.pk_fresh(temperature)
    assert ammonia.unionised_fraction_fresh(pk, temperature) == pytest.approx(0.5)
    assert ammonia.unionised_fraction_fresh(ph + 0.1, temperature) > ammonia.unionised_fraction_fresh(ph, temperature)


def test_soft_cultures_take_the_fresh_water_formula():
    assert ammonia.unionised_mg_l(1.0, 8.0, 24, 2) == ammonia.unionised_fraction_fresh(8.0, 24)
    fresh, nbs = ammonia.unionised_fraction_fresh(8.0, 25), ammonia.unionised_fraction(8.0, 25, 5)
    assert fresh / nbs == pytest.approx(1.33, abs=0.01)
    # without the activity of the NBS scale the two formulas meet: 5.2 % at salinity 5, 5.4 % fresh
    assert ammonia.unionised_fraction(8.0, 25, 5, "free") == pytest.approx(fresh, rel=0.04)


@pytest.mark.parametrize(
    ("value", "shown"), [(0.0, 0.0), (0.0347, 0.03), (0.0951, 0.1), (1.49, 1.0), (2.5000001, 3.0), (14.0, 10.0)]
)
def test_one_significant_figure(value, shown):
    assert ammonia.one_figure(value) == pytest.approx(shown, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: ammonia.unionised_fraction(4.9, 25, 35), r"ph: found “4.9”, but needs a number from 5 to 10 \(pH\)"),
        (
            lambda: ammonia.unionised_fraction(8, 36, 35),
            "temperature_c: found “36”, but needs a number from 5 to 35 degC",
        ),
        (lambda: ammonia.unionised_fraction(8, 25, 4), "salinity: found “4”, but needs a number from 5 to 40"),
        (lambda: ammonia.unionised_fraction(8, 25, 35, "litmus"), "scale: found “litmus”, but needs one of NBS"),
        (
            lambda: ammonia.unionised_mg_l(-1, 8, 25, 35),
            "total_mg_l: found “-1”, but needs a number from 0 to 200 mg/L",
        ),
        (lambda: ammonia.unionised_mg_l(math.nan, 8, 25, 35), "total_mg_l: found “nan”"),
        (lambda: ammonia.unionised_fraction_fresh(8, 51), "temperature_c: found “51”"),
        (lambda: ammonia.unionised_range(1, 8, 25, 35, 2), "ph_error: found “2”"),
    ],
)
def test_bad_ammonia_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()


@pytest.mark.outside(
    "ammonia", "ammonia.limits", ("nauplius", "adult"), "Jepsen et al. 2015, Aquaculture Research 46:420-431"
)
def test_limits_of_acartia_as_printed():
    """Jepsen et al. 2015, Aquaculture Research 46:420-431, in micrograms of NH3 per litre."""
    printed = {
        ("nauplius", "no effect"): 30,
        ("nauplius", "lowest effect"): 81,
        ("nauplius", "half dead in 48 h"): 1257,
        ("nauplius", "half dead in 72 h"): 220,
        ("adult", "no effect"): 477,
        ("adult", "lowest effect"): 1789,
        ("adult", "half dead in 24 h"): 2370,
        ("adult", "half dead in 48 h"): 972,
        ("adult", "half dead in 72 h"): 770,
    }
    found = {(one.stage, one.effect): one.mg_nh3_l * 1000 for one in ammonia.limits("Acartia tonsa")}
    assert found == pytest.approx(printed)


@pytest.mark.outside("ammonia", "ammonia.limits", "larva", "Sullivan & Ritacco 1985, Aquat. Toxicol. 7:205-217")
def test_larvae_of_acartia_die_at_ten_to_fifteen_micromoles():
    """Sullivan & Ritacco 1985, Aquat. Toxicol. 7:205-217: 10 to 15 umol/L, that is 140 to 210 ug/L of N."""
    found = [one.mg_n_l * 1000 for one in ammonia.limits("Acartia tonsa, A. hudsonica")]
    assert found == pytest.approx([140, 210], rel=1e-3)


@pytest.mark.parametrize("name", ["copepod-pelagic", "copepod-benthic"])
def test_no_limit_that_ships_lies_above_a_lethal_level(name):
    """As N in the profile; nauplii of Acartia, the most tender stage that anyone tried, stand for all copepods."""
    profile = strains()[name]
    by_effect = {one.effect: one.mg_n_l for one in ammonia.limits("Acartia tonsa") if one.stage == "nauplius"}
    assert profile.nh3_notice_mg_l <= by_effect["no effect"] * 1.02
    assert profile.nh3_act_mg_l <= by_effect["lowest effect"] * 1.01
    deaths = [one.mg_n_l for one in ammonia.LIMITS if "half dead" in one.effect]
    assert profile.nh3_act_mg_l < 0.5 * min(deaths)


@pytest.mark.parametrize("name", ["rotifer-L", "rotifer-S", "rotifer-SS", "mixed"])
def test_rotifer_limits_are_the_read_ones_taken_with_care(name):
    """0.5 called acceptable, 0.7 the least dose with harm; no unit is said, so both are read as NH3 and told as N."""
    profile = strains()[name]
    assert profile.nh3_notice_mg_l == pytest.approx(ammonia.as_nitrogen(0.5), abs=0.005)
    assert profile.nh3_act_mg_l == pytest.approx(ammonia.as_nitrogen(0.7), abs=0.01)
    assert profile.nh3_act_mg_l < ammonia.as_nitrogen(0.7)


def test_every_limit_of_ammonia_names_its_animal_and_its_unit():
    for profile in strains().values():
        for field in ("nh3_notice_mg_l", "nh3_act_mg_l"):
            words = profile.sources[field]
            assert "as N" in words, (profile.name, field)
            assert any(animal.split(" (")[0] in words for animal in ammonia.ANIMALS), (profile.name, field)
            assert "memory" not in words


@given(st.floats(0.01, 3), PH, TEMPERATURE, st.floats(0, 39))
def test_total_for_a_limit_inverts(limit, ph, temperature, salinity):
    total = ammonia.total_for(limit, ph, temperature, salinity)
    if total <= 200:
        assert ammonia.unionised_mg_l(total, ph, temperature, salinity) == pytest.approx(limit)


def test_an_animal_that_nobody_tried_is_refused():
    with pytest.raises(InputError, match="animal: found “Tisbe”, but needs one of Acartia tonsa"):
        ammonia.limits("Tisbe")
