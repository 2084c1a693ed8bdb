"""Entries of the formulas about water as it is: seawater, ammonia and oxygen."""

from __future__ import annotations

from rackview.core.tables import SALINITY_UNITS
from rackview.language import _
from rackview.science import ammonia, seawater
from rackview.science.formula_entry import OUTSIDE, Formula, Input

SP = _("(practical salinity)")
SALINITY = Input("salinity", _("salinity"), 25.0, SP, 0, 42)
TEMPERATURE = Input("temperature_c", _("temperature of the water"), 25.0, _("degC"), -2, 40)
REFERENCE = Input("reference", _("convention of the scale"), "25/25", choices=seawater.CONVENTIONS)
INSTRUMENT = Input("instrument", _("instrument"), "compensated", choices=seawater.INSTRUMENTS)
EQUATION = Input("equation", _("equation of state"), "TEOS-10", choices=tuple(seawater.EQUATIONS))
UNIT_OF_SALINITY = Input("unit", _("unit"), "SG", choices=SALINITY_UNITS)
PH = Input("ph", _("pH"), 8.0, "", 5, 10)
SEA_C = Input("temperature_c", _("temperature of the water"), 25.0, _("degC"), 5, 35)
SEA_SP = Input("salinity", _("salinity"), 25.0, SP, 5, 40)
SCALE = Input("scale", _("pH scale"), "NBS", choices=ammonia.SCALES)
TOTAL = Input("total_mg_l", _("total ammonia"), 1.0, _("mg/L, as N or as NH3"), 0, 200)
ANY_SP = Input("salinity", _("salinity"), 25.0, SP, 0, 40)
AIR_C = Input("temperature_c", _("temperature of the water"), 25.0, _("degC"), 0, 40)
PRESSURE = Input("pressure_atm", _("air pressure"), 1.0, _("atm"), 0.5, 1.1)
ANY_C = Input("temperature_c", _("temperature of the water"), 25.0, _("degC"), 0, 50)

