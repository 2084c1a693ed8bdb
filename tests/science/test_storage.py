"""Cold storage and resting eggs."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.science import storage


@pytest.mark.outside("storage", "storage.alive_after", "two weeks", "Assavaaree et al. 2001 against Olsen et al. 1993")
def test_two_studies_of_cold_storage_agree():
    """0.04 (0 to 0.08) a day, Olsen et al. 1993; about half alive after 14 days at 4 degC, Assavaaree et al. 2001."""
    found = storage.alive_after(1e6, 14)
    assert found.usual == pytest.approx(0.5e6, rel=0.15)
    assert found.least < 0.5e6 < found.most


@given(st.floats(0, 1e9), st.floats(0, 30), st.sampled_from(sorted(storage.COLD)))
def test_what_is_alive_lies_between_and_says_what_to_mind(animals, days, way):
    found = storage.alive_after(animals, days, way)
    assert 0 <= found.least <= found.usual <= found.most <= animals * (1 + 1e-12)
    assert found.advice
    assert ("Nobody kept them longer" in found.advice) == (days > storage.COLD[way].value.most_days)
    assert found.celsius[0] < found.celsius[1] <= 18


@given(st.floats(0, 1e7), st.floats(0.05, 1))
def test_resting_eggs_invert(animals, hatching):
    assert storage.resting_eggs_for(animals, hatching) * hatching == pytest.approx(animals)


def test_too_cold_is_worse_than_cold():
    """Olsen et al. 1993: up to 0.25 a day at 0 to 3 degC against 0.04 at 5 to 18."""
    assert storage.alive_after(1, 4, "large rotifers, below 3 degC").least == pytest.approx(math.exp(-1))
    cold, colder = (storage.alive_after(1, 4, way).usual for way in ("large rotifers", "large rotifers, below 3 degC"))
    assert colder < cold


def test_bad_storage_input_is_refused():
    with pytest.raises(InputError, match="days: found “31”"):
        storage.alive_after(1, 31)
    with pytest.raises(InputError, match="way: found “warm”"):
        storage.alive_after(1, 3, "warm")
    with pytest.raises(InputError, match="hatching: found “0”"):
        storage.resting_eggs_for(1e4, 0)
