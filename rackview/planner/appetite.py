"""What larvae really eat, learned from what was left in their tanks: a factor on the need reckoned, with its doubt.

A tank is fed up to the wanted density, so what is missing a day later was eaten, died or washed out; all of it has to
be brought again. Each look compares that with what was reckoned. The factor starts at 1 and moves by as much as the
looks outweigh what is known without them.
"""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import TYPE_CHECKING

from rackview.core.dataclass import dataclass
from rackview.planner.constants import (
    EMPTY_MORE,
    EMPTY_SHARE,
    LEAST_GONE,
    LOOK_SD,
    USUAL_SD,
    Z90,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from rackview.core.tables import TankEntry


@dataclass(frozen=True, slots=True)
class Appetite:
    """A brood's need against the one reckoned: logarithm of the factor, its standard deviation, looks it rests on."""

    log_factor: float = 0.0
    log_sd: float = USUAL_SD
    looks: int = 0

    @property
    def factor(self) -> float:
        """The factor on the need."""
        return math.exp(self.log_factor)

    @property
    def low90(self) -> float:
        """The low end of the factor's 90 % interval."""
        return math.exp(self.log_factor - Z90 * self.log_sd)

    @property
    def high90(self) -> float:
        """The high end of the factor's 90 % interval."""
        return math.exp(self.log_factor + Z90 * self.log_sd)


def left_by_day(tanks: Iterable[TankEntry], tank: str) -> dict[date, float]:
    """Prey per mL left in a tank by the day of the look; the mean where it was looked at under several feeds."""
    found: dict[date, list[float]] = {}
    for one in tanks:
        if one.tank == tank and one.left_per_ml is not None:
            found.setdefault(one.date, []).append(one.left_per_ml)
    return {day: sum(looks) / len(looks) for day, looks in found.items()}


def learn(left: dict[date, float], wanted_per_ml: float, tank_ml: float, need_on: Callable[[date], float]) -> Appetite:
    """The appetite by all looks; `need_on` is the need reckoned for a day (animals), 0 where nothing is fed.

    `wanted_per_ml` is what the tank is fed up to, `tank_ml` its volume, both above 0 or nothing is learned.
    """
    weight, total, looks = 1.0 / USUAL_SD**2, 0.0, 0
    for day, per_ml in sorted(left.items()):
        before = day - timedelta(days=1)
        need = need_on(day)
        if need <= 0.0 or need_on(before) <= 0.0 or wanted_per_ml * tank_ml <= 0.0:
            continue
        full = max(wanted_per_ml, left.get(before, 0.0))
        gone = max(full - per_ml, 0.0) * tank_ml
        said, sd = math.log(max(gone, LEAST_GONE * need) / need), LOOK_SD
        if per_ml < EMPTY_SHARE * wanted_per_ml:
            said, sd = said + math.log(EMPTY_MORE), 2.0 * LOOK_SD
        weight += 1.0 / sd**2
        total += said / sd**2
        looks += 1
    return Appetite(total / weight, 1.0 / math.sqrt(weight), looks)
