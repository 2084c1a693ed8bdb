"""One vessel's entry without a window: what is typed and suggested, wrong, or recorded, and the order of stops."""

from __future__ import annotations

from datetime import timedelta

import pytest

from rackview.core.assessment import Interval, Severity
from rackview.core.events import Clean, Count, Feed, Harvest, Reading, Rest, Split
from rackview.core.rack import Rack
from rackview.core.tables import Settings, Stock
from rackview.ui.forms import moves
from rackview.ui.round import words as round_words
from rackview.ui.round.entry.columns import STALE
from rackview.ui.round.entry.model import Entry
from rackview.ui.round.order import stops
from tests.ui.entries import NOW, believed, entry, rack, suggestion, take_all, tally


def test_harvest_larger_than_the_vessel_is_named() -> None:
    made = entry(harvest="25")
    assert "at most the 20 L that Alder holds" in str(made.error("harvest"))
    assert list(made.errors()) == ["harvest"]


def test_harvest_in_words_says_what_would_be_right() -> None:
    assert "a volume in litres above 0" in str(entry(harvest="much").error("harvest"))


def test_decimal_comma_is_understood() -> None:
    made = entry(temperature="24,5", harvest="5,2")
    events = made.events(NOW)
    assert [e.temperature_c for e in events if isinstance(e, Reading)] == [24.5]
    assert [e.volume_l for e in events if isinstance(e, Harvest)] == [5.2]


def test_keepers_units_become_base_units_and_errors_speak_them() -> None:
    of = rack(Settings(volume_unit="US gal", temperature_unit="degF"))
    made = entry(of=of, temperature="78", harvest="1")
    events = made.events(NOW)
    assert next(e for e in events if isinstance(e, Reading)).temperature_c == pytest.approx((78 - 32) / 1.8)
    assert next(e for e in events if isinstance(e, Harvest)).volume_l == pytest.approx(3.785411784)
    assert "US gal" in str(entry(of=of, harvest="6").error("harvest"))
    assert "Fahrenheit" in str(entry(of=of, temperature="200").error("temperature"))


def test_suggestions_stand_as_suggestions_until_the_keeper_takes_them() -> None:
    asked = (
        suggestion("Alder", "harvest", amount=5.2, refill_l=5.2, mesh_um=45.0, to="tank 2"),
        suggestion("Alder", "feed", amount=4.0, unit="mL", feed="algae concentrate"),
        suggestion("Alder", "clean", what="floss"),
        suggestion("Birch", "harvest", amount=9.0),
    )
    made = entry(*asked)
    keys = ("harvest", "refill", "feed", "clean")
    assert [made.ghost(k) for k in keys] == ["5.2", "5.2", "4.0", "floss"]
    assert [made.text(k) for k in keys] == [""] * 4
    assert made.events(NOW) == [], "nothing that nobody did is recorded"
    made.put("harvest", "3", NOW)
    assert (made.text("refill"), made.presumed("refill")) == ("3", True), "as much new water as was taken"
    made.offer([suggestion("Alder", "harvest", amount=6.0)])
    assert made.text("harvest") == "3"
    assert (made.text("feed"), made.ghost("feed")) == ("", "")
    assert round_words.changed(made, "harvest") == "now suggested: 6.0 L"
    assert round_words.changed(made, "feed") == "was 4.0 mL, now none"
    made.put("harvest", "", NOW)
    assert (made.ghost("harvest"), made.text("refill")) == ("6.0", ""), "cleared is as if nobody had touched it"
    assert round_words.changed(made, "harvest") == "changed, was 5.2 L"


def test_what_is_taken_is_what_was_seen_whatever_is_suggested_by_then() -> None:
    made = entry(suggestion("Alder", "harvest", amount=5.2, refill_l=4.0, mesh_um=45.0, to="tank 2"))
    seen = made.ghost("harvest")
    made.offer([suggestion("Alder", "harvest", amount=9.9, to="tank 3")])
    made.take("harvest", seen, NOW)
    (harvest,) = made.events(NOW)
    assert isinstance(harvest, Harvest)
    assert (harvest.volume_l, harvest.refill_l) == (5.2, 5.2)


