"""The demo rack: whole, repeatable, quiet but for a few vessels, and never newer than the morning it is made for."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from rackview.core.events import Count, Feed, Harvest, Rest, Restart, Split
from rackview.core.parse import event_from_row, row_of
from rackview.core.rack import Rack
from rackview.demo.rack import DAYS, SEED, demo
from rackview.demo.rack import _played as played

TODAY = date(2026, 3, 14)


@pytest.fixture(scope="module")
def made():
    return demo(TODAY)


def counted(made, vessel):
    found = [e for e in made.events if isinstance(e, Count) and e.vessel == vessel and e.stage == "all"]
    return [(e.at, e.animals / e.looked_at_ml) for e in found]


def test_it_builds_a_rack_that_takes_every_event(made):
    rack = Rack.build(
        made.vessels, made.events, broods=made.broods, stock=made.stock, demand=made.demand, standing=made.standing,
        tanks=made.tanks, settings=made.settings,
    )  # fmt: skip
    assert {t.tank for t in rack.tanks} <= {b.brood for b in rack.broods}
    assert {t.feed for t in rack.tanks} <= {s.feed for s in rack.stock}
    corrected = {e.replaces for e in made.events if e.replaces}
    assert len(list(rack.events())) == len(made.events) - len(corrected)
    assert len(corrected) == 1


def test_it_says_that_it_is_invented(made):
    assert made.settings.invented
    assert made.settings.name


def test_it_stands_on_three_shelves_with_a_gap_before_the_reserve(made):
    assert 8 <= len(made.vessels) <= 12
    assert {v.shelf for v in made.vessels} == {"A", "B", "C"}
    (reserve,) = [v for v in made.vessels if v.reserve]
    assert not any(v.shelf == reserve.shelf and abs(v.position - reserve.position) == 1 for v in made.vessels)


def test_ninety_days_end_with_yesterdays_round(made):
    midnight = datetime(TODAY.year, TODAY.month, TODAY.day, tzinfo=UTC)
    newest = max(e.at for e in made.events)
    assert midnight - timedelta(days=1) < newest < midnight
    assert min(e.at for e in made.events) >= midnight - timedelta(days=DAYS)


def test_the_same_day_and_seed_give_the_same_rack(made):
    assert played.__wrapped__(TODAY, SEED, UTC) == made
    assert demo(TODAY, seed=7).events != made.events


def test_another_day_only_shifts_it(made):
    later = demo(TODAY + timedelta(days=100))
    assert [e.at + timedelta(days=100) for e in made.events] == [e.at for e in later.events]
    tallies = [sorted(e.tallies for e in one.events if isinstance(e, Count)) for one in (made, later)]
    assert tallies[0] == tallies[1]


def test_rounds_fall_in_the_morning_of_the_keepers_own_time_zone():
    zone = timezone(timedelta(hours=10))
    there = demo(TODAY, now=datetime(2026, 3, 14, 7, tzinfo=zone))
    assert {e.at.astimezone(zone).hour for e in there.events} <= {7, 8, 9}


def test_every_event_survives_its_own_row(made):
    assert all(event_from_row(row_of(e)) == e for e in made.events)


def test_it_holds_a_crash_ciliates_a_split_and_a_resting_vessel(made):
    crashed = [e for e in made.events if isinstance(e, Restart) and e.reason == "crashed"]
    assert len(crashed) == 1
    before = [d for at, d in counted(made, crashed[0].vessel) if at < crashed[0].at]
    assert min(before[-3:]) < 0.1 * max(before[-10:])
    assert {e.ciliates for e in made.events if isinstance(e, Count)} >= {"none", "some", "many"}
    assert sum(isinstance(e, Split) for e in made.events) == 1
    last = {e.vessel: e for e in made.events}
    assert [name for name, e in last.items() if isinstance(e, Rest)] == ["Periwinkle"]


def test_at_the_end_one_vessel_falls_and_one_is_too_dense(made):
    falling = [d for _, d in counted(made, "Wentletrap")]
    assert falling[-1] < 0.5 * falling[-5]
    newest = [e for e in made.events if isinstance(e, Count) and e.vessel == "Wentletrap" and e.females_checked][-1]
    assert newest.with_eggs / newest.females_checked < 0.13
    assert max(d for _, d in counted(made, "Cockle")[-3:]) > 330


def test_the_rest_of_the_rack_is_within_its_usual_range(made):
    for vessel, low, high in (("Limpet", 120, 300), ("Whelk", 120, 300), ("Cowrie", 180, 450), ("Tellin", 200, 550)):
        newest = [d for _, d in counted(made, vessel)[-3:]]
        assert low < sum(newest) / 3 < high


def test_larvae_feed_today_and_more_hatch_soon(made):
    feeding = [b for b in made.broods if b.hatched and 0 <= (TODAY - b.hatched).days <= 7]
    coming = [b for b in made.broods if b.hatched is None and b.spawned]
    assert feeding
    assert coming
    assert any(e.to == feeding[0].brood for e in made.events if isinstance(e, Harvest))


def test_it_shows_the_hard_days_of_the_trade(made):
    midnight = datetime(TODAY.year, TODAY.month, TODAY.day, tzinfo=UTC)
    (crash,) = [e for e in made.events if isinstance(e, Restart) and e.reason == "crashed"]
    assert midnight - crash.at < timedelta(days=14), "recent enough to ask what came before it"
    (split,) = [e for e in made.events if isinstance(e, Split)]
    assert midnight - split.at < timedelta(days=3)
    taken = {e.to for e in made.events if isinstance(e, Harvest)}
    assert {"display tank", "juveniles"} <= taken, "surplus feeds somebody before it is thrown away"
    assert {v.kit.origin for v in made.vessels if v.strain == "rotifer-L"} == {"bought", "home-made"}
    used = sum(e.amount for e in made.events if isinstance(e, Feed) and e.feed == made.stock[0].feed
               and e.at.date() >= made.stock[0].opened)  # fmt: skip
    left, a_day = made.stock[0].amount - used, used / (TODAY - made.stock[0].opened).days
    assert 0 < left / a_day < made.stock[0].delivery_days + 3, "the bottle must be ordered today or tomorrow"
    said = " ".join(e.note + getattr(e, "text", "") for e in made.events)
    assert "smell" not in said.replace("grey, smells", ""), "bleach is tested for, not smelled"
