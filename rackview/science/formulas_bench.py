"""Entries of the formulas for the work bench: mixing, disinfection and units."""

from __future__ import annotations

from rackview.science import disinfection, units
from rackview.science.formula_entry import OUTSIDE, Formula, Input
from rackview.science.mixing import WaterBody

SP = "(practical salinity)"
SALINITY = Input("salinity", "salinity", 25.0, SP, 0, 42)
TEMPERATURE = Input("temperature_c", "temperature of the water", 25.0, "degC", -2, 40)
LITRES = Input("volume_l", "volume", 20.0, "L", 0, 1e6, open_low=True)
FRESH = Input("fresh_l", "fresh water", 20.0, "L", 0, 1e6, open_low=True)
DRY = Input("dry_fraction", "dry salt in the product", 1.0, "", 0, 1, open_low=True)
STOCK = Input(
    "stock_mg_per_ml", "strength of the stock", 50.0, "mg/mL available chlorine", 0, 150, open_low=True, depends=True
)
VESSEL = Input("vessel", "water in the vessel", WaterBody(20.0, 25.0, 25.0), "L, salinity, degC")
TAKEN = Input("taken_l", "taken out", 5.0, "L", 0, 1e6, depends=True)
WANTED = Input("wanted", "salinity wanted", 30.0, SP, 0, 42, depends=True)
LOWER = Input("wanted", "salinity wanted", 20.0, SP, 0, 42, open_low=True, depends=True)
STEP = Input("most_step", "largest step at once", 5.0, SP, 0.5, 42)
QUANTITY = Input("quantity", "quantity", "volume", choices=("temperature", *units.FACTORS))
UNIT = Input("unit", "unit", "US gal", "", choices=units.units_of("volume"))


def _cm(name: str, label: str, example: float, *, depends: bool = False) -> Input:
    return Input(name, label, example, "cm, inside", 0, 1000, open_low=True, depends=depends)


