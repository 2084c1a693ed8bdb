"""How much to feed: by animals present, by cells wanted in the water, by dry weight; with a check of the units.

Rations are g of dry matter per million rotifers and day. Four independent roads (yeast, algal cells, body weight, dry
diet) put them between 0.2 and 2; outside 0.1 to 3 a unit has most likely been mistaken.
"""

from __future__ import annotations

from types import MappingProxyType

import numpy as np

from rackview.core.errors import InputError
from rackview.language import _
from rackview.science.limits import ANY, above, number
from rackview.science.options import Option

SANE_RATION = (0.1, 3.0)
"""g dry per million rotifers and day outside which the units are doubted (bound of the project)."""

DENSITY_RATIONS = (
    (100.0, 0.53),
    (150.0, 0.45),
    (200.0, 0.40),
    (250.0, 0.36),
    (300.0, 0.33),
    (350.0, 0.30),
    (400.0, 0.28),
    (450.0, 0.27),
    (500.0, 0.25),
)
"""Rotifers per mL from which on, g of dry diet per million and day: common practice, no source. All of them lie within
the ration by body weight of `RATIONS`, which has a source."""

RATIONS = MappingProxyType(
    {
        "algal cells": Option(
            (0.79, 0.79),
            _(
                "1.3e5 cells of Nannochloropsis per rotifer and day in a recirculating "
                "culture, Louisiana State University "
                "dissertation 1537, with 6.1 pg per cell (common practice, no source)"
            ),
        ),
        "body weight": Option(
            (0.19, 0.76),
            _(
                "60 to 90 % of dry weight a day, Navarro, N. 1999, J. Exp. Mar. Biol. Ecol. 237:75-87, of 0.314 to "
                "0.846 ug, Yufera, M. & Pascual, E. 1989, doi 10.1007/978-94-009-0465-1_45"
            ),
        ),
        "yeast": Option((0.8, 2.0), _("Attramadal & Sandvand 1993, Fish Farming Technology (yeast and oil, 23 degC)")),
        "dry diet": Option(
            (0.25, 0.53),
            _("common practice, no source; within the ration by body weight"),
        ),
    }
)
"""Rations in g dry per million rotifers and day (least, most), by source."""

CELL_PG = MappingProxyType(
    {
        "Nannochloropsis oculata": 6.1,
        "Isochrysis galbana": 30.5,
        "Isochrysis T-iso": 29.7,
        "Chaetoceros calcitrans": 11.3,
        "Nannochloris atomus": 21.4,
        "Tetraselmis suecica": 168.2,
        "Tetraselmis chui": 269.0,
        "Pavlova lutheri": 102.3,
        "Dunaliella tertiolecta": 99.9,
        "Rhodomonas salina": 122.5,
    }
)
"""Dry weight of one cell, pg: common practice, no source."""


def ration_from_table(density_per_ml: float) -> float:
    """g of dry diet per million rotifers and day for a culture of `density_per_ml`, falling with density.

    Range: 100 to 5000 rotifers per mL; the last step, 0.25, stands for all above 500. Source: common practice, no
    source; every step lies within the ration by body weight of `RATIONS`, which has a source.
    """
    density = number("density_per_ml", density_per_ml, 100, 5000, _("rotifers per mL, where the table speaks"))
    return next(ration for start, ration in reversed(DENSITY_RATIONS) if density >= start)


def ration_from_curve(density_per_ml: float) -> float:
    """The same without steps: 6.5 * density^-0.517 g per million and day.

    Least squares through the middle of the table's steps: within 2 % of it there and within 14 % at their ends, as the
    table itself falls by up to 15 % from one step to the next. Range: 100 to 500 rotifers per mL. Source: our own fit
    to the table of `ration_from_table`, which is common practice, no source.
    """
    density = number("density_per_ml", density_per_ml, 100, 500, _("rotifers per mL, where the fit was made"))
    return float(6.5 * density**-0.517)


def ration_from_cells(cells_per_animal_day: float, cell_pg: float) -> float:
    """g dry per million animals and day from cells that one animal eats in a day: cells * pg * 1e-6.

    Range: result 0 to 3 g per million, beyond which a unit is surely mistaken; cell above 0 to 1e5 pg. Source: units.
    """
    ration = number("cells_per_animal_day", cells_per_animal_day) * above("cell_pg", cell_pg, 0, 1e5, "pg") * 1e-6
    if ration > SANE_RATION[1]:
        raise InputError(
            "cells_per_animal_day",
            _("{cells_per_animal_day:g} cells of {cell_pg:g} pg, that is {ration:.3g} g per million").format(
                cells_per_animal_day=cells_per_animal_day, cell_pg=cell_pg, ration=ration
            ),
            _("cells that come to at most {sane_ration:g} g dry per million animals and day").format(
                sane_ration=SANE_RATION[1]
            ),
        )
    return ration


