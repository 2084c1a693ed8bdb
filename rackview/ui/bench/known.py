"""What a vessel already tells of the inputs of a sum."""

from __future__ import annotations

from typing import Any

from rackview.core.assessment import Assessment
from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack


def known_of(rack: Rack, assessment: Assessment | None) -> dict[str, float]:
    """What a vessel and its record tell of the inputs, by input name; what is not known is left out."""
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
        **_habits(rack, profile, litres),
    }
    return {name: value for name, value in known.items() if value is not None}


def _value(measured: Any) -> float | None:
    return None if measured is None else float(measured.value)


def _habits(rack: Rack, profile: StrainProfile, litres: float) -> dict[str, float | None]:
    share = profile.share_low * litres
    feed = rack.stock[0] if rack.stock else None
    return {
        "wanted_per_ml": profile.start_per_ml,
        "floor_per_ml": profile.floor_per_ml,
        "g_per_million": profile.ration_g_per_million,
        "taken_l": share,
        "refill_volume_l": share,
        "refill_l": share,
        "dry_g_per_ml": None if feed is None else feed.dry_g_per_ml,
    }
