"""What one vessel's own counts have taught: its growth, its ceiling or how it swings, the counting scatter.

Each lesson says how much of what is known comes from this vessel's counts: 1 less the variance now over the variance
before anything was counted. Near 0 the number is the strain's, whatever its decimals.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from rackview.core.assessment import Interval
from rackview.core.profile import StrainProfile
from rackview.science.state import mixture, scatter
from rackview.science.state.belief import DISPERSION_WEIGHT, Belief
from rackview.science.state.estimate import Z90, Estimate
from rackview.science.state.growth import Prior
from rackview.science.state.kernel import THETA, A
from rackview.science.state.mixture import Mixture, Part
from rackview.science.state.model import MODEL, Alternative, Model
from rackview.science.state.pool import Pool, informed

Tells = Callable[[Model, Part, Alternative], tuple[float, float, float]]
"""What one alternative says of something, and by how much that moves for each unit of `a` and of theta."""


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
        return scatter.needed(self.cv, animals, precision)


@dataclass(frozen=True, slots=True)
class Swing:
    """A density that rises and falls by itself: days from crest to crest, and about what density, animals per mL.

    `chance` is the probability that it does so.
    """

    chance: float
    days: Lesson
    about_per_ml: Interval


@dataclass(frozen=True, slots=True)
class Learned:
    """What a vessel has taught: `growth` per day at `at_per_ml` and at its usual temperature, its ceiling, scatter.

    `temperature_c` is None where the water was never measured; None too for what nothing is known of. `counts` are
    those of the whole history. `scatter` is of the keeper's aliquots. `ahead` is the growth that a forecast takes
    after hearing `others` vessels of the strain, None where there are none. Growth and ceiling are those of a culture
    that does not swing.
    """

    counts: int
    at_per_ml: float
    temperature_c: float | None
    growth: Lesson | None
    ceiling: Lesson | None
    swing: Swing | None
    scatter: Scatter | None
    ahead: Interval | None = None
    others: int = 0


def learned(found: Estimate, profile: StrainProfile, pool: Pool | None = None, vessel: str = "") -> Learned:
    """What the vessel of this estimate has taught; growth is told for the low end of the strain's working band.

    `pool` is what the vessels of the strain have taught each other, of whom it is called `vessel`.
    """
    belief, prior = found.belief, found.prior
    growth = ceiling = swing = ahead = None
    others = 0 if pool is None else pool.others(vessel)
    if belief.mix is not None:
        x = math.log(profile.band_low_per_ml)
        fresh = mixture.fresh(prior.model, prior.start, 1.0, prior.reference, prior.usual_rate, prior.spread, [])
        before = _unlearned(prior, fresh)
        grows, stops = _growth(x), _ceiling(prior.ceiling)
        growth = _lesson(_over(grows, prior, belief.mix), _over(grows, prior, before), _as_is)
        ceiling = _lesson(_over(stops, prior, belief.mix), _over(stops, prior, before), math.exp)
        swing = _swing(prior, belief.mix, fresh)
        if others and (told := informed(prior, belief, pool, vessel).mix) is not None:
            ahead = _interval(_over(grows, prior, told), _as_is)
    warm = any(name == "temperature" for name, _ in belief.seen)
    return Learned(
        counts=belief.counts,
        at_per_ml=profile.band_low_per_ml,
        temperature_c=_habit_c(belief) if warm else None,
        growth=growth,
        ceiling=ceiling,
        swing=swing,
        scatter=_scatter(belief),
        ahead=ahead,
        others=others,
    )


def _habit_c(belief: Belief) -> float:
    return dict(belief.seen)["temperature"].habit


def _unlearned(prior: Prior, fresh: Mixture) -> Mixture:
    """A culture of the strain of which nothing was counted: the alternatives on the strain's own scale."""
    pairs = zip(fresh.parts, prior.model.alternatives, strict=True)
    return Mixture(tuple(part._replace(sound=part.sound * (not one.own)) for part, one in pairs), fresh.fall)


def _lesson(now: tuple[float, float], before: tuple[float, float], shown: Callable[[float], float]) -> Lesson:
    share = 1.0 - now[1] / before[1] if before[1] > 0.0 else 0.0
    return Lesson(_interval(now, shown), _interval(before, shown), min(max(share, 0.0), 1.0))


def _as_is(value: float) -> float:
    return value


def _interval(found: tuple[float, float], shown: Callable[[float], float]) -> Interval:
    mean, sd = found[0], math.sqrt(found[1])
    return Interval(shown(mean), shown(mean - Z90 * sd), shown(mean + Z90 * sd))


def _growth(at: float) -> Tells:
    """Of the lasting growth per day at a log density, good days and bad left out."""

    def told(_: Model, part: Part, __: Alternative) -> tuple[float, float, float]:
        h = math.expm1(MODEL.eta * (at - part.ref)) / MODEL.eta
        return part.m[A] - max(part.m[THETA], 0.0) * h, 1.0, -h

    return told


def _ceiling(usual: float) -> Tells:
    """Of the log density at which growth would stop, not too far from the strain's usual one."""

    def told(model: Model, part: Part, alternative: Alternative) -> tuple[float, float, float]:
        at, by_a, by_theta = mixture.standstill(model, part, alternative)
        return mixture.possible(at, usual), by_a, by_theta

    return told


def _swing(prior: Prior, mix: Mixture, fresh: Mixture) -> Swing:
    swinging = sum(part.sound for part, _ in _those(prior, mix, swings=True))
    before = _over(mixture.turn, prior, fresh, swings=True)
    days = _lesson(_over(mixture.turn, prior, mix, swings=True), before, math.exp)
    about = _interval(_over(mixture.standstill, prior, mix, swings=True), math.exp)
    return Swing(swinging / sum(part.sound for part in mix.parts), days, about)


def _over(told: Tells, prior: Prior, mix: Mixture, *, swings: bool = False) -> tuple[float, float]:
    """Mean and variance of what is told, over the alternatives that swing or over those that don't."""
    found = []
    for part, alternative in _those(prior, mix, swings=swings):
        value, by_a, by_theta = told(prior.model, part, alternative)
        found.append((part.sound, value, _variance(part, by_a, by_theta)))
    total = sum(weight for weight, _, _ in found)
    mean = sum(weight * value for weight, value, _ in found) / total
    return mean, sum(w * (v + (value - mean) ** 2) for w, value, v in found) / total


def _those(prior: Prior, mix: Mixture, *, swings: bool) -> list[tuple[Part, Alternative]]:
    pairs = zip(mix.parts, prior.model.alternatives, strict=True)
    return [(part, alternative) for part, alternative in pairs if alternative.swings == swings]


def _variance(part: Part, by_a: float, by_theta: float) -> float:
    p = part.p
    return float(by_a * by_a * p[A][A] + 2.0 * by_a * by_theta * p[A][THETA] + by_theta * by_theta * p[THETA][THETA])


def _scatter(belief: Belief) -> Scatter | None:
    if belief.last_count is None:
        return None
    share = belief.extra_weight / (DISPERSION_WEIGHT + belief.extra_weight)
    return Scatter(math.sqrt(belief.aliquot_cv2), math.sqrt(MODEL.aliquot_cv2), share)