def ration_from_body(animal_ug: float, share_per_day: float) -> float:
    """g dry per million animals and day from the body: ug dry per animal times the share of it eaten in a day.

    Range: animal above 0 to 100 ug, share 0 to 3 per day. Source: Navarro 1999, J. Exp. Mar. Biol. Ecol. 237:75-87
    (shares); Yufera & Pascual 1989, doi 10.1007/978-94-009-0465-1_45 (weights); units.
    """
    return above("animal_ug", animal_ug, 0, 100, "ug") * number("share_per_day", share_per_day, 0, 3, "per day")


def ration_doubt(g_per_million: float) -> str:
    """One sentence when a ration lies outside 0.1 to 3 g dry per million and day, else the empty string.

    Range: 0 or more. Source: agreement of the four roads in `RATIONS`.
    """
    ration = number("g_per_million", g_per_million, 0, ANY, _("g dry per million and day"))
    if SANE_RATION[0] <= ration <= SANE_RATION[1]:
        return ""
    return _(
        "{ration:.3g} g dry per million animals and day is outside {sane_ration:g} to "
        "{sane_ration_2:g}: check the units, the strength of the feed and the count."
    ).format(ration=ration, sane_ration=SANE_RATION[0], sane_ration_2=SANE_RATION[1])


def dose_g(animals: float, g_per_million: float, days: float = 1.0) -> float:
    """g of dry feed for `animals` over `days`: animals/1e6 * ration * days.

    Range: animals 0 or more, ration 0.1 to 3 g dry per million and day, days 0 to 31. Source: units; the bounds from
    the agreement of the four roads in `RATIONS`.
    """
    ration = number("g_per_million", g_per_million, *SANE_RATION, _("g dry per million and day"))
    return number("animals", animals, 0, ANY, "animals") / 1e6 * ration * number("days", days, 0, 31, "days")


def implied_ration(grams_dry: float, animals: float) -> float:
    """g dry per million animals that a dose comes to; hand it to `ration_doubt`.

    Range: grams 0 or more, animals above 0. Source: units.
    """
    return number("grams_dry", grams_dry, 0, ANY, "g") / (above("animals", animals, 0, ANY, "animals") / 1e6)


def concentrate_strength(percent_dry: float, g_per_ml: float = 1.0) -> float:
    """g of dry matter per mL of an algae concentrate from its dry matter in % by weight and its density in g/mL.

    Range: above 0 to 100 %, 0.8 to 1.5 g/mL; concentrates have 8 to 20 % (common practice, no source). Source: units.
    """
    return above("percent_dry", percent_dry, 0, 100, "%") / 100 * number("g_per_ml", g_per_ml, 0.8, 1.5, "g/mL")


def dose_ml(grams_dry: float, dry_g_per_ml: float) -> float:
    """mL of feed that hold `grams_dry` g of dry matter.

    Range: grams 0 or more, strength above 0 to 1 g/mL. Source: units.
    """
    return number("grams_dry", grams_dry, 0, ANY, "g") / above("dry_g_per_ml", dry_g_per_ml, 0, 1, _("g dry per mL"))


def grams_of_cells(cells: float, cell_pg: float) -> float:
    """g of dry matter in `cells` cells: cells * pg * 1e-12.

    Range: cells 0 or more, cell above 0 to 1e5 pg. Source: units.
    """
    return number("cells", cells, 0, ANY, "cells") * above("cell_pg", cell_pg, 0, 1e5, "pg") * 1e-12


def cells_in_grams(grams_dry: float, cell_pg: float) -> float:
    """Cells in `grams_dry` g of dry matter, the inverse of `grams_of_cells`.

    Range: grams 0 or more, cell above 0 to 1e5 pg. Source: units.
    """
    return number("grams_dry", grams_dry, 0, ANY, "g") / (above("cell_pg", cell_pg, 0, 1e5, "pg") * 1e-12)


def dose_for_cells(volume_l: float, wanted_per_ml: float, present_per_ml: float, feed_cells_per_ml: float) -> float:
    """mL of an algae suspension that bring `volume_l` L from `present_per_ml` to `wanted_per_ml` cells.

    (wanted - present) * volume / (feed - wanted), the volume of the dose itself counted; 0 when there is enough. Range:
    volume above 0 to 1e5 L, cells 0 or more, the feed denser than what is wanted. Source: mass balance.
    """
    wanted = number("wanted_per_ml", wanted_per_ml, 0, 1e9, _("cells per mL"))
    present = number("present_per_ml", present_per_ml, 0, 1e9, _("cells per mL"))
    feed = above("feed_cells_per_ml", feed_cells_per_ml, 0, 1e12, _("cells per mL"))
    volume = above("volume_l", volume_l, 0, 1e5, "L") * 1000
    if present >= wanted:
        return 0.0
    if feed <= wanted:
        raise InputError(
            "feed_cells_per_ml",
            feed_cells_per_ml,
            _("more cells per mL than the {wanted:g} wanted").format(wanted=wanted),
        )
    return (wanted - present) * volume / (feed - wanted)


def cell_volume_um3(diameter_um: float) -> float:
    """Volume of a round cell, um3: pi d^3/6; a tenth more diameter is a third more cell. Range: above 0 to 200 um.

    Source: geometry.
    """
    return float(np.pi / 6 * above("diameter_um", diameter_um, 0, 200, "um") ** 3)
