"""The numbers of the model, and the alternatives among which a vessel's own counts decide."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from rackview.science.state.carrier import Value
from rackview.science.state.kernel import Noise

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Alternative:
    """One way in which a vessel may behave.

    `growth_sd` is the scatter of its passing growth, per day; `own` says that its reference density and growth are
    taken from its first count and not from the strain's profile; `weight` is the prior probability.
    """

    growth_sd: Value
    mixing_cv: Value
    own: Value
    weight: Value


@dataclass(frozen=True, eq=False)
class Model:
    """Numbers shared by all vessels. Rates per day; `cv2` are squared coefficients of variation.

    `unsound` is the chance that a culture just begun is failing already.
    """

    alternatives: tuple[Alternative, ...]
    phi: float = 0.25
    eta: float = 0.5
    theta: float = 0.32
    theta_sd: float = 0.16
    own_a_sd: float = 0.2
    walk: float = 0.2
    least_walk: float = 0.01
    a_walk: float = 0.06
    theta_walk: float = 0.02
    fall: float = -0.8
    fall_sd: float = 0.5
    fall_walk: float = 0.15
    fail_rate: float = 1.0 / 150.0
    mend_rate: float = 0.12
    unsound: float = 0.025
    miscount: float = 0.025
    miscount_var: float = 0.6
    aliquot_cv2: float = 0.02
    failing_cv: float = 0.2

    @cached_property
    def scatters(self) -> tuple[Value, ...]:
        """The coefficients of variation between sample and vessel that occur, each once."""
        return tuple(dict.fromkeys(alternative.mixing_cv for alternative in self.alternatives))

    @cached_property
    def which(self) -> tuple[int, ...]:
        """For each alternative, its place in `scatters`."""
        return tuple(self.scatters.index(alternative.mixing_cv) for alternative in self.alternatives)

    @cached_property
    def stacked(self) -> Model:
        """The same model with all alternatives in one, as columns, for beliefs kept as arrays."""
        columns = [np.array([getattr(a, f.name) for a in self.alternatives])[:, None] for f in fields(Alternative)]
        model = replace(self, alternatives=(Alternative(*columns),))
        model.__dict__.update(scatters=self.scatters, which=(np.array(self.which),))
        return model

    @cached_property
    def good(self) -> float:
        """Log of the chance of a good count."""
        return math.log(1.0 - self.miscount)

    @cached_property
    def slip(self) -> float:
        """Log of the odds of a slip, less the constant of a normal density."""
        return math.log(self.miscount / (1.0 - self.miscount)) - 0.5 * math.log(2.0 * math.pi)

    @cached_property
    def noises(self) -> tuple[Noise, ...]:
        """Noise per day of each alternative: all of it grows with the scatter of its growth."""
        scatters = [alternative.growth_sd for alternative in self.alternatives]
        return tuple(
            Noise(
                u=2.0 * self.phi * g * g,
                x=(self.walk * g + self.least_walk) ** 2,
                a=(self.a_walk * g) ** 2,
                theta=(self.theta_walk * g) ** 2,
            )
            for g in scatters
        )


MODEL = Model(
    (
        Alternative(0.05, 0.07, own=False, weight=0.4),
        Alternative(0.16, 0.07, own=False, weight=0.3),
        Alternative(0.12, 0.06, own=True, weight=0.15),
        Alternative(1.0, 0.15, own=True, weight=0.15),
    )
)
"""For a strain that grows at `PACE` per day."""
PACE = 0.35


def pace_of(rate: float) -> float:
    """How fast a strain that grows at `rate` per day lives, against the usual rotifer."""
    return min(max(rate / PACE, 0.2), 2.0)


@cache
def paced(rate: float) -> Model:
    """The model for a strain that grows at `rate` per day: what is slow in a copepod is small in a day."""
    pace = pace_of(rate)
    if pace == 1.0:
        return MODEL
    alternatives = tuple(replace(a, growth_sd=a.growth_sd * pace) for a in MODEL.alternatives)
    scaled = {name: getattr(MODEL, name) * pace for name in ("theta", "theta_sd", "own_a_sd", "least_walk")}
    return replace(MODEL, alternatives=alternatives, **scaled)
