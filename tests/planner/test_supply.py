"""Sharing a shortage over the days, and waiting with thinning for a hatch."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rackview.planner.supply import HALVINGS, Pool, lasts, met_share, thinning_share

POOL = Pool(animals=8e6, keep=4e6, ceiling=16e6, rate_per_day=0.5, most_share=0.5)


def test_a_day_of_growth_is_logistic_at_its_start():
    assert POOL.after_a_day(8e6) == pytest.approx(8e6 * math.exp(0.25))
    assert POOL.after_a_day(16e6) == pytest.approx(16e6)


def test_a_steady_draw_within_growth_lasts_for_ever():
    assert lasts(POOL, [1.5e6] * 200)
    assert not lasts(POOL, [3e6] * 200)
    assert lasts(POOL, [3e6, 0.0, 0.0])


def test_what_must_stay_is_never_drawn():
    assert not lasts(POOL, [4.1e6])
    assert lasts(POOL, [3.9e6])


def test_enough_is_met_in_full():
    assert met_share(POOL, [1e6] * 8) == 1.0
    assert met_share(POOL, [0.0] * 8) == 1.0


def test_a_shortage_is_shared_over_the_days_alike():
    share = met_share(POOL, [4e6] * 8)
    assert 0.3 < share < 0.9
    assert lasts(POOL, [share * 4e6] * 8)
    assert not lasts(POOL, [(share + 0.01) * 4e6] * 8)


@example([15194385.0, 19999994.0, 19699898.0], 4.5)
@given(st.lists(st.floats(0.0, 2e7), min_size=1, max_size=10), st.floats(1.0, 5.0))
def test_more_wanted_never_gives_less_in_animals(draws, factor):
    low = met_share(POOL, draws)
    high = met_share(POOL, [factor * d for d in draws])
    assert 0.0 <= high <= 1.0
    # the pool sees factor times share alone, so only the fineness of the search comes between
    assert high * factor >= low - factor * 0.5**HALVINGS


def test_thinning_waits_only_for_days_that_need_more_than_today():
    need = [0.0, 0.0, 0.0, 5e6, 4e6, 4e6]
    assert thinning_share(POOL, 2.5e6, [0.0] * 6) == 1.0
    assert thinning_share(POOL, 2.5e6, need) < 1.0
    assert thinning_share(POOL, 2.5e6, [6e6] * 6) == 1.0
    assert thinning_share(POOL, 2.5e6, [0.0, 0.0, 1e6, 1e6]) == 1.0
