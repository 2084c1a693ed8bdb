"""The elementary functions the filter needs, for plain numbers (one vessel) and for arrays (many vessels at once).

The filter is written once, over the numbers of one part of the belief; whether such a number is a float or an array
over alternatives and vessels is decided by the carrier handed in. A float costs a tenth of an array of one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import reduce
from operator import add
from typing import Any

import numpy as np

Value = Any
"""A float, or an array over alternatives and vessels."""

Pair = tuple[Value, Value]
SMALL = 1e-4


@dataclass(frozen=True, slots=True)
class Carrier:
    """One set of elementary functions.

    `least(x, floor)` and `most(x, roof)` keep x within a bound, `largest` is the largest value there is, `total` and
    `peak` are the sum and the largest over the parts of a belief, given as a list, `chosen` hands each part its own
    of a list of pairs, `decays(w, dt)` gives d = exp(-w dt), g = (1 - d) / w and (g - dt d) / w, limits at w = 0.
    """

    exp: Callable[[Value], Value]
    log: Callable[[Value], Value]
    root: Callable[[Value], Value]
    least: Callable[[Value, float], Value]
    most: Callable[[Value, float], Value]
    largest: Callable[[Value], float]
    total: Callable[[list[Value]], Value]
    peak: Callable[[list[Value]], Value]
    chosen: Callable[[list[Pair], tuple[Any, ...]], list[Pair]]
    log_gamma: Callable[[Value], Value]
    decays: Callable[[Value, Value], tuple[Value, Value, Value]]


def added(values: Iterable[Value]) -> Value:
    """The sum, one after the other: `sum` itself rounds floats otherwise from Python 3.12 on."""
    return reduce(add, values, 0.0)


def _exp(x: float) -> float:
    return math.exp(min(x, 700.0))


def scalar_decays(w: float, dt: float) -> tuple[float, float, float]:
    """`Carrier.decays` for plain floats."""
    x = w * dt
    if -SMALL < x < SMALL:
        series = 1.0 - 0.5 * x * (1.0 - x / 3.0)
        return 1.0 - x * series, dt * series, dt * dt * (0.5 - x / 3.0 + x * x / 8.0)
    d = math.exp(-x) if x > -60.0 else 1e26
    g = (1.0 - d) / w
    return d, g, (g - dt * d) / w


def _chosen(pairs: list[Pair], which: tuple[int, ...]) -> list[Pair]:
    return [pairs[i] for i in which]


def _array_chosen(pairs: list[Pair], which: tuple[Any, ...]) -> list[Pair]:
    columns = [np.array([np.broadcast_to(pair[k], np.shape(pairs[0][1])) for pair in pairs]) for k in (0, 1)]
    return [(columns[0][i], columns[1][i]) for i in which]


def _array_exp(x: Value) -> Value:
    return np.exp(np.minimum(x, 700.0))


def log_gamma_by_series(x: Value, log: Callable[[Value], Value]) -> Value:
    """Stirling's series after raising the argument by six; good to 1e-11 from 0.5 on."""
    low = x * (x + 1.0) * (x + 2.0) * (x + 3.0) * (x + 4.0) * (x + 5.0)
    y = x + 6.0
    r = 1.0 / (y * y)
    series = (1.0 / 12.0 - r * (1.0 / 360.0 - r * (1.0 / 1260.0 - r * (1.0 / 1680.0 - r / 1188.0)))) / y
    return (y - 0.5) * log(y) - y + 0.9189385332046727 + series - log(low)


def array_decays(w: Value, dt: Value) -> tuple[Value, Value, Value]:
    """`Carrier.decays` for arrays."""
    x = w * dt
    d = np.exp(-np.maximum(x, -60.0))
    small = np.abs(x) < SMALL
    if not small.any():
        g = (1.0 - d) / w
        return d, g, (g - dt * d) / w
    safe = np.where(small, 1.0, w)
    g = (1.0 - d) / safe
    series = 1.0 - 0.5 * x * (1.0 - x / 3.0)
    return (
        np.where(small, 1.0 - x * series, d),
        np.where(small, dt * series, g),
        np.where(small, dt * dt * (0.5 - x / 3.0 + x * x / 8.0), (g - dt * d) / safe),
    )


SCALARS = Carrier(_exp, math.log, math.sqrt, max, min, float, added, max, _chosen, math.lgamma, scalar_decays)
"""Plain floats."""
ARRAYS = Carrier(
    _array_exp,
    np.log,
    np.sqrt,
    np.maximum,
    np.minimum,
    lambda x: float(np.max(x)),
    lambda parts: parts[0].sum(0),
    lambda parts: parts[0].max(0),
    _array_chosen,
    lambda x: log_gamma_by_series(x, np.log),
    array_decays,
)
"""Arrays of shape (alternatives, vessels): all parts of the belief in one."""
