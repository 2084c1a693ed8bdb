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
        before = _unlearned(prior)
        growth = _lesson(_growth(prior, belief.mix, x), _growth(prior, before, x), _as_is)
        ceiling = _lesson(_ceiling(prior, belief.mix), _ceiling(prior, before), math.exp)
        swing = _swing(prior, belief.mix)
        if others and (told := informed(prior, belief, pool, vessel).mix) is not None:
            ahead = _interval(_growth(prior, told, x), _as_is)
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


def _unlearned(prior: Prior) -> Mixture:
    """A culture of the strain of which nothing was counted: the alternatives on the strain's own scale."""
    fresh = _fresh(prior)
    pairs = zip(fresh.parts, prior.model.alternatives, strict=True)
    return Mixture(tuple(part._replace(sound=part.sound * (not one.own)) for part, one in pairs), fresh.fall)


def _fresh(prior: Prior) -> Mixture:
    return mixture.fresh(prior.model, prior.start, 1.0, prior.reference, prior.usual_rate, prior.spread, [])


def _lesson(now: tuple[float, float], before: tuple[float, float], shown: Callable[[float], float]) -> Lesson:
    share = 1.0 - now[1] / before[1] if before[1] > 0.0 else 0.0
    return Lesson(_interval(now, shown), _interval(before, shown), min(max(share, 0.0), 1.0))


def _as_is(value: float) -> float:
    return value


def _interval(found: tuple[float, float], shown: Callable[[float], float]) -> Interval:
    mean, sd = found[0], math.sqrt(found[1])
    return Interval(shown(mean), shown(mean - Z90 * sd), shown(mean + Z90 * sd))


def _growth(prior: Prior, mix: Mixture, x: float) -> tuple[float, float]:
    """Mean and variance of the lasting growth per day at log density `x`, good days and bad left out.

    Of an alternative that swings, growth is what passes.
    """
    found = []
    for part, _ in _those(prior, mix, swings=False):
        h = math.expm1(MODEL.eta * (x - part.ref)) / MODEL.eta
        found.append((part.sound, part.m[A] - max(part.m[THETA], 0.0) * h, _variance(part, 1.0, -h)))
    return _mixed(found)


def _ceiling(prior: Prior, mix: Mixture) -> tuple[float, float]:
    """Mean and variance of the log density at which growth would stop."""
    found = []
    for part, alternative in zip(mix.parts, prior.model.alternatives, strict=True):
        at, by_a, by_theta = mixture.standstill(prior.model, part, alternative)
        found.append((part.sound, mixture.possible(at, prior.ceiling), _variance(part, by_a, by_theta)))
    return _mixed(found)


def _swing(prior: Prior, mix: Mixture) -> Swing:
    swinging = sum(part.sound for part, _ in _those(prior, mix, swings=True))
    days = _lesson(_swinging(mixture.turn, prior, mix), _swinging(mixture.turn, prior, _fresh(prior)), math.exp)
    about = _interval(_swinging(mixture.standstill, prior, mix), math.exp)
    return Swing(swinging / sum(part.sound for part in mix.parts), days, about)


def _swinging(
    told: Callable[[Model, Part, Alternative], tuple[float, float, float]], prior: Prior, mix: Mixture
) -> tuple[float, float]:
    """Mean and variance of what is told of alternatives that swing, by how much it moves with `a` and theta."""
    found = []
    for part, alternative in _those(prior, mix, swings=True):
        at, by_a, by_theta = told(prior.model, part, alternative)
        found.append((part.sound, at, _variance(part, by_a, by_theta)))
    return _mixed(found)


def _those(prior: Prior, mix: Mixture, *, swings: bool) -> list[tuple[Part, Alternative]]:
    """The alternatives that swing, or those that don't."""
    pairs = zip(mix.parts, prior.model.alternatives, strict=True)
    return [(part, alternative) for part, alternative in pairs if alternative.swings == swings]


def _variance(part: Part, by_a: float, by_theta: float) -> float:
    p = part.p
    return float(by_a * by_a * p[A][A] + 2.0 * by_a * by_theta * p[A][THETA] + by_theta * by_theta * p[THETA][THETA])


def _mixed(found: list[tuple[float, float, float]]) -> tuple[float, float]:
    total = sum(weight for weight, _, _ in found)
    mean = sum(weight * value for weight, value, _ in found) / total
    return mean, sum(w * (v + (value - mean) ** 2) for w, value, v in found) / total


def _scatter(belief: Belief) -> Scatter | None:
    if belief.last_count is None:
        return None
    share = belief.extra_weight / (DISPERSION_WEIGHT + belief.extra_weight)
    return Scatter(math.sqrt(belief.aliquot_cv2), math.sqrt(MODEL.aliquot_cv2), share)
