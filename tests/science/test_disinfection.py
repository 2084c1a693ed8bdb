"""Disinfectant amounts come with their cautions, and nothing is ever declared fit for animals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.science import disinfection
from rackview.science.disinfection import CAUTIONS, NEUTRALISERS, PURPOSES

PURPOSE = st.sampled_from(sorted(PURPOSES))


@given(PURPOSE, st.floats(0.5, 500), st.floats(10, 150))
def test_an_amount_never_comes_without_its_cautions(purpose, litres, stock):
    found = disinfection.disinfect(litres, purpose, stock)
    assert set(CAUTIONS) <= set(found.cautions)
    assert disinfection.NEUTRALISER_CAUTION in found.cautions
    whole = litres + found.stock_ml / 1000
    assert found.chlorine_g == pytest.approx(PURPOSES[purpose].mg_l[1] * whole / 1000)
    assert found.neutraliser_g == pytest.approx(found.chlorine_g * 7.4)
    assert 0 < found.minutes[0] <= found.minutes[1]
    assert found.source


def test_no_words_call_water_safe():
    texts = [*CAUTIONS, disinfection.RELEASE_CAUTION, disinfection.DIRT_CAUTION, disinfection.AGE_CAUTION]
    texts += [disinfection.NEUTRALISER_CAUTION, *PURPOSES, *(p.source for p in PURPOSES.values()), *NEUTRALISERS]
    assert not [t for t in texts if any(w in t.lower() for w in ("safe", "harmless", "ready for"))]
    assert any("test" in c and "zero chlorine" in c for c in CAUTIONS)
    assert any("acid" in c and "ammonia" in c for c in CAUTIONS)
    assert any("label" in c and "local rules" in c for c in CAUTIONS)


@given(st.floats(0.1, 1000), st.floats(5, 3000), st.floats(5, 150))
def test_dose_units_cancel(litres, mg_per_l, stock):
    found = disinfection.disinfect(litres, "seawater for cultures", stock, mg_per_l)
    assert found.stock_ml * stock == pytest.approx(mg_per_l * (litres + found.stock_ml / 1000))
    twice = disinfection.disinfect(2 * litres, "seawater for cultures", stock, mg_per_l)
    assert twice.stock_ml == pytest.approx(2 * found.stock_ml)


@given(st.floats(0, 100), st.sampled_from(sorted(NEUTRALISERS)))
def test_the_default_reaction_takes_the_most(chlorine, reaction):
    default, other = disinfection.neutralise(chlorine), disinfection.neutralise(chlorine, reaction)
    assert other.pentahydrate_g <= default.pentahydrate_g
    assert other.anhydrous_g == pytest.approx(other.pentahydrate_g * 158.11 / 248.18)
    assert set(CAUTIONS) <= set(other.cautions)


def test_the_stock_counts_in_the_volume_it_is_poured_into():
    """One part of 3.5 % in six parts of water is 0.5 %: strength over wanted, less one, common practice, no source."""
    found = disinfection.disinfect(6, "clean hard equipment", 35, 5000)
    assert found.stock_ml == pytest.approx(1000)
    strong = disinfection.disinfect(10, "culture water before a drain, emergency rule", 50)
    assert strong.stock_ml * 50 / 1000 / (10 + strong.stock_ml / 1000) == pytest.approx(2.9)
    assert strong.stock_ml == pytest.approx(580 * 1.0616, rel=1e-4)


@pytest.mark.outside(
    "disinfection",
    "disinfection.neutralise",
    ("tetrathionate", "sulphate and sulphur", "sulphate"),
    "molmass, atomic weights of IUPAC",
)
def test_molar_masses_by_a_library():
    """Masses by molmass, which computes them from the atomic weights of IUPAC."""
    from molmass import Formula

    mass = {f: Formula(f).mass for f in ("Cl2", "Na2S2O3", "Na2S2O3(H2O)5", "NaOCl", "Ca(OCl)2")}
    assert pytest.approx(mass["Cl2"], rel=1e-4) == disinfection.CL2
    for reaction, times in (("to tetrathionate", 2), ("to sulphate and sulphur", 1), ("to sulphate", 0.25)):
        found = disinfection.neutralise(1.0, reaction)
        assert found.pentahydrate_g == pytest.approx(times * mass["Na2S2O3(H2O)5"] / mass["Cl2"], rel=2e-4)
        assert found.anhydrous_g == pytest.approx(times * mass["Na2S2O3"] / mass["Cl2"], rel=2e-4)
    by_salt = disinfection.stock_strength(5, "sodium hypochlorite, w/v")
    assert by_salt == pytest.approx(50 * mass["Cl2"] / mass["NaOCl"], rel=1e-4)
    granules = disinfection.granules_g(1.0, 65, "calcium hypochlorite")
    assert granules == pytest.approx(mass["Ca(OCl)2"] / 2 / mass["Cl2"] / 0.65, rel=2e-4)


def test_a_label_by_weight_takes_the_density():
    light, heavy = (disinfection.stock_strength(5, "available chlorine, by weight", d) for d in (1.0, 1.08))
    assert heavy == pytest.approx(1.08 * light)
    assert disinfection.stock_strength(5, "available chlorine, w/v", 1.08) == 50


def test_peroxide_never_comes_without_its_cautions():
    for organism in disinfection.PEROXIDE:
        found = disinfection.peroxide(organism)
        assert any("No dose is worked out" in c for c in found.cautions)
        assert any("gloves" in c for c in found.cautions)
    with pytest.raises(InputError, match="organism: found “cows”, but needs one of rotifers"):
        disinfection.peroxide("cows")


def test_the_two_drain_rules_are_both_kept_and_far_apart():
    """About 180 times: emergency steps against zebra mussels, and routine advice."""
    strong, light = (PURPOSES[f"culture water before a drain, {w} rule"].mg_l[0] for w in ("emergency", "lighter"))
    assert strong / light == pytest.approx(180, rel=0.02)
    for use in PURPOSES:
        if "drain" in use:
            assert disinfection.RELEASE_CAUTION in disinfection.disinfect(1, use, 50).cautions


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: disinfection.stock_strength(0), "percent: found “0”, but needs a number above 0 and at most 15 %"),
        (
            lambda: disinfection.disinfect(10, "clean hard equipment", 0.05),
            "stock_mg_per_ml: found “0.05”, but needs a stock stronger than the 200 mg/L that is wanted",
        ),
        (lambda: disinfection.disinfect(-1, "clean hard equipment", 50), "volume_l: found “-1”"),
        (lambda: disinfection.disinfect(1, "clean hard equipment", 50, 6000), "mg_per_l: found “6000”"),
        (lambda: disinfection.neutralise(-1), "chlorine_g: found “-1”"),
        (lambda: disinfection.neutralise(1, "to gold"), "reaction: found “to gold”"),
        (lambda: disinfection.disinfect(1, "drinking", 50), "purpose: found “drinking”, but needs one of seawater"),
        (
            lambda: disinfection.disinfect(1, "clean hard equipment", 50, 20),
            "mg_per_l: found “20”, but needs a number from 200",
        ),
    ],
)
def test_bad_disinfection_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
