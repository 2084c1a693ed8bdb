"""Crowding, at once and delayed, against general solvers: SciPy's for the equation, finite differences, quadrature."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from rackview.core.clock import day_number
from rackview.core.events import Count
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import kernel
from rackview.science.state.carrier import ARRAYS, SCALARS
from rackview.science.state.forecast import project
from rackview.science.state.kernel import Lapse, Noise
from rackview.science.state.model import MODEL, paced

Swings = Callable[..., tuple[np.ndarray, np.ndarray]]
QUIET = Noise(u=0.0, x=0.0)
ETA, REF = MODEL.eta, 5.0
NOTHING = np.zeros((4, 4))
Way = tuple[float, float, float, float, bool]
"""Lasting growth, strength of crowding, delayed crowding in units of that, fading of passing growth, all per day; and
whether lasting growth acts with delay as well, so that it says about what density the culture swings."""
SWINGING: Way = (0.2, 0.05, 5.0, 0.4, False)
ABOUT: Way = (0.03, 0.05, 5.0, 0.4, True)
USUAL: Way = (0.15, 0.28, 0.1, 0.25, False)


def moved(way: Way, x: float, u: float, p: np.ndarray, dt: float) -> np.ndarray:
    """The mean after so many days."""
    a, theta, delayed, phi, swings = way
    lapse, start = Lapse.of(dt, phi, SCALARS), [x, u, a, theta]
    return np.array(kernel.ahead(start, p.tolist(), REF, ETA, lapse, QUIET, [], SCALARS, delayed, swings=swings)[0])


def solved(way: Way, x: float, days: float) -> np.ndarray:
    """Log density on every whole day by SciPy's solver of stiff and other equations, to 1e-9."""
    a, theta, delayed, phi, swings = way

    def rates(_: float, state: np.ndarray) -> list[float]:
        h = math.expm1(ETA * (state[0] - REF)) / ETA
        return [a + state[1] - theta * h, -phi * state[1] + delayed * (swings * a - theta * h)]

    found = solve_ivp(rates, (0.0, days), [x, 0.0], rtol=1e-9, atol=1e-9, t_eval=np.arange(days + 1))
    return np.asarray(found.y[0])


def walked(way: Way, x: float, days: int, parts: int = 1) -> np.ndarray:
    """Log density on every whole day by the filter, each day in so many steps."""
    u, found = 0.0, [x]
    for _ in range(days):
        for _ in range(parts):
            x, u, *_ = moved(way, x, u, NOTHING, 1.0 / parts)
        found.append(x)
    return np.array(found)


@pytest.mark.parametrize(("way", "within"), [(SWINGING, 0.02), (ABOUT, 0.03), (USUAL, 0.001)])
@pytest.mark.parametrize("start", [2.5, 5.8])
def test_a_culture_left_alone_follows_the_equation(way: Way, within: float, start: float) -> None:
    assert np.max(np.abs(walked(way, start, 30) - solved(way, start, 30))) < within


def test_half_the_step_is_a_quarter_of_the_error() -> None:
    """The order that the scheme is known to have."""
    wanted = solved(SWINGING, 2.5, 30)
    off = [np.max(np.abs(walked(SWINGING, 2.5, 30, parts) - wanted)) for parts in (1, 2, 4, 8)]
    for shorter, longer in zip(off[1:], off, strict=False):
        assert shorter == pytest.approx(longer / 4, rel=0.1)


@pytest.mark.parametrize("strength", [0.14, 0.4, 0.8])
def test_steps_of_a_day_neither_damp_a_swing_nor_feed_it(strength: float) -> None:
    """Where passing growth does not fade, a swing goes on as wide as it began, in 30 turns as in the first."""
    theta = 1e-6  # acting at once it damps
    found = walked((0.0, theta, strength / theta, 0.0, True), REF + 0.5, 400)
    first, last = np.ptp(found[:40]), np.ptp(found[-40:])
    assert last == pytest.approx(first, rel=0.1)


def test_strong_delayed_crowding_overshoots_and_crowding_at_once_does_not() -> None:
    for way, swings in ((SWINGING, True), ((0.2, 0.4, 0.0, 0.4, False), False)):
        found = walked(way, 2.5, 60)
        assert (max(found) > found[-1] + 0.3) == swings


@pytest.mark.parametrize("phi", [0.1, 0.5])
def test_it_swings_about_the_density_where_growth_and_crowding_are_in_balance(phi: float) -> None:
    """However slowly passing growth fades: else a first count would have to say about what a culture swings."""
    a, theta = 0.04, 0.05
    found = walked((a, theta, 5.0, phi, True), 4.0, 400)
    balance = REF + math.log1p(ETA * a / theta) / ETA
    assert max(found[:40]) > balance + 0.1
    assert found[-30:].mean() == pytest.approx(balance, abs=0.02)


