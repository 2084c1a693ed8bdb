"""What a vessel should come back to, and how much may be taken without risking it."""

from __future__ import annotations

import math

from rackview.rules.constants import (
    BISECTIONS,
    HARVEST_RISK,
    LEAST_GROWTH,
    OLD_DAYS,
    REMAINDER_OVER_FLOOR,
    TEMPERATURE_DAYS,
)
from rackview.rules.view import View
from rackview.science.thermal import growth_factor


def celsius_now(view: View) -> float | None:
    """The vessel's temperature, degC, or None where it was not measured lately."""
    value = view.water.temperature_c
    return value.value if value is not None and value.age_days <= TEMPERATURE_DAYS else None


def grows_back(view: View) -> bool:
    """Whether the water lets a culture make good what is taken: not too hot or cold, ammonia under its acting limit."""
    nh3, p = view.water.nh3_mg_l, view.profile
    if nh3 is not None and nh3.age_days <= OLD_DAYS and nh3.value >= p.nh3_act_mg_l:
        return False
    degrees = celsius_now(view)
    if degrees is None:
        return True
    return growth_factor(degrees, p.usual_c, p.growth_min_c, p.growth_opt_c, p.growth_max_c) >= LEAST_GROWTH


def aim_per_ml(view: View) -> float:
    """The density to come back to each morning: the middle of the working band on a log scale."""
    return math.sqrt(view.profile.band_low_per_ml * view.profile.band_high_per_ml)


def remainder_per_ml(view: View) -> float:
    """The density that must stay: what a culture is started at, and a quarter over the floor."""
    return max(view.profile.start_per_ml, REMAINDER_OVER_FLOOR * view.profile.floor_per_ml)


def regrowth_per_day(view: View) -> float:
    """The believed net rate, kept within 0 and what the strain can do."""
    net = view.estimate.median_net_per_day
    return 0.0 if net is None else min(max(net, 0.0), view.profile.rate_most_per_day)


def safe_share(view: View) -> float:
    """The largest share that, once filled up, leaves the safe remainder and at most `RISK` of being under the floor."""
    return view.once(_safe_share)


def _safe_share(view: View) -> float:
    full_per_ml = (view.per_ml or 0.0) * view.fill
    if full_per_ml <= 0.0:
        return 0.0
    most = min(view.profile.share_most, 1.0 - remainder_per_ml(view) / full_per_ml)
    if most <= 0.0:
        return 0.0
    if _risk(view, most) <= HARVEST_RISK:
        return most
    low, high = 0.0, most
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _risk(view, middle) <= HARVEST_RISK else (low, middle)
    return low


def _risk(view: View, share: float) -> float:
    chance = view.below(view.profile.floor_per_ml / (view.fill * (1.0 - share)), 1.0)
    return 1.0 if chance is None else chance
