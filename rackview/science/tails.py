"""Tails and quantiles of a few distributions, exact and without scipy.

`scipy.special` takes about a quarter of a second to load, and an interval round a count is wanted at every start. The
sums below have positive terms only, so nothing cancels; the tests hold them to scipy at 1e-9.
"""

from __future__ import annotations

import math
from functools import lru_cache

from rackview.science.limits import above, number, whole

SMALL = 1e-17
"""A tail under this is none: under the spacing of numbers near 1."""
MOST_COUNTED = 10_000_000
"""Animals in a count up to which its limits are reckoned by sums, which take longer with every one."""
NEWTON_STEPS, NEWTON_DONE = 60, 1e-13
"""Steps of Newton's method at most, and the step, as a share, under which it is done: far under the 1e-9 that the tests
hold the results to."""
STEPS = 200
"""Halvings that bring any bracket of two numbers down to neighbouring ones, with room to spare."""

USUAL_LEVEL = 0.95
LEVELS = (0.5, 0.9999)
"""The usual confidence level, by convention; those understood here, least and most."""


def confidence(level: float) -> float:
    """`level` checked to be a confidence level from 0.5 to 0.9999 (a share, not a percentage)."""
    return number("level", level, *LEVELS, "(0.95 for 95 %)")


@lru_cache(maxsize=64)
def normal_z(level: float = USUAL_LEVEL) -> float:
    """z such that a standard normal lies within -z..z with probability `level`: 1.95996 for 0.95.

    Newton's method on the logarithm of the tail, which is concave.
    """
    tail = (1.0 - confidence(level)) / 2
    z = 0.0
    for _ in range(NEWTON_STEPS):
        beyond = math.erfc(z / math.sqrt(2.0)) / 2
        step = math.log(beyond / tail) * beyond / (math.exp(-z * z / 2) / math.sqrt(2 * math.pi))
        z += step
        if abs(step) < NEWTON_DONE / 10 * (1.0 + z):
            break
    return z


@lru_cache(maxsize=4096)
def poisson_limits(n: int, level: float = USUAL_LEVEL) -> tuple[float, float]:
    """Exact central confidence limits of a Poisson mean, from one count of `n` animals.

    lower: P(X >= n | lower) = (1 - level)/2, and 0 for n = 0; upper: P(X <= n | upper) = (1 - level)/2.
    Range: n 0 to 1e7. Source: Garwood, F. 1936, Biometrika 28:437-442.
    """
    n = whole("n", n, 0, MOST_COUNTED, "animals")
    z = normal_z(level)
    tail = math.log((1.0 - level) / 2)
    upper = max((n + 1) * (1 - 1 / (9 * (n + 1)) + z / (3 * math.sqrt(n + 1))) ** 3, n + 0.5)
    for _ in range(NEWTON_STEPS):
        ratio = _at_most(n, upper)
        step = (_log_poisson(n, upper) + math.log(ratio) - tail) * ratio
        upper += step
        if abs(step) < NEWTON_DONE * upper:
            break
    if n == 0:
        return 0.0, upper
    lower = n * max(1 - 1 / (9 * n) - z / (3 * math.sqrt(n)), 0.1) ** 3
    for _ in range(NEWTON_STEPS):
        ratio = _at_least(n, lower)
        step = (_log_poisson(n, lower) + math.log(ratio) - tail) * ratio / n
        lower *= math.exp(-step)
        if abs(step) < NEWTON_DONE:
            break
    return lower, upper


def _log_poisson(n: int, mean: float) -> float:
    return n * math.log(mean) - mean - math.lgamma(n + 1.0)


def _at_most(n: int, mean: float) -> float:
    """P(X <= n) / P(X = n) for a Poisson mean: 1 + n/mean + n(n-1)/mean^2 + ..."""
    total = term = 1.0
    for k in range(n, 0, -1):
        term *= k / mean
        total += term
        if term < SMALL * total:
            break
    return total


def _at_least(n: int, mean: float) -> float:
    """P(X >= n) / P(X = n) for a Poisson mean below n: 1 + mean/(n+1) + mean^2/((n+1)(n+2)) + ..."""
    total = term = 1.0
    k = n
    while term >= SMALL * total:
        k += 1
        term *= mean / k
        total += term
    return total


@lru_cache(maxsize=256)
def student_t(level: float, df: int) -> float:
    """t such that Student's t with `df` degrees of freedom lies within -t..t with probability `level`.

    Source: Abramowitz, M. & Stegun, I.A. 1964, Handbook of Mathematical Functions, 26.7.3 and 26.7.4 (the finite sums
    for whole degrees of freedom), inverted by halving the angle's bracket.
    """
    level = confidence(level)
    df = whole("df", df, 1, 100_000)
    low, high = 0.0, math.pi / 2
    while True:
        middle = (low + high) / 2
        if middle in (low, high):
            return math.sqrt(df) * math.tan(middle)
        if _within_angle(middle, df) < level:
            low = middle
        else:
            high = middle


def _within_angle(angle: float, df: int) -> float:
    cos2 = math.cos(angle) ** 2
    odd = df % 2
    term = math.cos(angle) if odd else 1.0
    total = term if df > 1 else 0.0
    for k in range(2 if odd else 1, df - 1, 2):
        term *= cos2 * k / (k + 1)
        total += term
    total *= math.sin(angle)
    return 2 / math.pi * (angle + total) if odd else total


def chi2_tail(x: float, df: int) -> float:
    """P(chi-square with `df` degrees of freedom >= x); x 0 or more.

    Source: Abramowitz & Stegun 1964, 26.4.4 and 26.4.5 (finite sums for whole degrees of freedom).
    """
    half = number("x", x) / 2
    df = whole("df", df, 1, 1_000_000)
    if half == 0:
        return 1.0
    start = 0.5 * (df % 2)
    terms = ((k + start) * math.log(half) - half - math.lgamma(k + start + 1) for k in range(df // 2))
    total = math.fsum(math.exp(t) for t in terms)
    return min(total + (math.erfc(math.sqrt(half)) if df % 2 else 0.0), 1.0)


def beta_share(a: float, b: float, x: float) -> float:
    """The regularised incomplete beta function I_x(a, b): the share of a beta distribution below `x`.

    For whole numbers it is the chance of `a` or more successes in a + b - 1 trials that each succeed with chance x.
    Range: a and b above 0, x from 0 to 1. Source: Abramowitz & Stegun 1964, 26.5.4 (a series of positive terms) and
    26.5.2 (the other end).
    """
    a, b, x = above("a", a), above("b", b), number("x", x, 0, 1)
    if x in (0.0, 1.0):
        return x
    if x > (a + 1) / (a + b + 2):
        return 1.0 - _beta_series(b, a, 1.0 - x)
    return _beta_series(a, b, x)


def _beta_series(a: float, b: float, x: float) -> float:
    front = a * math.log(x) + b * math.log1p(-x) + math.lgamma(a + b) - math.lgamma(a + 1) - math.lgamma(b)
    total = term = 1.0
    n = 0
    while term >= SMALL * total:
        term *= x * (a + b + n) / (a + 1 + n)
        total += term
        n += 1
    return min(total * math.exp(front), 1.0)


def beta_quantile(a: float, b: float, share: float) -> float:
    """x such that `beta_share(a, b, x)` is `share`, by halving; a and b above 0, share from 0 to 1."""
    share = number("share", share, 0, 1)
    low, high = 0.0, 1.0
    for _ in range(STEPS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if beta_share(a, b, middle) < share else (low, middle)
    return high
