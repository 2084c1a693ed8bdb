"""One vessel's entry without a window: what is typed, what it comes to, what is wrong, what is recorded."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from rackview.core.assessment import Assessment, Counting, Interval, Severity, Suggestion
from rackview.core.errors import InputError
from rackview.core.events import Clean, Count, Feed, Harvest, Reading, Rest, Split
from rackview.core.rack import Rack
from rackview.core.tables import Settings, Stock
from rackview.core.vessel import Vessel
from rackview.ui.forms import moves
from rackview.ui.round import words as round_words
from rackview.ui.round.entry.columns import STALE
from rackview.ui.round.entry.model import Entry
from rackview.ui.round.order import stops

NOW = datetime(2026, 5, 14, 7, 42, tzinfo=UTC)


def rack(settings: Settings | None = None, events: tuple[object, ...] = ()) -> Rack:
    vessels = [
        Vessel("Alder", "rotifer-L", "A", 1, 20),
        Vessel("Birch", "rotifer-L", "A", 2, 20),
        Vessel("Cedar", "copepod-benthic", "B", 1, 30),
        Vessel("Dogwood", "rotifer-L", "B", 2, 10, reserve=True),
    ]
    stock = [Stock("algae concentrate", dry_g_per_ml=0.1, amount=500)]
    return Rack.build(vessels, events, stock=stock, settings=settings or Settings())  # type: ignore[arg-type]


def believed(of: Rack, vessel: str, density: Interval | None = None, **more: object) -> Assessment:
    v = of.vessels[vessel]
    usual: dict[str, object] = {"state": "rising", "level_l": v.volume_l}
    rates = dict.fromkeys(
        ("net_rate_per_day", "birth_rate_per_day", "loss_rate_per_day", "ovigerous_share", "egg_ratio")
    )
    ages = dict.fromkeys(("days_since_count", "days_since_cleaning", "days_since_restart"))
    return Assessment(
        v.vessel, v.strain, v.shelf, v.position, v.volume_l, density_per_ml=density, **rates, **ages, **(usual | more)
    )  # type: ignore[arg-type]


def suggestion(vessel: str, action: str, **more: object) -> Suggestion:
    usual: dict[str, object] = {"amount": None, "unit": None, "other_vessel": None, "priority": 1}
    return Suggestion(vessel, action, before=NOW, why="", evidence=(), sureness=0.9, **(usual | more))  # type: ignore[arg-type]


def entry(*suggestions: Suggestion, of: Rack | None = None, vessel: str = "Alder", **typed: str) -> Entry:
    of = of or rack()
    made = Entry(of, vessel, believed(of, vessel, Interval(200, 160, 250)), suggestions)
    for key, text in typed.items():
        made.put(key, text, NOW)
    return made


def take_all(made: Entry) -> Entry:
    """Take every suggestion as it stands, as the one key does."""
    for key in ("harvest", "refill", "feed", "clean", "split", "split_to", "split_refill", "split_fill"):
        if made.ghost(key):
            made.take(key, made.ghost(key), NOW)
    return made


def tally(made: Entry, *texts: str, stage: str = "all") -> Entry:
    for n, text in enumerate(texts):
        made.put(f"{stage}.{n}", text, NOW)
    return made


def test_density_comes_from_the_tallies_in_the_volume_looked_at() -> None:
    made = tally(entry(aliquot="1", dilution="7"), "31", "28", "30")
    density = made.density()
    assert density is not None
    assert density.animals == 89
    assert density.per_ml == pytest.approx(89 / 3 * 7)
    assert density.low < density.per_ml < density.high


def test_no_tallies_give_no_density() -> None:
    assert entry().density() is None
    assert tally(entry(), "").density() is None


def test_zero_animals_leave_an_upper_limit() -> None:
    density = tally(entry(), "0", "0").density()
    assert density is not None
    assert density.per_ml == 0
    assert density.high > 0


def test_who_mixes_badly_gets_a_wider_interval_and_counts_more_aliquots() -> None:
    even, uneven = entry(), entry()
    even.assessment, uneven.assessment = (
        believed(rack(), "Alder", Interval(200, 160, 250), aliquot_cv=cv) for cv in (0.0, 0.4)
    )
    for made in (even, uneven):
        tally(made, "31", "28", "30")
    density, narrow, wide = even.density(), even.interval(), uneven.interval()
    assert density is not None
    assert narrow is not None
    assert wide is not None
    assert (narrow.low90, narrow.high90) == pytest.approx((density.poisson_low, density.poisson_high))
    assert wide.median == narrow.median
    assert wide.high90 / wide.low90 > 1.7 * narrow.high90 / narrow.low90
    assert even.more(0.2) == 1
    assert uneven.more(0.2) == 16


def test_an_interval_waits_for_tallies_that_can_be_taken() -> None:
    assert entry().interval() is None
    assert tally(entry(), "31", "three").interval() is None
    assert tally(entry(), "31", "three").more(0.2) is None


def test_one_stage_may_be_counted_in_more_aliquots_than_the_others_so_far() -> None:
    made = entry(vessel="Cedar")
    made.count_by_stage(by_stage=True)
    tally(tally(made, "12", "9", stage="nauplii"), "4", stage="adults")
    whole, nauplii = made.interval(), made.interval("nauplii")
    assert whole is not None
    assert nauplii is not None
    assert (whole.median, nauplii.median) == (16.0, 10.5)
    assert made.interval("copepodites") is None


@pytest.mark.parametrize("texts", [("31 28 30",), ("31;28", "30"), ("31 ", " 28 30 ")])
def test_tallies_pasted_into_one_field_are_taken_one_by_one(texts: tuple[str, ...]) -> None:
    pasted, typed = tally(entry(), *texts), tally(entry(), "31", "28", "30")
    assert pasted.density() == typed.density()
    assert pasted.more(0.1) == typed.more(0.1)
    (count,) = (e for e in pasted.events(NOW) if isinstance(e, Count))
    assert count.tallies == (31, 28, 30)
    assert pasted.text("all.0") == texts[0]


@pytest.mark.parametrize("text", ["-3", "2.5", "1e3", "three", "28 x"])
def test_a_tally_that_is_no_count_is_named_and_kept(text: str) -> None:
    made = tally(entry(), "31", text)
    error = made.error("all.1")
    assert isinstance(error, InputError)
    assert text in str(error)
    assert "whole numbers of 0 or more" in str(error)
    assert made.text("all.1") == text
    assert made.error("all.0") is None
    with pytest.raises(InputError):
        made.rows(NOW)


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
    assert round_words.changed(made, "feed") == "no longer suggested: 4.0 mL"
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


def test_more_eggs_than_females_is_named() -> None:
    made = tally(entry(females_checked="20", with_eggs="25"), "30")
    assert "at most the 20 females checked" in str(made.error("with_eggs"))


def test_a_field_is_not_blamed_for_what_is_wrong_in_another() -> None:
    made = tally(entry(with_eggs="9", females_checked="some", eggs="12"), "30")
    assert made.error("with_eggs") is None
    assert made.error("eggs") is None
    assert "some" in str(made.error("females_checked"))
    assert list(made.errors()) == ["females_checked"]
    made = tally(entry(with_eggs="few", females_checked="40", eggs="12"), "30")
    assert list(made.errors()) == ["with_eggs"]


@pytest.mark.parametrize(
    ("tallies", "named"),
    [
        (("45", "52", "4900"), "4900"),
        (("45", "52", "4900", "12", "40"), "4900"),
        (("0", "50", "52"), "0"),
        (("40", "60", "75"), ""),
        (("10", "50"), ""),
    ],
)
def test_of_uneven_aliquots_the_one_far_from_the_others_is_named_and_none_is_sure(tallies, named) -> None:
    made = entry()
    made.assessment = believed(made.rack, "Alder")
    tally(made, *tallies)
    told, odd = round_words.verdict(made, made.interval())
    assert odd
    assert told.startswith(f"uneven: {named} is far" if named else "uneven: mix")
    found, by_these = made.interval(), made.density()
    assert (found.low90, found.high90) == (by_these.low, by_these.high)


def test_even_aliquots_keep_the_narrow_interval() -> None:
    made = tally(entry(), "50", "52", "49")
    assert not made.density().clumped
    assert made.interval().low90 > 40


def test_eggs_without_the_females_checked_ask_for_them() -> None:
    made = tally(entry(with_eggs="14"), "30")
    assert made.error("with_eggs") is None
    assert "how many females were checked" in str(made.errors()["females_checked"])


@pytest.mark.parametrize(
    ("eggs", "says"),
    [
        # Snell, Childress, Boyer & Hoff 1987, J. World Aquacult. Soc. 18:270-277: under 0.13 a population declines, to
        # 0.5 it stands still, to 1.2 it grows
        ("5", "0.10 per female, as in a falling culture"),
        ("20", "0.40 per female, as at a standstill"),
        ("40", "0.80 per female, as in growth"),
        ("90", "1.80 per female"),
    ],
)
def test_eggs_per_female_are_judged_by_the_published_bands_and_the_share_is_not(eggs: str, says: str) -> None:
    made = tally(entry(with_eggs="5", females_checked="50", eggs=eggs), "30")
    assert round_words.hints(made)["eggs"] == says
    assert round_words.hints(made)["with_eggs"] == "10 %"
    without = tally(entry(vessel="Cedar", with_eggs="5", females_checked="50", eggs=eggs), "30")
    assert round_words.hints(without)["eggs"].endswith(" per female"), "no band is published for copepods"


def test_signs_without_a_tally_ask_for_one() -> None:
    assert "at least one tally" in str(entry(tint="2").errors()["all.0"])


def test_copepods_may_be_counted_by_stage() -> None:
    made = entry(vessel="Cedar")
    assert made.stages == ("all",)
    made.count_by_stage(by_stage=True)
    tally(made, "12", "9", stage="nauplii")
    tally(made, "4", "5", stage="adults")
    made.put("tint", "1", NOW)
    assert not made.complete
    counts = [e for e in made.events(NOW) if isinstance(e, Count)]
    assert [(c.stage, c.tallies, c.tint) for c in counts] == [("nauplii", (12, 9), 1), ("adults", (4, 5), None)]


def test_all_stages_counted_give_the_whole_as_well() -> None:
    made = entry(vessel="Cedar")
    made.count_by_stage(by_stage=True)
    tally(made, "12", "9", stage="nauplii")
    tally(made, "0", "2", stage="copepodites")
    tally(made, "4", "5", stage="adults")
    made.put("tint", "1", NOW)
    counts = [e for e in made.events(NOW) if isinstance(e, Count)]
    assert [(c.stage, c.tallies, c.tint) for c in counts[:2]] == [("all", (16, 16), 1), ("nauplii", (12, 9), None)]
    assert len(counts) == 4
    whole = made.density()
    assert whole is not None
    assert whole.animals == 32
    again = Entry(made.rack, "Cedar", believed(made.rack, "Cedar"), (), made.draft())
    assert again.stages == made.stages


def test_stages_with_unequal_tallies_are_asked_about() -> None:
    made = entry(vessel="Cedar")
    made.count_by_stage(by_stage=True)
    tally(made, "12", "9", stage="nauplii")
    tally(made, "4", stage="adults")
    assert list(made.errors()) == ["adults.1"]


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


def test_words_tell_a_low_count_from_an_expected_one() -> None:
    low = tally(entry(dilution="7"), "3", "4", "3")
    counted = low.interval()
    assert counted is not None
    assert round_words.verdict(low, counted) == ("lower than expected: count again", True)
    good = tally(entry(dilution="7"), "31", "28", "30")
    counted = good.interval()
    assert counted is not None
    assert round_words.verdict(good, counted) == ("as expected", False)


def test_counting_is_told_by_what_it_changes_today() -> None:
    one = entry()
    assert round_words.uncounted(one) == "The density appears as you type."
    one.counting = Counting(one.vessel, "none")
    assert round_words.uncounted(one).startswith("No count needed today")
    counted = tally(entry(), "38", "41")
    counted.counting = Counting(counted.vessel, "more", 0.4)
    assert round_words.counting(counted) == "one more aliquot is worth its minute"
    counted.counting = Counting(counted.vessel, "enough")
    counted.suggested = {"harvest": "6.0"}
    assert round_words.counting(counted) == "enough: harvest stays 6.0 L"
    counted.suggested = {}
    assert round_words.counting(counted) == "enough: nothing to take today"
    counted.counting = None
    assert round_words.counting(counted) == round_words.precision(counted)


def test_the_wanted_precision_comes_from_the_settings() -> None:
    few = tally(entry(of=rack(Settings(count_precision=0.1))), "38", "41")
    assert round_words.precision(few).endswith("for ±10 %")


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


def test_a_tally_keeps_the_aliquot_it_was_typed_with():
    made = tally(entry(), "30")
    since = Count(at=NOW, vessel="Alder", tallies=(12,), aliquot_ml=0.5, dilution=2.0)
    of = rack(events=(since,))
    again = Entry(of, "Alder", believed(of, "Alder"), (), made.draft())
    counted = next(e for e in again.events(NOW) if isinstance(e, Count))
    assert (counted.aliquot_ml, counted.dilution) == (1.0, 1.0)
    assert entry(of=of).text("aliquot") == "0.5", "a fresh entry takes the newest habit"


@pytest.mark.parametrize(
    ("ago", "told"), [(0.1, "done today"), (0.98, "last done 1 d ago"), (2.1, "last done 2 d ago")]
)
def test_cleaned_later_yesterday_than_it_is_now_is_not_done_today(ago: float, told: str) -> None:
    of = rack()
    assessment = believed(of, "Alder", Interval(200, 160, 250), days_since_floss=ago)
    assert round_words.doing(Entry(of, "Alder", assessment), NOW)["clean"] == told
