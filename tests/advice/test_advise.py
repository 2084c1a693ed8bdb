"""What is suggested: amounts, reasons, order, what never is, and contradictions settled."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, timedelta

import pytest

from rackview import advise, assess, forecast, plan
from rackview.advice import api, rows
from rackview.core.assessment import Suggestion
from rackview.core.errors import InputError
from rackview.core.events import DECLINABLE
from rackview.core.tables import Brood, Demand

LEAST_START = 0.7
DAY = 7
NOON = 60.0


def test_a_thriving_vessel_is_harvested_by_about_a_third_and_fed(three, at, by_vessel):
    found = advise(three, at(DAY, NOON))
    harvests, feeds = by_vessel(found, "harvest"), by_vessel(found, "feed")
    for name, full in (("A", 20.0), ("C", 15.0)):
        assert 0.2 * full <= harvests[name].amount <= 0.4 * full
        assert harvests[name].unit == "L"
        assert harvests[name].refill_l == pytest.approx(harvests[name].amount)
        assert harvests[name].mesh_um == three.profile(name).mesh_um
        assert feeds[name].unit == "mL"
        assert feeds[name].feed == "algae"
    assert all(s.text and s.why for s in found)


def test_every_suggestion_names_its_evidence_and_a_sureness(three, at, count):
    sick = three.record(count(at(DAY, 20), "B", 60.0, ciliates="some", swimming=2))
    ids = {e.id for e in sick.events()}
    for s in advise(sick, at(DAY, NOON)):
        assert s.evidence, s.text
        assert s.action in DECLINABLE
        assert 0.0 <= s.sureness <= 1.0
        assert s.before > at(DAY, NOON)
        assert s.priority in {1, 2, 3, 4}
        cited = {e for fact in s.evidence for e in fact.events}
        assert cited <= ids
    cited = [s for s in advise(sick, at(DAY, NOON)) if any(fact.events for fact in s.evidence)]
    assert len(cited) >= len(advise(sick, at(DAY, NOON))) - 1


def test_evidence_is_what_was_seen_and_not_the_sentence_again(three, at, count):
    sick = three.record(count(at(DAY, 20), "A", 200.0, with_eggs=1, swimming=2))
    large = sick.with_demand([Demand(at(DAY).date(), "rotifer-L", 6e6)])
    told = [s for rack in (sick, large) for s in advise(rack, at(DAY, NOON)) if s.vessel == "A"]
    for s in told:
        assert not any(fact.text in s.why or s.why in fact.text for fact in s.evidence), s.why
    hold = next(s for s in told if s.action == "hold")
    assert "swims 2 of 5" in hold.evidence[0].text
    assert hold.evidence[0].events
    assert hold.evidence[-1].text.startswith("counted 200")


def test_the_reserve_gives_nothing_and_comes_first(three, at, by_vessel):
    found = advise(three, at(DAY, NOON))
    assert "R" not in by_vessel(found, "harvest")
    assert "R" in by_vessel(found, "feed")
    assert found[0].vessel == "R"
    huge = three.with_demand([Demand(at(DAY).date(), "rotifer-L", 1e9)])
    assert "R" not in by_vessel(advise(huge, at(DAY, NOON)), "harvest")


def test_a_suspect_vessel_comes_last_with_its_own_tools_and_seeds_no_other(three, at, count, by_vessel):
    for signs in ({"ciliates": "many"}, {"swimming": 1}, {"with_eggs": 1, "swimming": 2}):
        sick = three.record(count(at(DAY, 20), "A", 200.0, **signs))
        large = sick.with_demand([Demand(at(DAY).date(), "rotifer-L", 6e6)])
        found = advise(large, at(DAY, NOON))
        assert found[-1].vessel == "A"
        assert all(s.own_tools for s in found if s.vessel == "A")
        assert any("eparate tools" in c for s in found if s.vessel == "A" for c in s.cautions)
        assert all(s.other_vessel != "A" for s in found)
        served = by_vessel(found, "harvest").get("A")
        if signs.get("ciliates") == "many":
            assert served is None or served.to == "discard", "what is full of ciliates is no food"
        elif served is not None and served.to != "discard":
            assert served.code == "doubted"
            assert any("sieve" in c for c in served.cautions)
        quiet = by_vessel(advise(sick, at(DAY, NOON)), "harvest")
        assert "A" not in quiet, "without need nothing is taken of it"


def test_a_sudden_fall_is_believed_until_counted_again(three, at, count, by_vessel):
    fallen = three.record(count(at(DAY, 20), "A", 70.0))
    found = [s for s in advise(fallen, at(DAY, NOON)) if s.vessel == "A"]
    assert {s.action for s in found} & {"harvest", "split"} == set()
    assert "hold" in {s.action for s in found}
    tomorrow = advise(fallen, at(DAY + 1, -30))
    assert by_vessel(tomorrow, "count")["A"].code == "recount"


def test_what_was_done_today_is_not_suggested_again(three, at, do):
    now = at(DAY, NOON)
    found = advise(three, now)
    after = do(three, found, now)
    again = advise(after, at(DAY, NOON + 10))
    done = {(s.vessel, s.action) for s in found if s.action not in {"hold", "count", "test"}}
    assert done
    assert not done & {(s.vessel, s.action) for s in again}
    tomorrow = {(s.vessel, s.action) for s in advise(after, at(DAY + 1, -1))}
    assert ("A", "feed") in tomorrow


def test_today_is_the_keepers_day(three, at, by_vessel):
    now = at(DAY, NOON)
    after = three.record({"at": now, "vessel": "A", "kind": "feed", "feed": "algae", "amount": 9.0})
    late = now + timedelta(hours=10)
    assert "A" not in by_vessel(advise(after, late), "feed")
    east = "2026-03-09T04:00+09:00"  # past midnight there, 19:00 UTC of the same day
    assert "A" in by_vessel(advise(after, east), "feed")


def test_declined_is_not_asked_again_that_day(three, at, by_vessel):
    now = at(DAY, NOON)
    said = three.record({"at": now, "vessel": "A", "kind": "decline", "action": "harvest", "reason": "no tank free"})
    assert "A" not in by_vessel(advise(said, at(DAY, NOON + 5)), "harvest")
    assert "A" in by_vessel(advise(three, at(DAY, NOON + 5)), "harvest")
    week = three.record({"at": now, "vessel": "A", "kind": "decline", "action": "clean", "days": 7})
    assert "A" not in by_vessel(advise(week, at(DAY + 6)), "clean")


def test_without_a_shelf_the_feed_is_what_the_vessel_got_last(build, at, by_vessel):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 210.0)}, stock=())
    found = by_vessel(advise(rack, at(DAY, NOON)), "feed")["A"]
    assert (found.unit, found.feed, found.text) == ("mL", "algae", f"Feed {found.amount:g} mL")
    assert any("strength" in c for c in found.cautions)
    new = build({"A": ("rotifer-L", "1", 1, 20.0, 210.0)}, days=1, stock=())
    found = by_vessel(advise(new, at(0, NOON)), "feed")["A"]
    assert (found.unit, found.feed) == ("g", None), "never fed"
    assert "dry" in found.text


def test_of_several_feeds_each_vessel_gets_its_own_by_name(three, at, by_vessel):
    other = replace(three.stock[0], feed="flagellates")
    rack = three.with_stock([three.stock[0], other])
    fed = {"at": at(DAY - 1, 400), "vessel": "B", "kind": "feed", "feed": "flagellates", "amount": 20.0}
    found = by_vessel(advise(rack.record(fed), at(DAY, NOON)), "feed")
    assert {name: s.feed for name, s in found.items()} == {"A": "algae", "B": "flagellates", "C": "algae", "R": "algae"}
    assert found["B"].text == f"Feed {found['B'].amount:g} mL flagellates"
    begun = {"at": at(DAY, 20), "vessel": "A", "kind": "restart", "volume_l": 5.0, "density_per_ml": 120.0}
    assert by_vessel(advise(rack.record(fed, begun), at(DAY, NOON)), "feed")["A"].feed == "flagellates", "newest fed"
    gone = by_vessel(advise(three.record(fed), at(DAY, NOON)), "feed")["B"]
    assert (gone.feed, gone.text) == ("algae", f"Feed {gone.amount:g} mL"), "not on the shelf"


def test_an_expired_feed_is_not_begun(build, at, by_vessel):
    new = build({"A": ("rotifer-L", "1", 1, 20.0, 210.0)}, days=1)
    old = replace(new.stock[0], feed="old", expires=date(2026, 2, 1))
    both, alone = new.with_stock([old, *new.stock]), new.with_stock([old])
    assert by_vessel(advise(both, at(0, NOON)), "feed")["A"].feed == "algae"
    assert by_vessel(advise(alone, at(0, NOON)), "feed")["A"].feed == "old"


def test_the_first_feed_of_the_stock_sets_unit_and_strength(three, build, at, by_vessel):
    fresh = build({"A": ("rotifer-L", "1", 1, 20.0, 210.0)}, days=1)
    base = by_vessel(advise(fresh, at(0, NOON)), "feed")["A"].amount
    strong = fresh.with_stock([replace(fresh.stock[0], dry_g_per_ml=0.2)])
    assert by_vessel(advise(strong, at(0, NOON)), "feed")["A"].amount == pytest.approx(base / 2, rel=0.05)
    powder = three.with_stock([replace(three.stock[0], feed="powder", unit="g", dry_g_per_ml=1.0)])
    found = by_vessel(advise(powder, at(DAY, NOON)), "feed")["A"]
    assert (found.unit, found.feed) == ("g", "powder")
    past = three.with_stock([replace(three.stock[0], expires=at(0).date())])
    assert any("past its date" in c for c in by_vessel(advise(past, at(DAY, NOON)), "feed")["A"].cautions)


@pytest.fixture
def spare(build):
    """A dense vessel beside an empty one, and a third."""
    return build(
        {
            "A": ("rotifer-L", "1", 1, 20.0, 360.0),
            "B": ("rotifer-L", "1", 2, 20.0, 200.0),
            "E": ("rotifer-L", "2", 1, 20.0, None),
        }
    )


def test_a_dense_vessel_is_split_into_an_empty_one_and_not_harvested(spare, at, by_vessel, do):
    rack = spare.record({"at": at(1), "vessel": "E", "kind": "rest"}, {"at": at(5), "vessel": "E", "kind": "return"})
    found = advise(rack, at(DAY, NOON))
    split = by_vessel(found, "split")["A"]
    assert split.other_vessel == "E"
    assert "A" not in by_vessel(found, "harvest")
    start = split.amount * assess(rack, "A", at(DAY, NOON)).density_per_ml.median / 20.0
    assert start >= rack.profile("E").start_per_ml
    after = do(rack, [split], at(DAY, NOON))
    young = assess(after, "E", at(DAY, NOON + 1))
    assert young.density_per_ml.median == pytest.approx(start, rel=0.05)
    assert young.level_l == pytest.approx(20.0)
    assert assess(after, "A", at(DAY, NOON + 1)).level_l == pytest.approx(20.0)


def test_a_split_is_taken_from_the_vessel_that_gains_by_it(build, at, count, by_vessel):
    """From the one over its band, though another grows faster."""
    vessels = {"A": ("rotifer-L", "1", 1, 20.0, 320.0), "B": ("rotifer-L", "1", 2, 20.0, 230.0)}
    rack = build(vessels | {"E": ("rotifer-L", "2", 1, 20.0, None)})
    days = ((1, 330.0, 300.0), (2, 332.0, 230.0), (3, 334.0, 300.0), (4, 335.0, 230.0), (5, 336.0, 300.0))
    for day, slow, fast in days:
        rack = rack.record(count(at(DAY + day), "A", slow), count(at(DAY + day), "B", fast))
        if fast > 250.0:
            thinned = {"kind": "harvest", "volume_l": 8.0, "refill_l": 8.0}
            rack = rack.record({"at": at(DAY + day, 10), "vessel": "B", **thinned})
    now = at(DAY + 5, NOON)
    slower, faster = (assess(rack, name, now).net_rate_per_day.median for name in "AB")
    assert slower < 0.3 * faster
    split = by_vessel(advise(rack, now), "split")["A"]
    assert (split.other_vessel, split.code) == ("E", "dense")


def test_an_unused_place_is_filled_once_the_rack_runs(spare, at, by_vessel):
    assert by_vessel(advise(spare, at(DAY, NOON)), "split")["A"].other_vessel == "E"


def test_a_vessel_to_be_counted_again_gives_no_split_meanwhile(spare, at, count, by_vessel):
    wild = spare.record(count(at(DAY + 1), "A", 1400.0), count(at(DAY + 1), "B", 200.0))
    found = advise(wild, at(DAY + 1, NOON))
    assert by_vessel(found, "count")["A"].code == "recount"
    assert "A" not in by_vessel(found, "split")
    again = wild.record(count(at(DAY + 1, 20), "A", 380.0))
    assert by_vessel(advise(again, at(DAY + 1, NOON)), "split")["A"].other_vessel == "E"


def test_a_place_never_used_holds_what_was_split_into_it(spare, at):
    """The new vessel is believed to hold the donor's culture, not something unknown that filled it before."""
    given = assess(spare, "A", at(DAY, NOON)).density_per_ml.median
    moved = {"at": at(DAY, NOON), "vessel": "A", "kind": "split", "to_vessel": "E", "volume_l": 8.0, "refill_l": 8.0}
    noted = spare.record({"at": at(3), "vessel": "E", "kind": "note", "text": "washed"})
    for rack in (spare, noted):
        young = assess(rack.record(moved), "E", at(DAY, NOON + 1))
        assert young.level_l == 20.0, "filled up, as nothing else was said"
        assert young.density_per_ml.median == pytest.approx(0.4 * given, rel=0.02)
        young = assess(rack.record({**moved, "fill_l": 0.0}), "E", at(DAY, NOON + 1))
        assert young.level_l == 8.0
        assert young.density_per_ml.median == pytest.approx(given, rel=0.02)
        filled = {"at": at(DAY, NOON + 1), "vessel": "E", "kind": "top_up", "volume_l": 12.0}
        for said in ({}, {"fill_l": 0.0}):
            young = assess(rack.record({**moved, **said}, filled), "E", at(DAY, NOON + 2))
            assert young.level_l == 20.0
            assert young.density_per_ml.median == pytest.approx(0.4 * given, rel=0.02)
    fed = spare.record({"at": at(3), "vessel": "E", "kind": "feed", "feed": "algae", "amount": 3.0})
    assert assess(fed.record(moved), "E", at(DAY, NOON + 1)).density_per_ml is None, "who is fed held something"


