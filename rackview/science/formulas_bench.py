"""Entries of the formulas for the work bench: mixing, disinfection and units."""

from __future__ import annotations

from rackview.language import _
from rackview.science import disinfection, units
from rackview.science.formula_entry import OUTSIDE, Formula, Input
from rackview.science.mixing import WaterBody

SP = _("(practical salinity)")
SALINITY = Input("salinity", _("salinity"), 25.0, SP, 0, 42)
TEMPERATURE = Input("temperature_c", _("temperature of the water"), 25.0, _("degC"), -2, 40)
LITRES = Input("volume_l", _("volume"), 20.0, "L", 0, 1e6, open_low=True)
FRESH = Input("fresh_l", _("fresh water"), 20.0, "L", 0, 1e6, open_low=True)
DRY = Input("dry_fraction", _("dry salt in the product"), 1.0, "", 0, 1, open_low=True)
STOCK = Input(
    "stock_mg_per_ml",
    _("strength of the stock"),
    50.0,
    _("mg/mL available chlorine"),
    0,
    150,
    open_low=True,
    depends=True,
)
VESSEL = Input("vessel", _("water in the vessel"), WaterBody(20.0, 25.0, 25.0), _("L, salinity, degC"))
TAKEN = Input("taken_l", _("taken out"), 5.0, "L", 0, 1e6, depends=True)
WANTED = Input("wanted", _("salinity wanted"), 30.0, SP, 0, 42, depends=True)
LOWER = Input("wanted", _("salinity wanted"), 20.0, SP, 0, 42, open_low=True, depends=True)
STEP = Input("most_step", _("largest step at once"), 5.0, SP, 0.5, 42)
QUANTITY = Input("quantity", _("quantity"), "volume", choices=("temperature", *units.FACTORS))
UNIT = Input("unit", _("unit"), "US gal", "", choices=units.units_of("volume"))


def _cm(name: str, label: str, example: float, *, depends: bool = False) -> Input:
    return Input(name, label, example, _("cm, inside"), 0, 1000, open_low=True, depends=depends)


