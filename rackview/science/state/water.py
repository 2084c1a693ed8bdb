"""How much water a vessel holds and by how much an action thins the animals in it.

Harvests, refills, top-ups and moves of culture are known exactly, so they shift the log density by an exact amount
and leave the growth rate alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import NamedTuple


class VesselWater(NamedTuple):
    """Water in a vessel: litres now, litres when full, and when it was last known to be full and last counted.

    Days since 1970-01-01T00:00Z. `full_day` and `count_day` say how much of the evaporation made good by the next
    top-up the newest count has seen already.
    """

    level_l: float
    full_l: float
    full_day: float = -math.inf
    count_day: float = -math.inf

    def counted(self, day: float) -> VesselWater:
        """The water with a count of it at `day`."""
        return _made((self.level_l, self.full_l, self.full_day, day))

    def filled(self, level_l: float, day: float) -> VesselWater:
        """The water after its level was set to `level_l` at `day`."""
        return _made((level_l, self.full_l, day, self.count_day))

    def taken(self, volume_l: float) -> VesselWater:
        """The water after `volume_l` of culture left it; the density stays."""
        return _made((max(self.level_l - volume_l, 0.0), self.full_l, self.full_day, self.count_day))

    def added(self, volume_l: float, day: float) -> tuple[VesselWater, float]:
        """The water after `volume_l` without animals came in, and the shift of the log density.

        What goes in beyond the full level made good what had evaporated. Evaporation thickens the culture before
        the top-up thins it again; only the part that the newest count has seen may be undone, or the thickening
        would be taken for growth.
        """
        if volume_l <= 0.0:
            return self, 0.0
        full = max(self.full_l, self.level_l)
        after = min(self.level_l + volume_l, full)
        evaporated = self.level_l + volume_l - after
        seen = self._seen(day)
        before = max(after - volume_l, 0.0)
        if before <= 0.0 or self.level_l <= 0.0:
            return self.filled(after, day), 0.0
        dilution = math.log(before / after)
        thickening = math.log(self.level_l / before) if evaporated > 0.0 else 0.0
        return self.filled(after, day), dilution + (1.0 - seen) * thickening

    def _seen(self, day: float) -> float:
        """The share of the evaporation since the last known full level that the newest count has seen."""
        if self.count_day <= self.full_day or self.full_day == -math.inf:
            return 0.0 if self.count_day <= self.full_day else 1.0
        if day <= self.full_day:
            return 1.0
        return min((self.count_day - self.full_day) / (day - self.full_day), 1.0)


_made: Callable[[tuple[float, ...]], VesselWater] = partial(tuple.__new__, VesselWater)
"""Water of all its fields, which is made with every event; by name it takes three times as long."""
