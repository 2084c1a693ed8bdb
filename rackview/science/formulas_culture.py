"""Entries of the formulas about a culture: growth, development and temperature."""

from __future__ import annotations

from rackview.language import _
from rackview.science import development
from rackview.science.formula_entry import OUTSIDE, Formula, Input

RATE = Input("rate", _("growth rate"), 0.4, _("per day"), -20, 20)
CEILING = Input("ceiling", _("density at which growth stops"), 400.0, _("per mL"), 0, None, open_low=True)
EGGS = Input("egg_ratio", _("eggs per female"), 0.4, _("eggs per female"), 0, 20)
EGG_DAYS = Input("egg_days", _("egg development time"), 0.8, _("days"), 0.05, 60)
SURVIVAL = Input("survival", _("share of females alive at each age"), (1.0, 0.9, 0.5), _("0 to 1, one for each age"))
BIRTHS = Input("births", _("daughters per female at each age"), (0.0, 4.0, 3.0), _("0 or more, one for each age"))

GROWTH = (
    Formula(
        "growth.two_point_rate",
        _("r = [ln(n2 V2) - ln(n1 V1 - removed) - sum ln(1 - f)] / days"),
        _("growth rate per day"),
        (
            Input("n1", _("density at the first count"), 100.0, _("per mL"), 0, None, open_low=True),
            Input("n2", _("density at the second count"), 130.0, _("per mL"), 0, None, open_low=True),
            Input("days", _("days between"), 2.0, _("days"), 0, 36_500, open_low=True),
            Input("volume1", _("level at the first count"), 1.0, "L", 0, None, open_low=True),
            Input("volume2", _("level at the second count"), 1.0, "L", 0, None, open_low=True),
            Input("removed", _("animals taken right after the first count"), 0.0, _("density times volume"), 0, None),
            Input("shares", _("shares replaced by animal-free water"), (0.3,), _("0 to below 1 each")),
        ),
        ("test_two_point_rate_finds_the_rate_through_harvests", "test_two_point_rate_units_cancel", OUTSIDE),
    ),
    Formula(
        "growth.two_point_error",
        _("SE = sqrt(1/n1 + 1/n2) / days"),
        _("standard error per day"),
        (
            Input("animals1", _("animals counted first"), 120.0, _("animals"), 1, None),
            Input("animals2", _("animals counted then"), 150.0, _("animals"), 1, None),
            Input("days", _("days between"), 2.0, _("days"), 0, 36_500, open_low=True),
        ),
        ("test_two_point_error",),
    ),
    Formula(
        "growth.density_after_refill",
        _("n (1 - f) + f n_in"),
        _("density, in the unit that went in"),
        (
            Input("density", _("density before"), 200.0, _("per mL"), 0, None),
            Input("share", _("share replaced"), 0.3, "", 0, 1),
            Input("refill_density", _("density of the refill"), 0.0, _("per mL"), 0, None),
        ),
        ("test_density_after_refill_lies_between",),
    ),
    Formula(
        "growth.doubling_days",
        _("T2 = ln 2 / r"),
        _("days, infinite when r <= 0"),
        (RATE,),
        (OUTSIDE, "test_rate_share_and_doubling_invert", "test_growth_takes_arrays_and_says_so_when_nothing_grows"),
    ),
    Formula(
        "growth.finite_rate",
        _("exp(r)"),
        _("times as many a day later"),
        (RATE,),
        (OUTSIDE, "test_rate_share_and_doubling_invert"),
    ),
    Formula(
        "growth.steady_share",
        _("h = 1 - exp(-r)"),
        _("share to take once a day"),
        (RATE,),
        (OUTSIDE, "test_rate_share_and_doubling_invert"),
    ),
    Formula(
        "growth.rate_for_share",
        _("r = -ln(1 - h)"),
        _("growth rate per day"),
        (Input("share", _("share taken once a day"), 0.3, "", 0, 1, depends=True),),
        (OUTSIDE, "test_rate_share_and_doubling_invert"),
    ),
    Formula(
        "growth.daily_share",
        _("h = 1 - exp(-D)"),
        _("share once a day"),
        (Input("dilution_per_day", _("continuous dilution"), 0.25, _("per day"), 0, 20),),
        ("test_rate_share_and_doubling_invert",),
    ),
    Formula(
        "growth.yield_per_day",
        _("density * 1000 * volume * share"),
        _("animals per day"),
        (
            Input("density_per_ml", _("density"), 250.0, _("animals per mL"), 0, None),
            Input("volume_l", _("volume"), 20.0, "L", 0, None),
            Input("share_per_day", _("share or dilution"), 0.3, _("per day"), 0, 20),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "growth.logistic",
        _("N = K / (1 + (K/N0 - 1) exp(-r t))"),
        _("density, in the unit of the ceiling"),
        (
            Input("days", _("days"), 5.0, _("days"), -36_500, 36_500),
            Input("start", _("density at the start"), 50.0, _("per mL"), 0, None, open_low=True),
            RATE,
            CEILING,
        ),
        (OUTSIDE, "test_logistic_composes_and_stays_under_its_ceiling"),
    ),
    Formula(
        "growth.greatest_yield",
        _("N = K/2, yield = r K/4"),
        _("density and yield per day"),
        (Input("rate", _("growth rate at low density"), 0.4, _("per day"), 0, 20), CEILING),
        (OUTSIDE, "test_greatest_yields_are_the_greatest"),
    ),
    Formula(
        "growth.greatest_daily_yield",
        _("N = K/(1 + exp(-r/2)), h = 1 - exp(-r/2), yield = K tanh(r/4)"),
        _("density before the harvest, share, yield per day"),
        (Input("rate", _("growth rate at low density"), 0.4, _("per day"), 0, 20), CEILING),
        ("test_greatest_yields_are_the_greatest",),
    ),
    Formula(
        "growth.known_shifts",
        _("sum of ln(1 - f) over the harvests before each day"),
        _("shift of ln density, one per day"),
        (
            Input("days", _("days of the counts"), (0.0, 2.0, 4.0), _("days")),
            Input("harvests", _("harvests"), ((1.0, 0.3),), _("pairs of day and share, 0 to below 1")),
        ),
        ("test_one_line_runs_across_known_harvests", "test_poisson_fit_against_statsmodels_with_zeros_and_harvests"),
    ),
    Formula(
        "growth.log_linear_fit",
        _("ln N - shift = a + r t by weighted least squares"),
        _("rate and start with standard errors"),
        (
            Input("days", _("days of the counts"), (0.0, 1.0, 2.0), _("days, three or more")),
            Input("densities", _("densities"), (20.0, 30.0, 42.0), _("above 0")),
            Input("weights", _("animals counted"), (40.0, 60.0, 84.0), _("above 0")),
            Input("shifts", _("known shifts of ln density"), (0.0, 0.0, 0.0), ""),
        ),
        (
            "test_log_linear_fit_against_nist_norris",
            "test_log_linear_fit_of_counts",
            "test_log_linear_fit_equals_scipy",
        ),
    ),
    Formula(
        "growth.poisson_fit",
        _("ln E(n) = a + r t + ln(mL) + shift, n Poisson"),
        _("rate and start with standard errors"),
        (
            Input("days", _("days of the counts"), (0.0, 1.0, 2.0), _("days, three or more")),
            Input("animals", _("animals counted"), (40, 60, 84), _("0 or more, two of them above 0")),
            Input("looked_at_ml", _("culture looked at"), (2.0, 2.0, 2.0), _("mL, above 0")),
            Input("shifts", _("known shifts of ln density"), (0.0, 0.0, 0.0), ""),
        ),
        ("test_poisson_fit_of_counts", "test_poisson_fit_of_nitrofen_broods"),
    ),
)

DEVELOPMENT = (
    Formula(
        "development.from_table",
        _("straight lines between 15, 20 and 25 degC"),
        _("in the unit of the quantity's name"),
        (
            Input("quantity", _("quantity"), "embryo days", choices=tuple(development.BRACHIONUS)),
            Input("temperature_c", _("temperature"), 22.0, _("degC"), 15, 25),
        ),
        (OUTSIDE, "test_eggs_hatch_sooner_when_it_is_warmer"),
    ),
    Formula(
        "development.belehradek",
        _("D = a (t - alpha)^b"),
        _("days"),
        (
            Input("temperature_c", _("temperature"), 20.0, _("degC, above the biological zero and at most 100")),
            Input("a", _("factor"), 489.0, "", 0, None, open_low=True),
            Input("alpha", _("biological zero"), 1.8, _("degC"), -50, 50, depends=True),
            Input("b", _("exponent"), -2.05, "", -10, 0),
        ),
        ("test_belehradek_scales_with_its_factor",),
    ),
    Formula(
        "development.bottrell",
        _("ln D = 2.7547 - 0.2484 ln t - 0.2408 (ln t)^2"),
        _("days"),
        (Input("temperature_c", _("temperature"), 22.0, _("degC"), 15, 28),),
        (OUTSIDE, "test_pooled_rotifers_stay_near_the_handbook_table"),
    ),
    Formula(
        "development.egg_days",
        _("table, Bottrell or 489 (t - 1.8)^-2.05, by animal"),
        _("days"),
        (
            Input("temperature_c", _("temperature"), 22.0, _("degC, where the animal was measured")),
            Input("animal", _("animal"), "Brachionus plicatilis", choices=tuple(development.EGG_DAYS)),
        ),
        (OUTSIDE, "test_eggs_hatch_sooner_when_it_is_warmer", "test_bad_development_input_is_refused"),
    ),
    Formula(
        "development.life_days",
        _("as printed, by source"),
        _("days, least and most"),
        (
            Input("temperature_c", _("temperature"), 22.0, _("degC, where the source speaks")),
            Input("by", _("source"), "table", choices=tuple(development.LIFE_DAYS)),
        ),
        (OUTSIDE, "test_what_the_handbook_says_twice_is_kept_twice"),
    ),
    Formula(
        "development.sum_of_stages",
        _("sum of the stages"),
        _("days"),
        (Input("days", _("days of each stage"), (10.0, 11.0), _("0 to 365 each")),),
        (OUTSIDE,),
    ),
    Formula(
        "development.generation_days",
        _("T = ln(R0) / r"),
        _("days"),
        (
            Input(
                "net_reproduction", _("daughters per female and life"), 94.0, "", 0, None, open_low=True, depends=True
            ),
            Input("rate", _("growth rate"), 0.233, _("per day"), -20, 20, depends=True),
        ),
        (OUTSIDE, "test_euler_lotka_of_one_brood_is_ln_of_it_over_its_age"),
    ),
    Formula(
        "development.net_reproduction",
        _("R0 = sum l(x) m(x)"),
        _("daughters per female and life"),
        (SURVIVAL, BIRTHS),
        ("test_euler_lotka_solves_its_equation",),
    ),
    Formula(
        "development.euler_lotka",
        _("sum l(x) m(x) exp(-r x) = 1"),
        _("growth rate per day"),
        (Input("ages", _("ages"), (1.0, 2.0, 3.0), _("days, above 0")), SURVIVAL, BIRTHS),
        ("test_euler_lotka_solves_its_equation", "test_euler_lotka_against_a_root_of_scipy"),
    ),
    Formula(
        "development.birth_rate",
        _("Paloheimo: b = ln(1 + E)/D; Edmondson: b = ln(1 + E/D)"),
        _("births per animal and day"),
        (EGGS, EGG_DAYS, Input("method", _("method"), "Paloheimo", choices=("Paloheimo", "Edmondson"))),
        (OUTSIDE, "test_birth_rates_meet_at_one_day_and_part_by_their_sources"),
    ),
    Formula(
        "development.egg_ratio_for",
        _("E = exp(b D) - 1"),
        _("eggs per female"),
        (Input("birth_rate", _("birth rate"), 0.5, _("per day"), 0, 5), EGG_DAYS),
        ("test_egg_ratio_inverts_and_days_cancel",),
    ),
    Formula(
        "development.finite_birth_rate",
        _("p = b (exp(r) - 1)/r"),
        _("births in a day per animal at its start"),
        (Input("birth_rate", _("birth rate"), 0.5, _("per day"), 0, 20), RATE),
        ("test_loss_and_finite_birth",),
    ),
    Formula(
        "development.loss_rate",
        "d = b - r",
        _("loss per day"),
        (
            Input("birth_rate", _("birth rate"), 0.5, _("per day"), 0, 20),
            Input("net_rate", _("growth rate"), 0.3, _("per day"), -20, 20),
        ),
        ("test_loss_and_finite_birth",),
    ),
    Formula(
        "development.rate_by_rule",
        "r = E - E0",
        _("growth rate per day"),
        (EGGS, Input("by", _("source of zero growth"), "Snell", choices=tuple(development.ZERO_GROWTH_EGGS))),
        (OUTSIDE, "test_what_the_handbook_says_twice_is_kept_twice"),
    ),
    Formula(
        "development.egg_band",
        _("E < 0.13 falling; < 0.5 stationary; to 1.2 growing; above"),
        _("a word"),
        (EGGS, Input("edges", _("edges of the bands"), development.BANDS, _("three rising egg ratios"))),
        (OUTSIDE, "test_egg_bands_of_snell", "test_the_keeper_may_move_the_egg_bands"),
    ),
    Formula(
        "development.q10",
        "Q10 = (k2/k1)^(10/(t2 - t1))",
        _("times faster per 10 degC"),
        (
            Input("rate1", _("rate at the first temperature"), 1.0, "", 0, None, open_low=True),
            Input("rate2", _("rate at the second temperature"), 1.42, "", 0, None, open_low=True),
            Input("temperature1_c", _("first temperature"), 18.0, _("degC"), -2, 45),
            Input("temperature2_c", _("second temperature"), 23.5, _("degC"), -2, 45),
        ),
        (OUTSIDE, "test_q10_inverts"),
    ),
    Formula(
        "development.rate_at",
        "k2 = k1 Q10^((t2 - t1)/10)",
        _("in the unit of the rate"),
        (
            Input("rate", _("rate"), 0.4, "", 0, None),
            Input("from_c", _("its temperature"), 22.0, _("degC"), -2, 45, depends=True),
            Input("to_c", _("the other temperature"), 25.0, _("degC"), -2, 45, depends=True),
            Input("q10", "Q10", 2.0, "", 0.2, 10),
        ),
        ("test_q10_inverts",),
    ),
    Formula(
        "development.weight_growth",
        _("nauplii: exp(-2.962 + 0.130 t); copepodites: exp(-3.134 + 0.114 t)"),
        _("growth in weight per day"),
        (
            Input("temperature_c", _("temperature"), 18.0, _("degC"), 10, 22),
            Input("stage", _("stage"), "nauplii", choices=tuple(development.WEIGHT_GROWTH)),
        ),
        (OUTSIDE, "test_growth_in_weight_of_acartia"),
    ),
)

CELSIUS = Input("temperature_c", _("temperature"), 22.0, _("degC"), -2, 60)
USUAL = Input("usual_c", _("temperature at which the rate is known"), 25.0, _("degC"), -2, 50, depends=True)
CARDINAL = (
    Input("min_c", _("no growth at or below"), 7.0, _("degC"), -2, 50, depends=True),
    Input("opt_c", _("fastest at"), 25.0, _("degC"), -2, 50, depends=True),
    Input("max_c", _("no growth at or above"), 34.0, _("degC"), -2, 50, depends=True),
)

THERMAL = (
    Formula(
        "thermal.performance",
        _("exp(-((t - opt)/(2 s))^2), s = (opt - min)/4, up to opt; 1 - ((t - opt)/(opt - max))^2 above; 0 outside"),
        _("share of the fastest rate"),
        (CELSIUS, *CARDINAL),
        (OUTSIDE, "test_growth_rises_to_its_best_and_falls_to_nothing"),
    ),
    Formula(
        "thermal.growth_factor",
        _("performance(t) / performance(usual)"),
        _("times the rate at the usual temperature"),
        (CELSIUS, USUAL, *CARDINAL),
        (OUTSIDE, "test_growth_rises_to_its_best_and_falls_to_nothing", "test_each_strain_has_a_hump"),
    ),
    Formula(
        "thermal.appetite_factor",
        _("growth factor ^ 0.6"),
        _("times the ration at the usual temperature"),
        (CELSIUS, USUAL, *CARDINAL),
        (OUTSIDE, "test_appetite_follows_the_published_filtration_and_grazing"),
    ),
)

FORMULAS = (*GROWTH, *DEVELOPMENT, *THERMAL)
