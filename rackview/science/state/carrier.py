"""The elementary functions the filter needs, for plain numbers (one vessel) and for arrays (many vessels at once).

The filter is written once, over the numbers of one part of the belief; whether such a number is a float or an array
with one value per vessel is decided by the carrier handed in. A float costs a tenth of an array of one.
"""

from __future__ import annotations

import math
from typing import Any, Protocol

import numpy as np

Value = Any
"""A float, or an array with one value per vessel."""

SMALL = 1e-4


class Carrier(Protocol):
    """What both carriers offer; `decays(w, dt)` gives exp(-w dt), its mean over dt times dt, and their difference.

    In full: d = exp(-w dt), g = (1 - d) / w, (g - dt d) / w, with the limits at w = 0.
    """

    @staticmethod
    def exp(x: Value) -> Value: ...
    @staticmethod
    def log(x: Value) -> Value: ...
    @staticmethod
    def least(x: Value, floor: float) -> Value: ...
    @staticmethod
    def most(x: Value, roof: float) -> Value: ...
    @staticmethod
    def log_gamma(x: Value) -> Value: ...
    @staticmethod
    def decays(w: Value, dt: Value) -> tuple[Value, Value, Value]: ...


class Scalars:
    """Plain floats."""

    log = staticmethod(math.log)
    log_gamma = staticmethod(math.lgamma)

    @staticmethod
    def exp(x: float) -> float:
        return math.exp(x) if x < 700.0 else 1e304

    @staticmethod
    def least(x: float, floor: float) -> float:
        return x if x > floor else floor

    @staticmethod
    def most(x: float, roof: float) -> float:
        return x if x < roof else roof

    @staticmethod
    def decays(w: float, dt: float) -> tuple[float, float, float]:
        x = w * dt
        if -SMALL < x < SMALL:
            d = 1.0 - x * (1.0 - 0.5 * x * (1.0 - x / 3.0))
            return d, dt * (1.0 - 0.5 * x * (1.0 - x / 3.0)), dt * dt * (0.5 - x / 3.0 + x * x / 8.0)
        d = math.exp(-x) if x > -60.0 else 1e26
        g = (1.0 - d) / w
        return d, g, (g - dt * d) / w


class Arrays:
    """Arrays with one value per vessel."""

    log = staticmethod(np.log)

    @staticmethod
    def exp(x: Value) -> Value:
        return np.exp(np.minimum(x, 700.0))

    @staticmethod
    def least(x: Value, floor: float) -> Value:
        return np.maximum(x, floor)

    @staticmethod
    def most(x: Value, roof: float) -> Value:
        return np.minimum(x, roof)

    @staticmethod
    def log_gamma(x: Value) -> Value:
        """Stirling's series after raising the argument by six."""
        low = x * (x + 1.0) * (x + 2.0) * (x + 3.0) * (x + 4.0) * (x + 5.0)
        y = x + 6.0
        r = 1.0 / (y * y)
        series = (1.0 / 12.0 - r * (1.0 / 360.0 - r * (1.0 / 1260.0 - r / 1680.0))) / y
        return (y - 0.5) * np.log(y) - y + 0.9189385332046727 + series - np.log(low)

    @staticmethod
    def decays(w: Value, dt: Value) -> tuple[Value, Value, Value]:
        x = w * dt
        small = np.abs(x) < SMALL
        safe = np.where(small, 1.0, w)
        d = np.exp(-np.maximum(x, -60.0))
        g = (1.0 - d) / safe
        h = (g - dt * d) / safe
        if not small.any():
            return d, g, h
        series = 1.0 - 0.5 * x * (1.0 - x / 3.0)
        return (
            np.where(small, 1.0 - x * series, d),
            np.where(small, dt * series, g),
            np.where(small, dt * dt * (0.5 - x / 3.0 + x * x / 8.0), h),
        )
