"""What a vessel already tells of the inputs of a sum."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rackview.core.assessment import Assessment
from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack
from rackview.science.growth import steady_share


def known_of(rack: Rack, assessment: Assessment | None, others: Iterable[Assessment] = ()) -> dict[str, float]:
    """What a vessel, its record and its rack tell of the inputs, by input name; what is not known is left out."""
    if assessment is None:
        return {}
    water = assessment.water
    profile = rack.profile(assessment.vessel)
    density = assessment.density_per_ml.median if assessment.density_per_ml is not None else None
    litres = assessment.level_l or assessment.volume_l
    known: dict[str, float | None] = {
        "volume_l": litres,
        "donor_l": litres,
        "per_ml": density,
        "donor_per_ml": density,
        "density_per_ml": density,
        "animals": None if density is None else density * litres * 1000,
        "sg": _value(water.sg),
        "salinity": _value(water.salinity),
        "temperature_c": _value(water.temperature_c),
        "refill_salinity": _value(water.salinity),
        "refill_temperature_c": _value(water.temperature_c),
        "ph": _value(water.ph),
        "total_mg_l": _value(water.tan_mg_l),
        "mg_l": _value(water.oxygen_mg_l),
        "ovigerous_share": assessment.ovigerous_share,
        "egg_ratio": assessment.egg_ratio,
        "rate": None if assessment.net_rate_per_day is None else assessment.net_rate_per_day.median,
        "animals_per_ml": density,
        "feed_g": None if density is None else density * litres / 1000 * profile.ration_g_per_million,
        "animals_per_day": sum(_yield_per_day(one) for one in others if one.strain == assessment.strain) or None,
        **_habits(rack, profile, litres),
    }
    return {name: value for name, value in known.items() if value is not None}


def _yield_per_day(one: Assessment) -> float:
    """Animals that a vessel gives a day and makes good by the next, as it is believed to grow now."""
    if one.density_per_ml is None or one.net_rate_per_day is None or one.reserve:
        return 0.0
    return one.density_per_ml.median * one.level_l * 1000 * steady_share(min(one.net_rate_per_day.median, 20.0))


def _value(measured: Any) -> float | None:
    return None if measured is None else float(measured.value)


def _habits(rack: Rack, profile: StrainProfile, litres: float) -> dict[str, float | None]:
    share = profile.share_low * litres
    feed = rack.stock[0] if rack.stock else None
    return {
        "wanted_per_ml": profile.start_per_ml,
        "floor_per_ml": profile.floor_per_ml,
        "g_per_million": profile.ration_g_per_million,
        "usual_c": profile.usual_c,
        "min_c": profile.growth_min_c,
        "opt_c": profile.growth_opt_c,
        "max_c": profile.growth_max_c,
        "exchanged": profile.share_low,
        "ceiling": profile.ceiling_per_ml,
        "least_mg_l": profile.oxygen_low_mg_l,
        "limit_mg_l": profile.nh3_notice_mg_l,
        "taken_l": share,
        "refill_volume_l": share,
        "refill_l": share,
        "dry_g_per_ml": None if feed is None else feed.dry_g_per_ml,
    }