def test_a_vessel_half_full_gives_only_what_it_spares_once_filled_up(build, at, by_vessel):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 240.0), "B": ("rotifer-L", "1", 2, 20.0, 240.0)})
    full = by_vessel(advise(rack, at(DAY, NOON)), "harvest")["A"]
    drawn = {
        "at": at(DAY, NOON - 5),
        "vessel": "A",
        "kind": "split",
        "to_vessel": "B",
        "volume_l": 4.0,
        "refill_l": 0.0,
    }
    less = rack.record(drawn)
    found = by_vessel(advise(less, at(DAY, NOON)), "harvest").get("A")
    level, per_ml = assess(less, "A", at(DAY, NOON)).level_l, assess(less, "A", at(DAY, NOON)).density_per_ml.median
    assert level == pytest.approx(16.0)
    assert found is not None
    assert found.amount < 0.6 * full.amount
    left = per_ml * (level - found.amount) / (level - found.amount + found.refill_l)
    assert left >= rack.profile("A").start_per_ml
    drained = less.record({**drawn, "at": at(DAY, NOON - 4), "volume_l": 6.0})
    assert "A" not in by_vessel(advise(drained, at(DAY, NOON)), "harvest")


def test_a_vessel_harvested_to_the_last_drop_is_empty_and_no_loss(three, at):
    rack = three.record({"at": at(DAY, NOON - 5), "vessel": "A", "kind": "harvest", "volume_l": 20.0})
    found = assess(rack, "A", at(DAY, NOON))
    assert (found.state, found.flags) == ("empty", ())
    assert not [s for s in advise(rack, at(DAY, NOON)) if s.vessel == "A" and s.action in {"restart", "count", "hold"}]


