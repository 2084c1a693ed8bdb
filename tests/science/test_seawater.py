"""Density, salinity and specific gravity by convention."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.core.events import SG_REFERENCES
from rackview.core.tables import SALINITY_UNITS
from rackview.science import seawater

SALINITY = st.floats(0, 42)
TEMPERATURE = st.floats(0, 40)
CONVENTION = st.sampled_from(seawater.CONVENTIONS)
INSTRUMENT = st.sampled_from(seawater.INSTRUMENTS)


@given(SALINITY, TEMPERATURE)
def test_density_by_teos10_and_by_eos80(salinity, temperature):
    """EOS-80 by the seawater package; the two equations differ by at most 0.0055 kg/m3 where cultures are kept."""
    import seawater as eos80

    ours = seawater.density_eos80(salinity, temperature)
    assert ours == pytest.approx(float(eos80.dens0(salinity, temperature)), abs=1e-9)
    assert seawater.density(salinity, temperature) == pytest.approx(ours, abs=0.012)


@pytest.mark.outside(
    "seawater",
    "seawater.sg_from_salinity",
    ("60/60F in place", "20/20 in place", "25/25 in place"),
    "gsw 3.6 and seawater 3.3",
)
def test_densities_in_place(table):
    for row in table("sg_in_place"):
        sp, t = row["SP"], row["t90_C"]
        assert seawater.density(sp, t) == pytest.approx(row["rho_teos10_kg_m3"], abs=6e-5)
        assert seawater.density_eos80(sp, t) == pytest.approx(row["rho_eos80_kg_m3"], abs=6e-5)
        assert abs(row["rho_teos10_kg_m3"] - row["rho_eos80_kg_m3"]) < 0.0056
        assert seawater.sg_from_salinity(sp, "t/4", t) == pytest.approx(row["SG_t_over_4C"], abs=6e-7)
        for reference, column in (("60/60F", "60F_60F"), ("20/20", "20C_20C"), ("25/25", "25C_25C")):
            shown = seawater.sg_from_salinity(sp, reference, t, "hydrometer")
            assert shown == pytest.approx(row[f"read_{column}"], abs=6e-7)


@pytest.mark.outside("seawater", "seawater.sg_from_salinity", ("60/60F", "20/20", "25/25"), "gsw 3.6")
def test_specific_gravity_by_convention(table):
    rows = table("sg_conventions")
    sp = np.array([r["SP"] for r in rows])
    for reference, column in (("60/60F", "SG_60F_60F"), ("20/20", "SG_20C_20C"), ("25/25", "SG_25C_25C")):
        assert seawater.sg_from_salinity(sp, reference) == pytest.approx([r[column] for r in rows], abs=6e-7)
        assert seawater.salinity_from_sg([r[column] for r in rows], reference) == pytest.approx(sp, abs=1e-3)
    for t in (20, 25):
        found = seawater.sg_from_salinity(sp, "t/4", t)
        assert found == pytest.approx([r[f"SG_{t}C_4C"] for r in rows], abs=6e-7)
        assert seawater.g_per_litre(sp, t) == pytest.approx([r[f"g_per_L_at_{t}C"] for r in rows], abs=6e-5)
    assert seawater.g_per_kg(sp) == pytest.approx([r["SA_g_per_kg"] for r in rows], abs=6e-6)
    assert seawater.conductivity_from_salinity(sp, 25) == pytest.approx([r["EC25_mS_cm"] for r in rows], abs=6e-5)


@pytest.mark.outside(
    "seawater", "seawater.salinity_from_sg", ("60/60F", "20/20", "25/25", "t/4"), "roots of gsw.rho_t_exact by scipy"
)
def test_salinity_of_a_reading_by_what_it_means(table):
    for row in table("sg_inverse"):
        sg = row["SG_reading"]
        meanings = {
            "SP_if_25C/4C": ("t/4", 25, "compensated"),
            "SP_if_20C/4C": ("t/4", 20, "compensated"),
            "SP_if_60F/60F": ("60/60F", None, "compensated"),
            "SP_if_20C/20C": ("20/20", None, "compensated"),
            "SP_if_25C/25C": ("25/25", None, "compensated"),
            "SP_if_glass_60F60F_read_at_25C": ("60/60F", 25, "hydrometer"),
            "SP_if_glass_25C25C_read_at_20C": ("25/25", 20, "hydrometer"),
        }
        for column, (reference, t, instrument) in meanings.items():
            assert seawater.salinity_from_sg(sg, reference, t, instrument) == pytest.approx(row[column], abs=6e-5)


@given(st.floats(0, 42), CONVENTION, INSTRUMENT, TEMPERATURE)
def test_salinity_and_specific_gravity_invert(salinity, reference, instrument, temperature):
    reading = seawater.sg_from_salinity(salinity, reference, temperature, instrument)
    if not seawater.SG_RANGE[0] <= reading <= seawater.SG_RANGE[1]:
        return
    try:
        back = seawater.salinity_from_sg(reading, reference, temperature, instrument)
    except InputError:  # the last digit of a reading of 0 or 42 may fall outside
        assert min(salinity, 42 - salinity) < 1e-9
        return
    assert back == pytest.approx(salinity, abs=1e-8)


@given(st.floats(0, 41), st.floats(0.001, 1), CONVENTION, INSTRUMENT, TEMPERATURE)
def test_specific_gravity_rises_with_salinity(salinity, more, reference, instrument, temperature):
    low, high = (seawater.sg_from_salinity(s, reference, temperature, instrument) for s in (salinity, salinity + more))
    assert low < high


@given(st.floats(5, 42), st.floats(5, 38), st.floats(0.1, 2))
def test_warmer_seawater_is_lighter(salinity, temperature, warmer):
    assert seawater.density(salinity, temperature + warmer) < seawater.density(salinity, temperature)


@given(st.floats(1.002, 1.027), CONVENTION, INSTRUMENT, st.floats(18, 28))
def test_an_unknown_convention_gives_a_range_that_holds_every_meaning(sg, reference, instrument, temperature):
    low, high = seawater.salinity_range_from_sg(sg)
    assert low < high
    assert low - 1e-9 <= seawater.salinity_from_sg(sg, reference, temperature, instrument) <= high + 1e-9
    near_low, near_high = seawater.salinity_range_from_sg(sg, temperature)
    assert low - 1e-9 <= near_low <= near_high <= high + 1e-9


def test_the_same_reading_spans_from_27_to_33():
    """1.022: 27.6 (25/25 glass read at 20 degC) to 33.2 (25 degC over 4 degC), by gsw 3.6.23."""
    low, high = seawater.salinity_range_from_sg(1.022)
    assert low < 27.5701
    assert high > 33.1866


@given(st.floats(2.001, 42), st.floats(-2, 35))
def test_conductivity_inverts_and_agrees_with_the_seawater_package(salinity, temperature):
    import seawater as eos80

    ms_cm = seawater.conductivity_from_salinity(salinity, temperature)
    assert seawater.salinity_from_conductivity(ms_cm, temperature) == pytest.approx(salinity, abs=1e-6)
    assert float(eos80.salt(ms_cm / 42.914, temperature, 0)) == pytest.approx(salinity, abs=5e-4)


def test_the_conventions_are_those_of_the_readings():
    assert {*seawater.CONVENTIONS, "unknown"} == set(SG_REFERENCES)


def test_a_meter_with_a_fixed_coefficient():
    """Salinity 35 at 15 degC: 2.1 % per degree shows 2.4 % too much, the true 1.91 % does not (gsw 3.6.23)."""
    raw = seawater.conductivity_from_salinity(35, 15)
    shown = raw / (1 + 0.021 * (15 - 25))
    assert seawater.salinity_from_conductivity(shown, 25) == pytest.approx(35.95, abs=0.06)
    assert seawater.raw_conductivity(shown, 15, 2.1) == pytest.approx(raw, rel=1e-12)
    assert seawater.salinity_from_conductivity(seawater.raw_conductivity(shown, 15, 2.1), 15) == pytest.approx(35)


def test_a_scale_step_in_salinity():
    """0.001 of SG is 1.32 of salinity at 25 degC (gsw 3.6.23)."""
    assert seawater.sg_step(30, 25) == pytest.approx(1.325, abs=0.005)


@given(SALINITY)
def test_salt_by_mass_inverts(salinity):
    assert seawater.salinity_from_g_per_kg(seawater.g_per_kg(salinity)) == pytest.approx(salinity, abs=1e-12)


def test_refractive_index_and_brine_scales():
    """Quan & Fry 1995: 5.5e-4 less from 20 to 25 degC, and 1.83e-4 per unit of salinity, at 35 and 589.3 nm."""
    n20, n25 = seawater.refractive_index(35, 20), seawater.refractive_index(35, 25)
    assert n20 - n25 == pytest.approx(5.5e-4, abs=0.6e-4)
    slope = n20 - seawater.refractive_index(34, 20)
    assert slope == pytest.approx(1.83e-4, abs=0.02e-4)


@given(CONVENTION, INSTRUMENT, st.floats(15, 30), st.floats(15, 40))
def test_a_reading_by_eos80_lies_within_a_hundredth(reference, instrument, temperature, salinity):
    reading = seawater.sg_from_salinity(salinity, reference, temperature, instrument)
    if reading > seawater.SG_RANGE[1]:
        return
    found = seawater.salinity_from_sg(reading, reference, temperature, instrument, equation="EOS-80")
    assert found == pytest.approx(salinity, abs=0.0101)
    again = seawater.sg_from_salinity(found, reference, temperature, instrument, equation="EOS-80")
    assert again == pytest.approx(reading, abs=1e-12)


@given(st.floats(2.001, 41.9), st.sampled_from(SALINITY_UNITS), CONVENTION, st.floats(0, 35))
def test_the_keepers_units_of_salinity_invert(salinity, unit, reference, temperature):
    shown = seawater.salinity_to_display(salinity, unit, reference, temperature)
    assert seawater.salinity_from_display(shown, unit, reference, temperature) == pytest.approx(salinity, abs=1e-6)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: seawater.density(43, 20),
            r"salinity: found “43”, but needs a number from 0 to 42 \(practical salinity\)",
        ),
        (lambda: seawater.density(35, 41), "temperature_c: found “41”, but needs a number from -2 to 40 degC"),
        (lambda: seawater.density(np.array([35, np.nan]), 20), "salinity: found “nan”"),
        (lambda: seawater.density("35", 20), "salinity: found “35”"),
        (lambda: seawater.salinity_from_sg(1.022, "unknown"), "reference: found “unknown”, but needs one of t/4"),
        (lambda: seawater.salinity_from_sg(1.022, "t/4"), "temperature_c: found nothing"),
        (lambda: seawater.salinity_from_sg(1.022, "25/25", None, "hydrometer"), "temperature_c: found nothing"),
        (lambda: seawater.salinity_from_sg(1.022, "25/25", None, "spoon"), "instrument: found “spoon”"),
        (
            lambda: seawater.salinity_from_sg(0.995, "25/25"),
            "sg: found “0.995”, but needs a reading from 1.0000 to 1.0317",
        ),
        (lambda: seawater.salinity_from_sg(np.array([1.02, 1.036]), "25/25"), "sg: found “1.036”"),
        (lambda: seawater.salinity_from_sg(1022, "25/25"), "sg: found “1022”"),
        (lambda: seawater.salinity_range_from_sg(0.991), "brackish or sea water"),
        (lambda: seawater.salinity_from_conductivity(88, 5), "ms_cm: found “88”"),
        (
            lambda: seawater.salinity_from_sg(1.02, "25/25", equation="mine"),
            "equation: found “mine”, but needs one of TEOS",
        ),
        (lambda: seawater.salinity_to_display(35, "mS/cm"), "temperature_c: found nothing"),
        (lambda: seawater.salinity_from_display(35, "Baume"), "unit: found “Baume”, but needs one of SG, ppt, mS/cm"),
        (lambda: seawater.salinity_from_display(43, "ppt"), "value: found “43”, but needs a number from 0 to 42 ppt"),
        (lambda: seawater.salinity_from_display(1.2, "SG"), "value: found “1.2”, but needs a number from 0.99 to 1.04"),
        (lambda: seawater.salinity_from_display(99, "mS/cm", "25/25", 25), "value: found “99”"),
        (lambda: seawater.raw_conductivity(50, 15, 5), "percent_per_degc: found “5”"),
    ],
)
def test_bad_seawater_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_the_older_scale_of_temperature_is_that_of_the_library():
    from seawater.library import T68conv

    assert T68conv(1.0) == seawater.T68_PER_T90