SEAWATER = (
    Formula(
        "seawater.density",
        _("rho(SA, t) by TEOS-10, SA = SP * 35.16504/35"),
        _("kg/m3"),
        (SALINITY, TEMPERATURE),
        (OUTSIDE, "test_density_by_teos10_and_by_eos80", "test_densities_in_place", "test_warmer_seawater_is_lighter"),
    ),
    Formula(
        "seawater.density_eos80",
        _(
            "rho_w + A S + B S^1.5 + 4.8314e-4 S^2; rho_w = 999.842594 + "
            "6.793952e-2 t - 9.095290e-3 t^2 + 1.001685e-4 t^3 "
            "- 1.120083e-6 t^4 + 6.536332e-9 t^5; A = 8.24493e-1 - 4.0899e-3 t + "
            "7.6438e-5 t^2 - 8.2467e-7 t^3 + 5.3875e-9 "
            "t^4; B = -5.72466e-3 + 1.0227e-4 t - 1.6546e-6 t^2; t on IPTS-68 = 1.00024 t on ITS-90"
        ),
        _("kg/m3"),
        (SALINITY, TEMPERATURE),
        (OUTSIDE, "test_density_by_teos10_and_by_eos80"),
    ),
    Formula(
        "seawater.sg_from_salinity",
        _("SG = rho(S, t) / rho_w(tref); floating glass: times 1 + gamma (t - tref)"),
        _("specific gravity"),
        (SALINITY, REFERENCE, TEMPERATURE, INSTRUMENT, EQUATION),
        (OUTSIDE, "test_specific_gravity_by_convention", "test_densities_in_place"),
    ),
    Formula(
        "seawater.salinity_from_sg",
        _("the S at which SG(S) is the reading"),
        _("practical salinity"),
        (
            Input("sg", _("specific gravity read"), 1.022, "", 0.99, 1.04, depends=True),
            REFERENCE,
            TEMPERATURE,
            INSTRUMENT,
            EQUATION,
        ),
        (OUTSIDE, "test_salinity_of_a_reading_by_what_it_means", "test_salinity_and_specific_gravity_invert"),
    ),
    Formula(
        "seawater.salinity_range_from_sg",
        _("least and greatest S over all conventions and instruments"),
        _("practical salinity, from and to"),
        (Input("sg", _("specific gravity read"), 1.022, "", 0.99, 1.04, depends=True), TEMPERATURE),
        (
            "test_an_unknown_convention_gives_a_range_that_holds_every_meaning",
            "test_the_same_reading_spans_from_27_to_33",
        ),
    ),
    Formula(
        "seawater.salinity_from_conductivity",
        _("PSS-78 on R = C / C(35, 15 degC)"),
        _("practical salinity"),
        (
            Input("ms_cm", _("conductivity at the water's temperature"), 39.3, _("mS/cm"), 1, 90, depends=True),
            Input("temperature_c", _("temperature of the water"), 25.0, _("degC"), -2, 35, depends=True),
        ),
        (OUTSIDE, "test_conductivity_inverts_and_agrees_with_the_seawater_package"),
    ),
    Formula(
        "seawater.conductivity_from_salinity",
        _("PSS-78 solved for C"),
        _("mS/cm"),
        (
            Input("salinity", _("salinity"), 25.0, SP, 2, 42),
            Input("temperature_c", _("temperature of the water"), 25.0, _("degC"), -2, 35),
        ),
        (OUTSIDE, "test_conductivity_inverts_and_agrees_with_the_seawater_package"),
    ),
    Formula(
        "seawater.raw_conductivity",
        "C = C25 (1 + a (t - 25))",
        _("mS/cm at the water's temperature"),
        (
            Input("specific_25_ms_cm", _("specific conductance at 25 degC"), 40.0, _("mS/cm"), 1, 90),
            Input("temperature_c", _("temperature of the water"), 22.0, _("degC"), 0, 35),
            Input("percent_per_degc", _("coefficient of the meter"), 2.0, _("% per degC"), 0, 3),
        ),
        ("test_a_meter_with_a_fixed_coefficient",),
    ),
    Formula(
        "seawater.g_per_kg",
        _("SA = SP * 35.16504/35"),
        _("g/kg"),
        (SALINITY,),
        (OUTSIDE, "test_specific_gravity_by_convention"),
    ),
    Formula(
        "seawater.salinity_from_g_per_kg",
        _("SP = SA * 35/35.16504"),
        _("practical salinity"),
        (Input("g_kg", _("salt"), 25.0, _("g/kg"), 0, 42 * seawater.G_KG_PER_SP),),
        ("test_salt_by_mass_inverts",),
    ),
    Formula(
        "seawater.g_per_litre",
        _("SA * rho / 1000"),
        _("g/L of finished water"),
        (SALINITY, TEMPERATURE),
        (OUTSIDE, "test_specific_gravity_by_convention"),
    ),
    Formula(
        "seawater.refractive_index",
        "n = 1.31405 + (1.779e-4 - 1.05e-6 t + 1.6e-8 t^2) S - 2.02e-6 t^2 + (15.868 + 0.01155 S - 0.00423 t)/L "
        "- 4382/L^2 + 1.1455e6/L^3",
        _("refractive index"),
        (
            Input("salinity", _("salinity"), 25.0, SP, 0, 35),
            Input("temperature_c", _("temperature of the water"), 20.0, _("degC"), 0, 30),
            Input("wavelength_nm", _("wavelength"), 589.3, _("nm"), 400, 700),
        ),
        (OUTSIDE, "test_refractive_index_and_brine_scales"),
    ),
    Formula(
        "seawater.sg_step",
        _("0.001 rho_w(4 degC) / (d rho / d S)"),
        _("practical salinity per 0.001 of SG"),
        (Input("salinity", _("salinity"), 25.0, SP, 1, 41), TEMPERATURE),
        ("test_a_scale_step_in_salinity",),
    ),
    Formula(
        "seawater.salinity_to_display",
        _("SG(S), S, or C(S, t), by the unit"),
        _("value in the keeper's unit"),
        (SALINITY, UNIT_OF_SALINITY, REFERENCE, TEMPERATURE),
        ("test_the_keepers_units_of_salinity_invert",),
    ),
    Formula(
        "seawater.salinity_from_display",
        _("S(SG), S, or S(C, t), by the unit"),
        _("practical salinity"),
        (Input("value", _("value in the keeper's unit"), 1.022), UNIT_OF_SALINITY, REFERENCE, TEMPERATURE),
        ("test_the_keepers_units_of_salinity_invert",),
    ),
)

