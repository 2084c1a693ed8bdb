"""Entries of the formulas about eggs, nauplii and larvae."""

from __future__ import annotations

from rackview.science import fecundity, larvae
from rackview.science.formula_entry import OUTSIDE, Formula, Input

ANIMALS = Input("animals", "animals", 2e6, "animals", 0)
TANK = Input("tank_l", "volume of the larval tank", 40.0, "L", 0, 1e6, open_low=True)
TARGET = Input("target_per_ml", "prey wanted in the tank", 8.0, "animals per mL", 0, 1000)
LEFT = Input("left_per_ml", "prey left over", 3.0, "animals per mL", 0, 1000)
PREY = Input("prey_um", "width of the prey", 100.0, "um", 0, 1e4, open_low=True)
MOUTH = Input("mouth_um", "mouth of the larva", 250.0, "um", 0, 1e4, open_low=True)

EGG_TIME = Input("egg_days", "egg time", 2.0, "days", 0, 60, open_low=True)
GAP = Input("gap_days", "days from one sac to the next", 0.75, "days", 0, 60)
CLUTCH = Input("eggs_per_clutch", "eggs of a female that has any", 18.0, "eggs", 1, 200)
SHARE = Input("ovigerous_share", "share of females with eggs", 0.4, "", 0, 1)

