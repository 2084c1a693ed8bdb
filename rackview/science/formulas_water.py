"""Entries of the formulas about water: seawater, ammonia, oxygen, mixing, disinfection and units."""

from __future__ import annotations

from rackview.core.tables import SALINITY_UNITS
from rackview.science import ammonia, disinfection, seawater, units
from rackview.science.mixing import Water
from rackview.science.registry import OUTSIDE, Formula, Input

SP = "(practical salinity)"
SALINITY = Input("salinity", "salinity", 25.0, SP, 0, 42)
TEMPERATURE = Input("temperature_c", "temperature of the water", 25.0, "degC", -2, 40)
REFERENCE = Input("reference", "convention of the scale", "25/25", choices=seawater.CONVENTIONS)
INSTRUMENT = Input("instrument", "instrument", "compensated", choices=seawater.INSTRUMENTS)
EQUATION = Input("equation", "equation of state", "TEOS-10", choices=tuple(seawater.EQUATIONS))
UNIT_OF_SALINITY = Input("unit", "unit", "SG", choices=SALINITY_UNITS)
PH = Input("ph", "pH", 8.0, "", 5, 10)
SEA_C = Input("temperature_c", "temperature of the water", 25.0, "degC", 5, 35)
SEA_SP = Input("salinity", "salinity", 25.0, SP, 5, 40)
SCALE = Input("scale", "pH scale", "NBS", choices=ammonia.SCALES)
TOTAL = Input("total_mg_l", "total ammonia", 1.0, "mg/L, as N or as NH3", 0, 200)
ANY_SP = Input("salinity", "salinity", 25.0, SP, 0, 40)
AIR_C = Input("temperature_c", "temperature of the water", 25.0, "degC", 0, 40)
PRESSURE = Input("pressure_atm", "air pressure", 1.0, "atm", 0.5, 1.1)
LITRES = Input("volume_l", "volume", 20.0, "L", 0, 1e6, open_low=True)
FRESH = Input("fresh_l", "fresh water", 20.0, "L", 0, 1e6, open_low=True)
DRY = Input("dry_fraction", "dry salt in the product", 1.0, "", 0, 1, open_low=True)
STOCK = Input(
    "stock_mg_per_ml", "strength of the stock", 50.0, "mg/mL available chlorine", 0, 150, open_low=True, depends=True
)
ANY_C = Input("temperature_c", "temperature of the water", 25.0, "degC", 0, 50)


def _cm(name: str, label: str, example: float, *, depends: bool = False) -> Input:
    return Input(name, label, example, "cm, inside", 0, 1000, open_low=True, depends=depends)


