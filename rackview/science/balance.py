"""Tomorrow's water from today's feed: total and un-ionised ammonia, and how long the oxygen lasts without air.

Bounds, not forecasts: the lower one has only what animals excrete of what they eat, the upper one has all feed rot in a
day. The truth lies between, nearer the lower end in a clear culture that is fed what it eats.
"""

from __future__ import annotations

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.science.ammonia import unionised_mg_l
from rackview.science.limits import ANY, above, number

PROTEIN, LIPID, CARBOHYDRATE = 0.322, 0.173, 0.150
"""Shares of the dry matter of healthy algae, medians: Macromolecular composition of microalgae, PMC4882041."""

N_PER_PROTEIN = 1 / 6.25
"""g of nitrogen per g of protein, the usual factor (Kjeldahl)."""

EXCRETED = (0.2 * 0.2, 1.0)
"""Share of the feed's nitrogen that is total ammonia a day later.

Least: a chemostat's rotifers kept 20 to 30 % of the nitrogen they ate and put 80 % of that into young, so that a fifth
of it was excreted: Aoki, S. & Hino, A. 1996, Fisheries Science 62:8-14. Most: all of it, the egested part rotted.
"""

BURNT = (0.2, 1.0)
"""Share of the feed that is burnt in a day: what is not egested, after Aoki & Hino 1996; all of it."""

O2_PROTEIN, O2_LIPID, O2_CARBOHYDRATE = 1.463, 2.874, 1.066
"""g of oxygen that burn a g: of protein (C 53, H 7, O 23, N 16 %, to ammonia), tripalmitin, glucose; stoichiometry."""


@dataclass(frozen=True, slots=True)
class Tomorrow:
    """mg/L, least and most: total ammonia as N, un-ionised ammonia as N, oxygen used in a day; hours without air."""

    total_mg_n_l: tuple[float, float]
    unionised_mg_n_l: tuple[float, float]
    oxygen_mg_l_day: tuple[float, float]
    hours_without_air: tuple[float, float]


def oxygen_per_feed() -> float:
    """g of oxygen that burn one g of dry algae, its nitrogen left as ammonia.

    Range: feeds with the make-up of algae. Source: stoichiometry of the composition in `PROTEIN`.
    """
    return PROTEIN * O2_PROTEIN + LIPID * O2_LIPID + CARBOHYDRATE * O2_CARBOHYDRATE


def total_ammonia_tomorrow(
    total_mg_l: float, feed_g: float, animals: float, g_per_million: float, volume_l: float, exchanged: float = 0.0
) -> tuple[float, float]:
    """Least and most total ammonia, mg/L as N, a day after a feeding, `exchanged` of the water being new.

    today * (1 - exchanged) + nitrogen of the feed * share / volume; 5.15 % of dry feed is nitrogen. The least counts
    only what the animals can eat. Range: total 0 to 200 mg/L, feed 0 to 1e4 g dry, animals 0 or more, ration above 0 to
    10 g per million, volume above 0 to 1e5 L, exchanged 0 to 1. Source: mass balance; Aoki & Hino 1996, Fisheries
    Science 62:8-14, for the shares.
    """
    stays = number("total_mg_l", total_mg_l, 0, 200, "mg/L") * (1 - number("exchanged", exchanged, 0, 1, "(share)"))
    dry = number("feed_g", feed_g, 0, 1e4, "g dry")
    ration = above("g_per_million", g_per_million, 0, 10, _("g dry per million and day"))
    eaten = min(dry, number("animals", animals, 0, ANY, "animals") / 1e6 * ration)
    per_g = PROTEIN * N_PER_PROTEIN * 1000 / above("volume_l", volume_l, 0, 1e5, "L")
    return stays + eaten * per_g * EXCRETED[0], stays + dry * per_g * EXCRETED[1]


def tomorrow(
    total_mg_l: float,
    feed_g: float,
    animals: float,
    g_per_million: float,
    volume_l: float,
    exchanged: float,
    ph: float,
    temperature_c: float,
    salinity: float,
    mg_l: float = 6.0,
    least_mg_l: float = 3.0,
) -> Tomorrow:
    """Ammonia and oxygen a day after a feeding, least and most, and the hours the oxygen lasts when the air stops.

    Oxygen: feed * share burnt * 1.13 g per g; hours = (oxygen - least) / hourly use. Range: as for
    `total_ammonia_tomorrow` and `unionised_mg_l`; oxygen and its least 0 to 60 mg/L. Source: mass balance; Aoki & Hino
    1996, Fisheries Science 62:8-14; PMC4882041 for the make-up of algae.
    """
    total = total_ammonia_tomorrow(total_mg_l, feed_g, animals, g_per_million, volume_l, exchanged)
    share = unionised_mg_l(1.0, ph, temperature_c, salinity)
    there = number("mg_l", mg_l, 0, 60, "mg/L") - number("least_mg_l", least_mg_l, 0, 60, "mg/L")
    burnt = feed_g * 1000 / volume_l * oxygen_per_feed()
    used = burnt * BURNT[0], burnt * BURNT[1]
    lasts = tuple(max(there, 0.0) / u * 24 if u > 0 else ANY for u in reversed(used))
    return Tomorrow(total, (total[0] * share, total[1] * share), used, (lasts[0], lasts[1]))
