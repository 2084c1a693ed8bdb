"""The thresholds that a keeper may change: their names, units and sane ranges, and which must stay below which."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.profile import StrainProfile
from rackview.language import _


@dataclass(frozen=True, slots=True)
class Threshold:
    """One field of the strain profile that a rule looks at; `low` and `high` bound what can be meant by it.

    The bounds are a guard against slips of the hand (project choice), not advice. `quantity` "temperature" marks
    degrees Celsius, "degrees" a difference of them.
    """

    field: str
    name: str
    unit: str
    low: float
    high: float
    quantity: str = ""


PER_ML, DAYS, MG_N, PSU, TIMES = _("per mL"), "days", _("mg/L NH3-N"), "practical salinity", _("× the usual")

THRESHOLDS = {
    t.field: t
    for t in (
        Threshold("floor_per_ml", _("floor"), PER_ML, 1e-3, 1e5),
        Threshold("band_low_per_ml", _("low end of the working band"), PER_ML, 1e-3, 1e5),
        Threshold("band_high_per_ml", _("top of the working band"), PER_ML, 1e-3, 1e6),
        Threshold("crowded_adults_per_ml", _("crowded from"), _("adults per mL"), 1e-3, 1e6),
        Threshold("fall_per_day", _("a bad fall"), _("per day"), 0.01, 5.0),
        Threshold("eggs_growing", _("eggs per female of a growing culture"), _("eggs per female"), 0.0, 20.0),
        Threshold("nauplii_share_low", _("least share of nauplii"), _("share"), 0.0, 1.0),
        Threshold("share_low", _("usual harvest, from"), _("share of the volume"), 0.01, 0.95),
        Threshold("share_high", _("usual harvest, to"), _("share of the volume"), 0.01, 0.95),
        Threshold("share_most", _("most to harvest"), _("share of the volume"), 0.01, 0.95),
        Threshold("clumped_p", _("p of the dispersion test under"), "", 1e-9, 0.5),
        Threshold("scattered_times", _("error of the mean over"), _("× the precision"), 0.1, 10.0),
        Threshold("count_days", _("count every"), DAYS, 0.25, 60.0),
        Threshold("nh3_notice_mg_l", _("un-ionised ammonia, notice from"), MG_N, 1e-3, 20.0),
        Threshold("nh3_act_mg_l", _("un-ionised ammonia, act from"), MG_N, 1e-3, 20.0),
        Threshold("oxygen_low_mg_l", _("least oxygen"), _("mg/L"), 0.0, 20.0),
        Threshold("ph_low", _("lowest pH"), "", 5.0, 10.0),
        Threshold("ph_high", _("highest pH"), "", 5.0, 10.0),
        Threshold("temperature_slow_c", _("cold below"), "°C", 0.0, 45.0, "temperature"),
        Threshold("temperature_low_c", _("best from"), "°C", 0.0, 45.0, "temperature"),
        Threshold("temperature_high_c", _("too warm over"), "°C", 0.0, 45.0, "temperature"),
        Threshold("warm_today_c", _("act today from over it by"), "°C", 0.0, 15.0, "degrees"),
        Threshold("temperature_step_c", _("a step of temperature"), "°C", 0.2, 20.0, "degrees"),
        Threshold("salinity_low", _("lowest salinity"), PSU, 0.0, 60.0),
        Threshold("salinity_high", _("highest salinity"), PSU, 0.0, 60.0),
        Threshold("salinity_step", _("a step of"), PSU, 0.1, 40.0),
        Threshold("sg_target", _("target specific gravity"), "", 1.0, 1.05),
        Threshold("ration_least_g_per_million", _("least ration"), _("g dry per million and day"), 1e-4, 1e3),
        Threshold("ration_most_g_per_million", _("largest ration"), _("g dry per million and day"), 1e-3, 1e3),
        Threshold("heavy_feed_g_per_l_day", _("heavy feed from"), _("g dry per L and day"), 1e-3, 10.0),
        Threshold("floss_days_heavy", _("rinse floss under heavy feed after"), DAYS, 0.25, 365.0),
        Threshold("floss_days", _("rinse floss after"), DAYS, 0.25, 365.0),
        Threshold("floss_days_longest", _("rinse floss at the latest after"), DAYS, 0.25, 365.0),
        Threshold("airline_days", _("clean the air line every"), DAYS, 0.25, 365.0),
        Threshold("vessel_days", _("wipe the walls every"), DAYS, 0.25, 365.0),
        Threshold("restart_days", _("restart after"), DAYS, 1.0, 3650.0),
        Threshold("contact_hours", _("served after it within"), _("hours"), 0.1, 72.0),
        Threshold("contact_days", _("remembered for"), DAYS, 0.25, 90.0),
        Threshold("tint_dark", _("dark from tint"), _("of 4"), 1.0, 4.0),
        Threshold("ration_clear", _("ration at tint 0"), TIMES, 0.2, 4.0),
        Threshold("ration_green", _("ration at tint 3"), TIMES, 0.05, 4.0),
        Threshold("ration_dark", _("ration at tint 4"), TIMES, 0.01, 4.0),
    )
}
"""Every threshold of the catalogue by its profile field."""

RISING = (
    ("floor_per_ml", "band_low_per_ml", "band_high_per_ml"),
    ("share_low", "share_high", "share_most"),
    ("nh3_notice_mg_l", "nh3_act_mg_l"),
    ("ph_low", "ph_high"),
    ("temperature_slow_c", "temperature_low_c", "temperature_high_c"),
    ("salinity_low", "salinity_high"),
    ("ration_least_g_per_million", "ration_most_g_per_million"),
    ("floss_days_heavy", "floss_days", "floss_days_longest"),
    ("ration_dark", "ration_green", "ration_clear"),
)
"""Fields whose values must not fall from one to the next."""

Say = Callable[[Threshold, float], str]


def value_text(threshold: Threshold, value: float) -> str:
    """A value with its unit in base units, such as 60 per mL."""
    return f"{value:g} {threshold.unit}".strip()


def check_thresholds(profile: StrainProfile, changed: Mapping[str, float], say: Say = value_text) -> None:
    """Raise `InputError` naming the field if a changed value can't be meant, or stands on the wrong side of another.

    `profile` already has the changed values; `say` puts a value into the keeper's units.
    """
    for field, value in changed.items():
        one = THRESHOLDS[field]
        if not one.low <= value <= one.high:
            raise InputError(
                field, say(one, value), _("{one} to {one_2}").format(one=say(one, one.low), one_2=say(one, one.high))
            )
    for row in RISING:
        for lower, upper in pairwise(row):
            low, high = getattr(profile, lower), getattr(profile, upper)
            if low <= high:
                continue
            if upper in changed:
                bound = THRESHOLDS[lower]
                wanted = _("at least {bound}, which is the value of “{name}” for {title}").format(
                    bound=say(bound, low), name=bound.name, title=profile.title
                )
                raise InputError(upper, say(THRESHOLDS[upper], high), wanted)
            if lower in changed:
                bound = THRESHOLDS[upper]
                wanted = _("at most {bound}, which is the value of “{name}” for {title}").format(
                    bound=say(bound, high), name=bound.name, title=profile.title
                )
                raise InputError(lower, say(THRESHOLDS[lower], low), wanted)
