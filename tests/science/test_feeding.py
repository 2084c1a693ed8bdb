"""Feed: rations, doses and the check of units."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.science import feeding


@given(st.floats(100, 5000), st.floats(1, 500))
def test_the_table_ration_never_rises_with_density(density, more):
    if density + more <= 5000:
        assert feeding.ration_from_table(density + more) <= feeding.ration_from_table(density)


def test_four_roads_lead_between_a_fifth_and_two_grams():
    values = [v for option in feeding.RATIONS.values() for v in option.value]
    assert (min(values), max(values)) == (0.19, 2.0)
    assert not any(feeding.ration_doubt(v) for v in values)
    assert all(option.source for option in feeding.RATIONS.values())


@pytest.mark.parametrize("ration", [0.0999, 3.01, 217, 0])
def test_a_ration_outside_the_sane_band_is_doubted(ration):
    assert "check the units" in feeding.ration_doubt(ration)


def test_an_implausible_ingestion_is_refused():
    """24,699 cells per rotifer and minute (Savas & Guclu 2006, Isr. J. Aquacult. 58:39-45) are 217 g per million."""
    with pytest.raises(InputError, match=r"that is 217 g per million.*needs cells that come to at most 3 g dry"):
        feeding.ration_from_cells(24_699 * 60 * 24, 6.1)


@given(st.floats(0, 1e10), st.floats(0.1, 3), st.floats(0.5, 10))
def test_dose_and_implied_ration_invert(animals, ration, days):
    grams = feeding.dose_g(animals, ration, days)
    assert grams == pytest.approx(animals * ration * days / 1e6)
    if animals > 1:
        assert feeding.implied_ration(grams, animals) == pytest.approx(ration * days)


@given(st.floats(0, 500), st.floats(0.01, 1), st.floats(1, 300))
def test_doses_in_ml_and_cells_invert(grams, strength, cell_pg):
    assert feeding.dose_ml(grams, strength) * strength == pytest.approx(grams)
    assert feeding.grams_of_cells(feeding.cells_in_grams(grams, cell_pg), cell_pg) == pytest.approx(grams)


@given(st.floats(0.5, 500), st.floats(1e4, 1e6), st.floats(0, 1e6), st.floats(2e6, 1e10))
def test_dose_for_cells_reaches_the_density_that_was_wanted(litres, wanted, present, feed):
    dose = feeding.dose_for_cells(litres, wanted, present, feed)
    after = (present * litres * 1000 + feed * dose) / (litres * 1000 + dose)
    assert after == pytest.approx(max(wanted, present), rel=1e-9)
    assert dose >= 0


def test_one_large_cell_weighs_as_many_small_ones():
    """By weights that are common practice, no source: 1 to 28."""
    ratio = feeding.CELL_PG["Tetraselmis suecica"] / feeding.CELL_PG["Nannochloropsis oculata"]
    assert round(ratio) == 28


@given(st.floats(0.1, 100))
def test_a_tenth_more_diameter_is_a_third_more_cell(diameter):
    ratio = feeding.cell_volume_um3(1.1 * diameter) / feeding.cell_volume_um3(diameter)
    assert ratio == pytest.approx(1.331)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: feeding.ration_from_table(99),
            "density_per_ml: found “99”, but needs a number from 100 to 5000 rotifers",
        ),
        (lambda: feeding.ration_from_curve(501), "where the fit was made"),
        (
            lambda: feeding.dose_g(1e6, 5),
            "g_per_million: found “5”, but needs a number from 0.1 to 3 g dry per million",
        ),
        (lambda: feeding.dose_g(-1, 1), "animals: found “-1”"),
        (
            lambda: feeding.dose_ml(1, 0),
            "dry_g_per_ml: found “0”, but needs a number above 0 and at most 1 g dry per mL",
        ),
        (lambda: feeding.dose_for_cells(1, 1e6, 0, 1e6), "more cells per mL than the 1e\\+06 wanted"),
        (lambda: feeding.concentrate_strength(0), "percent_dry: found “0”"),
        (lambda: feeding.implied_ration(1, 0), "animals: found “0”"),
        (lambda: feeding.cells_in_grams(float("nan"), 6), "grams_dry: found “nan”"),
    ],
)
def test_bad_feeding_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
