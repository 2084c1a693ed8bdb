"""How much of a vessel may be taken: what a day grows back, and what is still safe when larvae need more."""

from __future__ import annotations

import math

from rackview.rules.findings import Finding
from rackview.rules.view import View
from rackview.rules.water_flags import OLD_DAYS
from rackview.science.thermal import growth_factor

SMALLEST_SHARE = 0.08
"""Taking less than this is not worth wet hands."""

RISK = 0.05
"""A harvest may leave at most this chance that the density is under the floor by tomorrow."""

SHRINKS_PER_DAY = -0.1
LEAST_CROWD = 0.2
"""However full a vessel stands, crowding is taken to leave at least this share of its growth."""

HALF, DOUBT = 0.5, 0.2
"""More than this chance of holding under half of what is believed is too poor a knowledge to harvest on."""


TEMPERATURE_DAYS = 7.0
"""A temperature older than this says nothing of today's growth."""

LEAST_GROWTH = 0.25
"""Where the temperature leaves less of the usual growth than this nothing is taken; project choice."""


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
    return max(view.profile.start_per_ml, 1.25 * view.profile.floor_per_ml)


def regrowth_per_day(view: View) -> float:
    """The believed net rate, kept within 0 and what the strain can do."""
    net = view.estimate.median_net_per_day
    return 0.0 if net is None else min(max(net, 0.0), view.profile.rate_most_per_day)


def vigour_per_day(view: View) -> float:
    """The net rate that the vessel would show if it stood thin: what is believed, crowding taken out."""
    top = view.estimate.ceiling_per_ml or view.profile.ceiling_per_ml
    crowd = max(1.0 - (view.per_ml or 0.0) / top, LEAST_CROWD)
    return min(regrowth_per_day(view) / crowd, view.profile.rate_most_per_day)


def may_give(view: View, suspects: tuple[Finding, ...]) -> bool:
    """Whether the vessel may be harvested at all: known, stocked, no reserve, not suspect, not shrinking.

    Nor is it where the water keeps it from growing back, see `grows_back`.
    """
    if view.vessel.reserve or suspects:
        return False
    return view.once(_able)


def _able(view: View) -> bool:
    per_ml = view.per_ml
    if per_ml is None or per_ml * view.fill <= 0.0 or (view.below(HALF * per_ml) or 0.0) > DOUBT:
        return False
    net = view.estimate.median_net_per_day
    return (net is None or net > SHRINKS_PER_DAY) and grows_back(view)


def growth_share(view: View) -> float:
    """Share of the culture that brings the vessel, filled up, back to its aim by tomorrow; 0 where it should grow.

    1 - aim exp(-r) / N with N the density if it were full, which is 1 - exp(-r) in a full vessel that stands at its
    aim; at most the profile's `share_high`, or `share_most` over the top of the band.
    """
    return view.once(_growth_share)


def _growth_share(view: View) -> float:
    per_ml = view.per_ml
    if per_ml is None or per_ml <= 0.0:
        return 0.0
    full_per_ml = per_ml * view.fill
    if full_per_ml <= 0.0:
        return 0.0
    share = 1.0 - aim_per_ml(view) * math.exp(-regrowth_per_day(view)) / full_per_ml
    most = view.profile.share_most if per_ml > view.profile.band_high_per_ml else view.profile.share_high
    share = min(share, most, safe_share(view))
    return share if share >= SMALLEST_SHARE else 0.0


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
    if _risk(view, most) <= RISK:
        return most
    low, high = 0.0, most
    for _ in range(6):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _risk(view, middle) <= RISK else (low, middle)
    return low


def _risk(view: View, share: float) -> float:
    chance = view.below(view.profile.floor_per_ml / (view.fill * (1.0 - share)), 1.0)
    return 1.0 if chance is None else chance