@pytest.mark.parametrize("theta", [0.04, 0.2, 5.0])
def test_steps_of_a_day_stay_with_the_fastest_strain_however_strong_its_crowding(theta: float) -> None:
    fastest = paced(5.0).alternatives[-1]
    found = walked((0.0, theta, fastest.delayed, fastest.phi, True), 4.0, 90)
    assert abs(found - REF).max() < 3.0
    assert abs(found[-10:] - found[-1]).max() < 0.5


@pytest.mark.parametrize("signs", [0, 2])
@pytest.mark.parametrize("way", [SWINGING, ABOUT, USUAL])
@pytest.mark.parametrize("x", [3.0, 5.0, 6.5])
def test_the_covariance_is_carried_by_the_derivatives_of_the_mean(way: Way, signs: int, x: float) -> None:
    n = 4 + signs
    push = [0.3, -0.5][:signs]
    start = np.array([x, 0.2, way[0], way[1], *[0.1] * signs])
    lapse = Lapse.of(0.8, way[3], SCALARS)

    def ahead(m: list[float], p: list[list[float]]) -> tuple[list[float], list[list[float]], float]:
        return kernel.ahead(m, p, REF, ETA, lapse, QUIET, push, SCALARS, way[2], swings=way[4])

    def mean(m: np.ndarray) -> np.ndarray:
        nothing = np.zeros((n, n)).tolist()
        return np.array(ahead(m.tolist(), nothing)[0])

    step = 1e-6
    slopes = np.array([(mean(start + step * e) - mean(start - step * e)) / (2 * step) for e in np.eye(n)]).T
    factor = np.random.default_rng(3).normal(size=(n, n))
    p = 1e-8 * factor @ factor.T  # small, or the mean would be put right for the bend
    found = np.array(ahead(start.tolist(), p.tolist())[1])
    assert found == pytest.approx(slopes @ p @ slopes.T, rel=1e-5, abs=1e-13)


@pytest.mark.parametrize("x", [4.0, 5.0, 6.0])
def test_the_mean_of_a_spread_belief_is_put_right_for_the_bend(x: float) -> None:
    way, var = (0.2, 0.32, 0.0, 0.25, False), 0.6
    nodes, weights = np.polynomial.hermite_e.hermegauss(40)
    each = [moved(way, x + math.sqrt(var) * z, 0.0, NOTHING, 1.0)[0] for z in nodes]
    wanted = float(np.dot(weights, each) / weights.sum())
    p = NOTHING.copy()
    p[0, 0] = var
    found = moved(way, x, 0.0, p, 1.0)[0]
    straight = moved(way, x, 0.0, NOTHING, 1.0)[0]
    assert abs(found - wanted) < 0.002
    assert abs(straight - wanted) > 5 * abs(found - wanted)


def test_without_delay_nothing_is_pushed_to_the_last_digit() -> None:
    p = 0.1 * np.eye(4)
    m = [4.0, 0.1, 0.2, 0.3]
    lapse = Lapse.of(1.0, 0.25, SCALARS)
    mean, cov, _ = kernel.ahead(m, p.tolist(), REF, ETA, lapse, QUIET, [], SCALARS)
    assert mean[1] == lapse.keep * 0.1
    # beside one with delay, in one array, nothing is added to it either
    columns, delayed = [np.full(2, v) for v in m], np.array([0.0, 5.0])
    wide = [[np.full(2, v) for v in line] for line in p.tolist()]
    means, covs, _ = kernel.ahead(columns, wide, REF, ETA, Lapse.of(1.0, 0.25, ARRAYS), QUIET, [], ARRAYS, delayed)
    assert [v[0] for v in means] == pytest.approx(mean, rel=1e-15)
    assert np.array(covs)[:, :, 0] == pytest.approx(np.array(cov), rel=1e-15)
    assert means[1][1] != means[1][0]


def test_a_slow_strain_swings_as_much_slower() -> None:
    usual, slow = MODEL.alternatives[3], paced(0.14).alternatives[3]
    pace = 0.14 / 0.35
    assert slow.delayed == pytest.approx(usual.delayed * pace)
    assert slow.theta == pytest.approx(usual.theta * pace)


def test_a_culture_that_swings_every_week_is_foretold(late_logistic: Swings) -> None:
    animals = np.round(5.0 * late_logistic(1.6, 60)[0])
    at = datetime(2026, 1, 1, 8, tzinfo=UTC)
    counts = [
        Count(at=at + timedelta(days=d), vessel="V", tallies=(int(n),), aliquot_ml=5.0) for d, n in enumerate(animals)
    ]
    rack = Rack.build([Vessel("V", "rotifer-L", "A", 1, 20.0)], counts)
    profile, first = rack.profile("V"), day_number(at)
    errors, still = [], []
    for d in range(30, 57):
        told = project(rack.log("V", first + d), profile, first + d, [1.0, 3.0], [0.5])[:, 0]
        errors.append(np.abs(np.log(told / animals[[d + 1, d + 3]] * 5.0)))
        still.append(np.abs(np.log(animals[d] / animals[[d + 1, d + 3]])))
    gains = 1.0 - np.mean(errors, 0) / np.mean(still, 0)
    assert gains[0] > 0.3
    assert gains[1] > 0.3
