"""What is assumed of a strain before its vessel has told anything: start, ceiling, pace, temperatures."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from rackview.core.profile import StrainProfile
from rackview.science import thermal
from rackview.science.state.model import Model, pace_of, paced

LOW_C, HIGH_C = thermal.CARDINAL
LOSS = {"rotifer": 1.0 / 7.0, "copepod": 1.0 / 20.0}
"""Losses per day where no eggs are counted. Common practice, no source: rotifers a life of 7 days, between the 3.4 to
4.4 at 25 degC (Lavens, P. & Sorgeloos, P. (eds) 1996, FAO Fisheries Technical Paper 361, 3.3) and the 10.5 of a cohort
at 20 degC (life history by algal food, Oral Roberts University, abstract); copepods 20."""


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
    @lru_cache(64)
    def of(cls, profile: StrainProfile) -> Prior:
        """The prior that a strain profile stands for."""
        return cls(
            start=math.log(profile.start_per_ml),
            ceiling=math.log(profile.ceiling_per_ml),
            rate=profile.rate_per_day,
            most=profile.rate_most_per_day,
            loss=LOSS["rotifer" if profile.animal == "rotifer" else "copepod"],
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


@lru_cache(4096)
def _warmth(temperature_c: float, usual_c: float, cardinal_c: tuple[float, float, float]) -> float:
    low, best, high = cardinal_c
    if not (low < usual_c < high and low < best < high) or (low, high) != (max(low, LOW_C), min(high, HIGH_C)):
        return 1.0  # a keeper's own profile may say so: then temperature tells nothing
    return float(thermal.growth_factor(temperature_c, usual_c, *cardinal_c))