def test_only_lines_that_were_taken_are_recorded_and_the_rest_is_said() -> None:
    made = entry(suggestion("Alder", "harvest", amount=5.2, refill_l=5.2), suggestion("Alder", "clean", what="floss"))
    made.take("clean", "floss", NOW)
    assert [e.kind for e in made.events(NOW)] == ["clean"]
    assert made.left_out() == ["harvest"]


def test_all_that_was_entered_is_recorded_at_one_moment() -> None:
    asked = (
        suggestion("Alder", "harvest", amount=5.2, refill_l=5.2, mesh_um=45.0, to="tank 2"),
        suggestion("Alder", "feed", amount=4.0, unit="mL"),
        suggestion("Alder", "clean", what="floss"),
        suggestion("Alder", "split", amount=7.0, unit="L", other_vessel="Birch"),
    )
    made = take_all(tally(entry(*asked), "31", "28", "30", ""))
    for key, text in {
        "with_eggs": "14", "females_checked": "50", "swimming": "4", "ciliates": "none", "tint": "2",
        "temperature": "24.5", "gravity": "1.022", "ph": "7.9", "tan": "1",
    }.items():  # fmt: skip
        made.put(key, text, NOW)
    events = made.events(NOW)
    own = [e for e in events if e.vessel == "Alder"]
    assert [type(e) for e in own] == [Count, Reading, Clean, Harvest, Split, Feed]
    assert own[4].fill_l == 13.0  # blank: an empty taker is filled up
    assert {e.at for e in events} == {NOW}
    count = own[0]
    assert isinstance(count, Count)
    assert (count.tallies, count.with_eggs, count.females_checked, count.tint) == ((31, 28, 30), 14, 50, 2)
    reading = own[1]
    assert isinstance(reading, Reading)
    assert (reading.sg, reading.sg_reference, reading.tan_mg_l) == (1.022, "25/25", 1)
    harvest = own[3]
    assert isinstance(harvest, Harvest)
    assert (harvest.volume_l, harvest.refill_l, harvest.mesh_um, harvest.to) == (5.2, 5.2, 45.0, "tank 2")


def test_an_emptied_or_zero_action_is_not_recorded() -> None:
    asked = (suggestion("Alder", "harvest", amount=5.2), suggestion("Alder", "feed", amount=4.0))
    assert entry(*asked, harvest="", refill="", feed="0").events(NOW) == []


def test_sampling_habit_is_remembered() -> None:
    last = Count(
        at=NOW - timedelta(days=1), vessel="Alder", tallies=(9,), aliquot_ml=0.5, dilution=7,
        with_eggs=3, females_checked=40,
    )  # fmt: skip
    of = rack(events=(last,))
    made = entry(of=of)
    assert (made.text("aliquot"), made.text("dilution"), made.text("females_checked")) == ("0.5", "7", "40")
    kin = entry(of=of, vessel="Birch")
    assert kin.text("dilution") == "7"
    assert made.draft() == {}


def test_a_draft_brings_back_what_was_typed_right_or_wrong() -> None:
    made = tally(entry(harvest="99"), "31", "-2")
    draft = made.draft()
    of = made.rack
    again = Entry(of, "Alder", believed(of, "Alder"), (), draft)
    assert again.tallies("all") == ["31", "-2"]
    assert again.text("harvest") == "99"
    assert again.begun == NOW


def test_a_stale_draft_is_recorded_for_when_it_was_typed_and_without_untouched_suggestions() -> None:
    made = tally(entry(suggestion("Alder", "harvest", amount=5.0)), "31")
    later = NOW + STALE + timedelta(hours=1)
    events = made.events(later)
    assert [e.kind for e in events] == ["count"]
    assert events[0].at == NOW


