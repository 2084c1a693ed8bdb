"""Probabilities and quantiles of weighted normal distributions, in plain floats."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from math import erfc, exp
from operator import mul

ROOT_HALF = math.sqrt(0.5)
ROOT_2PI = math.sqrt(2.0 * math.pi)
TOLERANCE = 1e-7
"""Newton's last step; its square is what is left of the error."""

Part = tuple[float, float, float, float]
"""Half the weight, mean, standard deviation, and weight over standard deviation."""


def below(x: float, weights: Sequence[float], means: Sequence[float], sds: Sequence[float]) -> float:
    """Probability under `x` of a mixture of normals whose weights sum to 1."""
    chance = 0.0
    for w, m, s in zip(weights, means, sds, strict=True):
        chance += 0.5 * w * erfc((m - x) / s * ROOT_HALF)
    return chance


def quantiles(
    weights: Sequence[float], means: Sequence[float], sds: Sequence[float], levels: Sequence[float]
) -> list[float]:
    """Quantiles of a mixture of normals at `levels`, strictly between 0 and 1.

    Newton's method inside a bracket that halves whenever Newton would leave it. What the parts have as their own
    quantiles bracket that of the mixture, and their mean is a good beginning.
    """
    parts = [(0.5 * w, m, s, w / s) for w, m, s in zip(weights, means, sds, strict=True)]
    found = []
    for level in levels:
        probit = _probit(level)
        ends = [m + probit * s for _, m, s, _ in parts]
        found.append(_quantile(parts, level, sum(map(mul, weights, ends)), min(ends), max(ends)))
    return found


@lru_cache(64)
def _probit(level: float) -> float:
    """The standard normal quantile."""
    return _quantile([(0.5, 0.0, 1.0, 1.0)], level, 0.0, -40.0, 40.0)


def _quantile(parts: list[Part], level: float, x: float, low: float, high: float) -> float:
    if not low < x < high:
        x = 0.5 * (low + high)
    for _ in range(200):
        off, slope = -level, 0.0
        for half, m, s, peak in parts:
            z = (x - m) / s
            off += half * erfc(-z * ROOT_HALF)
            if -38.0 < z < 38.0:
                slope += peak * exp(-0.5 * z * z)
        if off <= 0.0:
            low = x
        if off >= 0.0:
            high = x
        step = off * ROOT_2PI / slope if slope > 1e-300 else math.inf
        if abs(step) <= TOLERANCE:  # wherever it leads: who has arrived stands on an end of the bracket
            return x - step
        x -= step
        if not low < x < high:
            x = 0.5 * (low + high)
    return x