def test_a_culture_just_started_is_counted_the_next_day(three, at, by_vessel):
    begun = {"at": at(DAY, NOON - 5), "vessel": "B", "kind": "restart", "from_vessel": "A", "reason": "age"}
    known = three.record({**begun, "volume_l": 7.0})
    assert "B" not in by_vessel(advise(known, at(DAY, NOON)), "count")
    assert by_vessel(advise(known, at(DAY + 1, NOON)), "count")["B"].code == "started_count"
    vague = by_vessel(advise(three.record(begun), at(DAY, NOON)), "count")["B"]
    assert (vague.code, vague.why) == ("started_count", "Not counted since it was started.")


def test_who_gave_today_gives_again_tomorrow(three, at):
    """After the round the plan does not call stock short because all vessels were harvested already."""
    needed = [Demand((at(DAY) + timedelta(days=k)).date(), "rotifer-L", n) for k, n in ((0, 1.8e6), (2, 1.5e6))]
    rack = three.with_demand(needed)
    assert plan(rack, at(DAY, NOON)).notes == ()
    taken = {"kind": "harvest", "volume_l": 3.0, "refill_l": 3.0, "to": "larvae"}
    done = rack.record(*({"at": at(DAY, 30), "vessel": name, **taken} for name in "ABC"))
    assert plan(done, at(DAY, NOON)).notes == ()


