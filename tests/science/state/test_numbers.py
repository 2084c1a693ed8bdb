"""What the estimate's numbers are by their own words: weights add up to one, variances are squares."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rackview.science.state import constants as c
from rackview.science.state import filter as kalman
from rackview.science.state.filter import THETA, XX, A, U, X
from rackview.science.state.learned import _ceiling, _growth
from rackview.science.state.model import paced
from tests.science.state.test_filter import ONE, quiet, state


def test_weights_beforehand_are_shares_of_one() -> None:
    for log in (c.LOG_PRIOR, c.STRANGE_PRIOR):
        assert np.exp(log).sum(axis=1) == pytest.approx(1.0)
        assert (np.exp(log) < 1.0).all()
    assert paced(1.0).weight.sum() == pytest.approx(1.0)


@pytest.mark.parametrize("pace", [0.1, 0.4, 1.0])
def test_spreads_and_rates_are_above_nothing_and_slow_strains_move_less(pace: float) -> None:
    model, usual = paced(pace), paced(1.0)
    for name in ("scatter", "walk", "u_sd", "rate_sd", "rate_walk", "theta_walk", "scatter_var"):
        assert (getattr(model, name) > 0.0).all(), name
        assert (getattr(model, name) <= getattr(usual, name) + 1e-12).all(), name
    assert 0.0 < model.fail < model.mend < 1.0


def test_what_wanders_is_a_variance_a_day() -> None:
    """A density that wanders by a tenth a day is in doubt by a hundredth (variance) after one, where nothing grows."""
    model = quiet(walk=np.full_like(paced(1.0).walk, 0.1))
    found = kalman.predict(model, state(5.0, 0.0, 0.0, 0.0), ONE, 0.0 * ONE)
    assert found.s[XX, 0, 0] == pytest.approx(0.01, rel=0.05)


def test_a_shift_is_sooner_believed_downwards_as_harvests_go_unwritten_and_nothing_is_poured_in() -> None:
    """Of two counts as far from what was believed the lower one is the likelier to follow a shift."""
    start = state(5.0, 0.0, 0.3, 0.35, 1e-3)
    low, high = (
        kalman.update_count(
            replace(paced(1.0), shift_var=0.05),
            start,
            np.round(np.exp(at)) * ONE,
            ONE,
            0.005 * ONE,
            1e-4 * ONE,
            0.05 * ONE,
        )
        for at in (5.0 + c.SHIFT, 5.0 - c.SHIFT)
    )
    assert low.shift[0] > 2.0 * high.shift[0]
    assert low.like[0] > high.like[0]
    assert low.state.s[X, 0, 0] < 5.0 < high.state.s[X, 0, 0]


def test_after_a_shift_count_and_belief_weigh_by_their_precision() -> None:
    """The normal mean with known variances: a count in wide aliquots, and what was believed less the usual shift."""
    model, n, x, var = replace(paced(1.0), shift_var=0.04, slip_var=0.04), 60.0, 5.0, 0.01
    cv2 = 0.25
    found = kalman.update_count(model, state(x, 0.0, 0.3, 0.35, var), n * ONE, ONE, cv2 * ONE, 1e-9 * ONE, 0.999 * ONE)
    noise = model.scatter_var[0, 0] + cv2 + 1.0 / (n + 0.5)
    before, count = 1.0 / (var + model.shift_var), 1.0 / noise
    wanted = ((x + c.SHIFT) * before + np.log(n + 0.5) * count) / (before + count)
    assert found.shift[0] > 0.98
    assert found.state.s[X, 0, 0] == pytest.approx(wanted, abs=0.02)


@pytest.mark.parametrize("told", [_growth(5.2), _ceiling(6.0)], ids=["growth", "ceiling"])
def test_what_is_told_of_growth_moves_with_the_state_as_its_slopes_say(told) -> None:
    """Slopes against finite differences."""
    start, step = state(5.0, 0.1, 0.3, 0.35), 1e-5
    value, slopes = told(paced(1.0), start)
    for row, slope in zip((X, U, A, THETA), slopes, strict=True):
        moved = start._replace(s=start.s.copy())
        moved.s[row] += step
        assert (told(paced(1.0), moved)[0] - value) / step == pytest.approx(slope, rel=1e-2, abs=1e-3)


def test_a_standard_deviation_is_above_nothing() -> None:
    assert [n for n, v in vars(c).items() if n.endswith("_SD") and not (np.asarray(v) > 0.0).all()] == []
