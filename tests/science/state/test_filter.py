"""The filter against what other programs and plain arithmetic make of the same model."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar
from scipy.special import gammaln
from scipy.stats import nbinom, norm

from rackview.science.state import filter as kalman
from rackview.science.state.filter import AA, FIRST, SECOND, THETA, TT, UU, XX, A, State, U, X
from rackview.science.state.model import ALL, SOUND, paced

MODEL = paced(1.0)
ONE = np.ones(1)


def quiet(**changed):
    """The model without noise, drift or changes of regime."""
    none = np.zeros((ALL, 1))
    still = replace(MODEL, walk=none, rate_walk=none, theta_walk=none, fail=0.0, mend=0.0)
    return replace(still, u_sd=np.full((ALL, 1), 1e-9), **changed)


def state(x: float, u: float, a: float, theta: float, var: float = 1e-12) -> State:
    """All components alike and as good as known."""
    s = np.zeros((kalman.ROWS, ALL, 1))
    s[X], s[U], s[A], s[THETA] = x, u, a, theta
    s[[XX, UU, AA, TT]] = var
    return State(s, np.full((ALL, 1), 1.0 / ALL), np.full((ALL, 1), 5.5))


@pytest.mark.parametrize(("x", "a", "warmth"), [(3.0, 0.4, 1.0), (6.1, 0.3, 1.0), (5.0, 0.3, 0.4)])
def test_growth_is_what_the_differential_equation_makes_of_it(x: float, a: float, warmth: float) -> None:
    model, theta = quiet(), 0.35

    def grows(_: float, y: np.ndarray) -> np.ndarray:
        h = (np.exp(model.eta[:SOUND, 0] * (y - 5.5)) - 1.0) / model.eta[:SOUND, 0]
        return warmth * (a - theta * h)

    wanted = solve_ivp(grows, (0.0, 0.8), np.full(SOUND, x), rtol=1e-9, atol=1e-10).y[:, -1]
    found = kalman.predict(model, state(x, 0.0, a, theta), 0.8 * ONE, warmth * ONE)
    assert found.s[X, :SOUND, 0] == pytest.approx(wanted, abs=1e-6)
    assert found.s[X, SOUND:, 0] == pytest.approx(x + 0.8 * 0.0, abs=1.0), "a collapse moves by its own rate"


def test_a_step_of_a_day_is_two_of_half_a_day() -> None:
    model = quiet()
    once = kalman.predict(model, state(5.2, 0.1, 0.3, 0.3, 1e-3), ONE, ONE).s
    twice = state(5.2, 0.1, 0.3, 0.3, 1e-3)
    for _ in range(2):
        twice = kalman.predict(model, twice, 0.5 * ONE, ONE)
    assert once[:4] == pytest.approx(twice.s[:4], abs=2e-3)
    assert once[4:] == pytest.approx(twice.s[4:], abs=2e-4)


def test_spread_is_that_of_particles() -> None:
    rng = np.random.default_rng(1)
    n = 40_000
    start = state(5.0, 0.1, 0.3, 0.35)
    sd = np.array([0.15, 0.1, 0.08, 0.1])
    start.s[[XX, UU, AA, TT]] = (sd**2)[:, None, None]
    model = quiet()
    found = kalman.predict(model, start, ONE, ONE)
    first = np.array([5.0, 0.1, 0.3, 0.35])[:, None] + sd[:, None] * rng.standard_normal((4, n))
    many = State(np.zeros((kalman.ROWS, ALL, n)), np.full((ALL, n), 1.0 / ALL), np.full((ALL, n), 5.5))
    many.s[:4] = first[:, None, :]
    many.s[[XX, UU, AA, TT]] = 1e-12
    after = kalman.predict(model, many, np.ones(n), np.ones(n)).s[:4]
    for k in range(SOUND):
        assert found.s[X, k, 0] == pytest.approx(after[X, k].mean(), abs=0.01)
        cov = np.cov(after[:, k])
        assert found.s[4:, k, 0] == pytest.approx(cov[FIRST, SECOND], abs=0.002)


def test_passing_growth_seen_through_eggs_is_statsmodels_autoregression_with_noise() -> None:
    """With crowding off, eggs that show growth make U an autoregression seen with noise."""
    from statsmodels.tsa.statespace.sarimax import SARIMAX

    phi, sd, noise = 0.3, 0.2, 0.05
    rng = np.random.default_rng(5)
    keep, y, u = np.exp(-phi), [], 0.0
    for _ in range(40):
        u = keep * u + sd * np.sqrt(1 - keep**2) * rng.standard_normal()
        y.append(u + noise * rng.standard_normal())
    rival = SARIMAX(np.array(y), order=(1, 0, 0), measurement_error=True)
    wanted = rival.filter([keep, noise**2, sd**2 * (1 - keep**2)]).filtered_state[0]
    model = replace(quiet(), u_sd=np.full((ALL, 1), sd), phi=np.full((ALL, 1), phi), u_mean=np.zeros((ALL, 1)))
    now, found = state(1.0, 0.0, 0.0, 0.0), []
    now.s[UU] = sd**2
    for k, one in enumerate(y):
        if k:
            now = kalman.predict(model, now, ONE, ONE)
        now, _ = kalman.update_sign(model, now, ONE, one * ONE, 1.0, noise**2 * ONE)
        found.append(now.s[U, 0, 0])
    assert found == pytest.approx(wanted, abs=2e-3)


@pytest.mark.parametrize(("n", "ml", "x", "sd"), [(120, 1.0, 4.6, 0.3), (3, 2.0, 1.0, 0.8), (0, 4.0, 1.0, 0.7)])
def test_a_count_is_heard_as_bayes_theorem_says(n: int, ml: float, x: float, sd: float) -> None:
    size = 1.0 / 0.02
    grid = np.linspace(x - 7 * sd, x + 5 * sd, 40_001)
    mean = ml * np.exp(grid)
    like = nbinom.pmf(n, size, size / (size + mean))
    weight = norm.pdf(grid, x, sd) * like
    total = weight.sum() * (grid[1] - grid[0])
    found, var, log_like = kalman.hear(
        np.array([[x]]), np.array([[sd**2]]), np.array([float(n)]), np.log(np.array([ml])), np.array([[size]])
    )
    middle = (grid * weight).sum() / weight.sum()
    assert found[0, 0] == pytest.approx(middle, abs=0.3 * sd if n == 0 else 0.12 * sd)
    assert var[0, 0] == pytest.approx(((grid - middle) ** 2 * weight).sum() / weight.sum(), rel=0.3)
    assert log_like[0, 0] == pytest.approx(np.log(total), abs=0.15)


@pytest.mark.parametrize(
    ("n", "ml", "x", "sd"), [(0, 5.0, 7.0, 0.3), (0, 1.7, 7.1, 0.4), (2, 7.4, 7.8, 0.37), (800, 0.3, -0.2, 0.1)]
)
def test_a_count_that_nobody_expected_is_heard_at_its_mode(n: int, ml: float, x: float, sd: float) -> None:
    """None found in a culture thought dense, many in one thought dead: the reference is scipy's minimum."""
    size = 60.0

    def cost(at: float) -> float:
        return float(0.5 * ((at - x) / sd) ** 2 - nbinom.logpmf(n, size, size / (size + ml * np.exp(at))))

    mode = minimize_scalar(cost, bounds=(x - 12.0, x + 12.0), method="bounded", options={"xatol": 1e-9}).x
    found, _, _ = kalman.hear(
        np.array([[x]]), np.array([[sd**2]]), np.array([float(n)]), np.log(np.array([ml])), np.array([[size]])
    )
    assert found[0, 0] == pytest.approx(mode, abs=0.05 * sd)