SEAWATER = (
    Formula(
        "seawater.density",
        "rho(SA, t) by TEOS-10, SA = SP * 35.16504/35",
        "kg/m3",
        (SALINITY, TEMPERATURE),
        (OUTSIDE, "test_density_by_teos10_and_by_eos80", "test_densities_in_place", "test_warmer_seawater_is_lighter"),
    ),
    Formula(
        "seawater.density_eos80",
        "rho_w + A S + B S^1.5 + 4.8314e-4 S^2; rho_w = 999.842594 + 6.793952e-2 t - 9.095290e-3 t^2 + 1.001685e-4 t^3 "
        "- 1.120083e-6 t^4 + 6.536332e-9 t^5; A = 8.24493e-1 - 4.0899e-3 t + 7.6438e-5 t^2 - 8.2467e-7 t^3 + 5.3875e-9 "
        "t^4; B = -5.72466e-3 + 1.0227e-4 t - 1.6546e-6 t^2; t on IPTS-68 = 1.00024 t on ITS-90",
        "kg/m3",
        (SALINITY, TEMPERATURE),
        (OUTSIDE, "test_density_by_teos10_and_by_eos80"),
    ),
    Formula(
        "seawater.sg_from_salinity",
        "SG = rho(S, t) / rho_w(tref); floating glass: times 1 + gamma (t - tref)",
        "specific gravity",
        (SALINITY, REFERENCE, TEMPERATURE, INSTRUMENT, EQUATION),
        (OUTSIDE, "test_specific_gravity_by_convention", "test_densities_in_place"),
    ),
    Formula(
        "seawater.salinity_from_sg",
        "the S at which SG(S) is the reading",
        "practical salinity",
        (
            Input("sg", "specific gravity read", 1.022, "", 0.99, 1.04, depends=True),
            REFERENCE,
            TEMPERATURE,
            INSTRUMENT,
            EQUATION,
        ),
        (OUTSIDE, "test_salinity_of_a_reading_by_what_it_means", "test_salinity_and_specific_gravity_invert"),
    ),
    Formula(
        "seawater.salinity_range_from_sg",
        "least and greatest S over all conventions and instruments",
        "practical salinity, from and to",
        (Input("sg", "specific gravity read", 1.022, "", 0.99, 1.04, depends=True), TEMPERATURE),
        (
            "test_an_unknown_convention_gives_a_range_that_holds_every_meaning",
            "test_the_same_reading_spans_from_27_to_33",
        ),
    ),
    Formula(
        "seawater.salinity_from_conductivity",
        "PSS-78 on R = C / C(35, 15 degC)",
        "practical salinity",
        (
            Input("ms_cm", "conductivity at the water's temperature", 39.3, "mS/cm", 1, 90, depends=True),
            Input("temperature_c", "temperature of the water", 25.0, "degC", -2, 35, depends=True),
        ),
        (OUTSIDE, "test_conductivity_inverts_and_agrees_with_the_seawater_package"),
    ),
    Formula(
        "seawater.conductivity_from_salinity",
        "PSS-78 solved for C",
        "mS/cm",
        (
            Input("salinity", "salinity", 25.0, SP, 2, 42),
            Input("temperature_c", "temperature of the water", 25.0, "degC", -2, 35),
        ),
        (OUTSIDE, "test_conductivity_inverts_and_agrees_with_the_seawater_package"),
    ),
    Formula(
        "seawater.raw_conductivity",
        "C = C25 (1 + a (t - 25))",
        "mS/cm at the water's temperature",
        (
            Input("specific_25_ms_cm", "specific conductance at 25 degC", 40.0, "mS/cm", 1, 90),
            Input("temperature_c", "temperature of the water", 22.0, "degC", 0, 35),
            Input("percent_per_degc", "coefficient of the meter", 2.0, "% per degC", 0, 3),
        ),
        ("test_a_meter_with_a_fixed_coefficient",),
    ),
    Formula(
        "seawater.g_per_kg",
        "SA = SP * 35.16504/35",
        "g/kg",
        (SALINITY,),
        (OUTSIDE, "test_specific_gravity_by_convention"),
    ),
    Formula(
        "seawater.salinity_from_g_per_kg",
        "SP = SA * 35/35.16504",
        "practical salinity",
        (Input("g_kg", "salt", 25.0, "g/kg", 0, 42 * seawater.G_KG_PER_SP),),
        ("test_salt_by_mass_inverts",),
    ),
    Formula(
        "seawater.g_per_litre",
        "SA * rho / 1000",
        "g/L of finished water",
        (SALINITY, TEMPERATURE),
        (OUTSIDE, "test_specific_gravity_by_convention"),
    ),
    Formula(
        "seawater.refractive_index",
        "n = 1.31405 + (1.779e-4 - 1.05e-6 t + 1.6e-8 t^2) S - 2.02e-6 t^2 + (15.868 + 0.01155 S - 0.00423 t)/L "
        "- 4382/L^2 + 1.1455e6/L^3",
        "refractive index",
        (
            Input("salinity", "salinity", 25.0, SP, 0, 35),
            Input("temperature_c", "temperature of the water", 20.0, "degC", 0, 30),
            Input("wavelength_nm", "wavelength", 589.3, "nm", 400, 700),
        ),
        (OUTSIDE, "test_refractive_index_and_brine_scales"),
    ),
    Formula(
        "seawater.sg_step",
        "0.001 rho_w(4 degC) / (d rho / d S)",
        "practical salinity per 0.001 of SG",
        (Input("salinity", "salinity", 25.0, SP, 1, 41), TEMPERATURE),
        ("test_a_scale_step_in_salinity",),
    ),
    Formula(
        "seawater.salinity_to_display",
        "SG(S), S, or C(S, t), by the unit",
        "value in the keeper's unit",
        (SALINITY, UNIT_OF_SALINITY, REFERENCE, TEMPERATURE),
        ("test_the_keepers_units_of_salinity_invert",),
    ),
    Formula(
        "seawater.salinity_from_display",
        "S(SG), S, or S(C, t), by the unit",
        "practical salinity",
        (Input("value", "value in the keeper's unit", 1.022), UNIT_OF_SALINITY, REFERENCE, TEMPERATURE),
        ("test_the_keepers_units_of_salinity_invert",),
    ),
)

