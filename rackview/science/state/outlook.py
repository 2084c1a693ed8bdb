"""The outlook read off the present belief: growth of the thin culture and ceiling, told apart as far as counts can.

A culture kept at one density shows one growth rate, of which a swift culture under a low ceiling and a slow one under a
high ceiling are equally good accounts. So both are weighed on a grid, from what the strain allows beforehand, by the
growth believed where the culture stands and by the highest density it reached.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from rackview.core.outlook import Outlook
from rackview.science.risk.constants import USUAL_PER_DAY
from rackview.science.state import members, normal
from rackview.science.state.belief import components

if TYPE_CHECKING:
    from rackview.science.limits import Array
    from rackview.science.state.estimate import Estimate

THIN, THIN_CV = 1.6, 0.3
"""Growth of a thin culture against the net rate of one in daily use, which stands at a third to half of its ceiling;
0.1 to 0.8 a day are published for one strain of rotifers (see docs/estimate.md)."""
REACHED, CEILING_SD = 0.65, 0.4
"""Where growth stops against the density that the profile calls full: 257 to 600 per mL are published for 450."""
BEND = 1.5
"""Exponent of crowding, between the logistic's 1 and 2 and over where it is felt late."""
Z90 = 1.6448536269514722
SHOWN_SD = 0.06
"""What a rate believed at one density may be off by, per day, besides its own spread."""
REACHED_SD = 0.2
"""How far over its ceiling, in log density, a culture is seen at times."""
LEAST = 1e-9
"""Likelihood of what no grid point explains, so that one stays."""
DAILY_SD = 0.1
"""How one day's growth departs from its mean: common practice, no source."""
QUARTER = 0.6744897501960817
ENDS, MIDDLE = (0.25, 0.75), (0.5,)


def outlook_of(found: Estimate) -> Outlook | None:
    """The outlook of one vessel's estimate; None where nothing is known of a culture."""
    numbers = found.belief.numbers
    if numbers is None:
        return None
    mix = components(numbers)
    (middle,), (low, high) = normal.quantiles(*mix, MIDDLE), normal.quantiles(*mix, ENDS)
    prior = found.prior
    warmth = max(prior.warmth(found.belief.temperature(prior)), 0.05)
    weights, rates, ceilings = _grid(prior.rate, prior.ceiling, round(warmth, 2))
    weights = weights * _told(found, middle, rates, ceilings)
    peak_log_density = float(numbers.more[members.PEAK, 0])
    if peak_log_density > -math.inf:
        weights = weights / (1.0 + np.exp((min(peak_log_density, middle + 2.0) - ceilings) / REACHED_SD))
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
        collapses_per_day=USUAL_PER_DAY,
    )


@cache
def _grid(rate: float, ceiling: float, warmth: float) -> tuple[Array, Array, Array]:
    """Weights beforehand of rates (rows) and log ceilings (columns) of a strain at some warmth."""
    down, along = np.linspace(-2.2, 2.2, 11)[:, None], np.linspace(-2.5, 2.5, 15)[None, :]
    rates = THIN * rate * warmth * np.exp(THIN_CV * down)
    return np.exp(-0.5 * (down**2 + along**2)), rates, ceiling + math.log(REACHED) + CEILING_SD * along


def _told(found: Estimate, x: float, rates: Array, ceilings: Array) -> Array:
    """Likelihood of rates and ceilings by the growth believed at log density `x`, where the culture stands."""
    net = found.net_per_day
    if net is None:
        return np.ones((rates.shape[0], ceilings.shape[1]))
    sd = math.hypot((net.high90 - net.low90) / (2.0 * Z90), SHOWN_SD)
    room = 1.0 - np.exp(np.minimum(BEND * (x - ceilings), 3.0))
    told: Array = np.exp(-0.5 * ((rates * room - net.median) / sd) ** 2)
    return told + LEAST
