"""A tank of larvae in the simulator: it eats the prey that is delivered, and starves when there is too little.

All numbers are invented for the simulator but those with a source. Part of the prey is still there the next day, but
unfed prey is worth little by then (rotifers lose value after harvest: Treece and Davis 2000); so one missed day costs
about a fifth of the larvae, two in a row most of them.
"""

from __future__ import annotations

import math
from datetime import date

from rackview.core.profile import LarvalGroup
from rackview.core.tables import Brood

EATEN, EATEN_AT_DAY = (
    60.0,
    6,
)  # 62 rotifers a day at 6 days after hatching: summer flounder, University of Rhode Island 1999
EATEN_GROWTH = 0.2
EATEN_MOST = 1200.0  # 1,900 a day is the upper figure of Treece and Davis 2000
HALF_PREY_PER_ML = 3.0  # below 3 per mL the tank is replenished: Treece and Davis 2000
STAYS = 0.3  # share of the prey not eaten that is still there the next day
STALE = 0.5  # what a day in the tank leaves of the prey's worth
LOST_SHARE = 0.4
"""A brood is lost when fewer than this share of its larvae are left on its last day of live prey."""


class LarvalTank:
    """One brood: larvae left, prey per mL in the tank and what it is worth (0 to 1), how well fed they are (0 to 1)."""

    def __init__(self, brood: Brood, group: LarvalGroup | None, hatched: date) -> None:
        self.brood = brood
        self.hatched = hatched
        self.strain = brood.strain or (group.strain if group else "rotifer-L")
        self.tank_l = brood.tank_l or 60.0
        self.larvae = self.hatch = float(brood.larvae or (group.eggs_per_brood if group else 300))
        self.wanted_per_ml = brood.prey_per_ml or (group.prey_per_ml if group else 8.0)
        self.first_day = brood.first_day if brood.first_day is not None else (group.first_day if group else 1)
        self.last_day = brood.last_day if brood.last_day is not None else (group.last_day if group else 8)
        self.prey_per_ml = 0.0
        self.worth = 1.0
        self.fed = 1.2  # yolk: a little more than a day of plenty
        self.delivered = 0.0

    def age(self, today: date) -> int:
        """Days since hatching."""
        return (today - self.hatched).days

    def feeding(self, today: date) -> bool:
        """Whether the larvae need live prey on this day."""
        return self.first_day <= self.age(today) <= self.last_day and self.larvae >= 1.0

    def done(self, today: date) -> bool:
        """Whether the days of live prey are over."""
        return self.age(today) > self.last_day

    @property
    def lost(self) -> bool:
        """Whether too few larvae are left to call the brood raised."""
        return self.larvae < LOST_SHARE * self.hatch

    def wanted(self) -> float:
        """Animals that bring the tank to the wanted prey density now."""
        return max(0.0, self.wanted_per_ml - self.prey_per_ml) * self.tank_l * 1000.0

    def add(self, animals: float) -> None:
        """Pour prey into the tank."""
        fresh = animals / (self.tank_l * 1000.0)
        if fresh > 0.0:
            self.worth = (self.worth * self.prey_per_ml + fresh) / (self.prey_per_ml + fresh)
            self.prey_per_ml += fresh
        self.delivered += animals

    def day(self, today: date) -> None:
        """Let the day `today` pass: larvae eat, starve or live, prey dies off or drains away."""
        if not self.feeding(today):
            self.prey_per_ml *= STAYS
            self.worth *= STALE
            return
        appetite = min(EATEN_MOST, EATEN * math.exp(EATEN_GROWTH * (self.age(today) - EATEN_AT_DAY)))
        there = self.prey_per_ml * self.tank_l * 1000.0
        hungry = self.larvae * appetite
        eaten = min(0.9 * there, hungry * self.prey_per_ml / (self.prey_per_ml + HALF_PREY_PER_ML))
        share = self.worth * eaten / hungry * (1.0 + HALF_PREY_PER_ML / self.wanted_per_ml)
        self.fed += (min(1.0, share) - self.fed) * (1.0 - math.exp(-1.0 / 0.8))
        self.larvae *= max(0.05, 0.98 - 0.9 * max(0.0, 0.7 - self.fed) / 0.7)
        self.prey_per_ml = (there - eaten) / (self.tank_l * 1000.0) * STAYS
        self.worth *= STALE
