"""The facts of care along a history: the same from wherever they are carried on, and cut to the newest."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from rackview.core import events as ev
from rackview.core.log import Node
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.rules.care import Care, care
from rackview.rules.constants import KEPT_EVENTS, KEPT_FEEDS

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
VESSELS = [Vessel("A", "rotifer-L", "A", 1, 20.0), Vessel("B", "rotifer-L", "A", 2, 20.0)]


def season(days: int = 60) -> Rack:
    """Two vessels with all kinds of care, a split and a restart from one to the other."""
    found: list[ev.Event] = []
    for d in range(days):
        at = START + timedelta(days=d)
        for v in "AB":
            found.append(
                ev.Count(at=at, vessel=v, tallies=(20, 22), with_eggs=5, females_checked=20, swimming=4, tint=1)
            )
            found.append(ev.Feed(at=at + timedelta(hours=1), vessel=v, feed="algae", amount=5.0))
            if d % 2:
                found.append(ev.Harvest(at=at + timedelta(hours=2), vessel=v, volume_l=2.0, refill_l=2.0))
                found.append(ev.Clean(at=at + timedelta(hours=3), vessel=v))
            if d % 3 == 0:
                found.append(ev.Reading(at=at + timedelta(hours=4), vessel=v, ph=7.9))
    found.append(ev.Split(at=START + timedelta(days=20.5), vessel="A", to_vessel="B", volume_l=5.0))
    found.append(ev.Restart(at=START + timedelta(days=40.5), vessel="B", from_vessel="A", volume_l=5.0))
    found.append(ev.Decline(at=START + timedelta(days=50.5), vessel="A", action="feed"))
    return Rack.build(VESSELS, found)


def nodes(head: Node) -> list[Node]:
    return list(head.back())[::-1]


def plain(facts: Care) -> Care:
    """The facts to compare across histories built anew: a node stands for its event."""
    return replace(facts, count_nodes_before=[node.event for node in facts.count_nodes_before])  # type: ignore[misc]


def test_the_facts_are_the_same_asked_from_the_newest_or_event_by_event():
    one, other = season(), season()
    for name in one.vessels:
        care(one.log(name))
        backwards = [plain(care(node)) for node in nodes(one.log(name))[::-1]][::-1]
        assert backwards == [plain(care(node)) for node in nodes(other.log(name))]


def test_lists_keep_the_newest_only():
    for name in "AB":
        for node in nodes(season().log(name)):
            facts = care(node)
            assert (
                max(map(len, (facts.counts, facts.count_nodes_before, facts.eggs, facts.tints, facts.harvests)))
                <= KEPT_EVENTS
            )
            assert len(facts.feeds) <= KEPT_FEEDS
    facts = care(season().log("A"))
    assert [len(facts.counts), len(facts.feeds), len(facts.readings)] == [KEPT_EVENTS, KEPT_FEEDS, KEPT_EVENTS]
    assert facts.counts[-1].at == START + timedelta(days=59)


def test_what_was_known_does_not_change_with_what_comes_after():
    rack = season()
    before = care(rack.log("A"))
    kept = deepcopy(plain(before))
    care(rack.record(ev.Count(at=START + timedelta(days=70), vessel="A", tallies=(9,))).log("A"))
    assert plain(before) == kept


def test_a_split_and_a_restart_are_seen_from_both_sides():
    rack = season()
    giver, taker = (care(rack.log(name)) for name in "AB")
    assert len(giver.given) == 1
    assert len(giver.splits_out) == 1
    assert taker.given == []
    assert taker.splits_out == []
    assert isinstance(taker.started_by, ev.Restart)
    then = care(rack.log("B").upto(taker.started - 1.0))
    assert then.last_in is not None
    assert then.last_in.to_vessel == "B"
    assert giver.first_day == taker.first_day
    assert giver.first_event != taker.first_event


@pytest.mark.parametrize(("tallies", "use"), [((0, 0), "empty"), ((1, 0), "stocked")])
def test_a_vessel_that_was_emptied_is_in_use_again_once_an_animal_is_counted(tallies, use):
    days = [START + timedelta(days=d) for d in range(4)]
    events = [
        ev.Count(at=days[0], vessel="A", tallies=(200, 210)),
        ev.Rest(at=days[1], vessel="A"),
        ev.Return(at=days[2], vessel="A"),
        ev.Count(at=days[3], vessel="A", tallies=tallies),
    ]
    assert care(Rack.build(VESSELS, events).log("A")).use == use
