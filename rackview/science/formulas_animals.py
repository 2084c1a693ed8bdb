"""Entries of the formulas about feeding and moving animals: feed and transfer."""

from __future__ import annotations

from rackview.language import _
from rackview.science import transfer
from rackview.science.formula_entry import OUTSIDE, Formula, Input

GRAMS = Input("grams_dry", _("dry matter"), 1.5, "g", 0)
CELL = Input("cell_pg", _("dry weight of one cell"), 6.1, _("pg"), 0, 1e5, open_low=True)
ANIMALS = Input("animals", _("animals"), 2e6, _("animals"), 0)
PER_ML = Input("per_ml", _("density of the culture"), 200.0, _("animals per mL"), 0, 1e6)
VOLUME = Input("volume_l", _("volume of the vessel"), 20.0, "L", 0, 1e6, open_low=True)

FEEDING = (
    Formula(
        "feeding.ration_from_table",
        _("steps of density, 0.53 at 100 per mL to 0.25 above 500"),
        _("g dry per million and day"),
        (Input("density_per_ml", _("density"), 220.0, _("rotifers per mL"), 100, 5000),),
        (OUTSIDE, "test_the_table_ration_never_rises_with_density"),
    ),
    Formula(
        "feeding.ration_from_curve",
        _("6.5 * density^-0.517"),
        _("g dry per million and day"),
        (Input("density_per_ml", _("density"), 220.0, _("rotifers per mL"), 100, 500),),
        ("test_the_curve_of_rations_is_as_far_off_its_table_as_is_said",),
    ),
    Formula(
        "feeding.ration_from_cells",
        _("cells * pg * 1e-6"),
        _("g dry per million and day"),
        (
            Input("cells_per_animal_day", _("cells eaten per animal and day"), 1.3e5, _("cells"), 0, None),
            Input("cell_pg", _("dry weight of one cell"), 6.1, _("pg"), 0, 1e5, open_low=True, depends=True),
        ),
        (OUTSIDE, "test_an_implausible_ingestion_is_refused"),
    ),
    Formula(
        "feeding.ration_from_body",
        _("ug per animal * share eaten per day"),
        _("g dry per million and day"),
        (
            Input("animal_ug", _("dry weight of an animal"), 0.5, _("ug"), 0, 100, open_low=True),
            Input("share_per_day", _("share of it eaten in a day"), 0.75, _("per day"), 0, 3),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "feeding.ration_doubt",
        _("0.1 <= ration <= 3 g dry per million and day"),
        _("a sentence, or nothing"),
        (Input("g_per_million", _("ration"), 0.6, _("g dry per million and day"), 0, None),),
        ("test_a_ration_outside_the_sane_band_is_doubted", "test_four_roads_lead_between_a_fifth_and_two_grams"),
    ),
    Formula(
        "feeding.dose_g",
        _("animals/1e6 * ration * days"),
        _("g dry"),
        (
            ANIMALS,
            Input("g_per_million", _("ration"), 0.6, _("g dry per million and day"), 0.1, 3),
            Input("days", _("days"), 1.0, _("days"), 0, 31),
        ),
        (OUTSIDE, "test_dose_and_implied_ration_invert"),
    ),
    Formula(
        "feeding.implied_ration",
        _("g / (animals/1e6)"),
        _("g dry per million"),
        (GRAMS, Input("animals", _("animals"), 2e6, _("animals"), 0, None, open_low=True)),
        ("test_dose_and_implied_ration_invert",),
    ),
    Formula(
        "feeding.concentrate_strength",
        _("% dry / 100 * density"),
        _("g dry per mL"),
        (
            Input("percent_dry", _("dry matter by weight"), 12.0, "%", 0, 100, open_low=True),
            Input("g_per_ml", _("density of the concentrate"), 1.0, _("g/mL"), 0.8, 1.5),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "feeding.dose_ml",
        _("g dry / strength"),
        _("mL"),
        (GRAMS, Input("dry_g_per_ml", _("strength of the feed"), 0.12, _("g dry per mL"), 0, 1, open_low=True)),
        (OUTSIDE, "test_doses_in_ml_and_cells_invert"),
    ),
    Formula(
        "feeding.grams_of_cells",
        _("cells * pg * 1e-12"),
        _("g dry"),
        (Input("cells", _("cells"), 1e9, _("cells"), 0, None), CELL),
        (OUTSIDE, "test_doses_in_ml_and_cells_invert"),
    ),
    Formula(
        "feeding.cells_in_grams",
        _("g / (pg * 1e-12)"),
        _("cells"),
        (GRAMS, CELL),
        ("test_doses_in_ml_and_cells_invert",),
    ),
    Formula(
        "feeding.dose_for_cells",
        _("(wanted - present) * volume / (feed - wanted)"),
        _("mL"),
        (
            Input("volume_l", _("volume"), 20.0, "L", 0, 1e5, open_low=True),
            Input("wanted_per_ml", _("cells wanted"), 1e6, _("cells per mL"), 0, 1e9, depends=True),
            Input("present_per_ml", _("cells there"), 2e5, _("cells per mL"), 0, 1e9),
            Input(
                "feed_cells_per_ml",
                _("cells in the feed"),
                1e9,
                _("cells per mL"),
                0,
                1e12,
                open_low=True,
                depends=True,
            ),
        ),
        (OUTSIDE, "test_dose_for_cells_reaches_the_density_that_was_wanted"),
    ),
    Formula(
        "feeding.cell_volume_um3",
        _("pi d^3 / 6"),
        _("um3"),
        (Input("diameter_um", _("diameter of a round cell"), 5.0, _("um"), 0, 200, open_low=True),),
        (OUTSIDE, "test_a_tenth_more_diameter_is_a_third_more_cell"),
    ),
)

TRANSFER = (
    Formula(
        "transfer.animals_in",
        _("volume * 1000 * density"),
        _("animals"),
        (Input("volume_l", _("volume"), 5.0, "L", 0, 1e6), PER_ML),
        (OUTSIDE,),
    ),
    Formula(
        "transfer.harvest_volume",
        _("animals / (1000 * density * recovery)"),
        "L",
        (
            ANIMALS,
            Input("per_ml", _("density of the culture"), 200.0, _("animals per mL"), 0, 1e6, open_low=True),
            Input("recovery", _("share that survives the sieve"), 0.9, "", 0, 1, open_low=True),
        ),
        (OUTSIDE, "test_harvest_volume_inverts_animals_in"),
    ),
    Formula(
        "transfer.starter_volume",
        _("wanted * receiver / donor"),
        "L",
        (
            Input("receiver_l", _("volume of the new vessel"), 10.0, "L", 0, 1e6, open_low=True),
            Input(
                "wanted_per_ml", _("starting density"), 60.0, _("animals per mL"), 0, 1e6, open_low=True, depends=True
            ),
            Input("donor_per_ml", _("density of the donor"), 200.0, _("animals per mL"), 0, 1e6, depends=True),
        ),
        ("test_a_move_leaves_the_floor_and_reaches_the_start",),
    ),
    Formula(
        "transfer.most_to_take",
        _("V (1 - floor/density)"),
        "L",
        (VOLUME, PER_ML, Input("floor_per_ml", _("density to keep"), 60.0, _("animals per mL"), 0, 1e6)),
        ("test_a_move_leaves_the_floor_and_reaches_the_start", "test_nothing_is_taken_from_a_culture_under_its_floor"),
    ),
    Formula(
        "transfer.move",
        _("V = wanted * receiver / donor, refused when the donor would fall under its floor"),
        _("L to move, densities in both vessels"),
        (
            Input("donor_l", _("level of the donor"), 20.0, "L", 0, 1e6, open_low=True, depends=True),
            Input("donor_per_ml", _("density of the donor"), 200.0, _("animals per mL"), 0, 1e6, depends=True),
            Input("receiver_l", _("volume of the new vessel"), 10.0, "L", 0, 1e6, open_low=True, depends=True),
            Input(
                "wanted_per_ml", _("starting density"), 60.0, _("animals per mL"), 0, 1e6, open_low=True, depends=True
            ),
            Input("floor_per_ml", _("density the donor keeps"), 60.0, _("animals per mL"), 0, 1e6, depends=True),
            Input("refill_l", _("water put back into the donor"), 3.0, "L", 0, 1e6),
        ),
        ("test_a_move_leaves_the_floor_and_reaches_the_start", "test_a_move_without_refill_leaves_the_density"),
    ),
    Formula(
        "transfer.sieve_mesh",
        _("as printed, by strain"),
        _("um"),
        (Input("strain", _("strain"), "rotifer-L", choices=tuple(transfer.MESHES)),),
        ("test_every_strain_has_a_mesh_with_its_source",),
    ),
    Formula(
        "transfer.enrichment_volume",
        _("animals / (1000 * density)"),
        "L",
        (ANIMALS, Input("per_ml", _("density while enriching"), 500.0, _("animals per mL"), 10, 2000)),
        (OUTSIDE,),
    ),
    Formula(
        "transfer.enrichment_doses",
        _("volume * mg/L / 1000 / doses"),
        _("g, once for each dose"),
        (
            Input("volume_l", _("volume"), 2.0, "L", 0, 1e5, open_low=True),
            Input("mg_per_l", _("product, by its label"), 300.0, _("mg/L"), 1, 2000),
            Input("doses", _("doses"), 2, "", 1, 6),
        ),
        ("test_enrichment",),
    ),
    Formula(
        "transfer.in_water_column",
        _("0.50 after 1 h, 0.75 after 6 h, a straight line between"),
        _("share of the rotifers stocked"),
        (Input("hours", _("hours since an abrupt transfer"), 2.0, _("hours"), 1, 6),),
        (OUTSIDE, "test_rotifers_come_back_after_a_transfer"),
    ),
    Formula(
        "transfer.swimming_after",
        _("1 without a step, 0.50 after 5, 0.05 after 15, straight lines between"),
        _("share still swimming"),
        (Input("fall", _("fall of salinity at once"), 5.0, _("(practical salinity)"), 0, 15),),
        (OUTSIDE, "test_rotifers_come_back_after_a_transfer"),
    ),
    Formula(
        "transfer.mesh_diagonal",
        _("opening * sqrt(2)"),
        _("um"),
        (Input("opening_um", _("opening of the mesh"), 53.0, _("um"), 0, 5000, open_low=True),),
        (OUTSIDE,),
    ),
    Formula(
        "transfer.per_cm2",
        _("density * 1000 * volume / surface"),
        _("animals per cm2"),
        (
            Input("per_ml", _("density"), 5.0, _("animals per mL"), 0, 1e6),
            Input("volume_l", _("volume"), 10.0, "L", 0, 1e6, open_low=True),
            Input("surface_cm2", _("surface of bottom, walls and substrate"), 2500.0, _("cm2"), 0, 1e7, open_low=True),
        ),
        ("test_per_surface_keeps_the_animals",),
    ),
)

FORMULAS = (*FEEDING, *TRANSFER)