MIXING = (
    Formula("mixing.mass_kg", "rho V / 1000", "kg", (LITRES, SALINITY, TEMPERATURE), (OUTSIDE,)),
    Formula(
        "mixing.salt_for_water",
        "m = SA rho V / 1000 / dry",
        "g of salt",
        (LITRES, SALINITY, TEMPERATURE, DRY),
        (OUTSIDE, "test_salt_into_fresh_water_gives_that_salinity"),
    ),
    Formula(
        "mixing.salt_into_fresh",
        "m = 1000 M SA / (1000 - SA) / dry",
        "g of salt",
        (FRESH, SALINITY, TEMPERATURE, DRY),
        (OUTSIDE, "test_salt_into_fresh_water_gives_that_salinity"),
    ),
    Formula(
        "mixing.volume_with_salt",
        "(M + m/1000) * 1000 / rho",
        "L of finished water",
        (FRESH, SALINITY, TEMPERATURE),
        (OUTSIDE, "test_salt_into_fresh_water_gives_that_salinity"),
    ),
    Formula(
        "mixing.salt_to_raise",
        "m = 1000 M (SA2 - SA1)/(1000 - SA2) / dry",
        "g of salt",
        (LITRES, Input("salinity", "salinity now", 25.0, SP, 0, 42, depends=True), WANTED, TEMPERATURE, DRY),
        (OUTSIDE, "test_raising_and_diluting_keep_the_salt"),
    ),
    Formula(
        "mixing.fresh_to_dilute",
        "M (S1 - S2)/S2",
        "L of fresh water",
        (LITRES, Input("salinity", "salinity now", 25.0, SP, 0, 42, depends=True), LOWER, TEMPERATURE),
        (OUTSIDE, "test_raising_and_diluting_keep_the_salt"),
    ),
    Formula(
        "mixing.join",
        "S = sum M_i S_i / sum M_i, t likewise",
        "L, salinity and degC of the joint water",
        (
            Input(
                "waters", "waters", (WaterBody(5.0, 35.0, 25.0), WaterBody(10.0, 20.0, 25.0)), "L, salinity, degC each"
            ),
        ),
        ("test_two_waters_joined", "test_joining_keeps_salt_and_mass"),
    ),
    Formula(
        "mixing.evaporated_l",
        "M (1 - S1/S2)",
        "L of fresh water to top up",
        (
            LITRES,
            Input("salinity", "salinity before", 25.0, SP, 0, 42, open_low=True, depends=True),
            Input("salinity_now", "salinity now", 26.0, SP, 0, 42, depends=True),
            TEMPERATURE,
        ),
        (OUTSIDE, "test_evaporation_and_top_up_invert"),
    ),
    Formula(
        "mixing.salinity_after_evaporation",
        "S M/(M - lost)",
        "practical salinity",
        (
            Input("volume_l", "volume before", 20.0, "L", 0, 1e6, open_low=True, depends=True),
            Input("salinity", "salinity before", 25.0, SP, 0, 42, depends=True),
            Input("lost_l", "fresh water lost", 0.5, "L", 0, 1e6, depends=True),
            TEMPERATURE,
        ),
        (OUTSIDE, "test_evaporation_and_top_up_invert"),
    ),
    Formula(
        "mixing.after_refill",
        "join(what is left, refill); warned above 5 of salinity at once",
        "water in the vessel, both steps, a warning",
        (VESSEL, TAKEN, Input("refill", "refill", WaterBody(5.0, 30.0, 25.0), "L, salinity, degC"), STEP),
        ("test_a_harvest_refilled_with_saltier_water", "test_a_step_above_five_is_warned_about"),
    ),
    Formula(
        "mixing.refill_salinity",
        "the S of the refill at which after_refill gives what is wanted",
        "practical salinity of the refill",
        (
            VESSEL,
            TAKEN,
            Input("refill_l", "refill", 5.0, "L", 0, 1e6, open_low=True, depends=True),
            Input("wanted", "salinity wanted", 26.0, SP, 0, 42, depends=True),
        ),
        ("test_refill_salinity_brings_the_vessel_where_it_should_be",),
    ),
    Formula(
        "mixing.salinity_steps",
        "|S2 - S1| / step, rounded up",
        "steps",
        (SALINITY, Input("wanted", "salinity wanted", 35.0, SP, 0, 42), STEP),
        (OUTSIDE, "test_steps_are_enough_and_no_more"),
    ),
)

DISINFECTION = (
    Formula(
        "disinfection.stock_strength",
        "mg/mL = 10 * %, * g/mL by weight, * 0.9525 of sodium hypochlorite",
        "mg/mL available chlorine",
        (
            Input("percent", "strength by the label", 5.0, "%", 0, 15, open_low=True),
            Input("by", "which is", disinfection.LABELS[0], choices=disinfection.LABELS),
            Input("g_per_ml", "weight of the bleach", 1.0, "g/mL", 0.9, 1.3),
        ),
        (OUTSIDE, "test_molar_masses_by_a_library"),
    ),
    Formula(
        "disinfection.granules_g",
        "g chlorine / (% / 100), * 1.0083 by calcium hypochlorite",
        "g of granules",
        (
            Input("chlorine_g", "chlorine", 1.0, "g", 0, 1e6),
            Input("percent", "strength by the label", 65.0, "%", 10, 99),
            Input("by", "which is", "available chlorine", choices=("available chlorine", "calcium hypochlorite")),
        ),
        (OUTSIDE, "test_molar_masses_by_a_library"),
    ),
    Formula(
        "disinfection.residual_limit",
        "as printed, by organism",
        "mg/L of residual oxidant, with its source",
        (Input("organism", "organism", "Brachionus plicatilis", choices=tuple(disinfection.RESIDUALS)),),
        (OUTSIDE,),
    ),
    Formula(
        "disinfection.peroxide",
        "no dose: what was tried, as printed",
        "mg/L of product, minutes, share alive, share of bacteria gone, cautions",
        (Input("organism", "organism", "rotifers", choices=tuple(disinfection.PEROXIDE)),),
        (OUTSIDE, "test_peroxide_never_comes_without_its_cautions"),
    ),
    Formula(
        "disinfection.neutralise",
        "g pentahydrate = 7.4 (or 7.00, 3.50, 0.875) * g chlorine",
        "g of thiosulphate, with cautions",
        (
            Input("chlorine_g", "chlorine", 1.0, "g", 0, 1e6),
            Input("reaction", "by", "handbook", choices=tuple(disinfection.NEUTRALISERS)),
        ),
        (OUTSIDE, "test_the_default_reaction_takes_the_most"),
    ),
    Formula(
        "disinfection.disinfect",
        "mL = mg/L * L / (mg/mL - mg/L / 1000)",
        "mL of stock, g of chlorine, minutes, g of neutraliser, cautions",
        (
            Input("volume_l", "volume", 20.0, "L", 0, 1e5, open_low=True),
            Input("purpose", "purpose", "seawater for cultures", choices=tuple(disinfection.PURPOSES)),
            STOCK,
            Input("mg_per_l", "chlorine wanted", 10.0, "mg/L, from the purpose's least to 5000"),
        ),
        (
            OUTSIDE,
            "test_dose_units_cancel",
            "test_an_amount_never_comes_without_its_cautions",
            "test_no_words_call_water_safe",
        ),
    ),
)

