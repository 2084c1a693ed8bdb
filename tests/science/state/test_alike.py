"""What many say of one, against the joint normal distribution of all numbers at once."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from rackview.science.state import alike
from rackview.science.state.alike import Lesson, Usual

USUAL = Usual(np.array([[0.2], [0.3]]), np.diag([0.01, 0.0144]))
MANY = 4


def observed(seed: int, apart: float) -> tuple[list[np.ndarray], list[np.ndarray]]:
    """An observation and the covariance of its error for each of several, off from a common value by `apart`."""
    rng = np.random.default_rng(seed)
    common = rng.multivariate_normal(USUAL.mean[:, 0], USUAL.var)
    noises = [np.cov(0.1 * rng.normal(size=(2, 9))) for _ in range(MANY)]
    own = [common + apart * rng.multivariate_normal(np.zeros(2), USUAL.var) for _ in noises]
    return [rng.multivariate_normal(x, noise) for x, noise in zip(own, noises, strict=True)], noises


def alone(seen: list[np.ndarray], noises: list[np.ndarray]) -> Lesson:
    """What each says, by way of the mean and covariance to which its own observation led from the prior."""
    means, covs = [], []
    for y, noise in zip(seen, noises, strict=True):
        gain = USUAL.var @ np.linalg.inv(USUAL.var + noise)
        means.append(USUAL.mean + gain @ (y[:, None] - USUAL.mean))
        covs.append(USUAL.var - gain @ USUAL.var)
    return alike.learned(USUAL, np.array(means), np.array(covs))


def test_what_each_observed_is_found_again() -> None:
    seen, noises = observed(1, 0.3)
    found = alone(seen, noises)
    assert np.linalg.inv(found.precision) == pytest.approx(np.array(noises), rel=1e-9)
    assert np.linalg.solve(found.precision, found.weighted)[:, :, 0] == pytest.approx(np.array(seen), rel=1e-9)


def test_who_knows_less_than_the_prior_of_one_number_tells_of_the_other_alone() -> None:
    cov = np.diag([0.02, 0.004])  # the first has drifted
    found = alike.learned(USUAL, np.array([USUAL.mean + 0.05]), cov[None])
    assert found.precision[0] == pytest.approx(np.diag([0.0, 1 / 0.004 - 1 / 0.0144]))
    assert found.weighted[0, 0, 0] == 0.0
    assert found.weighted[0, 1, 0] == pytest.approx(0.35 / 0.004 - 0.3 / 0.0144)


def test_the_others_say_what_generalised_least_squares_says() -> None:
    seen, noises = observed(2, 0.3)
    differ = 0.09 * USUAL.var
    each = alike.of_another(alone(seen, noises), differ)
    rest = Lesson(each.precision[1:].sum(0), each.weighted[1:].sum(0))
    said = alike.of_another(rest, differ)
    inverses = [np.linalg.inv(noise + differ) for noise in noises[1:]]
    var = np.linalg.inv(sum(inverses))
    mean = var @ sum(inverse @ y for inverse, y in zip(inverses, seen[1:], strict=True))
    assert np.linalg.inv(said.precision) == pytest.approx(var + differ, rel=1e-9)
    assert np.linalg.solve(said.precision, said.weighted)[:, 0] == pytest.approx(mean, rel=1e-9)


@pytest.mark.parametrize("spread", [0.1, 3.0])
def test_how_far_they_are_apart_is_judged_by_the_likelihood(spread: float) -> None:
    """Against scipy's multivariate normal density of all observations at once."""
    seen, noises = observed(3, spread)
    odds = []
    for share, before in alike.DIFFER:
        cov = np.kron(np.ones((MANY, MANY)), USUAL.var) + np.kron(np.eye(MANY), share**2 * USUAL.var)
        for i, noise in enumerate(noises):
            cov[2 * i : 2 * i + 2, 2 * i : 2 * i + 2] += noise
        mean = np.tile(USUAL.mean[:, 0], MANY)
        odds.append(multivariate_normal.logpdf(np.concatenate(seen), mean, cov) + np.log(before))
    weights = np.exp(np.array(odds) - max(odds))
    wanted = weights @ np.square([share for share, _ in alike.DIFFER]) / weights.sum()
    assert alike.apart(USUAL, alone(seen, noises)) == pytest.approx(wanted * USUAL.var, rel=1e-9)


def test_who_is_told_knows_what_a_kalman_update_says() -> None:
    rng = np.random.default_rng(5)
    p, m = np.cov(rng.normal(size=(4, 12))), rng.normal(size=4)
    inner, target = np.array([[40.0, 12.0], [12.0, 90.0]]), np.array([0.3, 0.25])
    h = np.zeros((2, 4))
    h[0, 2] = h[1, 3] = 1.0
    gain = p @ h.T @ np.linalg.inv(h @ p @ h.T + np.linalg.inv(inner))
    lesson = Lesson((h.T @ inner @ h)[None], (h.T @ inner @ target)[None, :, None])
    mean, cov = alike.told(m[None, :, None], p[None], lesson)
    assert mean[0, :, 0] == pytest.approx(m + gain @ (target - h @ m), rel=1e-9)
    assert cov[0] == pytest.approx(p - gain @ h @ p, rel=1e-9)


def test_nothing_said_changes_nothing() -> None:
    none = Lesson(np.zeros((1, 2, 2)), np.zeros((1, 2, 1)))
    mean, cov = alike.told(USUAL.mean[None], USUAL.var[None], none)
    assert mean[0] == pytest.approx(USUAL.mean)
    assert cov[0] == pytest.approx(USUAL.var)
    assert alike.of_another(none, USUAL.var).precision == pytest.approx(np.zeros((1, 2, 2)))
