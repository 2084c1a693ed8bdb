"""Eggs, clutches and nauplii."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from rackview.core.errors import InputError
from rackview.science import development, fecundity


def test_share_and_ratio_are_two_things():
    """Yoshinaga et al. 2001, Hydrobiologia 446/447:99-105: 70 % with eggs at 5 each, later 10 % at 1 each."""
    assert fecundity.egg_ratio_from_share(0.70, 5) == pytest.approx(3.5)
    assert fecundity.egg_ratio_from_share(0.10, 1) == pytest.approx(0.10)
    assert fecundity.egg_ratio(350, 100) == fecundity.egg_ratio_from_share(0.70, 5)
    assert fecundity.egg_ratio(30, 50) == pytest.approx(0.6)


@given(st.floats(0.01, 1), st.floats(0.3, 4), st.floats(1, 20), st.floats(1, 4))
def test_births_from_a_share_carry_the_doubt_of_the_clutch(share, days, clutch, spread):
    low, middle, high = fecundity.births_from_share(share, days, clutch, spread)
    assert low <= middle <= high
    if share * clutch <= 20:
        assert middle == pytest.approx(math.log1p(share * clutch) / days)
        eggs = fecundity.egg_ratio_from_share(share, clutch)
        assert middle == pytest.approx(development.birth_rate(eggs, days))
    one = fecundity.births_from_share(share, days, clutch, 1)
    assert one[0] == one[1] == one[2]


@given(st.lists(st.floats(0.2, 30), min_size=2, max_size=6), st.floats(-0.3, 1))
@pytest.mark.outside("fecundity", "fecundity.stage_shares", "any", "scipy.integrate.quad")
def test_shares_of_stages_by_scipy(days, rate):
    found = fecundity.stage_shares(days, rate)
    edges = [0.0]
    for d in days:
        edges.append(edges[-1] + d)
    parts = [integrate.quad(lambda a: math.exp(-rate * a), low, high)[0] for low, high in itertools.pairwise(edges)]
    assert found == pytest.approx([p / sum(parts) for p in parts], rel=1e-6)
    assert sum(found) == pytest.approx(1)


def test_without_growth_a_stage_has_its_share_of_the_days():
    assert fecundity.stage_shares((1.0, 4.0, 5.0), 0.0) == pytest.approx((0.1, 0.4, 0.5))


def test_every_clutch_names_its_source():
    assert all(len(option.source) > 20 for option in fecundity.CLUTCHES.values())
    assert all(1 <= low <= high for low, high in (option.value for option in fecundity.CLUTCHES.values()))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: fecundity.egg_ratio_from_share(1.2, 3),
            "ovigerous_share: found “1.2”, but needs a number from 0 to 1",
        ),
        (lambda: fecundity.egg_ratio(3, 0), "females: found “0”"),
        (lambda: fecundity.clutch("whale"), "animal: found “whale”"),
        (lambda: fecundity.births_from_share(0.3, 0.01, 2), "egg_days: found “0.01”"),
        (lambda: fecundity.stage_shares((1.0,), 0.1), "days: found “1 values”, but needs the days of two stages"),
        (lambda: fecundity.nauplii_per_female(20, 0, 1), "egg_days: found “0”"),
    ],
)
def test_bad_input_about_eggs_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()