MIXING = (
    Formula("mixing.mass_kg", _("rho V / 1000"), _("kg"), (LITRES, SALINITY, TEMPERATURE), (OUTSIDE,)),
    Formula(
        "mixing.salt_for_water",
        _("m = SA rho V / 1000 / dry"),
        _("g of salt"),
        (LITRES, SALINITY, TEMPERATURE, DRY),
        (OUTSIDE, "test_salt_into_fresh_water_gives_that_salinity"),
    ),
    Formula(
        "mixing.salt_into_fresh",
        _("m = 1000 M SA / (1000 - SA) / dry"),
        _("g of salt"),
        (FRESH, SALINITY, TEMPERATURE, DRY),
        (OUTSIDE, "test_salt_into_fresh_water_gives_that_salinity"),
    ),
    Formula(
        "mixing.volume_with_salt",
        _("(M + m/1000) * 1000 / rho"),
        _("L of finished water"),
        (FRESH, SALINITY, TEMPERATURE),
        (OUTSIDE, "test_salt_into_fresh_water_gives_that_salinity"),
    ),
    Formula(
        "mixing.salt_to_raise",
        _("m = 1000 M (SA2 - SA1)/(1000 - SA2) / dry"),
        _("g of salt"),
        (LITRES, Input("salinity", _("salinity now"), 25.0, SP, 0, 42, depends=True), WANTED, TEMPERATURE, DRY),
        (OUTSIDE, "test_raising_and_diluting_keep_the_salt"),
    ),
    Formula(
        "mixing.fresh_to_dilute",
        "M (S1 - S2)/S2",
        _("L of fresh water"),
        (LITRES, Input("salinity", _("salinity now"), 25.0, SP, 0, 42, depends=True), LOWER, TEMPERATURE),
        (OUTSIDE, "test_raising_and_diluting_keep_the_salt"),
    ),
    Formula(
        "mixing.join",
        _("S = sum M_i S_i / sum M_i, t likewise"),
        _("L, salinity and degC of the joint water"),
        (
            Input(
                "waters",
                _("waters"),
                (WaterBody(5.0, 35.0, 25.0), WaterBody(10.0, 20.0, 25.0)),
                _("L, salinity, degC each"),
            ),
        ),
        ("test_two_waters_joined", "test_joining_keeps_salt_and_mass"),
    ),
    Formula(
        "mixing.evaporated_l",
        "M (1 - S1/S2)",
        _("L of fresh water to top up"),
        (
            LITRES,
            Input("salinity", _("salinity before"), 25.0, SP, 0, 42, open_low=True, depends=True),
            Input("salinity_now", _("salinity now"), 26.0, SP, 0, 42, depends=True),
            TEMPERATURE,
        ),
        (OUTSIDE, "test_evaporation_and_top_up_invert"),
    ),
    Formula(
        "mixing.salinity_after_evaporation",
        _("S M/(M - lost)"),
        _("practical salinity"),
        (
            Input("volume_l", _("volume before"), 20.0, "L", 0, 1e6, open_low=True, depends=True),
            Input("salinity", _("salinity before"), 25.0, SP, 0, 42, depends=True),
            Input("lost_l", _("fresh water lost"), 0.5, "L", 0, 1e6, depends=True),
            TEMPERATURE,
        ),
        (OUTSIDE, "test_evaporation_and_top_up_invert"),
    ),
    Formula(
        "mixing.after_refill",
        _("join(what is left, refill); warned above 5 of salinity at once"),
        _("water in the vessel, both steps, a warning"),
        (VESSEL, TAKEN, Input("refill", _("refill"), WaterBody(5.0, 30.0, 25.0), _("L, salinity, degC")), STEP),
        ("test_a_harvest_refilled_with_saltier_water", "test_a_step_above_five_is_warned_about"),
    ),
    Formula(
        "mixing.refill_salinity",
        _("the S of the refill at which after_refill gives what is wanted"),
        _("practical salinity of the refill"),
        (
            VESSEL,
            TAKEN,
            Input("refill_l", _("refill"), 5.0, "L", 0, 1e6, open_low=True, depends=True),
            Input("wanted", _("salinity wanted"), 26.0, SP, 0, 42, depends=True),
        ),
        ("test_refill_salinity_brings_the_vessel_where_it_should_be",),
    ),
    Formula(
        "mixing.salinity_steps",
        _("|S2 - S1| / step, rounded up"),
        _("steps"),
        (SALINITY, Input("wanted", _("salinity wanted"), 35.0, SP, 0, 42), STEP),
        (OUTSIDE, "test_steps_are_enough_and_no_more"),
    ),
)

