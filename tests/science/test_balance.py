"""Tomorrow's water: bounds that keep the nitrogen, and the oxygen that feed can burn."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.science import ammonia, balance

WATER = {"ph": 8.0, "temperature_c": 25.0, "salinity": 25.0}


@pytest.mark.outside(
    "balance", "balance.oxygen_per_feed", ("glucose", "lipid", "protein"), "molmass, atomic weights of IUPAC"
)
def test_oxygen_that_burns_feed_by_molar_masses():
    """C6H12O6 + 6 O2; tripalmitin C51H98O6 + 72.5 O2; masses by molmass."""
    from molmass import Formula

    oxygen = Formula("O2").mass
    assert pytest.approx(6 * oxygen / Formula("C6H12O6").mass, abs=1e-3) == balance.O2_CARBOHYDRATE
    assert pytest.approx(72.5 * oxygen / Formula("C51H98O6").mass, abs=1e-3) == balance.O2_LIPID
    carbon, hydrogen, nitrogen = (Formula(f).mass for f in ("C", "H", "N"))
    to_ammonia = 0.53 / carbon * oxygen + (0.07 - 3 * 0.16 / nitrogen * hydrogen) / hydrogen / 4 * oxygen - 0.23
    assert pytest.approx(to_ammonia, abs=2e-3) == balance.O2_PROTEIN
    assert balance.oxygen_per_feed() == pytest.approx(1.13, abs=0.005)


@given(st.floats(0, 5), st.floats(0, 10), st.floats(0, 1e8), st.floats(1, 100), st.floats(0, 1))
def test_tomorrow_keeps_the_nitrogen(total, feed, animals, litres, new):
    least, most = balance.total_ammonia_tomorrow(total, feed, animals, 0.6, litres, new)
    assert total * (1 - new) <= least + 1e-12
    assert least <= most + 1e-12
    nitrogen = feed * 0.322 / 6.25 * 1000
    assert (most - total * (1 - new)) * litres == pytest.approx(nitrogen, abs=1e-6)
    found = balance.tomorrow(total, feed, animals, 0.6, litres, new, **WATER)
    assert found.total_mg_n_l == (least, most)
    assert found.unionised_mg_n_l[1] == pytest.approx(most * ammonia.unionised_mg_l(1.0, 8.0, 25.0, 25.0))
    assert found.oxygen_mg_l_day[0] <= found.oxygen_mg_l_day[1]
    assert found.hours_without_air[0] <= found.hours_without_air[1]


def test_without_feed_nothing_changes():
    found = balance.tomorrow(0.5, 0.0, 1e6, 0.6, 20.0, 0.0, **WATER)
    assert found.total_mg_n_l == (0.5, 0.5)
    assert found.oxygen_mg_l_day == (0, 0)
    assert found.hours_without_air == (math.inf, math.inf)


def test_a_gram_of_feed_in_ten_litres():
    """1 g dry in 10 L: 5.15 mg/L of N if all of it rots; 113 mg/L of oxygen to burn it, so 3 mg/L last 38 minutes."""
    found = balance.tomorrow(0.0, 1.0, 0.0, 0.6, 10.0, 0.0, **WATER)
    assert found.total_mg_n_l == pytest.approx((0.0, 5.152))
    assert found.hours_without_air[0] * 60 == pytest.approx(38, abs=1)
