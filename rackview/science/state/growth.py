"""What is assumed of a strain before its vessel has told anything: growth, ceiling, scatter."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from rackview.core.profile import StrainProfile
from rackview.science.state.mixture import Scales
from rackview.science.state.model import Model, pace_of, paced
from rackview.science.state.signs import SIGNS

LOSS = {"rotifer": 1.0 / 7.0, "copepod": 1.0 / 20.0}
"""Losses per day where no eggs are counted. Rotifers: a life of 7 days at 25 degC (Lavens, P. & Sorgeloos, P. (eds)
1996, FAO Fisheries Technical Paper 361, table 3.1, from memory, unverified); copepods: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Prior:
    """The numbers of a strain profile that the estimate rests on; equal numbers share one memo.

    `start` and `ceiling` are logs of animals per mL, `rate`, `spread` and `loss` per day, `usual_c` degC.
    """

    start: float
    ceiling: float
    rate: float
    spread: float
    loss: float
    usual_c: float
    rotifer: bool

    @classmethod
    @lru_cache(64)
    def of(cls, profile: StrainProfile) -> Prior:
        """The prior that a strain profile stands for."""
        return cls(
            start=math.log(profile.start_per_ml),
            ceiling=math.log(profile.ceiling_per_ml),
            rate=profile.rate_per_day,
            spread=profile.rate_spread_per_day,
            loss=LOSS["rotifer" if profile.animal == "rotifer" else "copepod"],
            usual_c=profile.usual_c,
            rotifer=profile.animal == "rotifer",
        )

    @property
    def reference(self) -> float:
        """Log density at which a sound culture's growth is learned."""
        return self.ceiling - 0.5

    @property
    def usual_rate(self) -> float:
        """Growth per day that is usual there."""
        return 0.5 * self.rate

    @property
    def model(self) -> Model:
        """The growth model at this strain's pace."""
        return paced(self.rate)

    def scale(self, sign: str) -> tuple[float, float]:
        """Prior of a sign's scale, mean and standard deviation: growth per day and unit, at this strain's pace."""
        kind, pace = SIGNS[sign], pace_of(self.rate)
        return kind.scale * pace, kind.scale_sd * pace

    def scales(self, sign: str) -> Scales:
        """Priors of a sign's row in the state: where it moves growth, and where it shows it."""
        kind, moves = SIGNS[sign], self.scale(sign)
        return *moves, *((kind.shown, kind.shown_sd) if kind.shown_sd else moves)