AMMONIA = (
    Formula(
        "ammonia.pk",
        _(
            "total: 9.244605 - 2729.33 (1/298.15 - 1/T) + (0.04203362 - "
            "11.24742/T) S^0.25 + (-13.6416 + 1.176949 T^0.5 - "
            "0.02860785 T + 545.4834/T) S^0.5 + (-0.1462507 + 0.0090226468 T^0.5 - 0.0001471361 T + 10.5425/T) S^1.5 + "
            "(0.004669309 - 0.0001691742 T^0.5 - 0.5677934/T) S^2 + (-2.354039e-5 + 0.009698623/T) S^2.5 - log10(1 - "
            "0.001005 S); free = total + log10(1 + S_T/K_S); seawater = free - log10(1 + S_T/K_S + F_T/K_F); NBS = "
            "seawater - log10(1.2948 - 0.002036 T + (0.0004607 - 0.000001475 T) S^2)"
        ),
        _("pK* on the scale named"),
        (SEA_C, SEA_SP, SCALE),
        (OUTSIDE, "test_the_constant_against_pyco2sys", "test_clegg_and_whitfield_before_the_step_to_seawater"),
    ),
    Formula(
        "ammonia.unionised_fraction",
        _("f = 1 / (1 + 10^(pK* - pH))"),
        _("share of total ammonia"),
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
        _("total * f"),
        _("mg/L, as N or as NH3 like the total"),
        (TOTAL, PH, SEA_C, ANY_SP, SCALE),
        (
            "test_unionised_mg_l_is_proportional_and_between_its_range",
            "test_soft_cultures_take_the_fresh_water_formula",
        ),
    ),
    Formula(
        "ammonia.unionised_range",
        _("total * f at pH - error and at pH + error"),
        _("mg/L, from and to"),
        (TOTAL, PH, SEA_C, ANY_SP, Input("ph_error", _("error of the pH"), 0.2, "", 0, 1), SCALE),
        ("test_a_tenth_of_ph_moves_it_by_a_quarter",),
    ),
    Formula("ammonia.pk_fresh", _("pKa = 0.09018 + 2729.92/T"), _("pKa in fresh water"), (ANY_C,), (OUTSIDE,)),
    Formula(
        "ammonia.unionised_fraction_fresh",
        _("f = 1 / (1 + 10^(pKa - pH))"),
        _("share of total ammonia"),
        (Input("ph", _("pH"), 8.0, "", 5, 12), ANY_C),
        (OUTSIDE, "test_fresh_water_fraction_is_half_where_ph_is_pk"),
    ),
    Formula(
        "ammonia.pk_bell",
        _("pK = 10.0423 - 0.0315536 t + 0.003071 S"),
        _("pK*, close to the free scale"),
        (SEA_C, SEA_SP),
        (OUTSIDE, "test_the_straight_line_of_bell_agrees_with_the_free_scale"),
    ),
    Formula(
        "ammonia.limits",
        _("as printed, by animal"),
        _("mg/L of NH3 and of N for each stage and effect, with its source"),
        (Input("animal", _("animal"), "Acartia tonsa", choices=ammonia.ANIMALS),),
        ("test_limits_of_acartia_as_printed", "test_no_limit_that_ships_lies_above_a_lethal_level"),
    ),
    Formula(
        "ammonia.as_nitrogen",
        _("N = NH3 * 14.007/17.031"),
        _("mg/L of ammonia nitrogen"),
        (Input("mg_nh3_l", _("un-ionised ammonia"), 0.03, _("mg/L as NH3"), 0, 200),),
        (OUTSIDE,),
    ),
    Formula(
        "ammonia.total_for",
        _("limit / f"),
        _("mg/L of total ammonia, as N or as NH3 like the limit"),
        (Input("limit_mg_l", _("limit of un-ionised ammonia"), 0.025, _("mg/L"), 0, 20), PH, SEA_C, ANY_SP, SCALE),
        (OUTSIDE, "test_total_for_a_limit_inverts"),
    ),
)

OXYGEN = (
    Formula(
        "oxygen.saturation_mg_l",
        _(
            "ln C = -139.34411 + 1.575701e5/T - 6.642308e7/T^2 + 1.2438e10/T^3 - "
            "8.621949e11/T^4 - S (0.017674 - 10.754/T "
            "+ 2140.7/T^2); times (P - u)(1 - th P)/((1 - u)(1 - th))"
        ),
        _("mg/L"),
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
        _("Garcia & Gordon's fit, as in TEOS-10's O2sol_SP_pt"),
        _("umol/kg"),
        (AIR_C, SALINITY),
        (OUTSIDE, "test_mg_per_litre_and_umol_per_kg_are_one_amount"),
    ),
    Formula(
        "oxygen.percent_saturation",
        _("100 * measured / saturation"),
        _("% of saturation"),
        (Input("mg_l", _("oxygen measured"), 6.0, _("mg/L"), 0, 60), AIR_C, ANY_SP, PRESSURE),
        ("test_percent_inverts",),
    ),
    Formula(
        "oxygen.mg_l_from_percent",
        _("percent / 100 * saturation"),
        _("mg/L"),
        (Input("percent", _("saturation measured"), 90.0, "%", 0, 500), AIR_C, ANY_SP, PRESSURE),
        ("test_percent_inverts",),
    ),
    Formula(
        "oxygen.pressure_at_altitude",
        "P = (1 - 2.25577e-5 h)^5.25588",
        _("atm"),
        (Input("metres", _("height above the sea"), 300.0, "m", -500, 6000),),
        (OUTSIDE, "test_standard_air_pressure"),
    ),
    Formula(
        "oxygen.mg_l_from_ml_l",
        _("mL/L * 31.9988/22.3916"),
        _("mg/L"),
        (Input("ml_l", _("oxygen"), 5.0, _("mL/L"), 0, 45),),
        ("test_ml_per_litre",),
    ),
)

FORMULAS = (*SEAWATER, *AMMONIA, *OXYGEN)
