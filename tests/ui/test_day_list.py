"""The side column in words: what was done, what is left, supply against demand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from rackview.core.assessment import BroodAhead, Flag, Interval, Plan, PlanDay, Severity, Suggestion
from rackview.core.events import Clean, Count, Decline, Feed, Harvest, Note, Reading, Restart, Split, TopUp
from rackview.core.rack import Rack
from rackview.core.tables import Settings
from rackview.core.vessel import Vessel
from rackview.ui.rack.day_list import day_list, supplies, what
from rackview.ui.rack.rack_state import ItemProgress

AT = datetime(2026, 5, 14, 9, 0, tzinfo=UTC)
TODAY = AT.date()
VESSELS = (Vessel("Brill", "rotifer-L", "A", 1, 20.0), Vessel("Dab", "rotifer-S", "B", 1, 20.0))


def rack(*events) -> Rack:
    return Rack.build(VESSELS, events)


def plan(*days: PlanDay) -> Plan:
    return Plan(days)


def planned(strain: str, demand: float, supply: float, short: float, on: date = TODAY) -> PlanDay:
    return PlanDay(on, strain, demand, Interval(supply, supply * 0.8, supply * 1.3), short)


def suggestion(vessel: str, text: str, *cautions: str) -> Suggestion:
    return Suggestion(
        vessel, "feed", 4.0, "mL", None, 1, AT, "why", (), 0.9, cautions, text=text, severity=Severity.week
    )


@pytest.mark.parametrize(
    ("event", "settings", "text"),
    [
        (Count(at=AT, vessel="Brill", tallies=(3,)), Settings(), "Counted"),
        (Reading(at=AT, vessel="Brill", ph=8.0), Settings(), "Water tested"),
        (Harvest(at=AT, vessel="Brill", volume_l=5.2), Settings(), "Harvest 5.2 L"),
        (Harvest(at=AT, vessel="Brill", volume_l=3.785411784), Settings(volume_unit="US gal"), "Harvest 1.0 US gal"),
        (Feed(at=AT, vessel="Brill", feed="algae", amount=4.0), Settings(), "Feed 4.0 mL"),
        (Clean(at=AT, vessel="Brill"), Settings(), "Clean floss"),
        (Split(at=AT, vessel="Brill", to_vessel="Dab", volume_l=7.0), Settings(), "Split 7.0 L into Dab"),
        (Restart(at=AT, vessel="Brill", from_vessel="Dab"), Settings(), "Restart from Dab"),
        (Restart(at=AT, vessel="Brill"), Settings(), "Restart from a starter"),
        (TopUp(at=AT, vessel="Brill", volume_l=0.5), Settings(), "Top up 0.50 L"),
        (Note(at=AT, vessel="Brill", text="smells fine"), Settings(), ""),
    ],
)
def test_what_was_done_in_a_few_words_and_the_keepers_units(event, settings, text) -> None:
    assert what(event, settings) == text


def test_what_is_left_comes_first_then_what_was_done_one_line_a_vessel() -> None:
    events = (
        Feed(at=AT - timedelta(minutes=20), vessel="Dab", feed="algae", amount=2.0),
        Count(at=AT - timedelta(minutes=40), vessel="Brill", tallies=(30,)),
        Harvest(at=AT - timedelta(minutes=30), vessel="Brill", volume_l=5.0),
        Feed(at=AT - timedelta(days=1), vessel="Brill", feed="algae", amount=9.0),
    )
    made = day_list(rack(*events), [suggestion("Brill", "Feed 4 mL")], None, AT)
    assert [(i.place, i.text, i.step) for i in made.items] == [
        ("A1", "Feed 4 mL", ItemProgress.open),
        ("A1", "Counted, harvest 5.0 L", ItemProgress.done),
        ("B1", "Feed 2.0 mL", ItemProgress.done),
    ]
    assert made.progress == "3 of 4 done"
    assert made.items[0].severity is Severity.week
    assert made.supplies == ()


def test_the_foot_says_when_the_newest_entry_was_saved_in_the_keepers_time() -> None:
    fed = Feed(at=AT - timedelta(minutes=20), vessel="Dab", feed="algae", amount=2.0)
    saved = [replace(fed, entered_at=AT - timedelta(minutes=m)) for m in (19, 12)]
    zone = timezone(timedelta(hours=2))
    assert day_list(rack(*saved), [], None, AT.astimezone(zone)).foot == "Saved 10:48"
    assert day_list(rack(fed), [], None, AT).foot == ""


def test_a_declined_thing_keeps_its_reason() -> None:
    declined = Decline(at=AT - timedelta(minutes=5), vessel="Brill", action="harvest", reason="larvae still full")
    (line,) = day_list(rack(declined), [], None, AT).items
    assert (line.text, line.why, line.step) == ("Harvest declined", "larvae still full", ItemProgress.declined)


def test_cautions_that_hold_for_most_are_said_once() -> None:
    gloves, heater = "Cover cuts and wear gloves.", "Switch off heaters first."
    todo = [
        suggestion("Brill", "Feed", gloves),
        suggestion("Brill", "Rinse", gloves, heater),
        suggestion("Dab", "Feed", gloves),
    ]
    made = day_list(rack(), todo, None, AT)
    assert made.cautions == (gloves,)
    assert [i.cautions for i in made.items] == [(), (heater,), ()]
    assert all(gloves in i.accessible for i in made.items), "heard with each line all the same"


def test_what_presses_the_whole_rack_stands_before_what_is_left_and_notices_after() -> None:
    flag = Flag("common", Severity.today, "5 of 11 vessels went wrong together.", "common cause")
    fed = Feed(at=AT - timedelta(minutes=20), vessel="Dab", feed="algae", amount=2.0)
    quiet = Flag("no_reserve", Severity.notice, "No reserve of S rotifer.", "no reserve")
    made = day_list(rack(fed), [suggestion("Brill", "Feed 4 mL")], None, AT, flags=[flag, quiet])
    assert [i.place for i in made.items] == ["All", "A1", "All", "B1"]
    assert made.items[0].severity is Severity.today
    assert made.items[0].suggestion is None
    assert made.items[0].accessible.startswith("The whole rack: 5 of 11")
    assert made.progress == "1 of 2 done", "it is nothing to tick"


def test_supply_of_one_strain() -> None:
    (one,) = supplies(rack(), plan(planned("rotifer-L", 4.2e6, 6e6, 0.001)), AT)
    assert one.heading == "Larvae need 4.2 million"
    assert one.line == "can spare 4.8–7.8 million"
    assert (one.short, one.aside, one.brief) == (False, "", "food: enough")
    assert one.need / one.likely == pytest.approx(0.7)
    assert one.sure < one.likely < one.most < 1


def test_a_rack_that_can_give_nothing_says_so() -> None:
    (one,) = supplies(rack(), plan(planned("rotifer-L", 4.2e6, 0.0, 1.0)), AT)
    assert one.line == "can spare nothing"


def test_the_strain_that_falls_short_comes_first_and_says_by_how_much() -> None:
    both = supplies(rack(), plan(planned("rotifer-L", 1e6, 6e6, 0.0), planned("rotifer-S", 4.1e6, 1.5e6, 0.99)), AT)
    assert [(s.heading, s.aside) for s in both] == [
        ("S rotifer", "need 4.1 million"),
        ("L rotifer", "need 1.0 million"),
    ]
    assert both[0].short
    assert both[0].brief == "S rotifer: 2.6 M short"
    assert both[0].accessible.endswith("Chance of a shortfall today: nearly certain")
    assert all(0 <= s.need <= 1 for s in both)


def test_a_toss_up_is_called_so() -> None:
    (one,) = supplies(rack(), plan(planned("rotifer-L", 1e6, 1.01e6, 0.5)), AT)
    assert one.brief == "food: may run short"


def test_the_heavier_day_ahead_is_named() -> None:
    ahead = planned("rotifer-L", 7.8e6, 8e6, 0.06, TODAY + timedelta(days=2))
    (one,) = supplies(rack(), plan(planned("rotifer-L", 4e6, 6e6, 0.0), ahead), AT)
    assert one.note == "Saturday 7.8 million, chance of a shortfall about 1 in 15"
    sure = planned("rotifer-L", 7.8e6, 20e6, 0.0, TODAY + timedelta(days=2))
    (calm,) = supplies(rack(), plan(planned("rotifer-L", 4e6, 6e6, 0.0), sure), AT)
    assert calm.note == "Saturday 7.8 million"


def test_without_larvae_the_bar_shows_what_the_rack_could_give() -> None:
    (one,) = supplies(rack(), plan(planned("rotifer-L", 0.0, 6e6, 0.0), planned("rotifer-S", 0.0, 1e6, 0.0)), AT)
    assert one.need is None
    assert one.heading == "No larvae to feed today"
    assert one.line == "L rotifer: rack could give 6.0 million"
    assert supplies(rack(), plan(), AT) == ()


def test_a_rack_of_which_nothing_is_known_is_not_said_to_give_a_number() -> None:
    (one,) = supplies(rack(), plan(planned("rotifer-L", 0.0, 0.0, 0.0)), AT)
    assert one.line == "L rotifer: nothing to give, by what is counted"


def feeding(vessel: str, amount: float, **more: object) -> Suggestion:
    made = suggestion(vessel, f"Feed {amount:g} mL")
    return replace(made, amount=amount, severity=None, **more)


def many(*events) -> Rack:
    return Rack.build([Vessel(f"V{n}", "rotifer-L", "A", n, 20.0) for n in range(1, 7)], events)


def test_plain_feedings_are_one_line_that_records_what_it_shows() -> None:
    todo = [
        feeding("V1", 3.0),
        replace(suggestion("V2", "Harvest 5 L"), action="harvest", severity=None),
        feeding("V2", 4.0),
        replace(feeding("V3", 5.0), severity=Severity.notice),
        feeding("V4", 6.0, text="Feed 6 mL flagellate concentrate"),
        replace(suggestion("V5", "Rinse floss"), action="clean"),
    ]
    made = day_list(many(), todo, None, AT).items
    assert [(i.place, i.text) for i in made] == [
        ("A2", "Harvest 5 L"), ("A3", "Feed 5 mL"), ("", "Feed 3 vessels"), ("A5", "Rinse floss")
    ]  # fmt: skip
    table = made[2]
    assert table.rows == (("A1", "3 mL"), ("A2", "4 mL"), ("A4", "6 mL flagellate concentrate"))
    assert table.together == (todo[0], todo[2], todo[4])
    assert all(amount in table.accessible for _, amount in table.rows)
    few = day_list(many(), todo[:3], None, AT).items
    assert [i.text for i in few] == ["Feed 3 mL", "Harvest 5 L", "Feed 4 mL"], "two are told as they stand"


def test_a_feeding_with_a_caution_of_its_own_stands_alone() -> None:
    todo = [feeding(f"V{n}", 3.0) for n in range(1, 5)]
    todo[1] = replace(todo[1], cautions=("Serve it last.",))
    texts = [(i.place, i.text) for i in day_list(many(), todo, None, AT).items]
    assert texts == [("A2", "Feed 3 mL"), ("", "Feed 3 vessels")]


def test_what_wants_a_hand_today_comes_first_in_the_order_of_what_is_at_stake() -> None:
    quiet, one, two = (
        replace(suggestion(f"V{n}", "Count again"), action="count", severity=s)
        for n, s in ((1, Severity.week), (2, Severity.today), (3, Severity.today))
    )
    made = day_list(many(), [quiet, one, two], None, AT, ranks={"V3": 1, "V2": 2})
    assert [i.place for i in made.items] == ["A3", "A2", "A1"]


def test_done_lines_fold_into_one_with_a_table() -> None:
    fed = [Feed(at=AT - timedelta(minutes=n), vessel=f"V{n}", feed="algae", amount=n) for n in range(1, 5)]
    made = day_list(many(*fed), [feeding("V6", 3.0)], None, AT)
    assert [(i.text, i.step) for i in made.items] == [
        ("Feed 3 mL", ItemProgress.open),
        ("4 vessels done", ItemProgress.done),
    ]
    assert made.items[1].rows == (
        ("A4", "Feed 4.0 mL"),
        ("A3", "Feed 3.0 mL"),
        ("A2", "Feed 2.0 mL"),
        ("A1", "Feed 1.0 mL"),
    )
    assert made.progress == "4 of 5 done"


@pytest.mark.parametrize(
    ("state", "last_safe", "order_by", "first", "told"),
    [
        ("safe", None, None, 3, False),
        ("start", 9, 2, 12, True),
        ("start", 9, 5, 12, False),
        ("start", 1, -6, 12, True),
        ("late", None, None, 5, True),
        ("late", None, None, 12, False),
    ],
)
def test_a_brood_is_told_of_when_something_must_be_begun_for_it(state, last_safe, order_by, first, told):
    def day(n):
        return None if n is None else TODAY + timedelta(days=n)

    one = BroodAhead("Amber 1", "rotifer-L", day(first), day(first + 7), 0.5, (), state, day(last_safe), day(order_by))
    found = [i for i in day_list(rack(), [], None, AT, ahead=[one]).items if "Amber 1" in i.text]
    assert bool(found) == told
    if told:
        assert "L rotifer" in found[0].text
        assert found[0].severity is Severity.week
