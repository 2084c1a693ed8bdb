"""What is suggested: amounts, reasons, order, what never is, and the public functions that say it."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, timedelta

import pytest

from rackview import advise, assess, forecast, plan
from rackview.advice import api, rows
from rackview.core.assessment import Suggestion
from rackview.core.errors import InputError
from rackview.core.events import DECLINABLE
from rackview.core.tables import Demand

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


def test_routine_tests_are_spread_over_their_interval(build, at, by_vessel):
    vessels = {f"V{k}": ("rotifer-L", "1", k + 1, 10.0, 200.0) for k in range(14)}
    rack = build(vessels, days=3)
    found = by_vessel(advise(rack, at(20, NOON)), "test")
    assert len(found) == 2


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