UNITS = (
    Formula(
        "units.to_display",
        "value / factor (degF: 1.8 C + 32)",
        "value in the keeper's unit",
        (Input("value", "value in the base unit", 20.0), QUANTITY, UNIT),
        ("test_display_and_back", "test_factors_equal_those_of_scipy"),
    ),
    Formula(
        "units.from_display",
        "value * factor (degF: (F - 32)/1.8)",
        "value in the base unit",
        (Input("value", "value in the keeper's unit", 5.0), QUANTITY, UNIT),
        (OUTSIDE, "test_display_and_back", "test_units_keep_order"),
    ),
    Formula(
        "units.celsius",
        "(F - 32)/1.8",
        "degC",
        (Input("fahrenheit", "temperature", 77.0, "degF", -459.67, None),),
        ("test_factors_equal_those_of_scipy", "test_arrays_and_zero_points"),
    ),
    Formula(
        "units.fahrenheit",
        "1.8 C + 32",
        "degF",
        (Input("celsius", "temperature", 25.0, "degC", -273.15, None),),
        ("test_arrays_and_zero_points",),
    ),
    Formula(
        "units.cylinder_l",
        "pi d^2 h / 4000",
        "L",
        (_cm("diameter_cm", "diameter", 30), _cm("height_cm", "height of the water", 40)),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
    Formula(
        "units.bucket_l",
        "pi h (d1^2 + d1 d2 + d2^2) / 12000",
        "L",
        (
            _cm("top_cm", "diameter at the top", 30),
            _cm("bottom_cm", "diameter at the bottom", 26),
            _cm("height_cm", "height", 35, depends=True),
            Input("level_cm", "level", 30.0, "cm, at most the height", 0, depends=True),
        ),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
    Formula(
        "units.box_l",
        "l w h / 1000",
        "L",
        (_cm("length_cm", "length", 60), _cm("width_cm", "width", 30), _cm("height_cm", "height of the water", 36)),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
    Formula(
        "units.cone_l",
        "pi d^2 h / 12000",
        "L",
        (_cm("diameter_cm", "diameter", 20), _cm("height_cm", "height", 15)),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
    Formula(
        "units.lying_cylinder_l",
        "L (r^2 acos((r - y)/r) - (r - y) sqrt(2 r y - y^2)) / 1000",
        "L",
        (
            _cm("diameter_cm", "diameter", 30, depends=True),
            _cm("length_cm", "length", 50),
            Input("level_cm", "level", 10.0, "cm, at most the diameter", 0, depends=True),
        ),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
)

FORMULAS = (*MIXING, *DISINFECTION, *UNITS)
