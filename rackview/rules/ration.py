"""How much to feed: dry matter per million animals and day, led by the tint of the water and the water's warmth."""

from __future__ import annotations

import math

from rackview.core.profile import StrainProfile
from rackview.rules.constants import (
    CUT_RESERVE,
    CUT_SUSPECT,
    FAINT,
    HALF_GREEN,
    LEAST_G_PER_L_DAY,
    LEAST_OF_USUAL,
    MOST_G_PER_L_DAY,
    MOST_OF_USUAL,
    RAISE_MOST,
    RATION_CUTS,
    RATION_MEMORY,
    RESERVE_WELL,
    TINT_DAYS,
    WARMTH_MOST,
    WARMTH_TOLD,
)
from rackview.rules.findings import Finding
from rackview.rules.flags.care import last_fed_g, last_ration, stays_dark
from rackview.rules.harvest import aim_per_ml, celsius_now, regrowth_per_day
from rackview.rules.view import View
from rackview.science.thermal import appetite_factor


def ration(view: View, findings: tuple[Finding, ...]) -> tuple[float, tuple[str, ...]]:
    """Grams of dry feed per million animals for today, and the codes of what moved it.

    Starts from the profile's ration and the one fed last, moved by the tint found before feeding and by warmth, and
    cut where the water or the culture is in trouble.
    """
    usual = view.profile.ration_g_per_million
    base, reasons = usual, []
    warmth, last = _warmth(view), last_ration(view)
    if last is not None and last > 0.0 and warmth > 0.0:  # what was fed last was for this warmth already
        base = math.exp(RATION_MEMORY * math.log(last / warmth) + (1.0 - RATION_MEMORY) * math.log(usual))
    tint = tint_now(view)
    if tint is not None and (moved := by_tint(view.profile)[tint]) != 1.0:
        base *= moved
        reasons.append("tint_high" if tint >= 2 else "tint_low")
    base = min(max(base, LEAST_OF_USUAL * usual), MOST_OF_USUAL * usual)
    if abs(warmth - 1.0) > WARMTH_TOLD:
        reasons.append("warm" if warmth > 1.0 else "hot" if _too_warm(view) else "cool")
    codes = {f.code for f in findings if f.state != "shelved"}
    cut = min([RATION_CUTS[c] for c in codes if c in RATION_CUTS], default=1.0)
    if stays_dark(view):
        cut = min(cut, RATION_CUTS["overfed"])
    suspect = any(f.suspect and f.state not in {"shelved", "suppressed"} for f in findings)
    if suspect and (tint is None or tint >= 2):
        cut = min(cut, CUT_SUSPECT)
    if cut < 1.0:
        reasons.append("cut")
    if view.vessel.reserve and view.per_ml is not None and view.per_ml >= RESERVE_WELL * aim_per_ml(view):
        cut = min(cut, CUT_RESERVE)
        reasons.append("reserve")
    found = base * warmth * cut
    return max(found, view.profile.ration_least_g_per_million * cut * min(warmth, 1.0)), tuple(reasons)


def by_tint(profile: StrainProfile) -> tuple[float, ...]:
    """By what the ration is multiplied for a tint of 0 to 4 found before feeding."""
    return profile.ration_clear, FAINT, HALF_GREEN, profile.ration_green, profile.ration_dark


def dry_dose_g(view: View, findings: tuple[Finding, ...], taken_share: float) -> tuple[float, float, tuple[str, ...]]:
    """Dry feed for today in g, the ration behind it, and the reasons; for the animals left after the harvest.

    Growth that no count has seen since the last feeding is not fed in full: food that nobody eats fouls the water.
    """
    per_million, reasons = ration(view, findings)
    animals = view.animals * (1.0 - taken_share) * math.exp(0.5 * regrowth_per_day(view))
    most = MOST_G_PER_L_DAY * view.profile.heavy_feed_g_per_l_day * view.estimate.level_l
    dose, unseen = min(per_million * animals / 1e6, most), _unseen_most_g(view)
    least = LEAST_G_PER_L_DAY * view.estimate.level_l
    tint = tint_now(view)
    if 0.0 < dose < least and (tint is None or tint < 2) and "cut" not in reasons and "reserve" not in reasons:
        return least, per_million * least / dose, (*reasons, "least")
    if dose <= unseen:
        return dose, per_million, reasons
    return unseen, per_million * unseen / dose, (*reasons, "unseen")


def _unseen_most_g(view: View) -> float:
    """The most to feed, in g, where nothing was counted since the last feeding; else no limit."""
    feeds, newest = view.care.feeds, view.care.last_count
    if not feeds or (newest is not None and newest.day > feeds[-1].day):
        return math.inf
    return RAISE_MOST * last_fed_g(view)


def tint_now(view: View) -> int | None:
    """The tint found last, if that was after the newest feeding had its time and not long ago."""
    if not view.care.tints:
        return None
    seen = view.care.tints[-1]
    if view.day - seen.day > TINT_DAYS or (view.care.feeds and view.care.feeds[-1].day > seen.day):
        return None
    return round(seen.value)


def _warmth(view: View) -> float:
    """By what the temperature moves the ration: nothing is fed where nothing grows."""
    if (degrees := celsius_now(view)) is None:
        return 1.0
    p = view.profile
    return min(appetite_factor(degrees, p.usual_c, p.growth_min_c, p.growth_opt_c, p.growth_max_c), WARMTH_MOST)


def _too_warm(view: View) -> bool:
    degrees = celsius_now(view)
    return degrees is not None and degrees > view.profile.growth_opt_c
