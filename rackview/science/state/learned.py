"""What one vessel's own counts have taught: its growth, its ceiling, the counting scatter.

Each lesson says how much of what is known comes from this vessel's counts: 1 less the variance now over the variance
before anything was counted. Near 0 the number is the strain's, whatever its decimals.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from rackview.core.assessment import Interval
from rackview.core.dataclass import dataclass
from rackview.core.profile import StrainProfile
from rackview.science.limits import Array
from rackview.science.state import constants as c
from rackview.science.state import filter as kalman
from rackview.science.state import scatter
from rackview.science.state.belief import Belief
from rackview.science.state.estimate import Z90, Estimate
from rackview.science.state.filter import THETA, A, State
from rackview.science.state.model import Model

Linearised = Callable[[Model, State], tuple[Array, Array]]
"""What each component says of something, and its derivatives to the four rows."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """What is believed of this vessel, what is usual for its strain, and the share that its own counts tell."""

    value: Interval
    usual: Interval
    share: float


@dataclass(frozen=True, slots=True)
class Scatter:
    """How much aliquots differ beyond chance: coefficient of variation here and before any replicate was counted.

    `share` of it is learned.
    """

    cv: float
    usual: float
    share: float

    def precision(self, animals: float, aliquots: float) -> float:
        """Half-width of the 95 % interval, see `scatter.half_width`."""
        return scatter.half_width(self.cv, animals, aliquots)

    def aliquots(self, animals: float, precision: float) -> int:
        """How many aliquots of `animals` each it takes for that half-width."""
        return scatter.aliquots_for_precision(self.cv, animals, precision)


@dataclass(frozen=True, slots=True)
class Learned:
    """What a vessel has taught: `growth` per day at `at_per_ml` and at its usual temperature, its ceiling, scatter.

    `temperature_c` is None where the water was never measured; None too for what nothing is known of. `counts` are
    those of the whole history. `scatter` is of the keeper's aliquots.
    """

    counts: int
    at_per_ml: float
    temperature_c: float | None
    growth: Lesson | None
    ceiling: Lesson | None
    scatter: Scatter | None


def learned(found: Estimate, profile: StrainProfile) -> Learned:
    """What the vessel of this estimate has taught; growth is told for the low end of the strain's working band."""
    belief, prior = found.belief, found.prior
    growth = ceiling = None
    if belief.numbers is not None:
        model, now = prior.model, belief.numbers.now
        before = kalman.begin(model, np.array([prior.start]), np.array([1.0]), prior.ceiling)
        w = np.where(model.own, 0.0, before.w)  # of a vessel of which nothing was counted, by the strain's scale
        before = before._replace(w=w / w.sum())
        grows, stops = _growth(math.log(profile.band_low_per_ml)), _ceiling(prior.ceiling)
        growth = _lesson(_over(grows, model, now), _over(grows, model, before), _as_is)
        ceiling = _lesson(_over(stops, model, now), _over(stops, model, before), math.exp)
    warm = any(name == "temperature" for name, _ in belief.seen)
    return Learned(
        counts=belief.counts,
        at_per_ml=profile.band_low_per_ml,
        temperature_c=_habit_c(belief) if warm else None,
        growth=growth,
        ceiling=ceiling,
        scatter=_scatter(belief),
    )


def _habit_c(belief: Belief) -> float:
    return dict(belief.seen)["temperature"].habit


def _lesson(now: tuple[float, float], before: tuple[float, float], shown: Callable[[float], float]) -> Lesson:
    share = 1.0 - now[1] / before[1] if before[1] > 0.0 else 0.0
    return Lesson(_interval(now, shown), _interval(before, shown), min(max(share, 0.0), 1.0))


def _as_is(value: float) -> float:
    return value


def _interval(found: tuple[float, float], shown: Callable[[float], float]) -> Interval:
    mean, sd = found[0], math.sqrt(found[1])
    return Interval(shown(mean), shown(mean - Z90 * sd), shown(mean + Z90 * sd))


def _growth(at: float) -> Linearised:
    """Of the lasting growth per day at a log density, good days and bad left out."""

    def linearised(model: Model, state: State) -> tuple[Array, Array]:
        h = np.expm1(model.eta * (at - state.ref)) / model.eta
        return state.s[A] - state.s[THETA] * h, np.stack([0.0 * h, 0.0 * h, 1.0 + 0.0 * h, -h])

    return linearised


def _ceiling(usual: float) -> Linearised:
    """Of the log density at which growth would stop, not too far from the strain's usual one."""

    def linearised(model: Model, state: State) -> tuple[Array, Array]:
        a, theta = state.s[A], np.maximum(state.s[THETA], c.LEAST_THETA)
        at = np.clip(kalman.ceilings(model, state), usual - c.CEILING_WITHIN, usual + c.CEILING_WITHIN)
        by_a = 1.0 / np.maximum(theta + model.eta * a, c.LEAST_TURN * theta)
        return at, np.stack([0.0 * at, 0.0 * at, by_a, -by_a * a / theta])

    return linearised


def _over(linearised: Linearised, model: Model, state: State) -> tuple[float, float]:
    """Mean and variance of what is told, over all components."""
    value, to = linearised(model, state)
    mean = float((state.w * value).sum())
    return mean, float((state.w * (kalman.spread_of(state, to) + (value - mean) ** 2)).sum())


def _scatter(belief: Belief) -> Scatter | None:
    if belief.last_count is None:
        return None
    share = belief.extra_weight / (c.SCATTER_WORTH + belief.extra_weight)
    return Scatter(math.sqrt(belief.aliquot_cv2), math.sqrt(c.ALIQUOT_CV2), share)
