"""What the estimate's numbers are by their own words: weights add up to one, variances are squares."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import constants as c
from rackview.science.state import filter as kalman
from rackview.science.state.ahead import Ahead
from rackview.science.state.estimate import estimate
from rackview.science.state.filter import THETA, XX, A, U, X
from rackview.science.state.learned import _ceiling, _growth
from rackview.science.state.members import weights
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
    for name in ("scatter", "walk", "u_var", "rate_var", "rate_drift", "theta_var", "theta_drift"):
        assert (getattr(model, name) > 0.0).all(), name
        assert (getattr(model, name) <= getattr(usual, name) + 1e-12).all(), name
    assert 0.0 < model.fail < model.mend < 1.0


def test_what_wanders_is_a_variance_a_day() -> None:
    """A density that wanders by a tenth a day is in doubt by a hundredth (variance) after one, where nothing grows."""
    model = quiet(walk=np.full_like(paced(1.0).walk, 0.1**2))
    found = kalman.predict(model, state(5.0, 0.0, 0.0, 0.0), ONE, 0.0 * ONE)
    assert found.s[XX, 0, 0] == pytest.approx(0.01, rel=0.05)


def test_a_shift_is_sooner_believed_downwards_as_harvests_go_unwritten_and_nothing_is_poured_in(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of two counts as far from what was believed the lower one is the likelier to follow a shift: growth stays."""
    monkeypatch.setattr(c, "SHIFT_VAR", 0.05)
    monkeypatch.setattr(c, "SHIFTS", 0.05)
    start = state(5.0, 0.0, 0.3, 0.35, 1e-3)
    start.s[kalman.XA] = 0.5e-3
    low, high = (
        kalman.update_count(paced(1.0), start, np.round(np.exp(at)) * ONE, ONE, 0.005 * ONE, 1e-4 * ONE)[0].s[:, 0, 0]
        for at in (5.0 + c.SHIFT, 5.0 - c.SHIFT)
    )
    assert abs(low[A] - 0.3) < 0.5 * abs(high[A] - 0.3)
    assert low[X] < 5.0 < high[X]


def test_after_a_shift_count_and_belief_weigh_by_their_precision(monkeypatch: pytest.MonkeyPatch) -> None:
    """The normal mean with known variances: a count in wide aliquots, and what was believed less the usual shift."""
    monkeypatch.setattr(c, "SHIFT_VAR", 0.04)
    monkeypatch.setattr(c, "SHIFTS", 0.999)
    model, n, x, var, cv2 = paced(1.0), 60.0, 5.0, 0.01, 0.25
    found, _ = kalman.update_count(model, state(x, 0.0, 0.3, 0.35, var), n * ONE, ONE, cv2 * ONE, 1e-9 * ONE)
    noise = model.scatter[0, 0] + cv2 + 1.0 / (n + 0.5)
    before, count = 1.0 / (var + c.SHIFT_VAR), 1.0 / noise
    wanted = ((x + c.SHIFT) * before + np.log(n + 0.5) * count) / (before + count)
    assert found.s[X, 0, 0] == pytest.approx(wanted, abs=0.02)


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


def test_a_count_ahead_the_near_weights_hold_and_three_ahead_the_far_ones_with_their_geometric_mean_between() -> None:
    """Counted daily up to this morning: what is foretold of tomorrow, of the day after, and of the third day."""
    rack = Rack.build([Vessel("A", "rotifer-L", "1", 1, 20.0)])
    for k, per_ml in enumerate((150, 170, 140, 190, 160, 150, 180, 170)):
        at = datetime(2026, 3, 1 + k, 8, tzinfo=UTC)
        rack = rack.record({"at": at, "vessel": "A", "kind": "count", "tallies": f"{per_ml} {per_ml + 9} {per_ml - 9}"})
    log = rack.log("A")
    day = day_number(datetime(2026, 3, 8, 8, tzinfo=UTC))
    numbers = estimate(log, rack.profile("A"), day).belief.numbers
    assert numbers is not None
    near, far = weights(numbers.more, 1.0)[:, :, 0]
    assert near != pytest.approx(far, rel=0.02)
    for ahead, by in ((1.0, near), (2.0, np.sqrt(near * far)), (3.0, far), (9.0, far)):
        found = Ahead(numbers.more, 1.0, day, day - 9.0).at(day + ahead).weights
        assert found == pytest.approx(by / by.sum(), rel=1e-6)