DISINFECTION = (
    Formula(
        "disinfection.stock_strength",
        _("mg/mL = 10 * %, * g/mL by weight, * 0.9525 of sodium hypochlorite"),
        _("mg/mL available chlorine"),
        (
            Input("percent", _("strength by the label"), 5.0, "%", 0, 15, open_low=True),
            Input("by", _("which is"), disinfection.LABELS[0], choices=disinfection.LABELS),
            Input("g_per_ml", _("weight of the bleach"), 1.0, _("g/mL"), 0.9, 1.3),
        ),
        (OUTSIDE, "test_molar_masses_by_a_library"),
    ),
    Formula(
        "disinfection.granules_g",
        _("g chlorine / (% / 100), * 1.0083 by calcium hypochlorite"),
        _("g of granules"),
        (
            Input("chlorine_g", _("chlorine"), 1.0, "g", 0, 1e6),
            Input("percent", _("strength by the label"), 65.0, "%", 10, 99),
            Input("by", _("which is"), "available chlorine", choices=("available chlorine", "calcium hypochlorite")),
        ),
        (OUTSIDE, "test_molar_masses_by_a_library"),
    ),
    Formula(
        "disinfection.residual_limit",
        _("as printed, by organism"),
        _("mg/L of residual oxidant, with its source"),
        (Input("organism", _("organism"), "Brachionus plicatilis", choices=tuple(disinfection.RESIDUALS)),),
        (OUTSIDE,),
    ),
    Formula(
        "disinfection.peroxide",
        _("no dose: what was tried, as printed"),
        _("mg/L of product, minutes, share alive, share of bacteria gone, cautions"),
        (Input("organism", _("organism"), "rotifers", choices=tuple(disinfection.PEROXIDE)),),
        (OUTSIDE, "test_peroxide_never_comes_without_its_cautions"),
    ),
    Formula(
        "disinfection.neutralise",
        _("g pentahydrate = 7.4 (or 7.00, 3.50, 0.875) * g chlorine"),
        _("g of thiosulphate, with cautions"),
        (
            Input("chlorine_g", _("chlorine"), 1.0, "g", 0, 1e6),
            Input("reaction", _("by"), "handbook", choices=tuple(disinfection.NEUTRALISERS)),
        ),
        (OUTSIDE, "test_the_default_reaction_takes_the_most"),
    ),
    Formula(
        "disinfection.disinfect",
        _("mL = mg/L * L / (mg/mL - mg/L / 1000)"),
        _("mL of stock, g of chlorine, minutes, g of neutraliser, cautions"),
        (
            Input("volume_l", _("volume"), 20.0, "L", 0, 1e5, open_low=True),
            Input("purpose", _("purpose"), "seawater for cultures", choices=tuple(disinfection.PURPOSES)),
            STOCK,
            Input("mg_per_l", _("chlorine wanted"), 10.0, _("mg/L, from the purpose's least to 5000")),
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
        _("value / factor (degF: 1.8 C + 32)"),
        _("value in the keeper's unit"),
        (Input("value", _("value in the base unit"), 20.0), QUANTITY, UNIT),
        ("test_display_and_back", "test_factors_equal_those_of_scipy"),
    ),
    Formula(
        "units.from_display",
        _("value * factor (degF: (F - 32)/1.8)"),
        _("value in the base unit"),
        (Input("value", _("value in the keeper's unit"), 5.0), QUANTITY, UNIT),
        (OUTSIDE, "test_display_and_back", "test_units_keep_order"),
    ),
    Formula(
        "units.celsius",
        "(F - 32)/1.8",
        _("degC"),
        (Input("fahrenheit", _("temperature"), 77.0, _("degF"), -459.67, None),),
        ("test_factors_equal_those_of_scipy", "test_arrays_and_zero_points"),
    ),
    Formula(
        "units.fahrenheit",
        "1.8 C + 32",
        _("degF"),
        (Input("celsius", _("temperature"), 25.0, _("degC"), -273.15, None),),
        ("test_arrays_and_zero_points",),
    ),
    Formula(
        "units.cylinder_l",
        _("pi d^2 h / 4000"),
        "L",
        (_cm("diameter_cm", _("diameter"), 30), _cm("height_cm", _("height of the water"), 40)),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
    Formula(
        "units.bucket_l",
        _("pi h (d1^2 + d1 d2 + d2^2) / 12000"),
        "L",
        (
            _cm("top_cm", _("diameter at the top"), 30),
            _cm("bottom_cm", _("diameter at the bottom"), 26),
            _cm("height_cm", _("height"), 35, depends=True),
            Input("level_cm", _("level"), 30.0, _("cm, at most the height"), 0, depends=True),
        ),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
    Formula(
        "units.box_l",
        "l w h / 1000",
        "L",
        (
            _cm("length_cm", _("length"), 60),
            _cm("width_cm", _("width"), 30),
            _cm("height_cm", _("height of the water"), 36),
        ),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
    Formula(
        "units.cone_l",
        _("pi d^2 h / 12000"),
        "L",
        (_cm("diameter_cm", _("diameter"), 20), _cm("height_cm", _("height"), 15)),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
    Formula(
        "units.lying_cylinder_l",
        _("L (r^2 acos((r - y)/r) - (r - y) sqrt(2 r y - y^2)) / 1000"),
        "L",
        (
            _cm("diameter_cm", _("diameter"), 30, depends=True),
            _cm("length_cm", _("length"), 50),
            Input("level_cm", _("level"), 10.0, _("cm, at most the diameter"), 0, depends=True),
        ),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
)

FORMULAS = (*MIXING, *DISINFECTION, *UNITS)
