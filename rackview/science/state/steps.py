"""What an event or a lapse of time does to the numbers held of a vessel."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rackview.science.state import mixture, single
from rackview.science.state.carrier import SCALARS
from rackview.science.state.growth import Prior
from rackview.science.state.held import Known
from rackview.science.state.kernel import BASE, Tally
from rackview.science.state.mixture import Scales
from rackview.science.state.model import Model

SLIP = 0.5
"""Chance of a miscount above which a count does not say how high the culture stood."""


def elapsed(model: Model, known: Known, dt: float, push: list[float], shows: list[float]) -> Known:
    """The numbers `dt` days later; departures of signs as in `mixture.elapsed`."""
    return Known(single.elapsed(model, known.mix, dt, push, shows), known.miscount, known.stood)


def counted(
    model: Model,
    known: Known,
    animals: float,
    ml: float,
    cv2: float,
    steady: float,
    swings: float,
    place: int,
    departed: float,
    var: float,
) -> Known:
    """The numbers after `animals` were counted in `ml` mL, in aliquots that scatter by `cv2` on top of Poisson.

    `steady` and `swings` are what was seen beside says of failing, see `signs.Odds`; the rest, unless `place` is below
    0, what a sign beside shows of growth, see `shown`.
    """
    tally = Tally.of(animals, ml, SCALARS)
    mix, _, bad = single.counted(model, known.mix, tally, cv2)
    stood = known.stood if animals == 0 or bad > SLIP else max(known.stood, tally.log_n - tally.log_ml)
    if steady != 1.0:
        mix = mixture.hinted(model, mix, steady, swings, SCALARS)
    if place >= 0:
        mix = single.shown(model, mix, BASE + place, departed, var)
    return Known(mix, bad, stood)


def shown(model: Model, known: Known, place: int, departed: float, var: float) -> Known:
    """The numbers after a look at the sign in a place among those that teach, see `mixture.shown`."""
    return known._replace(mix=single.shown(model, known.mix, BASE + place, departed, var))


def referred(model: Model, known: Known) -> Known:
    """The numbers after a first count, see `mixture.referred`."""
    return known._replace(mix=mixture.referred(model, known.mix, mixture.level(known.mix)[0]))


def hinted(model: Model, known: Known, steady: float, swings: float) -> Known:
    """The numbers after signs that say so much of failing, see `signs.Odds`."""
    return known._replace(mix=mixture.hinted(model, known.mix, steady, swings, SCALARS))


def extended(model: Model, known: Known, scales: Scales) -> Known:
    """The numbers with a row for one more sign, see `mixture.extended`."""
    return known._replace(mix=mixture.extended(model, known.mix, scales))


def shifted(model: Model, known: Known, by: float) -> Known:
    """The numbers after the log density moved by a known amount."""
    return Known(mixture.shifted(known.mix, by), known.miscount, known.stood)


def starved(model: Model, known: Known, by: float, sd: float) -> Known:
    """The numbers after days without food, see `hunger.lost`."""
    return Known(mixture.starved(known.mix, by, sd), known.miscount, known.stood)


def merged(model: Model, known: Known, other: Known, volume: float, other_volume: float) -> Known:
    """The numbers after culture of another vessel was stirred in, see `mixture.merged`."""
    return known._replace(mix=mixture.merged(known.mix, volume, other.mix, other_volume))


def fresh(prior: Prior, x: float, var: float, signs: Sequence[str], stood: float = -math.inf) -> Known:
    """A culture begun at log density `x` in a vessel of which nothing is known but the names of its signs."""
    scales = [prior.scales(name) for name in signs]
    model = prior.model
    return Known(mixture.fresh(model, x, var, prior.reference, prior.usual_rate, prior.spread, scales), stood=stood)


def again(model: Model, learned: Known, x: float, var: float, stood: float = -math.inf) -> Known:
    """A culture begun at log density `x` in a vessel that has held others, `learned`."""
    return Known(mixture.again(model, learned.mix, x, var), stood=stood)


def given(model: Model, donor: Known, by: float, sd: float, prior: Prior, signs: Sequence[str]) -> Known:
    """A culture begun with some of a donor's, its log density moved `by` known to `sd`, in a vessel as `fresh`."""
    x, var = mixture.level(donor.mix)
    return fresh(prior, x + by, var + sd * sd, signs, x + by)


def given_again(model: Model, donor: Known, learned: Known, by: float, sd: float) -> Known:
    """A culture begun with some of a donor's, as `given`, in a vessel that has held others."""
    x, var = mixture.level(donor.mix)
    return again(model, learned, x + by, var + sd * sd, x + by)