def test_what_is_short_today_is_said_with_the_other_future(three, at, by_vessel):
    rack = three.with_demand([Demand(at(DAY).date(), "rotifer-L", 3.0e6)])
    poured = {"kind": "harvest", "volume_l": 6.0, "refill_l": 6.0, "to": "discard"}
    left = rack.record(*({"at": at(DAY, 30), "vessel": name, **poured} for name in "AB"))
    last = by_vessel(advise(left, at(DAY, NOON)), "harvest")["C"]
    assert last.code == "short"
    assert "Otherwise larvae get 0 % today" in last.why


def test_a_count_of_one_stage_does_not_make_the_density_younger(build, at, count, by_vessel):
    rack = build({"P": ("copepod-pelagic", "1", 1, 40.0, 3.0)})
    nauplii = {"at": at(DAY + 4), "vessel": "P", "kind": "count", "tallies": "9 8 11", "stage": "nauplii"}
    seen = assess(rack.record(nauplii), "P", at(DAY + 4, NOON))
    assert seen.days_since_count == pytest.approx(4.0, abs=0.1)
    assert seen.last_count_per_ml == assess(rack, "P", at(DAY + 4, NOON)).last_count_per_ml
    assert "P" in by_vessel(advise(rack.record(nauplii), at(DAY + 4, NOON)), "count")
    whole = {**nauplii, "at": at(DAY + 4, 5), "stage": "all", "tallies": "3 4 2"}
    assert assess(rack.record(nauplii, whole), "P", at(DAY + 4, NOON)).days_since_count < 0.1
    alone = build({"P": ("copepod-pelagic", "1", 1, 40.0, None)}).record(nauplii)
    assert assess(alone, "P", at(DAY + 4, NOON)).days_since_count < 0.1, "where no other count was made"


