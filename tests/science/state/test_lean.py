"""The third moment of log density: what few animals, crowding and time make of it, by numerical integration."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.stats import nbinom, norm

from rackview.science.state import kernel
from rackview.science.state.carrier import ARRAYS, SCALARS
from rackview.science.state.kernel import Lapse, Noise, Tally

QUIET = Noise(0.0, 0.0)
GRID = np.linspace(-14.0, 14.0, 56_001)


def moments(density: np.ndarray) -> tuple[float, float, float, float]:
    """Mass, mean, variance and third central moment of a density on GRID."""
    share = density * (GRID[1] - GRID[0])
    mass = float(share.sum())
    mean = float(GRID @ share) / mass
    off = GRID - mean
    return mass, mean, float(off**2 @ share) / mass, float(off**3 @ share) / mass


def after_count(x: float, v: float, third: float, n: int, ml: float, cv2: float) -> tuple[float, float, float, float]:
    """What `kernel.hear` gives, by Bayes' theorem on a grid."""
    z = (GRID - x) / math.sqrt(v)
    before = norm.pdf(z) / math.sqrt(v) * np.maximum(1.0 + third / v**1.5 / 6.0 * (z**3 - 3.0 * z), 0.05)
    size = 1.0 / cv2
    mass, *rest = moments(before * nbinom.pmf(n, size, size / (size + np.exp(GRID) * ml)))
    return *rest, math.log(mass)


@pytest.mark.parametrize("third", [0.0, -0.15, -0.4])
@pytest.mark.parametrize("n", [0, 1, 4, 15])
def test_a_count_of_few_animals_leaves_a_lean(n: int, third: float) -> None:
    x, v, ml, cv2 = 0.3, 0.9, 2.0, 0.02
    tally = Tally.of(float(n), ml, SCALARS)
    found = kernel.hear(x, v, third, tally, tally.scatter(cv2, SCALARS), SCALARS)
    wanted = after_count(x, v, third, n, ml, cv2)
    assert found[0] == pytest.approx(wanted[0], abs=0.01)
    assert math.sqrt(found[1]) == pytest.approx(math.sqrt(wanted[1]), rel=0.01)
    # as a skewness, which is what the ends of an interval move by
    assert found[2] / found[1] ** 1.5 == pytest.approx(wanted[2] / wanted[1] ** 1.5, abs=0.03)
    assert found[3] == pytest.approx(wanted[3], abs=0.01)


def test_many_animals_leave_next_to_none() -> None:
    tally = Tally.of(400.0, 2.0, SCALARS)
    _, var, third, _ = kernel.hear(5.0, 0.5, -0.1, tally, tally.scatter(0.02, SCALARS), SCALARS)
    assert abs(third) / var**1.5 < 0.01


def test_few_and_many_in_one_array_are_each_as_alone() -> None:
    n, x = np.array([2.0, 50.0]), np.array([[0.2, 3.0]])
    tally = Tally.of(n, 2.0, ARRAYS)
    v, third = np.full((1, 2), 0.6), np.full((1, 2), -0.1)
    beside = kernel.hear(x, v, third, tally, tally.scatter(0.02, ARRAYS), ARRAYS)
    for k in range(2):
        one = Tally.of(float(n[k]), 2.0, SCALARS)
        alone = kernel.hear(float(x[0, k]), 0.6, -0.1, one, one.scatter(0.02, SCALARS), SCALARS)
        assert [value[0, k] for value in beside] == pytest.approx(alone, abs=1e-4)


def ahead(x: float, v: float, third: float, theta: float, dt: float = 1.0) -> tuple[float, float, float]:
    p = np.zeros((4, 4))
    p[0, 0] = v
    lapse = Lapse.of(dt, 0.25, SCALARS)
    m, cov, lean = kernel.ahead([x, 0.0, 0.3, theta], p.tolist(), 5.0, 0.5, lapse, QUIET, [], SCALARS, 0.0, third)
    return m[0], cov[0][0], lean


def test_without_crowding_time_leaves_a_lean_as_it_is() -> None:
    assert ahead(4.0, 0.5, -0.12, 0.0)[2] == pytest.approx(-0.12, rel=1e-12)


@pytest.mark.parametrize("x", [4.0, 5.0, 6.0])
def test_crowding_makes_a_spread_lean_to_the_low_side(x: float) -> None:
    v, theta = 0.1, 0.3
    nodes, weights = np.polynomial.hermite_e.hermegauss(40)
    after = np.array([ahead(x + math.sqrt(v) * z, 1e-12, 0.0, theta)[0] for z in nodes])
    mean = weights @ after / weights.sum()
    wanted = float(weights @ (after - mean) ** 3 / weights.sum())
    assert wanted < 0.0
    assert ahead(x, v, 0.0, theta)[2] == pytest.approx(wanted, rel=0.15)


def test_the_more_a_culture_comes_to_rest_the_less_it_leans() -> None:
    leans = [ahead(5.0, 1e-6, -1e-10, 0.3, dt)[2] for dt in (0.5, 1.0, 2.0)]
    assert all(-1e-10 < a < b < 0.0 for a, b in pairwise(leans))
