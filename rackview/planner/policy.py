"""A sound keeper, as arrays: thin what stands over its aim, serve the larvae, level what is left.

Used both to propose what to do today and for every day ahead in the futures, where it acts on what the rack is known
to carry and not on what the future has drawn for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    Array = NDArray[Any]

    Levels = Iterable[Array | float]

AHEAD_DAYS = 6
"""How far a keeper looks when sizing the stock: a thinned culture grows back a big harvest in about so long."""
IDLE, TOP = 0.3, 0.8
"""Share of its ceiling at which a culture is kept when nothing is coming, and the most it is let up to."""
KEPT = 0.42
"""Share of its ceiling at which a culture is kept where no larvae are to be fed: there it grows back about a third a
day, the trade's 30 to 40 % harvest where cultures thrive."""
SPARE_AIM = 0.62
"""Share of the ceiling aimed at where a day's need is what the rack can just sustain."""
SUSTAINED = 0.4
"""Share of what a full rack would grow at the pace of a thin culture that can be taken every day: a culture at 0.5 of
its ceiling grows at half that pace or more."""
SLOWEST = 0.1
"""Growth per day that a rack is reckoned with at least."""
THINNED = np.float32(0.3)
"""While larvae are fed, no more than this share of a culture is taken in a day for the sake of its density alone."""
WORTH_HANDS = 0.08
"""A culture less than this share over its aim is left alone."""
MARGIN = 1.12
"""Over the need, for hands and counts that err."""
LEVELS = (0.45, 0.25, 0.1)
DEEPEST = 0.04
"""The same where a brood is lost otherwise, if the density is one that a culture lives at."""
LATER = (0.4, 0.08)
"""Shares of the ceiling down to which cultures serve, one after the other as need be: today, and in the days ahead."""


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
