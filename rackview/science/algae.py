"""What rotifers eat of live algae, and how much algae culture it takes to feed them."""

from __future__ import annotations

import math

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.science.limits import ANY, Number, above, number, numbers, plain_floats

HALF_CELLS = 159_000.0
"""Cells of Isochrysis per mL at which a rotifer grazes half as fast as it can: Montagnes et al. 2001."""


@dataclass(frozen=True, slots=True)
class AlgaeNeed:
    """Cells a day, litres of algae culture to take a day, and litres to keep growing so that it lasts."""

    cells_per_day: float
    litres_per_day: float
    culture_l: float


@plain_floats
def grazing_rate(cells_per_ml: Number, temperature_c: Number) -> Number:
    """Cells of Isochrysis that one rotifer takes in a minute, by food and temperature.

    45 F/(159000 + F) * 0.94/(1 + 219000 t^-4.35). Measured over 0.5 to 4 h: feeding falls after the first hour, so a
    day holds less than 1440 of these minutes. Range: 0 to 1e6 cells per mL, 5 to 40 degC. Source: Montagnes, D.J.S. et
    al. 2001, Mar. Biol. 139:975-979 (Brachionus plicatilis, 136 rates).
    """
    food = numbers("cells_per_ml", cells_per_ml, 0, 1e6, _("cells per mL"))
    t = numbers("temperature_c", temperature_c, 5, 40, "degC")
    return 45 * food / (HALF_CELLS + food) * 0.94 / (1 + 219_000 * np.asarray(t) ** -4.35)  # type: ignore[return-value]


def clear_hours(cells_per_ml: float, animals_per_ml: float, temperature_c: float) -> float:
    """Hours in which a culture eats half of the cells in its water, at the grazing rate of Isochrysis.

    Integral of the grazing rate down to half the cells. Range: cells above 0 to 1e6 per mL, animals above 0 to 1e5 per
    mL, 5 to 40 degC. Source: Montagnes et al. 2001, Mar. Biol. 139:975-979, integrated.
    """
    food = above("cells_per_ml", cells_per_ml, 0, 1e6, _("cells per mL"))
    animals = above("animals_per_ml", animals_per_ml, 0, 1e5, _("animals per mL"))
    fastest = grazing_rate(food, temperature_c) * (HALF_CELLS + food) / food
    return (HALF_CELLS * math.log(2) + food / 2) / (fastest * animals) / 60


def algae_need(
    animals: float, cells_per_animal_day: float, culture_per_ml: float, growth_per_day: float, used_share: float = 1.0
) -> AlgaeNeed:
    """Cells and litres of live algae that feed a culture every day, and the culture that makes them good.

    cells = animals * cells each / share used; litres a day = cells / density; culture = litres / (1 - exp(-growth)).
    Range: animals 0 or more, cells each 0 to 1e7 a day, culture above 0 to 1e9 cells per mL, growth above 0 to 5 per
    day, share used above 0 to 1. Source: mass balance; 1.3e5 cells of Nannochloropsis each, Louisiana State University
    dissertation 1537; 6.5e7 cells per mL and 0.339 per day, Bioresource Technology 2013, 129:7-11.
    """
    each = number("cells_per_animal_day", cells_per_animal_day, 0, 1e7, _("cells per animal and day"))
    used = above("used_share", used_share, 0, 1, _("(share of the cells that is eaten)"))
    cells = number("animals", animals, 0, ANY, "animals") * each / used
    litres = cells / (above("culture_per_ml", culture_per_ml, 0, 1e9, _("cells per mL")) * 1000)
    share = -math.expm1(-above("growth_per_day", growth_per_day, 0, 5, "per day"))
    return AlgaeNeed(cells, litres, litres / share)


def algae_days(culture_l: float, culture_per_ml: float, cells_per_day: float, growth_per_day: float = 0.0) -> float:
    """Days that an algae culture lasts when so many cells a day are taken; infinite if it grows fast enough.

    ln(taken / (taken - growth * cells)) / growth, cells / taken where it does not grow. Range: culture above 0 to 1e6
    L, above 0 to 1e9 cells per mL, cells a day above 0, growth 0 to 5 per day. Source: mass balance.
    """
    litres = above("culture_l", culture_l, 0, 1e6, "L")
    cells = litres * 1000 * above("culture_per_ml", culture_per_ml, 0, 1e9, _("cells per mL"))
    taken = above("cells_per_day", cells_per_day, 0, ANY, _("cells per day"))
    growth = number("growth_per_day", growth_per_day, 0, 5, "per day")
    if growth * cells >= taken:
        return math.inf
    return cells / taken if growth == 0 else -math.log1p(-growth * cells / taken) / growth


def feed_per_million(ration: float, share_per_day: float) -> float:
    """Feed per million animals produced: ration per million present and day over the share produced in a day.

    In the unit of the ration (g dry, or cells). Range: ration 0 or more, share above 0 to 2 per day. Source: steady
    state; 0.8 g at 15 to 20 % a day is 4.0 to 5.3 g, 2.0 g at 90 % 2.2 g, Attramadal & Sandvand 1993, Fish Farming
    Technology (yeast and oil).
    """
    share = above("share_per_day", share_per_day, 0, 2, "per day")
    return number("ration", ration, 0, ANY, _("per million and day")) / share
