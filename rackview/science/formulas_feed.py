"""Entries of the formulas about live algae, tomorrow's water, enrichment and cold storage."""

from __future__ import annotations

from rackview.language import _
from rackview.science import enrichment, storage
from rackview.science.formula_entry import OUTSIDE, Formula, Input

SP = _("(practical salinity)")
ANIMALS = Input("animals", _("animals"), 2e6, _("animals"), 0)
RATION = Input("g_per_million", _("ration they can eat"), 0.6, _("g dry per million and day"), 0, 10, open_low=True)
FEED = Input("feed_g", _("feed today"), 1.2, _("g dry"), 0, 1e4)
LITRES = Input("volume_l", _("volume"), 20.0, "L", 0, 1e5, open_low=True)
NEW = Input("exchanged", _("share of the water that is new"), 0.3, "", 0, 1)
TOTAL = Input("total_mg_l", _("total ammonia now"), 1.0, _("mg/L as N"), 0, 200)

ALGAE = (
    Formula(
        "algae.grazing_rate",
        "45 F/(159000 + F) * 0.94/(1 + 219000 t^-4.35)",
        _("cells per rotifer and minute"),
        (
            Input("cells_per_ml", _("cells of Isochrysis"), 4e5, _("cells per mL"), 0, 1e6),
            Input("temperature_c", _("temperature"), 25.0, _("degC"), 5, 40),
        ),
        (OUTSIDE, "test_grazing_is_half_at_its_half_saturation"),
    ),
    Formula(
        "algae.clear_hours",
        _("(159000 ln 2 + F/2) / (animals * fastest grazing) / 60"),
        _("hours to half the cells"),
        (
            Input("cells_per_ml", _("cells of Isochrysis"), 4e5, _("cells per mL"), 0, 1e6, open_low=True),
            Input("animals_per_ml", _("density of the culture"), 200.0, _("animals per mL"), 0, 1e5, open_low=True),
            Input("temperature_c", _("temperature"), 25.0, _("degC"), 5, 40),
        ),
        ("test_clearing_equals_the_integral_by_scipy",),
    ),
    Formula(
        "algae.algae_need",
        _("cells = animals * cells each / share used; L = cells / density; culture = L / (1 - exp(-growth))"),
        _("cells a day, L of culture a day, L to keep growing"),
        (
            ANIMALS,
            Input("cells_per_animal_day", _("cells each animal eats in a day"), 1.3e5, _("cells"), 0, 1e7),
            Input("culture_per_ml", _("density of the algae culture"), 2e7, _("cells per mL"), 0, 1e9, open_low=True),
            Input("growth_per_day", _("growth of the algae"), 0.3, _("per day"), 0, 5, open_low=True),
            Input("used_share", _("share of the cells that is eaten"), 1.0, "", 0, 1, open_low=True),
        ),
        (OUTSIDE, "test_a_culture_of_that_size_lasts"),
    ),
    Formula(
        "algae.algae_days",
        _("ln(taken / (taken - growth * cells)) / growth"),
        _("days, infinite where it grows as fast as it is taken"),
        (
            Input("culture_l", _("algae culture"), 10.0, "L", 0, 1e6, open_low=True),
            Input("culture_per_ml", _("its density"), 2e7, _("cells per mL"), 0, 1e9, open_low=True),
            Input("cells_per_day", _("cells taken a day"), 2.6e11, _("cells"), 0, None, open_low=True),
            Input("growth_per_day", _("growth of the algae"), 0.3, _("per day"), 0, 5),
        ),
        ("test_days_of_algae_equal_a_day_by_day_solution_by_scipy",),
    ),
    Formula(
        "algae.feed_per_million",
        _("ration / share per day"),
        _("per million produced, in the unit of the ration"),
        (
            Input("ration", _("feed per million and day"), 0.8, _("g dry, or cells"), 0, None),
            Input("share_per_day", _("share of the culture produced in a day"), 0.3, _("per day"), 0, 2, open_low=True),
        ),
        (OUTSIDE,),
    ),
)

