"""Probabilities and quantiles of weighted bells that may lean, in plain floats.

A bell leans by Edgeworth's first correction: under z of it are Phi(z) - skew / 6 (z^2 - 1) phi(z), which rises from 0
to 1 for any skewness up to 3 once what leaves 0 to 1 is cut off.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from math import erfc, exp
from operator import add, mul, sub

ROOT_HALF = math.sqrt(0.5)
ROOT_2PI = math.sqrt(2.0 * math.pi)
TOLERANCE = 1e-7
"""Newton's last step; its square is what is left of the error."""

FAR = 8.3
"""Standard deviations from its middle beyond which a bell has less than 1e-16 of its weight."""
MOST_SKEW = 0.6
"""Skewness that a bell is given at most."""

Part = tuple[float, float, float, float]
"""Weight, mean, standard deviation, and a sixth of the skewness."""


def below(
    x: float, weights: Sequence[float], means: Sequence[float], sds: Sequence[float], skews: Sequence[float]
) -> float:
    """Probability under `x` of a mixture whose weights sum to 1, but for their last digits."""
    return min(max(_at(x, _parts(weights, means, sds, skews))[0], 0.0), 1.0)


def _parts(*columns: Sequence[float]) -> list[Part]:
    return [(w, m, s, min(max(k, -MOST_SKEW), MOST_SKEW) / 6.0) for w, m, s, k in zip(*columns, strict=True)]


def _at(x: float, parts: list[Part]) -> tuple[float, float]:
    """Probability under `x`, and the density there."""
    chance = density = 0.0
    for w, m, s, sixth in parts:
        z = (x - m) / s
        if z > FAR:
            chance += w
        elif z > -FAR:
            square = z * z
            bell = exp(-0.5 * square) / ROOT_2PI
            under = 0.5 * erfc(-z * ROOT_HALF) - sixth * (square - 1.0) * bell
            if under >= 1.0:
                chance += w
            elif under > 0.0:
                chance += w * under
                density += w * bell * (1.0 + sixth * z * (square - 3.0)) / s
    return chance, density


def quantiles(
    weights: Sequence[float],
    means: Sequence[float],
    sds: Sequence[float],
    skews: Sequence[float],
    levels: Sequence[float],
) -> list[float]:
    """Quantiles of a mixture at `levels`, strictly between 0 and 1.

    Newton's method inside a bracket that halves whenever Newton would leave it. What the parts have as their own
    quantiles bracket that of the mixture, and their mean is a good beginning. A bell that leans has its own within so
    far of an upright one's: less than the middle on one side, where its tail is cut off, and one more on the other.
    """
    parts = _parts(weights, means, sds, skews)
    found = []
    for level in levels:
        probit = _probit(level)
        ends = [m + probit * s for _, m, s, _ in parts]
        wide = [(1.0 + abs(probit)) * s if sixth else 0.0 for _, _, s, sixth in parts]
        low, high = min(map(sub, ends, wide)), max(map(add, ends, wide))
        found.append(_quantile(parts, level, sum(map(mul, weights, ends)), low, high))
    return found


@lru_cache(64)
def _probit(level: float) -> float:
    """The standard normal quantile."""
    return _quantile([(1.0, 0.0, 1.0, 0.0)], level, 0.0, -40.0, 40.0)


def _quantile(parts: list[Part], level: float, x: float, low: float, high: float) -> float:
    if not low < x < high:
        x = 0.5 * (low + high)
    for _ in range(200):
        chance, density = _at(x, parts)
        off = chance - level
        if off <= 0.0:
            low = x
        if off >= 0.0:
            high = x
        step = off / density if density > 1e-300 else math.inf
        if abs(step) <= TOLERANCE:  # wherever it leads: who has arrived stands on an end of the bracket
            return x - step
        x -= step
        if not low < x < high:
            x = 0.5 * (low + high)
    return x
