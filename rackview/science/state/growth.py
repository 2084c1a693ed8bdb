"""What is assumed of a strain before its vessel has told anything: growth, ceiling, scatter."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rackview.core.profile import StrainProfile


@dataclass(frozen=True, slots=True)
class Prior:
    """The numbers of a strain profile that the estimate rests on; equal numbers share one memo.

    `start` and `ceiling` are logs of animals per mL, `rate` and `spread` per day, `usual_c` degC.
    """

    start: float
    ceiling: float
    rate: float
    spread: float
    usual_c: float
    rotifer: bool

    @classmethod
    def of(cls, profile: StrainProfile) -> Prior:
        """The prior that a strain profile stands for."""
        return cls(
            start=math.log(profile.start_per_ml),
            ceiling=math.log(profile.ceiling_per_ml),
            rate=profile.rate_per_day,
            spread=profile.rate_spread_per_day,
            usual_c=profile.usual_c,
            rotifer=profile.animal == "rotifer",
        )
