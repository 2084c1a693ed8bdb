"""From what is believed and advised to what a tile shows; two figures, ages, marks, order of actions, shelves."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from rackview.advice.words.speech import animals_seen
from rackview.core.assessment import Assessment, Flag, Interval, Measured, Severity, Suggestion, Water
from rackview.core.events import Count, Feed, Harvest, Split
from rackview.core.rack import Rack
from rackview.core.tables import Settings
from rackview.core.vessel import Vessel
from rackview.ui.rack import presenter, today
from rackview.ui.rack import tile as tiles_in_words
from rackview.ui.rack.presenter import Presenter, ranked
from rackview.ui.rack.rack_state import FreePlace
from rackview.ui.rack.tile import TileState
from rackview.ui.words import formats

AT = datetime(2026, 5, 14, 7, 42, tzinfo=timezone(timedelta(hours=2)))


def rack(*events, vessels: tuple[Vessel, ...] | None = None) -> Rack:
    standing = vessels or (
        Vessel("Brill", "rotifer-L", "A", 1, 20.0),
        Vessel("Dab", "rotifer-L", "A", 3, 20.0, reserve=True),
        Vessel("Goby", "copepod-pelagic", "B", 1, 40.0),
    )
    return Rack.build(standing, events, settings=Settings(name="Teal shed", invented=True))


def seen(**other: object) -> Assessment:
    usual = Assessment(
        vessel="Brill",
        strain="rotifer-L",
        shelf="A",
        position=1,
        volume_l=20.0,
        state="rising",
        density_per_ml=Interval(212.4, 181.0, 249.0),
        net_rate_per_day=Interval(0.3095, 0.2, 0.4),
        birth_rate_per_day=None,
        loss_rate_per_day=None,
        ovigerous_share=0.284,
        egg_ratio=None,
        days_since_count=0.02,
        days_since_cleaning=1.0,
        days_since_restart=20.0,
        days_since_floss=2.2,
        counts_so_far=4,
        ceiling_per_ml=400.0,
    )
    return replace(usual, **other)


def suggestion(action: str, text: str, **other: object) -> Suggestion:
    return Suggestion("Brill", action, None, None, None, 1, AT, "because", (), 0.9, text=text, **other)


def tile(assessment: Assessment, *suggestions: Suggestion, events: tuple = ()) -> TileState:
    return tiles_in_words.tile(rack(*events), assessment, suggestions, None, AT)


def test_each_number_is_told_with_its_age_and_sureness() -> None:
    flag = Flag("eggs_low", Severity.today, "Only 7 % carry eggs.", "eggs low", probability=0.84)
    known = seen(
        flags=(flag,),
        last_count_per_ml=Interval(208, 166, 256),
        counted_animals=89,
        eggs_seen=Measured(0.28, 1.0),
        females_checked=50,
        chance_below_floor=0.02,
        water=Water(temperature_c=Measured(24.5, 3.0)),
    )
    assert tile(known).tooltip.splitlines() == [
        "A1 Brill, L rotifer",
        "210 per mL now, 180–250 at 90 %",
        "counted today: 210 per mL, 170–260, from 89 animals",
        "+0.31 a day (+0.20 to +0.40)",
        "28 % of 50 females with eggs, 1 d ago",
        "under 60 per mL tomorrow: about 1 in 50",
        "24.5 °C, 3 d ago",
        "Only 7 % carry eggs. Chance that this is so: about 9 in 10.",
    ]
    assert tile(seen(state="resting", density_per_ml=None)).tooltip == "A1 Brill, L rotifer"


# --- numbers --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (212.4, "210"),
        (99.6, "100"),
        (96.3, "96"),
        (9.96, "10"),
        (9.42, "9.4"),
        (0.432, "0.43"),
        (0.0, "0"),
        (1249, "1200"),
        (0.0004, "0"),
        (0.999, "1.0"),
    ],
)
def test_two_figures(value: float, text: str) -> None:
    assert formats.two_figures(value) == text


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (181, 249, "180–250"),
        (7.34, 12.1, "7–12"),
        (0.0, 3.7, "0.0–3.7"),
        (5.1, 9.2, "5.1–9.2"),
        (96, 150, "96–150"),
        (-1, 40, "0–40"),
    ],
)
def test_span_is_as_fine_as_its_upper_end(low: float, high: float, text: str) -> None:
    assert formats.span(Interval((low + high) / 2, low, high)) == text


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (4.2e6, "4.2 million"),
        (380_400, "380 thousand"),
        (999_000, "1.0 million"),
        (940, "940"),
        (2.5e9, "2.5 thousand million"),
    ],
)
def test_animals(number: float, text: str) -> None:
    assert formats.animals(number) == text


def test_one_animal_is_one() -> None:
    assert [animals_seen(n) for n in (0, 1, 106)] == ["0 animals", "1 animal", "106 animals"]


def test_animals_span_keeps_one_unit() -> None:
    assert formats.animals_span(Interval(1e6, 0.7e6, 1.62e6)) == "0.7–1.6 million"
    assert formats.animals_span(Interval(4e4, 2.1e4, 6.5e4)) == "21–65 thousand"
    assert formats.animals_span(Interval(300, 200, 410)) == "200–410"


def test_age_goes_by_the_keepers_calendar() -> None:
    assert formats.age(0.3, AT) == "today"
    assert formats.age(0.4, AT) == "1 d ago", "07:42 less 9.6 hours was yesterday, though less than a day ago"
    assert formats.age(3.1, AT) == "3 d ago"


def test_a_chance_never_claims_to_be_certain() -> None:
    assert [formats.chance(p) for p in (0.0, 0.06, 1.0)] == ["under 1 in 100", "about 1 in 15", "nearly certain"]


# --- a tile ---------------------------------------------------------------------------------------------------------


def test_what_was_done_later_yesterday_than_it_is_now_was_done_yesterday() -> None:
    assert tile(seen(days_since_floss=0.9)).care == "floss 1 d"
    assert tile(seen(days_since_floss=0.3)).care == "floss today"
    assert tile(seen(days_since_floss=None, days_since_cleaning=0.95)).care == "cleaned 1 d"


def test_a_tile_says_density_doubt_age_trend_care_and_what_to_do() -> None:
    made = tile(seen(), suggestion("feed", "Feed 4 mL"), suggestion("harvest", "Harvest 5.2 L"))
    assert (made.place, made.name, made.title) == ("A1", "Brill", "L rotifer")
    assert (made.density, made.interval, made.age) == ("210", "180–250", "today")
    assert (made.words, made.care, made.signs) == ("rising 0.31 a day", "floss 2 d", "28 % with eggs")
    assert made.actions == ("Harvest 5.2 L", "feed 4 mL"), "the weightiest first, the next in small letters"
    assert made.tone is None
    assert made.severity is None
    assert not made.settled


def test_a_count_on_which_all_hangs_is_the_first_thing_to_do() -> None:
    todo = suggestion("count", "Count"), suggestion("clean", "Rinse floss"), suggestion("feed", "Feed 4 mL")
    assert tile(seen(), *todo).actions[0] == "Rinse floss"
    assert tile(seen(), replace(todo[0], code="unfed"), *todo[1:]).actions[0] == "Count"


@pytest.mark.parametrize(
    ("state", "rate", "density", "words"),
    [
        ("falling", -0.38, 96, "falling 0.38 a day"),
        ("level", 0.01, 212, "level"),
        ("level", 0.01, 390, "near its ceiling"),
        ("crashed", -1.0, 3, "crashed"),
    ],
)
def test_trend_words(state: str, rate: float, density: float, words: str) -> None:
    made = tile(
        seen(
            state=state,
            net_rate_per_day=Interval(rate, rate, rate),
            density_per_ml=Interval(density, density, density),
        )
    )
    assert made.words == words


@pytest.mark.parametrize(
    ("state", "low", "high", "words"),
    [
        ("level", -1.0, 0.75, "growth unsure"),
        ("rising", -0.4, 0.9, "growth unsure"),
        ("rising", -0.2, 0.5, "rising 0.10 a day"),
        ("level", -1.3, 0.1, "level"),  # it may fall, but hardly grow
        ("falling", -1.0, 0.4, "falling 0.10 a day"),
    ],
)
def test_who_may_as_well_grow_as_fall_is_called_neither(state: str, low: float, high: float, words: str) -> None:
    median = -0.1 if state == "falling" else 0.1
    made = tile(seen(state=state, net_rate_per_day=Interval(median, low, high)))
    assert made.words == words


def test_a_fall_takes_the_colour_of_its_flag() -> None:
    flag = Flag("falling", Severity.today, "Falling 0.38 a day.", "falling")
    made = tile(seen(state="falling", flags=(flag,)))
    assert made.tone is Severity.today
    assert tile(seen(state="falling")).tone is None


def test_marks_come_worst_first_and_only_those_that_stand() -> None:
    flags = tuple(
        Flag(code, severity, f"{code}.", short, state=state)
        for code, severity, short, state in (
            ("floss", Severity.week, "floss due", "active"),
            ("eggs_low", Severity.today, "eggs low", "latched"),
            ("underfed", Severity.notice, "underfed", "acknowledged"),
            ("age", Severity.today, "old", "stale"),
            ("dense", Severity.today, "dense", "shelved"),
        )
    )
    made = tile(seen(flags=flags))
    assert [m.word for m in made.marks] == ["eggs low", "floss due"]
    assert made.severity is Severity.today


def test_where_nothing_may_be_taken_that_is_said_after_the_count() -> None:
    made = tile(
        seen(),
        suggestion("clean", "Rinse floss"),
        suggestion("hold", "Do not harvest"),
        suggestion("count", "Count again"),
    )
    assert made.actions == ("Count again", "do not harvest", "rinse floss")


def test_a_resting_vessel_is_empty_glass_without_numbers() -> None:
    made = tile(seen(state="resting", density_per_ml=None, resting_days=6.1, net_rate_per_day=None))
    assert made.resting
    assert (made.words, made.detail, made.density, made.age, made.care) == ("resting", "for 6 d", "", "", "")


def test_a_vessel_never_counted_shows_no_level() -> None:
    made = tile(
        seen(state="unknown", density_per_ml=None, counts_so_far=0, days_since_count=None, days_since_restart=2.0)
    )
    assert made.gauge.density is None
    assert made.gauge.band is not None
    assert (made.words, made.detail) == ("not counted", "started 2 d ago")


def test_doubt_widens_the_gauge_and_band_is_that_of_the_strain() -> None:
    sure = tile(seen()).gauge
    unsure = tile(seen(density_per_ml=Interval(212.4, 90.0, 500.0))).gauge
    assert sure.density == unsure.density
    assert unsure.low < sure.low < sure.density < sure.high < unsure.high
    assert sure.band[0] < sure.density < sure.band[1], "212 per mL lies in the working band of 120 to 300"


def test_done_today_is_said_when_nothing_is_left() -> None:
    fed = Feed(at=AT.astimezone(UTC) - timedelta(minutes=5), vessel="Brill", feed="algae concentrate", amount=4.0)
    late = replace(fed, at=AT.astimezone(UTC) - timedelta(hours=9))
    assert tile(seen(), events=(fed,)).actions == ("Done for today",)
    assert tile(seen(), events=(fed,)).settled
    assert tile(seen(), events=(late,)).actions != ("Done for today",), "fed before midnight is not today"


def test_the_whole_tile_is_there_in_words() -> None:
    flag = Flag("floss", Severity.week, "Floss not rinsed for 5 days.", "floss due")
    said = tile(seen(flags=(flag,)), suggestion("clean", "Rinse floss")).accessible
    for part in (
        "A1 Brill",
        "L rotifer",
        "210 per mL",
        "180 to 250",
        "today",
        "rising 0.31",
        "floss due",
        "Rinse floss",
    ):
        assert part in said
    assert "this week" in said, "the severity is said, not only drawn"


# --- the rack -------------------------------------------------------------------------------------------------------


def test_shelves_keep_their_gaps() -> None:
    standing = rack()
    tiles = {n: TileState(n, v.place, n) for n, v in standing.vessels.items()}
    made = presenter.shelves(list(standing.vessels.values()), tiles)
    assert [s.name for s in made] == ["A", "B"]
    assert [p.place for p in made[0].places] == ["A1", "A2", "A3"]
    assert [isinstance(p, FreePlace) for p in made[0].places] == [False, True, False]
    assert [isinstance(p, FreePlace) for p in made[1].places] == [False, True, True], "as long as the longest"
    assert "free place" in made[0].places[1].accessible


def test_absurd_gaps_are_not_drawn() -> None:
    standing = (Vessel("Brill", "rotifer-L", "A", 1, 20.0), Vessel("Dab", "rotifer-L", "A", 900, 20.0))
    tiles = {v.vessel: TileState(v.vessel, v.place, v.vessel) for v in standing}
    (shelf,) = presenter.shelves(standing, tiles)
    assert [p.place for p in shelf.places] == ["A1", "A900"]


def test_the_screen_names_the_rack_the_moment_and_that_it_is_invented() -> None:
    standing = rack()
    found = {n: seen(vessel=n, strain=v.strain, reserve=v.reserve) for n, v in standing.vessels.items()}
    state = Presenter().rack(standing, found, [], AT, banner="The folder can only be read.")
    assert (state.name, state.invented) == ("Teal shed", "invented rack")
    assert (state.date, state.time) == ("Thursday 14 May", "07:42")
    assert state.banner == "The folder can only be read."
    assert len(state.tiles()) == 3
    assert state.tiles()[1].title == "L rotifer, reserve"


def test_the_shelves_stand_before_anything_is_worked_out() -> None:
    state = presenter.waiting(rack(), AT)
    assert [t.place for t in state.tiles()] == ["A1", "A3", "B1"]
    assert all(t.gauge.density is None and not t.density and t.accessible for t in state.tiles())


def test_todays_events_end_at_now_and_leave_out_other_vessels() -> None:
    now = AT.astimezone(UTC)
    events = (
        Count(at=now - timedelta(hours=1), vessel="Brill", tallies=(30, 31), aliquot_ml=1.0),
        Harvest(at=now - timedelta(minutes=50), vessel="Brill", volume_l=5.0, refill_l=5.0),
        Split(at=now - timedelta(minutes=40), vessel="Dab", to_vessel="Brill", volume_l=1.0),
        Feed(at=now + timedelta(minutes=5), vessel="Brill", feed="algae concentrate", amount=4.0),
    )
    found = today.events_today(rack(*events), "Brill", AT)
    assert [e.kind for e in found] == ["count", "harvest"]
    assert [e.kind for e in today.worked_on(rack(*events), "Brill", AT)] == ["harvest"]


def test_of_several_urgent_vessels_the_one_with_most_at_stake_ranks_first() -> None:
    def urgent(name: str, chance: float, per_ml: float):
        flag = Flag("falling", Severity.today, "It falls.", "falling", chance)
        return replace(seen(flags=(flag,), density_per_ml=Interval(per_ml, per_ml, per_ml), level_l=20.0), vessel=name)

    some = [urgent("few", 0.9, 20.0), urgent("many", 0.5, 300.0), urgent("unlikely", 0.1, 300.0)]
    assert ranked([*some, seen()]) == {"many": 1, "unlikely": 2, "few": 3}
    assert ranked([some[0], seen()]) == {}, "one alone needs no rank"
    shelved = replace(some[0], flags=(replace(some[0].flags[0], state="shelved"),))
    assert ranked([shelved, some[1]]) == {}


def test_a_floss_that_is_due_is_said_once_on_a_tile() -> None:
    due = seen(flags=(Flag("floss", Severity.week, "Floss due.", "floss due"),))
    rinse = suggestion("clean", "Rinse floss", what="floss")
    take = suggestion("harvest", "Harvest 5 L")

    def actions(of: Assessment, *suggestions: Suggestion) -> tuple[str, ...]:
        return tiles_in_words.tile(rack(), of, suggestions, None, AT).actions

    assert actions(due, take, rinse) == ("Harvest 5 L",)
    assert actions(due, rinse) == ("Rinse floss",), "where it is all there is to do, it is the tile's sentence"
    assert actions(seen(), take, rinse) == ("Harvest 5 L", "rinse floss")


@pytest.mark.parametrize(("severity", "said"), [(Severity.week, "See to it"), (Severity.notice, "Nothing due")])
def test_a_flag_that_no_suggestion_answers_is_not_beside_nothing_due(severity: Severity, said: str) -> None:
    cold = Flag("cold", severity, "Cold: 12 °C.", "cold")
    made = tiles_in_words.tile(rack(), seen(flags=(cold,)), (), None, AT)
    assert made.actions == (said,)
    assert made.settled is (severity is Severity.notice)


def test_while_some_vessels_are_looked_at_the_others_wait_in_their_places() -> None:
    held = rack()
    (first, _free, second), (third, *_) = (s.places for s in Presenter().looked(held, {"Brill": seen()}, AT).shelves)
    assert (first.density, first.tooltip != "") == ("210", True)
    waits = presenter.waiting(held, AT).shelves
    assert [second, third] == [waits[0].places[2], waits[1].places[0]]
    assert (second.words, second.tooltip) == ("one moment", "")
