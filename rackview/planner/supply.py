"""What the vessels of one strain can give together over the coming days, as one pool that grows and is drawn from.

Rough on purpose: it decides how a shortage is shared over the days of a brood and whether thinning must wait for a
hatch. Which vessel gives is decided vessel by vessel.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

LEAST_RATE, HALVINGS = 0.05, 12


@dataclass(frozen=True, slots=True)
class Pool:
    """Animals that may be drawn from: how many, how many must stay, at how many growth stops, growth per day.

    `rate_per_day` is that of a thin culture; it falls to nothing as the pool nears `ceiling`. `most_share` is the
    largest share drawn on one day.
    """

    animals: float
    keep: float
    ceiling: float
    rate_per_day: float
    most_share: float

    def after_a_day(self, animals: float) -> float:
        """Animals a day later when nothing is drawn."""
        crowd = min(max(1.0 - animals / self.ceiling, 0.0), 1.0) if self.ceiling > 0.0 else 0.0
        return animals * math.exp(max(self.rate_per_day, LEAST_RATE) * crowd)


def lasts(pool: Pool, draws: Sequence[float]) -> bool:
    """Whether these draws, one a day from today on, can all be met with what must stay untouched."""
    animals = pool.animals
    for draw in draws:
        if draw > 0.0 and (draw > pool.most_share * animals or animals - draw < pool.keep):
            return False
        animals = pool.after_a_day(animals - draw)
    return True


def met_share(pool: Pool, draws: Sequence[float]) -> float:
    """The largest share of every day's draw that can be met on all days alike: 1 when there is enough.

    A shortage shared early costs each day a little; met in full today it costs the last days all.
    """
    if not any(draws) or lasts(pool, draws):
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if lasts(pool, [middle * d for d in draws]) else (low, middle)
    return low


def thinning_share(pool: Pool, thinning: float, draws: Sequence[float]) -> float:
    """How much of a harvest that only growth asks for may be taken today without wanting it later: 0 to 1.

    Holds back only for days that need more than today; a steady need is met from growth anyway.
    """
    if thinning <= draws[0] or max(draws) <= 1.05 * draws[0] or lasts(pool, [max(thinning, draws[0]), *draws[1:]]):
        return 1.0
    for share in (0.75, 0.5, 0.25):
        if lasts(pool, [max(share * thinning, draws[0]), *draws[1:]]):
            return share
    return 0.0