FECUNDITY = (
    Formula(
        "fecundity.clutch",
        "as printed, by animal",
        "eggs of a female that has any, least and most",
        (Input("animal", "animal", "Nitocra affinis", choices=tuple(fecundity.CLUTCHES)),),
        (OUTSIDE,),
    ),
    Formula(
        "fecundity.egg_ratio",
        "eggs / females",
        "eggs per female",
        (Input("eggs", "eggs tallied", 30.0, "eggs", 0), Input("females", "females looked at", 50.0, "females", 1)),
        ("test_share_and_ratio_are_two_things",),
    ),
    Formula(
        "fecundity.egg_ratio_from_share",
        "share * clutch",
        "eggs per female",
        (SHARE, Input("eggs_per_clutch", "eggs of a female that has any", 1.5, "eggs", 1, 200)),
        ("test_share_and_ratio_are_two_things",),
    ),
    Formula(
        "fecundity.births_from_share",
        "ln(1 + share * clutch)/D, with the clutch over the spread, as given, and times it",
        "births per animal and day: least, middle, most",
        (
            SHARE,
            Input("egg_days", "egg time", 0.8, "days", 0.05, 60),
            Input("eggs_per_clutch", "eggs of a female that has any", 1.5, "eggs", 1, 200),
            Input("spread", "how far off the clutch may be", 1.5, "times and divided by", 1, 5),
        ),
        ("test_births_from_a_share_carry_the_doubt_of_the_clutch",),
    ),
    Formula(
        "fecundity.steady_ovigerous_share",
        "D / (D + gap)",
        "females with a sac, share of the adult females",
        (EGG_TIME, GAP),
        (OUTSIDE,),
    ),
    Formula(
        "fecundity.nauplii_per_female",
        "clutch * hatching / (D + gap)",
        "nauplii per female and day",
        (CLUTCH, EGG_TIME, GAP, Input("hatching", "share that hatches", 0.9, "", 0, 1)),
        (OUTSIDE,),
    ),
    Formula(
        "fecundity.nauplii_per_adult",
        "nauplii / (1000 L * adults per mL)",
        "nauplii per adult and day",
        (
            Input("nauplii", "nauplii harvested in a day", 40000.0, "nauplii", 0),
            Input("volume_l", "volume", 1.0, "L", 0, 1e6, open_low=True),
            Input("adults_per_ml", "adults", 4.0, "per mL", 0, 1e4, open_low=True),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "fecundity.stage_shares",
        "integral of exp(-r a) over a stage, over the integral over all",
        "share of each stage",
        (
            Input("days", "days in each stage, eggs first", (1.0, 4.7, 6.2, 20.0), "above 0 to 365 each"),
            Input("rate", "growth rate", 0.15, "per day", -2, 2),
        ),
        ("test_shares_of_stages_by_scipy",),
    ),
)

LARVAE = (
    Formula(
        "larvae.animals_to_add",
        "(target - left) * L * 1000, at least 0",
        "animals",
        (TANK, TARGET, LEFT),
        (OUTSIDE, "test_a_tank_is_filled_to_its_target_and_never_emptied"),
    ),
    Formula(
        "larvae.prey_per_day",
        "(target - left) * L * 1000 + larvae * eaten * (1 - 1/feeds)",
        "animals per day",
        (
            TANK,
            TARGET,
            LEFT,
            Input("larvae", "larvae alive", 200.0, "larvae", 0, 1e7),
            Input("eaten_per_larva", "eaten per larva and day", 100.0, "animals", 0, 6000),
            Input("feeds_per_day", "feeds per day", 2.0, "", 1, 48),
        ),
        ("test_in_balance_a_day_takes_what_the_larvae_eat",),
    ),
    Formula(
        "larvae.eaten_per_larva",
        "62 exp(0.2257 (age - 6)), or 1900",
        "rotifers per larva and day",
        (
            Input("age_days", "age after hatching", 8.0, "days: 6 to 13 measured, 7 to 30 by the upper figure"),
            Input("by", "source", "measured", choices=tuple(larvae.RATIONS)),
        ),
        (OUTSIDE, "test_appetite_rises_with_age_and_stays_under_the_upper_figure"),
    ),
    Formula(
        "larvae.rotifers_per_larva",
        "days * eaten * offered",
        "rotifers per larva",
        (
            Input("days", "rotifer days", 7.0, "days", 0, 60),
            Input("eaten_per_day", "eaten per larva and day", 200.0, "rotifers", 0, 6000),
            Input("offered", "offered over eaten", 3.0, "", 1, 10),
        ),
        (OUTSIDE,),
    ),
    Formula(
        "larvae.larvae_alive",
        "hatched * survival^days",
        "larvae",
        (
            Input("hatched", "larvae hatched", 300.0, "larvae", 0, 1e7),
            Input("survival_per_day", "survival per day", 0.95, "", 0, 1),
            Input("days", "days", 7.0, "days", 0, 365),
        ),
        ("test_survival_inverts",),
    ),
    Formula(
        "larvae.survival_per_day",
        "share^(1/days)",
        "share alive a day later",
        (
            Input("share_alive", "share alive at the end", 0.68, "", 0, 1, open_low=True),
            Input("days", "days", 35.0, "days", 0, 365, open_low=True),
        ),
        (OUTSIDE, "test_survival_inverts"),
    ),
    Formula(
        "larvae.embryo_days",
        "straight lines through 11 d at 24, 8 d at 26, 152 h at 27 and 28 degC",
        "days",
        (Input("temperature_c", "temperature", 27.0, "degC", 24, 28),),
        (OUTSIDE, "test_eggs_of_anemonefish_hatch_no_later_when_warmer"),
    ),
    Formula(
        "larvae.calendar",
        "as printed, by larval group",
        "prey with first and last day, density and source",
        (Input("group", "larval group", "anemonefish", choices=tuple(larvae.CALENDAR)),),
        ("test_every_calendar_entry_has_a_source_and_sensible_days",),
    ),
    Formula(
        "larvae.prey_on",
        "the entries of the calendar that hold on the day",
        "prey with density and source",
        (
            Input("group", "larval group", "anemonefish", choices=tuple(larvae.CALENDAR)),
            Input("day", "day after hatching", 5, "days", 0, 365),
        ),
        ("test_the_calendar_says_what_is_fed_on_a_day",),
    ),
    Formula(
        "larvae.larvae_for",
        "animals / eaten",
        "larvae",
        (ANIMALS, Input("eaten", "eaten per larva and day", 100.0, "animals", 0, 6000, open_low=True)),
        ("test_larvae_for_a_supply",),
    ),
    Formula(
        "larvae.prey_ratio",
        "prey / mouth",
        "prey over mouth",
        (PREY, MOUTH),
        (OUTSIDE,),
    ),
    Formula(
        "larvae.prey_fits",
        "< 0.25 small; to 0.40 good; to 0.60 possible; to 0.90 doubtful; above too large",
        "a word",
        (PREY, MOUTH),
        (OUTSIDE, "test_a_prey_fits_by_its_ratio"),
    ),
    Formula(
        "larvae.prey_for_mouth",
        "mouth * ratio",
        "um",
        (MOUTH, Input("ratio", "prey over mouth", 0.36, "", 0.1, 0.9)),
        (OUTSIDE,),
    ),
    Formula(
        "larvae.larvae_supported",
        "animals * exp(-z scatter) / eaten",
        "larvae",
        (
            Input("animals_per_day", "animals the rack yields a day", 1e6, "animals", 0, None),
            Input("eaten", "eaten per larva and day", 100.0, "animals", 0, 6000, open_low=True),
            Input("scatter", "scatter of the yield from day to day", 0.35, "standard deviation of ln", 0, 2),
            Input("chance", "on how many days it must be enough", 0.9, "share", 0.5, 0.999),
        ),
        ("test_larvae_supported_is_a_quantile_of_scipy",),
    ),
)

FORMULAS = (*FECUNDITY, *LARVAE)