def test_larvae_come_before_a_split(spare, at, by_vessel):
    need = [Demand((at(DAY) + timedelta(days=k)).date(), "rotifer-L", 5.0e6) for k in range(4)]
    found = advise(spare.with_demand(need), at(DAY, NOON))
    given = sum(s.amount * s.density_per_ml * 1e3 for s in found if s.action == "harvest" and s.to != "discard")
    assert given >= 0.8 * 5.0e6, "of 11 million, with three more such days to come"


GONE = [180.0] * 6 + [2.0, 1.0]
"""Counts of a vessel that crashed the day before."""


def crashed(build):
    """Three vessels and a reserve; B has crashed."""
    return build(
        {
            "A": ("rotifer-L", "1", 1, 20.0, 210.0),
            "B": ("rotifer-L", "1", 2, 20.0, GONE),
            "C": ("rotifer-L", "2", 1, 15.0, 240.0),
            "R": ("rotifer-L", "3", 1, 8.0, 150.0, "reserve"),
        }
    )


def test_a_crashed_vessel_is_restarted_from_the_cleanest(build, at, by_vessel, do):
    gone = crashed(build)
    found = advise(gone, at(DAY, NOON))
    restart = by_vessel(found, "restart")["B"]
    assert restart.other_vessel in {"A", "C"}
    assert {s.action for s in found if s.vessel == "B"} == {"restart", "feed"}
    assert any("label" in c and "zero chlorine" in c for c in restart.cautions)
    after = do(gone, [restart], at(DAY, NOON))
    assert assess(after, "B", at(DAY, NOON + 1)).density_per_ml.median >= 0.95 * LEAST_START * 100.0
    assert assess(after, "B", at(DAY, NOON + 1)).state != "crashed"


