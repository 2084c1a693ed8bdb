"""Entries of the formulas about feeding and moving animals: feed and transfer."""

from __future__ import annotations

from rackview.science import transfer
from rackview.science.formula_entry import OUTSIDE, Formula, Input

GRAMS = Input("grams_dry", "dry matter", 1.5, "g", 0)
CELL = Input("cell_pg", "dry weight of one cell", 6.1, "pg", 0, 1e5, open_low=True)
ANIMALS = Input("animals", "animals", 2e6, "animals", 0)
PER_ML = Input("per_ml", "density of the culture", 200.0, "animals per mL", 0, 1e6)
VOLUME = Input("volume_l", "volume of the vessel", 20.0, "L", 0, 1e6, open_low=True)

FEEDING = (
    Formula(
        "feeding.ration_from_table",
        "steps of density, 0.53 at 100 per mL to 0.25 above 500",
        "g dry per million and day",
        (Input("density_per_ml", "density", 220.0, "rotifers per mL", 100, 5000),),
        (OUTSIDE, "test_the_table_ration_never_rises_with_density"),
    ),
    Formula(
        "feeding.ration_from_curve",
        "6.5 * density^-0.517",
        "g dry per million and day",
        (Input("density_per_ml", "density", 220.0, "rotifers per mL", 100, 500),),
        ("test_the_curve_of_rations_is_as_far_off_its_table_as_is_said",),
    ),
    Formula(
        "feeding.ration_from_cells",
        "cells * pg * 1e-6",
        "g dry per million and day",
        (
            Input("cells_per_animal_day", "cells eaten per animal and day", 1.3e5, "cells", 0, None),
            Input("cell_pg", "dry weight of one cell", 6.1, "pg", 0, 1e5, open_low=True, depends=True),
        ),
        (OUTSIDE, "test_an_implausible_ingestion_is_refused"),
    ),
    Formula(
        "feeding.ration_from_body",
        "ug per animal * share eaten per day",
        "g dry per million and day",
        (
            Input("animal_ug", "dry weight of an animal", 0.5, "ug", 0, 100, open_low=True),
            Input("share_per_day", "share of it eaten in a day", 0.75, "per day", 0, 3),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "feeding.ration_doubt",
        "0.1 <= ration <= 3 g dry per million and day",
        "a sentence, or nothing",
        (Input("g_per_million", "ration", 0.6, "g dry per million and day", 0, None),),
        ("test_a_ration_outside_the_sane_band_is_doubted", "test_four_roads_lead_between_a_fifth_and_two_grams"),
    ),
    Formula(
        "feeding.dose_g",
        "animals/1e6 * ration * days",
        "g dry",
        (
            ANIMALS,
            Input("g_per_million", "ration", 0.6, "g dry per million and day", 0.1, 3),
            Input("days", "days", 1.0, "days", 0, 31),
        ),
        (OUTSIDE, "test_dose_and_implied_ration_invert"),
    ),
    Formula(
        "feeding.implied_ration",
        "g / (animals/1e6)",
        "g dry per million",
        (GRAMS, Input("animals", "animals", 2e6, "animals", 0, None, open_low=True)),
        ("test_dose_and_implied_ration_invert",),
    ),
    Formula(
        "feeding.concentrate_strength",
        "% dry / 100 * density",
        "g dry per mL",
        (
            Input("percent_dry", "dry matter by weight", 12.0, "%", 0, 100, open_low=True),
            Input("g_per_ml", "density of the concentrate", 1.0, "g/mL", 0.8, 1.5),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "feeding.dose_ml",
        "g dry / strength",
        "mL",
        (GRAMS, Input("dry_g_per_ml", "strength of the feed", 0.12, "g dry per mL", 0, 1, open_low=True)),
        (OUTSIDE, "test_doses_in_ml_and_cells_invert"),
    ),
    Formula(
        "feeding.grams_of_cells",
        "cells * pg * 1e-12",
        "g dry",
        (Input("cells", "cells", 1e9, "cells", 0, None), CELL),
        (OUTSIDE, "test_doses_in_ml_and_cells_invert"),
    ),
    Formula(
        "feeding.cells_in_grams", "g / (pg * 1e-12)", "cells", (GRAMS, CELL), ("test_doses_in_ml_and_cells_invert",)
    ),
    Formula(
        "feeding.dose_for_cells",
        "(wanted - present) * volume / (feed - wanted)",
        "mL",
        (
            Input("volume_l", "volume", 20.0, "L", 0, 1e5, open_low=True),
            Input("wanted_per_ml", "cells wanted", 1e6, "cells per mL", 0, 1e9, depends=True),
            Input("present_per_ml", "cells there", 2e5, "cells per mL", 0, 1e9),
            Input("feed_cells_per_ml", "cells in the feed", 1e9, "cells per mL", 0, 1e12, open_low=True, depends=True),
        ),
        (OUTSIDE, "test_dose_for_cells_reaches_the_density_that_was_wanted"),
    ),
    Formula(
        "feeding.cell_volume_um3",
        "pi d^3 / 6",
        "um3",
        (Input("diameter_um", "diameter of a round cell", 5.0, "um", 0, 200, open_low=True),),
        (OUTSIDE, "test_a_tenth_more_diameter_is_a_third_more_cell"),
    ),
)

TRANSFER = (
    Formula(
        "transfer.animals_in",
        "volume * 1000 * density",
        "animals",
        (Input("volume_l", "volume", 5.0, "L", 0, 1e6), PER_ML),
        (OUTSIDE,),
    ),
    Formula(
        "transfer.harvest_volume",
        "animals / (1000 * density * recovery)",
        "L",
        (
            ANIMALS,
            Input("per_ml", "density of the culture", 200.0, "animals per mL", 0, 1e6, open_low=True),
            Input("recovery", "share that survives the sieve", 0.9, "", 0, 1, open_low=True),
        ),
        (OUTSIDE, "test_harvest_volume_inverts_animals_in"),
    ),
    Formula(
        "transfer.starter_volume",
        "wanted * receiver / donor",
        "L",
        (
            Input("receiver_l", "volume of the new vessel", 10.0, "L", 0, 1e6, open_low=True),
            Input("wanted_per_ml", "starting density", 60.0, "animals per mL", 0, 1e6, open_low=True, depends=True),
            Input("donor_per_ml", "density of the donor", 200.0, "animals per mL", 0, 1e6, depends=True),
        ),
        ("test_a_move_leaves_the_floor_and_reaches_the_start",),
    ),
    Formula(
        "transfer.most_to_take",
        "V (1 - floor/density)",
        "L",
        (VOLUME, PER_ML, Input("floor_per_ml", "density to keep", 60.0, "animals per mL", 0, 1e6)),
        ("test_a_move_leaves_the_floor_and_reaches_the_start", "test_nothing_is_taken_from_a_culture_under_its_floor"),
    ),
    Formula(
        "transfer.move",
        "V = wanted * receiver / donor, refused when the donor would fall under its floor",
        "L to move, densities in both vessels",
        (
            Input("donor_l", "level of the donor", 20.0, "L", 0, 1e6, open_low=True, depends=True),
            Input("donor_per_ml", "density of the donor", 200.0, "animals per mL", 0, 1e6, depends=True),
            Input("receiver_l", "volume of the new vessel", 10.0, "L", 0, 1e6, open_low=True, depends=True),
            Input("wanted_per_ml", "starting density", 60.0, "animals per mL", 0, 1e6, open_low=True, depends=True),
            Input("floor_per_ml", "density the donor keeps", 60.0, "animals per mL", 0, 1e6, depends=True),
            Input("refill_l", "water put back into the donor", 3.0, "L", 0, 1e6),
        ),
        ("test_a_move_leaves_the_floor_and_reaches_the_start", "test_a_move_without_refill_leaves_the_density"),
    ),
    Formula(
        "transfer.sieve_mesh",
        "as printed, by strain",
        "um",
        (Input("strain", "strain", "rotifer-L", choices=tuple(transfer.MESHES)),),
        ("test_every_strain_has_a_mesh_with_its_source",),
    ),
    Formula(
        "transfer.enrichment_volume",
        "animals / (1000 * density)",
        "L",
        (ANIMALS, Input("per_ml", "density while enriching", 500.0, "animals per mL", 10, 2000)),
        (OUTSIDE,),
    ),
    Formula(
        "transfer.enrichment_doses",
        "volume * mg/L / 1000 / doses",
        "g, once for each dose",
        (
            Input("volume_l", "volume", 2.0, "L", 0, 1e5, open_low=True),
            Input("mg_per_l", "product, by its label", 300.0, "mg/L", 1, 2000),
            Input("doses", "doses", 2, "", 1, 6),
        ),
        ("test_enrichment",),
    ),
    Formula(
        "transfer.in_water_column",
        "0.50 after 1 h, 0.75 after 6 h, a straight line between",
        "share of the rotifers stocked",
        (Input("hours", "hours since an abrupt transfer", 2.0, "hours", 1, 6),),
        (OUTSIDE, "test_rotifers_come_back_after_a_transfer"),
    ),
    Formula(
        "transfer.swimming_after",
        "1 without a step, 0.50 after 5, 0.05 after 15, straight lines between",
        "share still swimming",
        (Input("fall", "fall of salinity at once", 5.0, "(practical salinity)", 0, 15),),
        (OUTSIDE, "test_rotifers_come_back_after_a_transfer"),
    ),
    Formula(
        "transfer.mesh_diagonal",
        "opening * sqrt(2)",
        "um",
        (Input("opening_um", "opening of the mesh", 53.0, "um", 0, 5000, open_low=True),),
        (OUTSIDE,),
    ),
    Formula(
        "transfer.per_cm2",
        "density * 1000 * volume / surface",
        "animals per cm2",
        (
            Input("per_ml", "density", 5.0, "animals per mL", 0, 1e6),
            Input("volume_l", "volume", 10.0, "L", 0, 1e6, open_low=True),
            Input("surface_cm2", "surface of bottom, walls and substrate", 2500.0, "cm2", 0, 1e7, open_low=True),
        ),
        ("test_per_surface_keeps_the_animals",),
    ),
)

FORMULAS = (*FEEDING, *TRANSFER)