AMMONIA = (
    Formula(
        "ammonia.pk",
        "total: 9.244605 - 2729.33 (1/298.15 - 1/T) + (0.04203362 - 11.24742/T) S^0.25 + (-13.6416 + 1.176949 T^0.5 - "
        "0.02860785 T + 545.4834/T) S^0.5 + (-0.1462507 + 0.0090226468 T^0.5 - 0.0001471361 T + 10.5425/T) S^1.5 + "
        "(0.004669309 - 0.0001691742 T^0.5 - 0.5677934/T) S^2 + (-2.354039e-5 + 0.009698623/T) S^2.5 - log10(1 - "
        "0.001005 S); free = total + log10(1 + S_T/K_S); seawater = free - log10(1 + S_T/K_S + F_T/K_F); NBS = "
        "seawater - log10(1.2948 - 0.002036 T + (0.0004607 - 0.000001475 T) S^2)",
        "pK* on the scale named",
        (SEA_C, SEA_SP, SCALE),
        (OUTSIDE, "test_the_constant_against_pyco2sys", "test_clegg_and_whitfield_before_the_step_to_seawater"),
    ),
    Formula(
        "ammonia.unionised_fraction",
        "f = 1 / (1 + 10^(pK* - pH))",
        "share of total ammonia",
        (PH, SEA_C, SEA_SP, SCALE),
        (
            OUTSIDE,
            "test_every_scale_against_the_table_of_pyco2sys",
            "test_bower_and_bidwell_is_in_effect_a_free_scale_table",
            "test_more_is_unionised_at_higher_ph_and_warmer",
        ),
    ),
    Formula(
        "ammonia.unionised_mg_l",
        "total * f",
        "mg/L, as N or as NH3 like the total",
        (TOTAL, PH, SEA_C, ANY_SP, SCALE),
        (
            "test_unionised_mg_l_is_proportional_and_between_its_range",
            "test_soft_cultures_take_the_fresh_water_formula",
        ),
    ),
    Formula(
        "ammonia.unionised_range",
        "total * f at pH - error and at pH + error",
        "mg/L, from and to",
        (TOTAL, PH, SEA_C, ANY_SP, Input("ph_error", "error of the pH", 0.2, "", 0, 1), SCALE),
        ("test_a_tenth_of_ph_moves_it_by_a_quarter",),
    ),
    Formula("ammonia.pk_fresh", "pKa = 0.09018 + 2729.92/T", "pKa in fresh water", (ANY_C,), (OUTSIDE,)),
    Formula(
        "ammonia.unionised_fraction_fresh",
        "f = 1 / (1 + 10^(pKa - pH))",
        "share of total ammonia",
        (Input("ph", "pH", 8.0, "", 5, 12), ANY_C),
        (OUTSIDE, "test_fresh_water_fraction_is_half_where_ph_is_pk"),
    ),
    Formula(
        "ammonia.pk_bell",
        "pK = 10.0423 - 0.0315536 t + 0.003071 S",
        "pK*, close to the free scale",
        (SEA_C, SEA_SP),
        (OUTSIDE, "test_the_straight_line_of_bell_agrees_with_the_free_scale"),
    ),
)