def test_vessels_with_their_own_tools_come_last_and_the_rest_keep_the_safe_order() -> None:
    of = rack()
    assessed = {n: believed(of, n) for n in of.vessels}
    asked = [suggestion("Birch", "feed"), suggestion("Alder", "count", own_tools=True, severity=Severity.today)]
    order = stops(of, ("Dogwood", "Alder", "Birch", "Cedar"), assessed, asked, NOW - timedelta(hours=8), {"Birch"})
    assert [s.vessel for s in order] == ["Dogwood", "Birch", "Cedar", "Alder"]
    assert [s.own_tools for s in order] == [False, False, False, True]
    assert [s.drafted for s in order] == [False, True, False, False]


def test_served_vessels_are_done() -> None:
    of = rack(events=(Feed(at=NOW, vessel="Alder", feed="algae concentrate", amount=3),))
    assessed = {n: believed(of, n) for n in of.vessels}
    order = stops(of, ("Alder", "Cedar"), assessed, [], NOW - timedelta(hours=1))
    assert {s.vessel: s.done for s in order} == {"Alder": True, "Cedar": False}


def test_a_split_into_a_resting_vessel_takes_it_back_into_use_and_fills_it() -> None:
    of = rack(events=(Rest(at=NOW - timedelta(days=3), vessel="Birch"),))
    made = take_all(entry(suggestion("Alder", "split", amount=7.0, unit="L", other_vessel="Birch"), of=of))
    assert made.others()[0] == "Birch"
    assert (made.text("split_refill"), made.text("split_fill")) == ("7.0", "13")
    kinds = [(e.kind, e.vessel) for e in made.events(NOW)]
    assert kinds == [("return", "Birch"), ("split", "Alder")]


def test_a_split_may_make_the_vessel_it_goes_into() -> None:
    of = rack()
    made = entry(split="7", split_to=moves.NEW, of=of)
    assert made.errors() == {}
    new = made.new_vessel
    assert new.vessel not in of.vessels
    assert (new.strain, new.volume_l) == (of.vessels["Alder"].strain, of.vessels["Alder"].volume_l)
    split = made.events(NOW)[-1]
    assert (split.to_vessel, split.fill_l) == (new.vessel, new.volume_l - 7)


def test_what_was_counted_is_thought_of_even_when_an_action_can_not_be():
    made = tally(entry(harvest="99"), "30", "31")
    assert "harvest" in made.errors()
    assert [type(e) for e in made.observed(NOW)] == [Count]
    made.put("ph", "acid", NOW)
    assert made.observed(NOW) == []


def test_another_feed_is_offered_in_its_own_unit_by_what_it_holds():
    of = rack()
    of = Rack.build(of.vessels.values(), (), stock=[*of.stock, Stock("dried algae", unit="g")])
    made = entry(suggestion("Alder", "feed", amount=4.0, unit="mL", feed="algae concentrate"), of=of)
    assert (made.ghost("feed"), made.feed_unit()) == ("4.0", "mL")
    made.put("feed_name", "dried algae", NOW)
    assert (float(made.ghost("feed")), made.feed_unit()) == (0.4, "g"), "not 4 g, ten times as much"
    assert made.draft() == {}, "to look at another feed is no entry"
    take_all(made)
    given = next(e for e in made.events(NOW) if isinstance(e, Feed))
    assert (given.feed, given.amount, given.unit) == ("dried algae", 0.4, "g")


def test_without_a_stock_the_suggested_unit_holds_and_the_last_feed_has_no_amount():
    last = Feed(at=NOW - timedelta(days=1), vessel="Alder", feed="yeast", amount=3)
    of = Rack.build(rack().vessels.values(), (last,))
    made = entry(suggestion("Alder", "feed", amount=0.59, unit="g"), of=of)
    assert (made.ghost("feed"), made.feed_unit(), made.text("feed_name")) == ("0.59", "g", "dry feed")
    made.put("feed_name", "yeast", NOW)
    assert (made.ghost("feed"), made.feed_unit()) == ("", "mL"), "how strong it is was never said"
    assert entry(of=of).text("feed_name") == "yeast"