def test_the_reserve_seeds_a_restart_only_when_no_other_can(build, at, count, by_vessel):
    bad = [count(at(DAY, 20), n, 200.0, ciliates="some") for n in "AC"]
    found = advise(crashed(build).record(*bad), at(DAY, NOON))
    restart = by_vessel(found, "restart")["B"]
    assert restart.other_vessel == "R"
    assert any("reserve" in c for c in restart.cautions)


def test_a_suspect_vessel_never_seeds_a_clean_one(build, at, count, by_vessel):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 300.0), "B": ("rotifer-L", "1", 2, 20.0, GONE)})
    rack = rack.record(count(at(DAY, 20), "A", 300.0, ciliates="some"))
    found = advise(rack, at(DAY, NOON))
    assert not by_vessel(found, "restart")
    assert by_vessel(found, "hold")["B"].code == "no_donor"


def test_a_failed_vessel_is_started_anew_even_when_larvae_go_short(build, at, by_vessel):
    need = [Demand((at(DAY) + timedelta(days=k)).date(), "rotifer-L", 1e8) for k in range(6)]
    found = advise(crashed(build).with_demand(need), at(DAY, NOON))
    assert "B" in by_vessel(found, "restart")
    assert by_vessel(found, "harvest")


def test_an_old_culture_is_restarted_when_the_rack_can_spare_it(build, at):
    vessels = {n: ("rotifer-L", "1", k + 1, 20.0, 220.0) for k, n in enumerate("ABC")}
    rack = build(vessels, days=46)
    found = [s for s in advise(rack, at(45, NOON)) if s.action == "restart"]
    assert len(found) == 1, "one at a time"
    assert found[0].code == "age"
    need = [Demand((at(45) + timedelta(days=k)).date(), "rotifer-L", 4.5e6) for k in range(8)]
    assert not [s for s in advise(rack.with_demand(need), at(45, NOON)) if s.action == "restart"]


def test_routine_tests_are_spread_over_their_interval(build, at, by_vessel):
    vessels = {f"V{k}": ("rotifer-L", "1", k + 1, 10.0, 200.0) for k in range(14)}
    rack = build(vessels, days=3)
    found = by_vessel(advise(rack, at(20, NOON)), "test")
    assert len(found) == 2


# --- larvae ---


def broods(at, tank_l=300.0):
    return [Brood("fish 1", "anemonefish", hatched=at(DAY).date(), tank_l=tank_l, larvae=300)]


def test_a_brood_is_served_and_named(three, at):
    found = advise(three.with_broods(broods(at, 60.0)), at(DAY, NOON))
    served = [s for s in found if s.action == "harvest" and s.code == "demand"]
    assert served
    assert served[0].to == "fish 1"
    assert "fish 1" in served[0].why
    assert served[0].priority == 2
    others = [s for s in found if s.action == "harvest" and s.code != "demand"]
    assert all(s.to == "discard" for s in others)


def test_what_can_be_met_is_met_and_never_more_than_the_most_is_taken(three, at, by_vessel):
    """Stock is 11.5 million; what of it may be taken in a day is 6.3."""
    for animals in (1e5, 5e5, 1e6, 2e6, 4e6):
        need = [Demand(at(DAY).date(), "rotifer-L", animals)]
        found = by_vessel(advise(three.with_demand(need), at(DAY, NOON)), "harvest")
        given = sum(s.amount * s.density_per_ml * 1e3 for s in found.values())
        assert given >= 0.97 * animals
        for name, s in found.items():
            level = assess(three, name, at(DAY, NOON)).level_l
            assert s.amount <= (three.profile(name).share_most + 0.06) * level


def test_what_was_delivered_today_counts_against_the_need(three, at, do):
    rack = three.with_broods(broods(at, 150.0))
    now = at(DAY, NOON)
    first = [s for s in advise(rack, now) if s.action == "harvest"][:1]
    after = do(rack, first, now)
    left = [s for s in advise(after, at(DAY, NOON + 5)) if s.action == "harvest"]
    before = [s for s in advise(rack, now) if s.action == "harvest"]
    assert sum(s.amount for s in left) <= sum(s.amount for s in before) - 0.5 * first[0].amount


def test_a_shortage_is_said(three, at):
    rack = three.with_broods(broods(at, 1100.0))
    found = [s for s in advise(rack, at(DAY, NOON)) if s.action == "harvest"]
    assert {s.code for s in found} == {"short"}
    assert all("short" in s.why for s in found)
    assert {s.priority for s in found} == {1}


