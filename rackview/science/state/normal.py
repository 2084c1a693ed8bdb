"""Probabilities and quantiles of weighted normal distributions, in plain floats."""

from __future__ import annotations

import math
from collections.abc import Sequence

ROOT_HALF = math.sqrt(0.5)
ROOT_2PI = math.sqrt(2.0 * math.pi)
TOLERANCE = 1e-10


def below(x: float, weights: Sequence[float], means: Sequence[float], sds: Sequence[float]) -> float:
    """Probability under `x` of a mixture of normals whose weights sum to 1."""
    return sum(0.5 * w * math.erfc((m - x) / s * ROOT_HALF) for w, m, s in zip(weights, means, sds, strict=True))


def _density(x: float, weights: Sequence[float], means: Sequence[float], sds: Sequence[float]) -> float:
    total = 0.0
    for w, m, s in zip(weights, means, sds, strict=True):
        z = (x - m) / s
        if -38.0 < z < 38.0:
            total += w / s * math.exp(-0.5 * z * z)
    return total / ROOT_2PI


def quantiles(
    weights: Sequence[float], means: Sequence[float], sds: Sequence[float], levels: Sequence[float]
) -> list[float]:
    """Quantiles of a mixture of normals at `levels`, strictly between 0 and 1.

    Newton's method inside a bracket that halves whenever Newton would leave it.
    """
    lowest = min(m - 40.0 * s for m, s in zip(means, sds, strict=True))
    highest = max(m + 40.0 * s for m, s in zip(means, sds, strict=True))
    x = sum(w * m for w, m in zip(weights, means, strict=True))
    found = []
    for level in levels:
        low, high = lowest, highest
        for _ in range(200):
            off = below(x, weights, means, sds) - level
            if off <= 0.0:
                low = x
            if off >= 0.0:
                high = x
            slope = _density(x, weights, means, sds)
            step = off / slope if slope > 1e-300 else math.inf
            new = x - step
            if not low < new < high:
                new = 0.5 * (low + high)
            done = abs(new - x) <= TOLERANCE * (1.0 + abs(x))
            x = new
            if done:
                break
        found.append(x)
    return found
