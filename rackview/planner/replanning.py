"""A chance to fall short as it comes true: each morning until then is planned anew and may avert it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rackview.planner.constants import REPLANNED, REPLANNED_AFTER, REPLANNED_TO

if TYPE_CHECKING:
    from rackview.planner.futures import Array


def replanned(short: Array) -> Array:
    """Probability of falling short on each day from today on, from the share of the futures that do.

    Shape (days, ...), the same out. The futures have the sound keeper on every later day and no choice among other
    ways to act, so what lies days ahead comes less often than in them; what is certain in them is averted by nobody.
    """
    ahead = np.clip(np.arange(len(short)), REPLANNED_AFTER, REPLANNED_TO).reshape(-1, *(1,) * (short.ndim - 1))
    found: Array = short ** (1.0 + REPLANNED * (ahead - REPLANNED_AFTER))
    return found