def test_nothing_is_thrown_away_before_a_hatch_that_needs_it(three, at):
    ahead = [Brood("fish 2", "anemonefish", hatched=(at(DAY) + timedelta(days=2)).date(), tank_l=700.0)]
    plain = sum(s.amount for s in advise(three, at(DAY, NOON)) if s.action == "harvest")
    found = advise(three.with_broods(ahead), at(DAY, NOON))
    assert sum(s.amount for s in found if s.action == "harvest") < 0.6 * plain


# --- the public functions ---


def test_one_suggestion_per_action_and_vessel(three, at, count):
    sick = three.record(count(at(DAY, 20), "B", 60.0, ciliates="some"))
    keys = [(s.vessel, s.action) for s in advise(sick, at(DAY, NOON))]
    assert len(keys) == len(set(keys))


def test_later_events_do_not_count(three, at, count):
    now = at(DAY, NOON)
    later = three.record(count(at(DAY + 1), "A", 5.0), count(at(DAY + 2), "B", 900.0))
    # as rows, in the figures that are ever said: how many vessels are reckoned side by side may move the seventeenth
    assert [*map(rows.suggestion_row, advise(later, now))] == [*map(rows.suggestion_row, advise(three, now))]
    assert rows.status_row(assess(later, "A", now)) == rows.status_row(assess(three, "A", now))


def test_text_and_datetime_mean_the_same_moment(three, at):
    assert advise(three, "2026-03-08T09:00") == advise(three, at(DAY, NOON))
    assert advise(three, "2026-03-08T09:00+00:00") == advise(three, at(DAY, NOON))
    with pytest.raises(InputError, match="at: found"):
        advise(three, "soon")


def test_an_unknown_vessel_is_named(three, at):
    with pytest.raises(InputError, match="“Z”"):
        assess(three, "Z", at(DAY))
    with pytest.raises(InputError, match="“Z”"):
        forecast(three, "Z", at(DAY), [1], [0.5])


def test_an_empty_rack_asks_for_nothing(build, at):
    assert advise(build({}), at(DAY)) == []
    fresh = build({"A": ("rotifer-L", "1", 1, 20.0, None)})
    assert [(s.vessel, s.action, s.code) for s in advise(fresh, at(DAY))] == [("A", "count", "first_count")]


def test_assess_all_agrees_with_assess(three, at):
    everything = api.assess_all(three, at(DAY, NOON))
    assert list(everything) == list(three.vessels)
    for name, one in everything.items():
        assert one == assess(three, name, at(DAY, NOON))


def test_the_round_follows_the_service_order(three, at, count):
    sick = three.record(count(at(DAY, 20), "A", 200.0, swimming=1))
    assert api.round_order(sick, at(DAY, NOON)) == ("R", "B", "C", "A")
    order = {name: k for k, name in enumerate(api.round_order(sick, at(DAY, NOON)))}
    places = [order[s.vessel] for s in advise(sick, at(DAY, NOON))]
    assert places == sorted(places)


def test_forecast_sees_a_split_from_another_vessel(spare, at):
    now = at(DAY, NOON)
    spare = spare.record({"at": at(5), "vessel": "E", "kind": "return"})
    act = {"at": at(DAY, NOON + 10), "vessel": "A", "kind": "split", "to_vessel": "E", "volume_l": 8.0, "refill_l": 8.0}
    into = forecast(spare, "E", now, [0.1, 1, 2], [0.05, 0.5, 0.95], [act])
    out = forecast(spare, "A", now, [0.1], [0.5], [act])
    plain = forecast(spare, "A", now, [0.1], [0.5])
    assert into.shape == (3, 3)
    assert into[0, 1] == pytest.approx(0.4 * plain[0, 0], rel=0.1), "filled up, as nothing else was said"
    assert out[0, 0] == pytest.approx(0.6 * plain[0, 0], rel=0.1)


