"""What is left of an enrichment."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.science import enrichment


@given(st.floats(1, 119), st.floats(0, 31), st.floats(0.1, 1))
def test_enrichment_wears_off_faster_when_warm(hours, temperature, more):
    least, most = enrichment.lipid_left(hours, temperature)
    assert 0 < least <= most <= 1
    warmer = enrichment.lipid_left(hours, temperature + more)
    assert warmer[0] <= least + 1e-12
    assert warmer[1] <= most + 1e-12
    assert enrichment.lipid_left(hours + 1, temperature)[0] < least


@given(st.floats(0, 600), st.floats(0, 600))
def test_a_gut_empties_by_shares(first, then):
    for way in enrichment.GUT:
        both = enrichment.gut_left(first + then, way)
        assert both == pytest.approx(enrichment.gut_left(first, way) * enrichment.gut_left(then, way))
        assert enrichment.gut_left(first, "submerged filter") >= enrichment.gut_left(first)


def test_bad_enrichment_input_is_refused():
    with pytest.raises(InputError, match="temperature_c: found “40”, but needs a number from 0 to 32 degC"):
        enrichment.lipid_left(6, 40)
    with pytest.raises(InputError, match="gathered: found “sock”"):
        enrichment.gut_left(5, "sock")