def test_an_amount_typed_keeps_its_feed_and_unit_whatever_is_offered_later():
    made = entry(of=rack(), feed="0.4")
    assert made.feed_unit() == "mL"
    stock = [Stock("dried algae", unit="g", dry_g_per_ml=1.0)]
    other = Rack.build(rack().vessels.values(), (), stock=stock)
    asked = suggestion("Alder", "feed", amount=2.0, unit="g", feed="dried algae")
    again = Entry(other, "Alder", believed(other, "Alder"), (asked,), made.draft())
    given = next(e for e in again.events(NOW) if isinstance(e, Feed))
    assert (given.feed, given.amount, given.unit) == ("algae concentrate", 0.4, "mL"), "not 0.4 g of another feed"
    assert [o.name for o in again.feeds] == ["dried algae", "algae concentrate"], "and it can be chosen again"
    again.put("feed_name", "dried algae", NOW)
    assert again.feed_unit() == "g", "the keeper chose, and sees the unit change"


def test_a_feed_chosen_and_offered_no_longer_suggests_no_amount():
    of = rack()
    of = Rack.build(of.vessels.values(), (), stock=[*of.stock, Stock("dried algae", unit="g")])
    asked = suggestion("Alder", "feed", amount=4.0, unit="mL", feed="algae concentrate")
    made = entry(asked, of=of, feed_name="dried algae", harvest="2")
    again = Entry(rack(), "Alder", believed(rack(), "Alder"), (asked,), made.draft())
    assert (again.text("feed_name"), again.ghost("feed"), again.feed_unit()) == ("dried algae", "", "g")


def test_a_feed_measured_in_another_unit_now_keeps_the_unit_it_was_typed_in():
    made = entry(feed="3")
    of = Rack.build(rack().vessels.values(), (), stock=[Stock("algae concentrate", unit="g", dry_g_per_ml=0.5)])
    again = Entry(of, "Alder", believed(of, "Alder", Interval(200, 160, 250)), (), made.draft())
    assert again.feed_unit() == "mL"
    assert "g a million" not in round_words.doing(again, NOW)["feed"], "its strength is told for grams"


def test_what_is_typed_keeps_the_units_of_the_rack_as_they_were():
    made = entry(harvest="4", temperature="24", gravity="1.022")
    of = rack(Settings(volume_unit="US gal", temperature_unit="degF", salinity_unit="ppt"))
    asked = suggestion("Alder", "harvest", amount=2.0, refill_l=4.0)
    again = Entry(of, "Alder", believed(of, "Alder"), (asked,), made.draft())
    assert again.suggested["refill"] == "4.0", "what is suggested beside it is in its unit"
    taken = {type(e): e for e in again.events(NOW)}
    assert (taken[Harvest].volume_l, taken[Harvest].refill_l) == (4.0, 4.0)
    assert (taken[Reading].temperature_c, taken[Reading].sg) == (24.0, 1.022)
    fresh = entry(of=of, ph="8")
    assert fresh.settings == of.settings
    assert Entry(rack(), "Alder", believed(rack(), "Alder"), (), fresh.draft()).settings == Settings(), "pH has no unit"


@pytest.mark.parametrize(
    ("ago", "told"), [(0.1, "done today"), (0.98, "last done 1 d ago"), (2.1, "last done 2 d ago")]
)
def test_cleaned_later_yesterday_than_it_is_now_is_not_done_today(ago: float, told: str) -> None:
    of = rack()
    assessment = believed(of, "Alder", Interval(200, 160, 250), days_since_floss=ago)
    assert round_words.doing(Entry(of, "Alder", assessment), NOW)["clean"] == told