def test_plan_has_a_day_per_strain_and_books_todays_harvests(three, at):
    found = plan(three.with_broods(broods(at, 150.0)), at(DAY, NOON), 5)
    assert [d.date for d in found.days] == [(at(DAY) + timedelta(days=k)).date() for k in range(5)]
    assert found.days[0].demand == pytest.approx(1.2e6)
    assert found.days[0].for_broods == ("fish 1",)
    today = {
        s.vessel: s.amount for s in advise(three.with_broods(broods(at, 150.0)), at(DAY, NOON)) if s.action == "harvest"
    }
    assert {g.vessel for g in found.days[0].gives} == set(today)
    for give in found.days[0].gives:
        assert give.volume_l == pytest.approx(today[give.vessel], rel=0.06)
    for day in found.days:
        assert day.supply.low90 <= day.supply.median <= day.supply.high90
        assert 0.0 <= day.chance_short <= 1.0


def test_plan_says_when_it_falls_short_and_what_it_cannot_reckon(three, at):
    short = plan(three.with_broods(broods(at, 3000.0)), at(DAY, NOON), 4)
    assert short.days[-1].chance_short > 0.5
    assert any("chance of a shortfall" in note for note in short.notes)
    assert not any("100 % chance" in note for note in short.notes), "nothing is certain"
    other = plan(three.with_demand([Demand(at(DAY).date(), "rotifer-SS", 1e5)]), at(DAY, NOON), 2)
    assert any("no vessel" in note for note in other.notes)
    assert next(d for d in other.days if d.strain == "rotifer-SS").chance_short == 1.0
    odd = plan(three.with_broods([Brood("x", hatched=at(DAY).date())]), at(DAY, NOON), 2)
    assert any("Brood x" in note for note in odd.notes)


@pytest.mark.parametrize(
    ("count", "tank_l", "says"),
    [(1, 3000.0, None), (2, 60.0, None), (4, 1000.0, "of the 4 broods in full"), (2, 3000.0, "any of the 2 broods")],
)
def test_plan_says_how_many_broods_a_great_shortage_can_raise(three, at, count, tank_l, says):
    many = [replace(broods(at, tank_l)[0], brood=f"fish {k}") for k in range(count)]
    notes = plan(three.with_broods(many), at(DAY, NOON), 4).notes
    assert [says in note for note in notes if "in full" in note] == ([] if says is None else [True])


def test_suggestions_are_plain_frozen_data(three, at):
    one = advise(three, at(DAY, NOON))[0]
    assert isinstance(one, Suggestion)
    assert {"vessel", "action", "amount", "unit", "other_vessel", "priority", "before", "why", "evidence", "sureness",
            "cautions"} <= {f.name for f in fields(one)}  # fmt: skip
    with pytest.raises(AttributeError):
        one.amount = 3.0


def test_share_with_eggs_and_eggs_per_female_are_two_quantities(three, at):
    count = {"vessel": "A", "kind": "count", "tallies": "200", "females_checked": 40}
    assert assess(three, "A", at(DAY, NOON)).egg_ratio is None, "no eggs were tallied"
    rack = three.record(
        {**count, "at": at(DAY - 1, NOON), "with_eggs": 10, "eggs": 14},
        {**count, "at": at(DAY, NOON), "with_eggs": 10, "eggs": 26},
    )
    found = assess(rack, "A", at(DAY, NOON))
    assert found.egg_ratio == pytest.approx(40 / 80)
    assert found.ovigerous_share == pytest.approx(0.27, abs=0.04), "a quarter now, three in ten before"
    later = rack.record({**count, "at": at(DAY + 6, NOON), "with_eggs": 4, "eggs": 4})
    assert assess(later, "A", at(DAY + 6, NOON)).egg_ratio == pytest.approx(4 / 40), "older tallies are over"


def test_a_giver_is_full_again_after_a_split_and_a_restart(three, at):
    for kind, more in (("split", {"vessel": "A", "to_vessel": "B"}), ("restart", {"vessel": "B", "from_vessel": "A"})):
        moved = {"at": at(DAY, NOON), "kind": kind, "volume_l": 5.0, **more}
        before = assess(three, "A", at(DAY, NOON)).density_per_ml.median
        found = assess(three.record(moved), "A", at(DAY, NOON + 1))
        assert found.level_l == pytest.approx(20.0)
        assert found.density_per_ml.median == pytest.approx(0.75 * before, rel=0.02)
        low = assess(three.record({**moved, "refill_l": 0}), "A", at(DAY, NOON + 1))
        assert low.level_l == pytest.approx(15.0)
        assert low.density_per_ml.median == pytest.approx(before, rel=0.02)
