"""Live algae: grazing, clearing, and the culture that keeps up."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from rackview.core.errors import InputError
from rackview.science import algae


@pytest.mark.outside(
    "algae",
    "algae.grazing_rate",
    ("half saturated", "fastest"),
    "Montagnes et al. 2001, Mar. Biol. 139:975-979, printed half-saturation and maximum",
)
def test_grazing_is_half_at_its_half_saturation():
    """Montagnes et al. 2001, Mar. Biol. 139:975-979: half-saturation at 159,000 cells/mL, at most about 35 a minute."""
    fastest = 45 * 0.94 / (1 + 219_000 * 25**-4.35)
    assert algae.grazing_rate(159_000, 25) == pytest.approx(fastest / 2)
    assert algae.grazing_rate(1e6, 30) == pytest.approx(35, rel=0.05)
    assert algae.grazing_rate(np.array([0.0, 1e5]), 20).tolist() == pytest.approx([0, 11.0375], abs=1e-4)


@given(st.floats(1e3, 1e6), st.floats(1, 2000), st.floats(8, 35))
@pytest.mark.outside("algae", "algae.clear_hours", "any", "scipy.integrate.quad")
def test_clearing_equals_the_integral_by_scipy(cells, animals, temperature):
    hours = (
        integrate.quad(lambda f: 1 / (animals * algae.grazing_rate(f, temperature)), cells / 2, cells, epsrel=1e-10)[0]
        / 60
    )
    assert algae.clear_hours(cells, animals, temperature) == pytest.approx(hours, rel=1e-6)


@given(st.floats(1, 100), st.floats(1e6, 1e8), st.floats(0.05, 1), st.floats(1.05, 5))
@pytest.mark.outside("algae", "algae.algae_days", "any", "scipy.integrate.solve_ivp")
def test_days_of_algae_equal_a_day_by_day_solution_by_scipy(litres, per_ml, growth, greed):
    cells = litres * 1000 * per_ml
    taken = greed * growth * cells
    days = algae.algae_days(litres, per_ml, taken, growth)
    path = integrate.solve_ivp(lambda _, y: growth * y - 1, (0, days), [cells / taken], rtol=1e-9, atol=1e-12)
    assert path.y[0][-1] == pytest.approx(0, abs=1e-5 * cells / taken)
    assert algae.algae_days(litres, per_ml, taken) == pytest.approx(cells / taken)


@given(st.floats(1e5, 1e7), st.floats(1e4, 1e6), st.floats(1e6, 1e8), st.floats(0.05, 1))
def test_a_culture_of_that_size_lasts(animals, each, per_ml, growth):
    need = algae.algae_need(animals, each, per_ml, growth)
    kept = (need.culture_l - need.litres_per_day) / need.culture_l
    assert kept * math.exp(growth) == pytest.approx(1)
    assert algae.algae_days(need.culture_l * 1.7, per_ml, need.cells_per_day, growth) == math.inf
    wasteful = algae.algae_need(animals, each, per_ml, growth, 0.5)
    assert wasteful.litres_per_day == pytest.approx(2 * need.litres_per_day)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: algae.grazing_rate(2e6, 25), "cells_per_ml: found “2000000”"),
        (lambda: algae.grazing_rate(1e5, 4), "temperature_c: found “4”, but needs a number from 5 to 40 degC"),
        (lambda: algae.algae_need(1e6, 1e5, 0, 0.3), "culture_per_ml: found “0”"),
        (lambda: algae.algae_days(1, 1e6, 0), "cells_per_day: found “0”"),
        (lambda: algae.feed_per_million(0.8, 0), "share_per_day: found “0”"),
    ],
)
def test_bad_algae_input_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
