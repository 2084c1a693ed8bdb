"""What is told by counts whose aliquots are known to differ beyond chance, by a coefficient of variation `cv`."""

from __future__ import annotations

import math

from rackview.science.counts import scattered_limits
from rackview.science.state import constants as c
from rackview.science.state.normal import probit

Z95 = probit(0.975)
LEVEL = 0.95
"""Confidence of an interval, unless another is asked for."""


def density_interval(
    animals: int, looked_at_ml: float, aliquots: int, cv: float, level: float = LEVEL
) -> tuple[float, float, float]:
    """Density that one count tells, animals per mL, and the ends of its interval at that confidence."""
    low, high = scattered_limits(animals, aliquots, min(cv, c.MOST_CV), level)
    return animals / looked_at_ml, low / looked_at_ml, high / looked_at_ml


def half_width(cv: float, animals: float, aliquots: float) -> float:
    """Half-width of the 95 % interval, as a share of the mean, of so many aliquots of `animals` each.

    z sqrt((1/m + cv^2) / r): chance in m animals an aliquot, and the scatter between r aliquots.
    """
    return Z95 * math.sqrt((1.0 / max(animals, 1.0) + cv**2) / aliquots)


def aliquots_for_precision(cv: float, animals: float, precision: float) -> int:
    """How many aliquots of `animals` each it takes for that half-width."""
    return max(1, math.ceil(half_width(cv, animals, 1.0) ** 2 / precision**2 - 1e-9))