OXYGEN = (
    Formula(
        "oxygen.saturation_mg_l",
        "ln C = -139.34411 + 1.575701e5/T - 6.642308e7/T^2 + 1.2438e10/T^3 - 8.621949e11/T^4 - S (0.017674 - 10.754/T "
        "+ 2140.7/T^2); times (P - u)(1 - th P)/((1 - u)(1 - th))",
        "mg/L",
        (AIR_C, ANY_SP, PRESSURE),
        (
            OUTSIDE,
            "test_benson_and_krause_against_the_european_standard",
            "test_benson_and_krause_against_garcia_and_gordon",
            "test_warm_salty_water_under_thin_air_holds_less",
        ),
    ),
    Formula(
        "oxygen.saturation_umol_kg",
        "Garcia & Gordon's fit, as in TEOS-10's O2sol_SP_pt",
        "umol/kg",
        (AIR_C, SALINITY),
        (OUTSIDE, "test_mg_per_litre_and_umol_per_kg_are_one_amount"),
    ),
    Formula(
        "oxygen.percent_saturation",
        "100 * measured / saturation",
        "% of saturation",
        (Input("mg_l", "oxygen measured", 6.0, "mg/L", 0, 60), AIR_C, ANY_SP, PRESSURE),
        ("test_percent_inverts",),
    ),
    Formula(
        "oxygen.mg_l_from_percent",
        "percent / 100 * saturation",
        "mg/L",
        (Input("percent", "saturation measured", 90.0, "%", 0, 500), AIR_C, ANY_SP, PRESSURE),
        ("test_percent_inverts",),
    ),
    Formula(
        "oxygen.pressure_at_altitude",
        "P = (1 - 2.25577e-5 h)^5.25588",
        "atm",
        (Input("metres", "height above the sea", 300.0, "m", -500, 6000),),
        (OUTSIDE, "test_standard_air_pressure"),
    ),
    Formula(
        "oxygen.mg_l_from_ml_l",
        "mL/L * 31.9988/22.3916",
        "mg/L",
        (Input("ml_l", "oxygen", 5.0, "mL/L", 0, 45),),
        ("test_ml_per_litre",),
    ),
)

VESSEL = Input("vessel", "water in the vessel", Water(20.0, 25.0, 25.0), "L, salinity, degC")
TAKEN = Input("taken_l", "taken out", 5.0, "L", 0, 1e6, depends=True)
WANTED = Input("wanted", "salinity wanted", 30.0, SP, 0, 42, depends=True)
LOWER = Input("wanted", "salinity wanted", 20.0, SP, 0, 42, open_low=True, depends=True)
STEP = Input("most_step", "largest step at once", 5.0, SP, 0.5, 42)
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
        (Input("waters", "waters", (Water(5.0, 35.0, 25.0), Water(10.0, 20.0, 25.0)), "L, salinity, degC each"),),
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
        (VESSEL, TAKEN, Input("refill", "refill", Water(5.0, 30.0, 25.0), "L, salinity, degC"), STEP),
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
        "mg/mL = 10 * %",
        "mg/mL available chlorine",
        (Input("percent", "available chlorine by the label", 5.0, "%", 0, 15, open_low=True),),
        (OUTSIDE,),
    ),
    Formula(
        "disinfection.neutralise",
        "g pentahydrate = 7.00 (or 3.50, or 0.875) * g chlorine",
        "g of thiosulphate, with cautions",
        (
            Input("chlorine_g", "chlorine", 1.0, "g", 0, 1e6),
            Input("reaction", "reaction", "to tetrathionate", choices=tuple(disinfection.NEUTRALISERS)),
        ),
        (OUTSIDE, "test_the_default_reaction_takes_the_most"),
    ),
    Formula(
        "disinfection.disinfect",
        "mL = mg/L * L / (mg/mL)",
        "mL of stock, g of chlorine, minutes, g of neutraliser, cautions",
        (
            Input("volume_l", "volume", 20.0, "L", 0, 1e5, open_low=True),
            Input("purpose", "purpose", "seawater for cultures", choices=tuple(disinfection.PURPOSES)),
            STOCK,
            Input("mg_per_l", "chlorine wanted", 10.0, "mg/L, not under the purpose's least", 5, 5000),
        ),
        (
            OUTSIDE,
            "test_dose_units_cancel",
            "test_an_amount_never_comes_without_its_cautions",
            "test_no_words_call_water_safe",
        ),
    ),
)

QUANTITY = Input("quantity", "quantity", "volume", choices=("temperature", *units.FACTORS))
UNIT = Input("unit", "unit", "US gal", "", choices=units.units_of("volume"))
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
            Input("level_cm", "level", 30.0, "cm, at most the height", 0, 35),
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
            Input("level_cm", "level", 10.0, "cm, at most the diameter", 0, 30),
        ),
        (OUTSIDE, "test_vessel_shapes_agree_where_they_meet"),
    ),
)

FORMULAS = (*SEAWATER, *AMMONIA, *OXYGEN, *MIXING, *DISINFECTION, *UNITS)
