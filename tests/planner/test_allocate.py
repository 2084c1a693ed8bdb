"""Who gives what: growth first, then the densest, levelled, never past what is safe; more wanted, more given."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.planner.allocate import Giver, shares
from rackview.planner.allocate import given as animals_of

TWO = [Giver("dense", 300.0, 20.0, 0.1, 0.5), Giver("thin", 150.0, 20.0, 0.0, 0.3)]


def test_nothing_wanted_takes_what_growth_gives():
    assert shares(TWO, 0.0) == {"dense": 0.1, "thin": 0.0}
    assert shares([], 1e6) == {}


def test_the_densest_gives_first():
    found = shares(TWO, 1.5e6)
    assert found["dense"] == pytest.approx(0.25, abs=1e-3)
    assert found["thin"] == 0.0


def test_what_is_left_is_levelled():
    found = shares(TWO, 3.3e6)
    left = {g.vessel: g.per_ml * (1 - found[g.vessel]) for g in TWO}
    assert left["dense"] == pytest.approx(150.0, rel=0.02)
    assert animals_of(TWO, shares(TWO, 3.0e6)) == pytest.approx(3.0e6, rel=1e-3)


def test_no_more_than_is_safe_whatever_is_wanted():
    assert shares(TWO, 1e12) == {"dense": 0.5, "thin": 0.3}


GIVER = st.builds(
    lambda n, d, v, g, s: Giver(f"v{n}", d, v, min(g, s), s),
    st.integers(0, 10**6),
    st.floats(1.0, 2000.0),
    st.floats(0.5, 60.0),
    st.floats(0.0, 0.5),
    st.floats(0.0, 0.6),
)
RACK = st.lists(GIVER, min_size=1, max_size=8, unique_by=lambda g: g.vessel)


@given(RACK, st.floats(0.0, 1e8), st.floats(0.0, 1e8))
def test_more_wanted_never_takes_less_from_anyone(rack, one, other):
    less, more = (shares(rack, w) for w in sorted((one, other)))
    for g in rack:
        assert more[g.vessel] >= less[g.vessel] - 1e-6
        assert g.growth - 1e-9 <= less[g.vessel] <= g.safe + 1e-9


@given(RACK, st.floats(0.0, 1e8))
def test_what_is_wanted_is_met_or_all_that_is_safe_is_given(rack, wanted):
    got = animals_of(rack, shares(rack, wanted))
    most = sum(g.safe * g.animals for g in rack)
    assert got >= min(wanted, most) * (1 - 1e-6) - 1.0


@given(RACK, st.floats(0.0, 1e8))
def test_the_order_and_the_names_of_vessels_change_nothing(rack, wanted):
    plain = shares(rack, wanted)
    turned = shares(rack[::-1], wanted)
    renamed = shares([Giver("x" + g.vessel, g.per_ml, g.level_l, g.growth, g.safe) for g in rack], wanted)
    for g in rack:
        assert turned[g.vessel] == pytest.approx(plain[g.vessel], abs=1e-9)
        assert renamed["x" + g.vessel] == pytest.approx(plain[g.vessel], abs=1e-9)


@given(RACK, st.floats(0.0, 1e8))
def test_halving_all_volumes_and_the_want_changes_no_share(rack, wanted):
    half = [Giver(g.vessel, g.per_ml, g.level_l / 2, g.growth, g.safe) for g in rack]
    plain, halved = shares(rack, wanted), shares(half, wanted / 2)
    for g in rack:
        assert halved[g.vessel] == pytest.approx(plain[g.vessel], abs=1e-6)
