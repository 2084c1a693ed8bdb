"""Quantiles of weighted normal distributions against SciPy."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import norm

from rackview.science.state import normal

LEVELS = [1e-9, 0.001, 0.05, 0.25, 0.5, 0.75, 0.95, 0.999]
parts = st.lists(
    st.tuples(st.floats(1e-6, 1.0), st.floats(-12.0, 14.0), st.floats(1e-3, 3.0)),
    min_size=1,
    max_size=7,
)


def test_a_single_normal() -> None:
    assert normal.quantiles([1.0], [2.0], [0.5], LEVELS) == pytest.approx(norm.ppf(LEVELS, 2.0, 0.5), abs=1e-9)
    assert normal.below(1.3, [1.0], [2.0], [0.5]) == pytest.approx(norm.cdf(1.3, 2.0, 0.5), rel=1e-12)


@given(parts)
def test_the_probability_under_a_quantile_is_its_level(found: list[tuple[float, ...]]) -> None:
    weights, *rest = (np.array(v).tolist() for v in zip(*found, strict=True))
    weights = [w / sum(weights) for w in weights]
    at = normal.quantiles(weights, *rest, LEVELS)
    assert at == sorted(at)
    for level, x in zip(LEVELS, at, strict=True):
        under, over = (normal.below(y, weights, *rest) for y in (x - 1e-6, x + 1e-6))
        assert under <= level * (1 + 1e-9)
        assert over >= level * (1 - 1e-9)


@given(parts, st.lists(st.floats(-30.0, 30.0), min_size=2, max_size=9).map(sorted))
def test_probability_rises_from_nothing_to_one(found: list[tuple[float, ...]], at: list[float]) -> None:
    weights, *rest = (np.array(v).tolist() for v in zip(*found, strict=True))
    weights = [w / sum(weights) for w in weights]
    under = [normal.below(x, weights, *rest) for x in at]
    assert all(0.0 <= a <= b + 1e-12 <= 1.0 + 1e-9 for a, b in pairwise(under))


def test_who_has_arrived_is_not_thrown_to_the_middle_of_what_is_left() -> None:
    weights, means, sds = [0.038, 0.962], [1.17, 2.72], [1.05, 1.25]
    (at,) = normal.quantiles(weights, means, sds, [0.5])
    wanted = brentq(lambda x: np.dot(weights, norm.cdf(x, means, sds)) - 0.5, 2.0, 3.0, xtol=1e-14)
    assert at == pytest.approx(wanted, abs=1e-11)


def test_what_is_sure_has_a_chance_of_one_though_the_weights_are_off_in_their_last_digit() -> None:
    sure = [0.7, 0.2, 0.1 + 3e-16]
    assert sum(sure) > 1.0
    assert normal.below(9.0, sure, [0.0] * 3, [0.1] * 3) == 1.0


@given(st.lists(parts, min_size=1, max_size=4))
def test_many_at_once_are_the_same_as_one_by_one(several: list[list[tuple[float, ...]]]) -> None:
    size = max(len(one) for one in several)
    padded = [[*one, *[(0.0, one[0][1], one[0][2])] * (size - len(one))] for one in several]
    w, m, s = (np.array([[part[k] for part in one] for one in padded]).T for k in range(3))
    w = w / w.sum(0)
    found = normal.many_quantiles(w, m, s, LEVELS[1:])
    for i, row in enumerate(found):
        for level, x in zip(LEVELS[1:], row, strict=True):
            under, over = (normal.below(y, w[:, i], m[:, i], s[:, i]) for y in (x - 1e-5, x + 1e-5))
            assert under - 2e-7 <= level <= over + 2e-7


def test_the_table_of_the_normal_distribution() -> None:
    """scipy 1.17.1, stats.norm.cdf."""
    assert normal.cumulative(np.array([0.0, 1.0, 1.96, -3.0])) == pytest.approx(
        [0.5, 0.8413447, 0.9750021, 0.0013499], abs=2e-7
    )
