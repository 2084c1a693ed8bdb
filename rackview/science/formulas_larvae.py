"""Entries of the formulas about eggs, nauplii and larvae."""

from __future__ import annotations

from rackview.language import _
from rackview.science import fecundity, larvae
from rackview.science.formula_entry import OUTSIDE, Formula, Input

ANIMALS = Input("animals", _("animals"), 2e6, _("animals"), 0)
TANK = Input("tank_l", _("volume of the larval tank"), 40.0, "L", 0, 1e6, open_low=True)
TARGET = Input("target_per_ml", _("prey wanted in the tank"), 8.0, _("animals per mL"), 0, 1000)
LEFT = Input("left_per_ml", _("prey left over"), 3.0, _("animals per mL"), 0, 1000)
PREY = Input("prey_um", _("width of the prey"), 100.0, _("um"), 0, 1e4, open_low=True)
MOUTH = Input("mouth_um", _("mouth of the larva"), 250.0, _("um"), 0, 1e4, open_low=True)

EGG_TIME = Input("egg_days", _("egg time"), 2.0, _("days"), 0, 60, open_low=True)
GAP = Input("gap_days", _("days from one sac to the next"), 0.75, _("days"), 0, 60)
CLUTCH = Input("eggs_per_clutch", _("eggs of a female that has any"), 18.0, _("eggs"), 1, 200)
SHARE = Input("ovigerous_share", _("share of females with eggs"), 0.4, "", 0, 1)

