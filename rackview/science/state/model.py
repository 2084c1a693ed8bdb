"""The numbers of the model, and the alternatives among which a vessel's own counts decide."""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass, fields, replace
from functools import cache, cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rackview.science.state.carrier import Value
from rackview.science.state.kernel import Noise

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Alternative:
    """One way in which a vessel may behave; `weight` is the prior probability.

    `growth_sd` is the scatter of its passing growth, per day, which fades at `phi` per day; `walk` is what its log
    density wanders by itself in a day. `own` says that its reference density is taken from its first count and not
    from the strain's profile, `room` above it in log density: who begins, begins below what the vessel can carry. Its
    lasting growth there is 0 then, known to `a_sd` per day. `theta` is the strength of crowding per day; `delayed`, per
    day, how many times that it acts on passing growth besides, see `kernel`. `shown` says that eggs show its passing
    growth and are not one cause of growth more. A culture that `swings` does so about a density that is learned: its
    lasting growth pushes passing growth as crowding does. There eggs come and go, and few of them are no sign that it
    fails.
    """

    growth_sd: Value
    walk: Value
    mixing_cv: Value
    theta: Value
    weight: Value
    own: Value = False
    a_sd: Value = 0.0
    phi: Value = 0.25
    delayed: Value = 0.0
    room: Value = 1.0
    shown: Value = False
    swings: Value = False

    @property
    def in_time(self) -> Value:
        """How many times its effect at once crowding has, against lasting growth, where the density stays.

        Where a culture swings both act with the same delay, so it is once.
        """
        return 1.0 + (1.0 - self.swings) * self.delayed / self.phi


@dataclass(frozen=True, eq=False)
class Model:
    """Numbers shared by all vessels. Rates per day; `cv2` are squared coefficients of variation.

    `unsound` is the chance that a culture just begun is failing already. `stray` is the variance, per day squared, of
    the departures of eggs about what growth explains, of which each look tells `stray_gain`. Eggs hatch within a day or
    so: what they show is passing growth `lead` days on.
    """

    alternatives: tuple[Alternative, ...]
    phi: float = 0.25
    eta: float = 0.5
    theta_cv: float = 0.35
    a_walk: float = 0.06
    theta_walk: float = 0.015
    fall: float = -1.0
    fall_sd: float = 0.5
    fall_walk: float = 0.15
    fail_rate: float = 1.0 / 150.0
    mend_rate: float = 0.06
    unsound: float = 0.025
    miscount: float = 0.025
    miscount_var: float = 0.6
    aliquot_cv2: float = 0.015
    failing_cv: float = 0.2
    stray: float = 0.12**2
    least_stray: float = 0.05**2
    stray_gain: float = 0.1
    lead: float = 0.3

    @cached_property
    def scatters(self) -> tuple[Value, ...]:
        """The coefficients of variation between sample and vessel that occur, each once."""
        return tuple(dict.fromkeys(alternative.mixing_cv for alternative in self.alternatives))

    @cached_property
    def which(self) -> tuple[int, ...]:
        """For each alternative, its place in `scatters`."""
        return tuple(self.scatters.index(alternative.mixing_cv) for alternative in self.alternatives)

    @cached_property
    def phis(self) -> tuple[Value, ...]:
        """How fast passing growth fades, first in a failing culture, then in the alternatives, each value once."""
        return tuple(dict.fromkeys((self.phi, *(alternative.phi for alternative in self.alternatives))))

    @cached_property
    def fading(self) -> tuple[int, ...]:
        """For each alternative, its place in `phis`."""
        return tuple(self.phis.index(alternative.phi) for alternative in self.alternatives)

    @cached_property
    def stacked(self) -> Model:
        """The same model with all alternatives in one, as columns, for beliefs kept as arrays."""
        columns = [np.array([getattr(a, f.name) for a in self.alternatives])[:, None] for f in fields(Alternative)]
        model = replace(self, alternatives=(Alternative(*columns),))
        phis = self.phi, model.alternatives[0].phi
        model.__dict__.update(scatters=self.scatters, which=(np.array(self.which),), phis=phis, fading=(1,))
        return model

    @cached_property
    def forms(self) -> dict[Hashable, Any]:
        """Straight forms of the filter's functions for this model, see `forms`."""
        return {}

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
        """Noise per day of each alternative: its growth and crowding drift the faster the more its growth scatters."""
        return tuple(
            Noise(
                u=2.0 * one.phi * one.growth_sd**2,
                x=one.walk**2,
                a=(self.a_walk * (one.swings * one.a_sd + (1.0 - one.swings) * one.growth_sd)) ** 2,
                theta=(self.theta_walk * one.growth_sd * one.theta) ** 2,
            )
            for one in self.alternatives
        )


WILD = Alternative(1.0, 0.05, 0.07, 0.05, weight=0.02, own=True, a_sd=0.04, phi=0.3, delayed=9.0, swings=True)
SLOW = replace(WILD, growth_sd=0.28, theta=0.02, weight=0.035, a_sd=0.015, phi=0.04, delayed=9.0, room=0.0)
FAST = replace(SLOW, growth_sd=0.65, phi=0.08, delayed=22.0)
MODEL = Model(
    (
        Alternative(0.06, 0.02, 0.07, 0.32, weight=0.44),
        Alternative(0.16, 0.04, 0.07, 0.2, weight=0.11, own=True, a_sd=0.5, delayed=0.25),
        Alternative(0.3, 0.25, 0.15, 0.07, weight=0.23, own=True, a_sd=0.1, phi=0.2),
        WILD,
        SLOW,
        FAST,
        replace(WILD, weight=0.05, shown=True),
        replace(SLOW, weight=0.04, shown=True),
        replace(FAST, weight=0.04, shown=True),
    )
)
"""For a strain that grows at `PACE` per day."""
PACE = 0.35


def pace_of(rate: float) -> float:
    """How fast a strain that grows at `rate` per day lives, against the usual rotifer."""
    return min(max(rate / PACE, 0.2), 2.0)


@cache
def paced(rate: float) -> Model:
    """The model for a strain that grows at `rate` per day: what is slow in a copepod is small in a day.

    Over a longer life good days and bad even out, so growth scatters less than it is slower. Who lives faster dies
    faster.
    """
    pace = pace_of(rate)
    if pace == 1.0:
        return MODEL
    rates = "growth_sd", "walk", "theta", "a_sd", "delayed"
    slower = [replace(a, **{name: getattr(a, name) * pace for name in rates}) for a in MODEL.alternatives]
    even = math.sqrt(min(pace, 1.0))
    alternatives = tuple(replace(a, growth_sd=a.growth_sd * even) for a in slower)
    return replace(MODEL, alternatives=alternatives, fall=MODEL.fall * math.sqrt(pace))
