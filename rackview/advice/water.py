"""Salt for the new water of a vessel: at the salinity it stands at, or that of its strain where nobody measured."""

from __future__ import annotations

from rackview.advice.constants import SALT_MOST, WARM_MOST_C
from rackview.rules.constants import CULTURE_C
from rackview.rules.flags.water import target_salinity
from rackview.rules.view import View
from rackview.science.seawater import density_eos80, g_per_kg


def assumed_refill_salinity(view: View) -> float:
    """Practical salinity of the water that goes into a vessel: as last measured there, else the strain's usual."""
    measured = view.water.salinity
    if measured is not None:
        return min(max(measured.value, 0.0), SALT_MOST)
    wanted = target_salinity(view.profile.sg_target)
    return 0.5 * (view.profile.salinity_low + view.profile.salinity_high) if wanted is None else wanted


def salt_g_per_l(view: View) -> float:
    """Dry salt in a litre of that water, g: reference salinity times the density by EOS-80 at the vessel's temperature.

    A salt with crystal water needs more by the share that its label says.
    """
    seen = view.water.temperature_c
    celsius = CULTURE_C if seen is None else min(max(seen.value, 0.0), WARM_MOST_C)
    salinity = assumed_refill_salinity(view)
    return float(density_eos80(salinity, celsius) * g_per_kg(salinity)) / 1000.0
