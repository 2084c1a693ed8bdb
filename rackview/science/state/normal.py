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

MOST_SKEW = 0.9
"""Skewness that a part is given at most; up to 3 its distribution would still rise all the way."""

Part = tuple[float, float, float, float]
"""Weight, mean, standard deviation, and a sixth of the skewness."""


def below(
    x: float, weights: Sequence[float], means: Sequence[float], sds: Sequence[float], skews: Sequence[float]
) -> float:
    """Probability under `x` of a mixture whose weights sum to 1."""
    return sum(w * _part(x, m, s, k)[0] for w, m, s, k in _parts(weights, means, sds, skews))


def _parts(*columns: Sequence[float]) -> list[Part]:
    return [(w, m, s, min(max(k, -MOST_SKEW), MOST_SKEW) / 6.0) for w, m, s, k in zip(*columns, strict=True)]


def _part(x: float, m: float, s: float, sixth: float) -> tuple[float, float]:
    """Probability under `x`, and density there, of one part: Edgeworth's first correction, between 0 and 1."""
    z = (x - m) / s
    chance = 0.5 * erfc(-z * ROOT_HALF)
    if not -38.0 < z < 38.0:
        return chance, 0.0
    bell, square = exp(-0.5 * z * z) / ROOT_2PI, z * z
    chance -= sixth * (square - 1.0) * bell
    if not 0.0 < chance < 1.0:
        return min(max(chance, 0.0), 1.0), 0.0
    return chance, bell * (1.0 + sixth * z * (square - 3.0)) / s


def quantiles(
    weights: Sequence[float],
    means: Sequence[float],
    sds: Sequence[float],
    skews: Sequence[float],
    levels: Sequence[float],
) -> list[float]:
    """Quantiles of a mixture of normals at `levels`, strictly between 0 and 1.

    Newton's method inside a bracket that halves whenever Newton would leave it. What the parts have as their own
    quantiles bracket that of the mixture, and their mean is a good beginning.
    """
    parts = _parts(weights, means, sds, skews)
    found = []
    for level in levels:
        probit = _probit(level)
        room = 6.0 * (1.0 + abs(probit))
        ends = [m + probit * s for _, m, s, _ in parts]
        low = min([m + (probit - room * abs(k)) * s for _, m, s, k in parts])
        high = max([m + (probit + room * abs(k)) * s for _, m, s, k in parts])
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
        off, slope = -level, 0.0
        for w, *one in parts:
            chance, density = _part(x, *one)
            off += w * chance
            slope += w * density
        if off <= 0.0:
            low = x
        if off >= 0.0:
            high = x
        step = off / slope if slope > 1e-300 else math.inf
        if abs(step) <= TOLERANCE:  # wherever it leads: who has arrived stands on an end of the bracket
            return x - step
        x -= step
        if not low < x < high:
            x = 0.5 * (low + high)
    return x
