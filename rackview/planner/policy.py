"""A sound keeper, as arrays: thin what stands over its aim, serve the larvae, level what is left.

Used both to propose what to do today and for every day ahead in the futures, where it acts on what the rack is known
to carry and not on what the future has drawn for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from rackview.planner.constants import (
    AHEAD_DAYS,
    IDLE,
    SLOWEST,
    SPARE_AIM,
    SUSTAINED,
    TOP,
    WORTH_HANDS,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    Array = NDArray[Any]

    Levels = Iterable[Array | float]


def coming(need: Array) -> Array:
    """The greatest need of a day within the days looked ahead, from each day on: needs (T, S) to the same shape."""
    days = need.shape[0]
    found = need.copy()
    for k in range(1, min(AHEAD_DAYS, days - 1) + 1):
        found[: days - k] = np.maximum(found[: days - k], need[k:])
    return found


def aim_share(coming_m: Array, full_m: float, rate: float) -> Array:
    """Share of its ceiling that a culture is kept at where so much is coming, if a thin one grows at this rate."""
    part = coming_m / max(SUSTAINED * max(rate, SLOWEST) * full_m, 1e-12)
    found: Array = np.clip(IDLE + (SPARE_AIM - IDLE) * part, IDLE, TOP)
    return found


def thinning(animals: Array, aim: Array, most: Array) -> Array:
    """Animals over the aim, where that is worth wet hands; shapes that fit (V, C, S)."""
    over = animals - aim
    found: Array = np.where(over > WORTH_HANDS * animals, np.minimum(over, most * animals), np.float32(0.0))
    return found


def serving(animals: Array, taken: Array, missing: Array, full: Array, most: Array, levels: Levels) -> Array:
    """Animals taken so that `missing` (C, S) more come together, levelling what is left from level to level.

    `levels` (steps, V, C or 1, 1) are shares of the ceiling `full` down to which each culture serves in turn.
    """
    cap = most * animals
    for level in levels:
        room = np.maximum(np.minimum(cap, animals - level * full) - taken, 0.0)
        total = room.sum(axis=0)
        part = np.minimum(missing / np.maximum(total, 1e-9), 1.0)
        taken = taken + room * part
        missing = missing - total * part
    return taken