def test_the_log_of_the_gamma_function_is_scipys() -> None:
    x = np.array([1.0, 1.5, 3.0, 12.0, 400.0, 1e5])
    assert kalman.log_gamma(x) == pytest.approx(gammaln(x), abs=6e-4)


def test_a_change_of_regime_keeps_the_mean_and_the_weight() -> None:
    start = state(5.0, 0.0, 0.3, 0.35, 0.04)
    start.w[:] = np.array([0.6, 0.2, 0.1, 0.06, 0.03, 0.01])[:, None]
    start.s[X, SOUND:] = 4.0
    found = kalman.switch_regime(MODEL, start, ONE, np.array([0.2]))
    assert found.w.sum() == pytest.approx(1.0)
    assert kalman.mean_and_variance(found)[0] == pytest.approx(kalman.mean_and_variance(start)[0], abs=1e-12)
    assert kalman.mean_and_variance(found)[1] == pytest.approx(kalman.mean_and_variance(start)[1], abs=1e-12)
    assert found.w[0, 0] == pytest.approx(0.6 * np.exp(-0.2) + 0.06 * (1 - np.exp(-MODEL.mend)))


def test_a_shift_at_one_stroke_says_nothing_of_growth() -> None:
    start = state(6.0, 0.0, 0.3, 0.35, 1e-4)
    start.s[kalman.XA] = 0.5e-4
    down = kalman.update_count(
        MODEL, start, np.array([7500.0]), np.array([30.0]), np.array([5e-4]), np.array([0.003]), np.array([0.03])
    )
    assert down.state.s[X, 0, 0] == pytest.approx(np.log(250.0), abs=0.05)
    assert down.state.s[A, 0, 0] == pytest.approx(0.3, abs=0.02)
    assert down.slip[0] < 0.1


@pytest.mark.parametrize("drop", [-6.0, -3.0, -1.5, -0.5, 0.5, 1.5, 3.0])
@pytest.mark.parametrize("var", [0.003, 0.05, 0.5, 2.0])
def test_whatever_is_counted_what_is_believed_of_growth_stays_a_spread(drop: float, var: float) -> None:
    """No combination of the four numbers may have a variance below 0: growth told of it would be no number."""
    start = state(6.0, 0.0, 0.3, 0.35, 0.04)
    start.s[XX], start.s[kalman.XU], start.s[kalman.XA] = var, 0.7 * (var * 0.04) ** 0.5, 0.7 * (var * 0.04) ** 0.5
    n = np.array([np.round(30.0 * np.exp(6.0 + drop))])
    chances = (np.array([0.003]), np.array([0.025]), np.array([0.03]))
    found = kalman.update_count(MODEL, start, n, np.array([30.0]), *chances).state
    least = np.linalg.eigvalsh(np.moveaxis(found.s[kalman.SYMMETRIC], 2, 0)[..., 0])[:, 0]
    assert (least > -1e-9).all()


def test_cultures_stirred_together_add_by_volume() -> None:
    one, other = state(np.log(100.0), 0.0, 0.3, 0.35, 0.01), state(np.log(300.0), 0.0, 0.3, 0.35, 0.01)
    found = kalman.merged_states(one, 10.0, other, 5.0)
    assert np.exp(found.s[X, 0, 0]) == pytest.approx((10 * 100 + 5 * 300) / 15)
    assert found.s[XX, 0, 0] < 0.01
