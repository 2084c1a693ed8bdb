"""The outlook read off the present belief: growth of the thin culture and ceiling, told apart as far as counts can.

A culture kept at one density shows one growth rate, of which a swift culture under a low ceiling and a slow one under a
high ceiling are equally good accounts. So both are weighed on a grid, from what the strain allows beforehand, by the
lasting growth believed where the culture stands and by the highest density it reached.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from rackview.core.outlook import Outlook
from rackview.science.state import normal
from rackview.science.state.kernel import THETA, A

if TYPE_CHECKING:
    from rackview.science.limits import Array
    from rackview.science.state.estimate import Estimate
    from rackview.science.state.mixture import Mixture, Part

THIN, THIN_CV = 1.6, 0.3
"""Growth of a thin culture against the net rate of one in daily use, which stands at a third to half of its ceiling;
0.1 to 0.8 a day are published for one strain of rotifers (see docs/estimate.md)."""
REACHED, CEILING_SD = 0.75, 0.4
"""Where growth stops against the density that the profile calls full: 257 to 600 per mL are published for 450."""
BEND = 1.5
"""Exponent of crowding, between the logistic's 1 and 2 and over where it is felt late."""
Q10 = 1.9
"""As in the ration: Schlosser & Anger 1982, Helgolander Meeresunters. 35:215-225, filtration by temperature."""
SHOWN_SD = 0.04
"""What a rate believed at one density may be off by, per day, besides its own spread."""
REACHED_SD = 0.2
"""How far over its ceiling, in log density, a culture is seen at times."""
LEAST = 1e-9
"""Likelihood of what no grid point explains, so that one stays."""
DAILY_SD, FALLS_PER_DAY = 0.1, 1.0 / 120.0
"""How one day's growth departs from its mean; falls begin about so often: common practice, no source."""
QUARTER = 0.6744897501960817
ENDS, MIDDLE = (0.25, 0.75), (0.5,)


def outlook_of(found: Estimate) -> Outlook | None:
    """The outlook of one vessel's estimate; None where nothing is known of a culture."""
    held = found.belief.held
    if held is None or found.belief.mix is None:
        return None
    components = found.held_in(0.0).components
    (middle,), (low, high) = normal.quantiles(*components, MIDDLE), normal.quantiles(*components, ENDS)
    prior = found.prior
    warmth = Q10 ** ((min(max(found.belief.temperature(prior), 12.0), 32.0) - prior.usual_c) / 10.0)
    weights, rates, ceilings = _grid(prior.rate, prior.ceiling, round(warmth, 2))
    weights = weights * _told(found.belief.mix, middle, prior.model.eta, rates, ceilings)
    if held.stood > -math.inf:
        weights = weights / (1.0 + np.exp((min(held.stood, middle + 2.0) - ceilings) / REACHED_SD))
    weights = weights / weights.sum()
    rate, ceiling = float((weights * rates).sum()), float((weights * ceilings).sum())
    return Outlook(
        log_density=middle,
        log_density_sd=max((high - low) / (2.0 * QUARTER), 0.02),
        rate_per_day=rate,
        rate_sd=math.sqrt(max(float((weights * rates * rates).sum()) - rate * rate, 1e-6)),
        log_ceiling=ceiling,
        log_ceiling_sd=math.sqrt(max(float((weights * ceilings * ceilings).sum()) - ceiling * ceiling, 1e-6)),
        daily_sd=DAILY_SD,
        collapse_chance=found.collapse_chance,
        fall_per_day=FALLS_PER_DAY,
    )


@cache
def _grid(rate: float, ceiling: float, warmth: float) -> tuple[Array, Array, Array]:
    """Weights beforehand of rates (rows) and log ceilings (columns) of a strain at some warmth."""
    down, along = np.linspace(-2.2, 2.2, 11)[:, None], np.linspace(-2.5, 2.5, 15)[None, :]
    rates = THIN * rate * warmth * np.exp(THIN_CV * down)
    return np.exp(-0.5 * (down**2 + along**2)), rates, ceiling + math.log(REACHED) + CEILING_SD * along


def _told(mix: Mixture, x: float, eta: float, rates: Array, ceilings: Array) -> Array:
    """Likelihood of rates and ceilings by the lasting growth believed at log density `x`."""
    mean, var = _growth_at(mix, x, eta)
    room = 1.0 - np.exp(np.minimum(BEND * (x - ceilings), 3.0))
    found: Array = np.exp(-0.5 * (rates * room - mean) ** 2 / (var + SHOWN_SD**2))
    return found + LEAST


def _growth_at(mix: Mixture, x: float, eta: float) -> tuple[float, float]:
    """Mean and variance of lasting growth at a log density, over the alternatives of a sound culture."""
    total = mean = square = 0.0
    for part in mix.parts:
        weight = part.sound + part.failing
        g, var = _lasting(part, x, eta)
        total, mean, square = total + weight, mean + weight * g, square + weight * (var + g * g)
    mean, square = mean / total, square / total
    return mean, max(square - mean * mean, 1e-6)


def _lasting(part: Part, x: float, eta: float) -> tuple[float, float]:
    h = (math.exp(min(eta * (x - part.ref), 4.0)) - 1.0) / eta
    p = part.p
    return float(part.m[A] - part.m[THETA] * h), float(p[A][A] - 2.0 * h * p[A][THETA] + h * h * p[THETA][THETA])
