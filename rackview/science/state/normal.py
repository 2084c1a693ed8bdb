"""Probabilities and quantiles of weighted normal distributions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from rackview.science.limits import Array
from rackview.science.state.constants import TINY

ROOT_HALF = math.sqrt(0.5)
ROOT_2PI = math.sqrt(2.0 * math.pi)
TOLERANCE = 1e-7
"""Newton's last step; its square is what is left of the error."""
FAR = 8.3
"""Standard deviations from its middle beyond which a normal distribution has less than 1e-16 of its weight."""
HALVINGS = 34
EDGE, MOST_STEPS = 40.0, 200
"""Standard deviations beyond which no quantile lies, and steps after which the search for one ends."""
TAIL = 0.2316419, (0.319381530, -0.356563782, 1.781477937, -1.821255978, 1.330274429)
"""Of Abramowitz & Stegun 1964, 26.2.17."""

Components = tuple[Sequence[float], Sequence[float], Sequence[float]]
"""Weights, means and standard deviations of a log density per mL."""


def below(x: float, weights: Sequence[float], means: Sequence[float], sds: Sequence[float]) -> float:
    """Probability under `x` of a mixture whose weights sum to 1, but for their last digits."""
    return min(max(_at(x, weights, means, sds)[0], 0.0), 1.0)


def _at(x: float, weights: Sequence[float], means: Sequence[float], sds: Sequence[float]) -> tuple[float, float]:
    """Probability under `x`, and the density there."""
    chance = density = 0.0
    for w, m, s in zip(weights, means, sds, strict=True):
        z = (x - m) / s
        if z > FAR:
            chance += w
        elif z > -FAR:
            chance += w * 0.5 * math.erfc(-z * ROOT_HALF)
            density += w * math.exp(-0.5 * z * z) / (ROOT_2PI * s)
    return chance, density


def quantiles(
    weights: Sequence[float], means: Sequence[float], sds: Sequence[float], levels: Sequence[float]
) -> list[float]:
    """Quantiles of a mixture at `levels`, strictly between 0 and 1.

    Newton's method inside a bracket that halves whenever Newton would leave it; the parts' own quantiles bracket that
    of the mixture, and their mean is a good beginning.
    """
    found = []
    for level in levels:
        z = probit(level)
        ends = [m + z * s for m, s in zip(means, sds, strict=True)]
        begin = sum([w * end for w, end in zip(weights, ends, strict=True)])
        found.append(_quantile(weights, means, sds, level, begin, min(ends), max(ends)))
    return found


@lru_cache(maxsize=64)
def probit(level: float) -> float:
    """The standard normal quantile."""
    return _quantile([1.0], [0.0], [1.0], level, 0.0, -EDGE, EDGE)


def _quantile(
    weights: Sequence[float],
    means: Sequence[float],
    sds: Sequence[float],
    level: float,
    x: float,
    low: float,
    high: float,
) -> float:
    if not low < x < high:
        x = 0.5 * (low + high)
    for _ in range(MOST_STEPS):
        chance, density = _at(x, weights, means, sds)
        off = chance - level
        if off <= 0.0:
            low = x
        if off >= 0.0:
            high = x
        step = off / density if density > TINY else math.inf
        if abs(step) <= TOLERANCE:  # wherever it leads: who has arrived stands on an end of the bracket
            return x - step
        x -= step
        if not low < x < high:
            x = 0.5 * (low + high)
    return x


def many_quantiles(weights: Array, means: Array, sds: Array, levels: Sequence[float]) -> Array:
    """Quantiles of several mixtures at once, (mixtures, levels), from arrays (parts, mixtures); by halving."""
    w, m, s = (a[:, :, None] for a in (weights, means, sds))
    wanted = np.array(levels)
    probits = np.array([probit(level) for level in levels])
    ends = m + probits * s
    low, high = ends.min(0) - 1e-9, ends.max(0) + 1e-9
    for _ in range(HALVINGS):
        x = 0.5 * (low + high)
        under = (w * cumulative((x - m) / s)).sum(0) < wanted
        low, high = np.where(under, x, low), np.where(under, high, x)
    return 0.5 * (low + high)  # type: ignore[no-any-return]


def cumulative(z: Array) -> Array:
    """Probability under z of a standard normal, within 1e-7 (Abramowitz & Stegun 1964, 26.2.17)."""
    size = np.abs(z)
    p, (b1, b2, b3, b4, b5) = TAIL
    t = 1.0 / (1.0 + p * size)
    poly = t * (b1 + t * (b2 + t * (b3 + t * (b4 + t * b5))))
    tail = np.exp(-0.5 * size * size) / ROOT_2PI * poly
    return np.where(z > 0.0, 1.0 - tail, tail)