BALANCE = (
    Formula(
        "balance.oxygen_per_feed",
        "0.322 * 1.463 + 0.173 * 2.874 + 0.150 * 1.066",
        _("g of oxygen per g of dry algae"),
        (),
        ("test_oxygen_that_burns_feed_by_molar_masses",),
    ),
    Formula(
        "balance.total_ammonia_tomorrow",
        _("total (1 - exchanged) + feed * 0.0515 * share / L, share 0.04 of what is eaten to 1 of all"),
        _("mg/L as N, least and most"),
        (TOTAL, FEED, ANIMALS, RATION, LITRES, NEW),
        ("test_tomorrow_keeps_the_nitrogen",),
    ),
    Formula(
        "balance.tomorrow",
        _("ammonia as above, * share un-ionised; oxygen: feed * 1.13 * 0.2 to 1; hours = (O2 - least) / use"),
        _("mg/L of total and un-ionised ammonia as N and of oxygen used, hours without air, least and most"),
        (
            TOTAL,
            FEED,
            ANIMALS,
            RATION,
            LITRES,
            NEW,
            Input("ph", _("pH"), 8.0, "", 5, 10),
            Input("temperature_c", _("temperature"), 25.0, _("degC"), 5, 35),
            Input("salinity", _("salinity"), 25.0, SP, 0, 40),
            Input("mg_l", _("oxygen now"), 6.0, _("mg/L"), 0, 60),
            Input("least_mg_l", _("least oxygen"), 3.0, _("mg/L"), 0, 60),
        ),
        ("test_tomorrow_keeps_the_nitrogen", "test_without_feed_nothing_changes"),
    ),
)

ENRICHMENT = (
    Formula(
        "enrichment.gut_left",
        _("0.4^(minutes / 5), or / 60 after a rinse under water"),
        _("share of the gut content"),
        (
            Input("minutes", _("minutes since the harvest"), 10.0, _("minutes"), 0, 1440),
            Input("gathered", _("gathered on"), "dry filter", choices=tuple(enrichment.GUT)),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "enrichment.lipid_left",
        _("exp(-k t), k 0.02 to 0.05 below 10 degC, 0.19 at 18"),
        _("share of the lipid, least and most"),
        (
            Input("hours", _("hours since the enrichment ended"), 6.0, _("hours"), 0, 120),
            Input("temperature_c", _("temperature since"), 25.0, _("degC"), 0, 32),
        ),
        (OUTSIDE, "test_enrichment_wears_off_faster_when_warm"),
    ),
    Formula(
        "enrichment.enriched_share",
        _("hours / 6, at most 1"),
        _("share of what can be reached"),
        (Input("hours", _("hours in the enrichment"), 4.0, _("hours"), 0, 48),),
        (OUTSIDE,),
    ),
)

STORAGE = (
    Formula(
        "storage.alive_after",
        _("animals * exp(-loss * days)"),
        _("animals alive, least, usual and most, with what to mind"),
        (
            ANIMALS,
            Input("days", _("days in the cold"), 4.0, _("days"), 0, 30),
            Input("way", _("kept as"), "large rotifers", choices=tuple(storage.COLD)),
        ),
        (OUTSIDE, "test_two_studies_of_cold_storage_agree"),
    ),
    Formula(
        "storage.resting_eggs_for",
        _("animals / share that hatches"),
        _("resting eggs to set"),
        (ANIMALS, Input("hatching", _("share that hatches"), 0.4, "", 0, 1, open_low=True)),
        ("test_resting_eggs_invert",),
    ),
    Formula(
        "storage.resting_eggs_made",
        _("animals * 3400 (L) or 14000 (S) / 10000"),
        _("resting eggs"),
        (ANIMALS, Input("strain", _("strain"), "rotifer-L", choices=tuple(storage.EGGS_MADE))),
        (OUTSIDE,),
    ),
)

FORMULAS = (*ALGAE, *BALANCE, *ENRICHMENT, *STORAGE)
