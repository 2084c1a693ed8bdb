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
from rackview.science.state import constants as c
from rackview.science.state import members, normal
from rackview.science.state.belief import components

if TYPE_CHECKING:
    from rackview.science.limits import Array
    from rackview.science.state.estimate import Estimate

Z90 = normal.probit(0.95)
QUARTER = normal.probit(0.75)
ENDS, MIDDLE = (0.25, 0.75), (0.5,)


def outlook_of(found: Estimate) -> Outlook | None:
    """The outlook of one vessel's estimate; None where nothing is known of a culture."""
    numbers = found.belief.numbers
    if numbers is None:
        return None
    mix = components(numbers)
    (middle,), (low, high) = normal.quantiles(*mix, MIDDLE), normal.quantiles(*mix, ENDS)
    prior = found.prior
    warmth = max(prior.warmth(found.belief.temperature(prior)), c.LEAST_WARMTH)
    weights, rates, ceilings = _grid(prior.rate, prior.ceiling, round(warmth, 2))
    weights = weights * _told(found, middle, rates, ceilings)
    peak_log_density = float(numbers.more[members.PEAK, 0])
    if peak_log_density > -math.inf:
        weights = weights / (1.0 + np.exp((min(peak_log_density, middle + 2.0) - ceilings) / c.REACHED_SD))
    weights = weights / weights.sum()
    rate, ceiling = float((weights * rates).sum()), float((weights * ceilings).sum())
    return Outlook(
        log_density=middle,
        log_density_sd=max((high - low) / (2.0 * QUARTER), c.LEAST_SD),
        rate_per_day=rate,
        rate_sd=math.sqrt(max(float((weights * rates * rates).sum()) - rate * rate, 1e-6)),
        log_ceiling=ceiling,
        log_ceiling_sd=math.sqrt(max(float((weights * ceilings * ceilings).sum()) - ceiling * ceiling, 1e-6)),
        daily_sd=c.DAILY_SD,
        collapse_chance=found.collapse_chance,
        collapses_per_day=USUAL_PER_DAY,
    )


@cache
def _grid(rate: float, ceiling: float, warmth: float) -> tuple[Array, Array, Array]:
    """Weights beforehand of rates (rows) and log ceilings (columns) of a strain at some warmth."""
    down = np.linspace(-c.GRID_RATES_SD, c.GRID_RATES_SD, c.GRID_RATES)[:, None]
    along = np.linspace(-c.GRID_CEILINGS_SD, c.GRID_CEILINGS_SD, c.GRID_CEILINGS)[None, :]
    rates = c.THIN * rate * warmth * np.exp(c.THIN_CV * down)
    return np.exp(-0.5 * (down**2 + along**2)), rates, ceiling + math.log(c.REACHED) + c.CEILING_SD * along


def _told(found: Estimate, x: float, rates: Array, ceilings: Array) -> Array:
    """Likelihood of rates and ceilings by the growth believed at log density `x`, where the culture stands."""
    net = found.net_per_day
    if net is None:
        return np.ones((rates.shape[0], ceilings.shape[1]))
    sd = math.hypot((net.high90 - net.low90) / (2.0 * Z90), c.SHOWN_SD)
    room = 1.0 - np.exp(np.minimum(c.BEND * (x - ceilings), c.MOST_FULL))
    told: Array = np.exp(-0.5 * ((rates * room - net.median) / sd) ** 2)
    return told + c.LEAST_TOLD
