"""What is assumed of a strain before its vessel has told anything: start, ceiling, pace, temperatures."""

from __future__ import annotations

import math
from functools import lru_cache

from rackview.core.dataclass import dataclass
from rackview.core.profile import StrainProfile
from rackview.science import thermal
from rackview.science.state import constants as c
from rackview.science.state.model import Model, pace_of, paced

LOW_C, HIGH_C = thermal.CARDINAL


@dataclass(frozen=True, slots=True)
class Prior:
    """The numbers of a strain profile that the estimate rests on; equal numbers share one memo.

    `start` and `ceiling` are logs of animals per mL, `rate`, `most` and `loss` per day, temperatures degC.
    """

    start: float
    ceiling: float
    rate: float
    most: float
    loss: float
    usual_c: float
    cardinal_c: tuple[float, float, float]
    rotifer: bool

    @classmethod
    @lru_cache(maxsize=64)
    def of(cls, profile: StrainProfile) -> Prior:
        """The prior that a strain profile stands for."""
        return cls(
            start=math.log(profile.start_per_ml),
            ceiling=math.log(profile.ceiling_per_ml),
            rate=profile.rate_per_day,
            most=profile.rate_most_per_day,
            loss=c.LOSS["rotifer" if profile.animal == "rotifer" else "copepod"],
            usual_c=profile.usual_c,
            cardinal_c=(profile.growth_min_c, profile.growth_opt_c, profile.growth_max_c),
            rotifer=profile.animal == "rotifer",
        )

    @property
    def model(self) -> Model:
        """The growth model at this strain's pace."""
        return paced(pace_of(self.rate))

    def warmth(self, temperature_c: float) -> float:
        """How growth goes with temperature: 1 at the strain's usual one."""
        return _warmth(round(min(max(temperature_c, -2.0), 60.0), 2), self.usual_c, self.cardinal_c)


@lru_cache(maxsize=4096)
def _warmth(temperature_c: float, usual_c: float, cardinal_c: tuple[float, float, float]) -> float:
    low, best, high = cardinal_c
    if not (low < usual_c < high and low < best < high) or (low, high) != (max(low, LOW_C), min(high, HIGH_C)):
        return 1.0  # a keeper's own profile may say so: then temperature tells nothing
    return float(thermal.growth_factor(temperature_c, usual_c, *cardinal_c))