FECUNDITY = (
    Formula(
        "fecundity.clutch",
        _("as printed, by animal"),
        _("eggs of a female that has any, least and most"),
        (Input("animal", _("animal"), "Nitocra affinis", choices=tuple(fecundity.CLUTCHES)),),
        (OUTSIDE,),
    ),
    Formula(
        "fecundity.egg_ratio",
        _("eggs / females"),
        _("eggs per female"),
        (
            Input("eggs", _("eggs tallied"), 30.0, _("eggs"), 0),
            Input("females", _("females looked at"), 50.0, _("females"), 1),
        ),
        ("test_share_and_ratio_are_two_things",),
    ),
    Formula(
        "fecundity.egg_ratio_from_share",
        _("share * clutch"),
        _("eggs per female"),
        (SHARE, Input("eggs_per_clutch", _("eggs of a female that has any"), 1.5, _("eggs"), 1, 200)),
        ("test_share_and_ratio_are_two_things",),
    ),
    Formula(
        "fecundity.births_from_share",
        _("ln(1 + share * clutch)/D, with the clutch over the spread, as given, and times it"),
        _("births per animal and day: least, middle, most"),
        (
            SHARE,
            Input("egg_days", _("egg time"), 0.8, _("days"), 0.05, 60),
            Input("eggs_per_clutch", _("eggs of a female that has any"), 1.5, _("eggs"), 1, 200),
            Input("spread", _("how far off the clutch may be"), 1.5, _("times and divided by"), 1, 5),
        ),
        ("test_births_from_a_share_carry_the_doubt_of_the_clutch",),
    ),
    Formula(
        "fecundity.steady_ovigerous_share",
        _("D / (D + gap)"),
        _("females with a sac, share of the adult females"),
        (EGG_TIME, GAP),
        (OUTSIDE,),
    ),
    Formula(
        "fecundity.nauplii_per_female",
        _("clutch * hatching / (D + gap)"),
        _("nauplii per female and day"),
        (CLUTCH, EGG_TIME, GAP, Input("hatching", _("share that hatches"), 0.9, "", 0, 1)),
        (OUTSIDE,),
    ),
    Formula(
        "fecundity.nauplii_per_adult",
        _("nauplii / (1000 L * adults per mL)"),
        _("nauplii per adult and day"),
        (
            Input("nauplii", _("nauplii harvested in a day"), 40000.0, _("nauplii"), 0),
            Input("volume_l", _("volume"), 1.0, "L", 0, 1e6, open_low=True),
            Input("adults_per_ml", _("adults"), 4.0, _("per mL"), 0, 1e4, open_low=True),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "fecundity.stage_shares",
        _("integral of exp(-r a) over a stage, over the integral over all"),
        _("share of each stage"),
        (
            Input("days", _("days in each stage, eggs first"), (1.0, 4.7, 6.2, 20.0), _("above 0 to 365 each")),
            Input("rate", _("growth rate"), 0.15, _("per day"), -2, 2),
        ),
        ("test_shares_of_stages_by_scipy",),
    ),
)

LARVAE = (
    Formula(
        "larvae.animals_to_add",
        _("(target - left) * L * 1000, at least 0"),
        _("animals"),
        (TANK, TARGET, LEFT),
        (OUTSIDE, "test_a_tank_is_filled_to_its_target_and_never_emptied"),
    ),
    Formula(
        "larvae.prey_per_day",
        _("(target - left) * L * 1000 + larvae * eaten * (1 - 1/feeds)"),
        _("animals per day"),
        (
            TANK,
            TARGET,
            LEFT,
            Input("larvae", _("larvae alive"), 200.0, _("larvae"), 0, 1e7),
            Input("eaten_per_larva", _("eaten per larva and day"), 100.0, _("animals"), 0, 6000),
            Input("feeds_per_day", _("feeds per day"), 2.0, "", 1, 48),
        ),
        ("test_in_balance_a_day_takes_what_the_larvae_eat",),
    ),
    Formula(
        "larvae.eaten_per_larva",
        _("62 exp(0.2257 (age - 6)), or 1900"),
        _("rotifers per larva and day"),
        (
            Input("age_days", _("age after hatching"), 8.0, _("days: 6 to 13 measured, 7 to 30 by the upper figure")),
            Input("by", _("source"), "measured", choices=tuple(larvae.RATIONS)),
        ),
        (OUTSIDE, "test_appetite_rises_with_age_and_stays_under_the_upper_figure"),
    ),
    Formula(
        "larvae.rotifers_per_larva",
        _("days * eaten * offered"),
        _("rotifers per larva"),
        (
            Input("days", _("rotifer days"), 7.0, _("days"), 0, 60),
            Input("eaten_per_day", _("eaten per larva and day"), 200.0, _("rotifers"), 0, 6000),
            Input("offered", _("offered over eaten"), 3.0, "", 1, 10),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "larvae.larvae_alive",
        _("hatched * survival^days"),
        _("larvae"),
        (
            Input("hatched", _("larvae hatched"), 300.0, _("larvae"), 0, 1e7),
            Input("survival_per_day", _("survival per day"), 0.95, "", 0, 1),
            Input("days", _("days"), 7.0, _("days"), 0, 365),
        ),
        ("test_survival_inverts",),
    ),
    Formula(
        "larvae.survival_per_day",
        _("share^(1/days)"),
        _("share alive a day later"),
        (
            Input("share_alive", _("share alive at the end"), 0.68, "", 0, 1, open_low=True),
            Input("days", _("days"), 35.0, _("days"), 0, 365, open_low=True),
        ),
        (OUTSIDE, "test_survival_inverts"),
    ),
    Formula(
        "larvae.embryo_days",
        _("straight lines through 11 d at 24, 8 d at 26, 152 h at 27 and 28 degC"),
        _("days"),
        (Input("temperature_c", _("temperature"), 27.0, _("degC"), 24, 28),),
        (OUTSIDE, "test_eggs_of_anemonefish_hatch_no_later_when_warmer"),
    ),
    Formula(
        "larvae.calendar",
        _("as printed, by larval group"),
        _("prey with first and last day, density and source"),
        (Input("group", _("larval group"), "anemonefish", choices=tuple(larvae.CALENDAR)),),
        ("test_every_calendar_entry_has_a_source_and_sensible_days",),
    ),
    Formula(
        "larvae.prey_on",
        _("the entries of the calendar that hold on the day"),
        _("prey with density and source"),
        (
            Input("group", _("larval group"), "anemonefish", choices=tuple(larvae.CALENDAR)),
            Input("day", _("day after hatching"), 5, _("days"), 0, 365),
        ),
        ("test_the_calendar_says_what_is_fed_on_a_day",),
    ),
    Formula(
        "larvae.larvae_for",
        _("animals / eaten"),
        _("larvae"),
        (ANIMALS, Input("eaten", _("eaten per larva and day"), 100.0, _("animals"), 0, 6000, open_low=True)),
        ("test_larvae_for_a_supply",),
    ),
    Formula(
        "larvae.prey_ratio",
        _("prey / mouth"),
        _("prey over mouth"),
        (PREY, MOUTH),
        (OUTSIDE,),
    ),
    Formula(
        "larvae.prey_fits",
        _("< 0.25 small; to 0.40 good; to 0.60 possible; to 0.90 doubtful; above too large"),
        _("a word"),
        (PREY, MOUTH),
        (OUTSIDE, "test_a_prey_fits_by_its_ratio"),
    ),
    Formula(
        "larvae.prey_for_mouth",
        _("mouth * ratio"),
        _("um"),
        (MOUTH, Input("ratio", _("prey over mouth"), 0.36, "", 0.1, 0.9)),
        (OUTSIDE,),
    ),
    Formula(
        "larvae.larvae_supported",
        _("animals * exp(-z scatter) / eaten"),
        _("larvae"),
        (
            Input("animals_per_day", _("animals the rack yields a day"), 1e6, _("animals"), 0, None),
            Input("eaten", _("eaten per larva and day"), 100.0, _("animals"), 0, 6000, open_low=True),
            Input("scatter", _("scatter of the yield from day to day"), 0.35, _("standard deviation of ln"), 0, 2),
            Input("chance", _("on how many days it must be enough"), 0.9, _("share"), 0.5, 0.999),
        ),
        ("test_larvae_supported_is_a_quantile_of_scipy",),
    ),
)

FORMULAS = (*FECUNDITY, *LARVAE)
