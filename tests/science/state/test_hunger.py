"""What is believed of a culture that nobody came to feed, by the record."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import pytest

from rackview.advice import api
from rackview.core import events as ev
from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.demo.simulator import Climate, Simulator
from rackview.science.state import constants, hunger
from rackview.science.state.estimate import estimate
from rackview.science.state.forecast import project
from rackview.science.state.hunger import FeedingRhythm
from rackview.science.state.weights import grounds

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
PROFILE = Vessel("A", "rotifer-L", "1", 1, 20.0)


def at(days: float) -> datetime:
    return START + timedelta(days=days)


def daily(days: int, fed: bool = True, per_ml: int = 200) -> list[ev.Event]:
    found: list[ev.Event] = []
    for d in range(days):
        found.append(ev.Count(at=at(d), vessel="A", tallies=(per_ml, per_ml + 4, per_ml - 3)))
        found.append(ev.Harvest(at=at(d + 0.01), vessel="A", volume_l=5.0, refill_l=5.0))
        if fed:
            found.append(ev.Feed(at=at(d + 0.02), vessel="A", feed="algae", amount=12.0))
    return found


def median(rack: Rack, days: float) -> float:
    day = day_number(at(days))
    return estimate(rack.log("A", day), rack.profile("A"), day).density_per_ml.median


def test_a_habit_of_feeding_is_learned_and_a_gap_does_not_undo_it():
    fed = FeedingRhythm(0.0)
    for day in (1.0, 2.0, 2.05, 3.0, 4.0):
        fed = fed.again(day)
    assert (fed.feeds, fed.usual) == (5, pytest.approx(1.0, abs=0.02))
    assert 1.0 < fed.again(14.0).usual < 1.5


def test_hunger_begins_when_the_food_is_gone_and_ends_in_not_knowing():
    fed = FeedingRhythm(10.0, 1.0, 5)
    assert hunger.hungry_days(fed, 10.0, 11.5) == 0.0
    assert hunger.hungry_days(fed, 10.0, 13.0) == pytest.approx(1.5)
    assert hunger.hungry_days(fed, 12.0, 13.0) == 0.0, "somebody was there"
    assert hunger.hungry_days(fed, 10.0, 100.0) == constants.MOST_HUNGRY
    assert hunger.hungry_days(FeedingRhythm(10.0, 1.0, 3), 10.0, 15.0) == 0.0, "too few feedings to know a habit"
    assert hunger.hungry_days(FeedingRhythm(10.0, 3.0, 9), 10.0, 14.4) == 0.0, "every third day is this keeper's habit"
    whole, parts = hunger.hunger_fall(0.0, 4.0), (hunger.hunger_fall(0.0, 2.5), hunger.hunger_fall(2.5, 4.0))
    assert whole[0] == pytest.approx(parts[0][0] + parts[1][0])
    assert whole[0] < 0.0
    step = 1e-5
    assert hunger.rate(3.0)[0] == pytest.approx(hunger.hunger_fall(3.0, 3.0 + step)[0] / step, rel=1e-3)


def test_left_alone_the_culture_starves_where_feeding_was_recorded_and_only_there():
    fed, never = (Rack.build([PROFILE], daily(8, fed=fed)) for fed in (True, False))
    assert median(fed, 8.4) == pytest.approx(median(never, 8.4))
    assert median(fed, 12.0) < 0.75 * median(never, 12.0)
    day = day_number(at(13.0))
    starving, thriving = (estimate(r.log("A", day), r.profile("A"), day) for r in (fed, never))
    assert starving.median_net_per_day < -0.05 < thriving.median_net_per_day
    now, then = (e.density_per_ml for e in (starving, thriving))
    assert math.log(now.high90 / now.low90) > math.log(then.high90 / then.low90) + 1.0
    assert now.high90 > then.median, "somebody else may have fed it"


def test_whoever_comes_and_does_anything_is_taken_to_have_fed():
    rack = Rack.build([PROFILE], daily(8))
    seen = rack.record(*(ev.Reading(at=at(d), vessel="A", temperature_c=25.0) for d in (9.0, 10.0, 11.0, 12.0)))
    assert median(seen, 12.1) > 1.3 * median(rack, 12.1)


def test_who_gives_up_recording_feedings_is_believed_to_starve_them_only_once():
    rack = Rack.build([PROFILE], daily(8))
    weekly = [ev.Count(at=at(d), vessel="A", tallies=(200, 204, 197)) for d in (13.0, 20.0, 27.0)]
    once, after = rack.record(weekly[0]), rack.record(*weekly[:2])
    day = day_number(at(12.9))
    assert estimate(rack.log("A", day), rack.profile("A"), day).hungry_days > 3.0
    for later, days in ((once, 19.9), (after, 26.9)):
        day = day_number(at(days))
        assert estimate(later.log("A", day), later.profile("A"), day).hungry_days == 0.0
    again = after.record(*(ev.Feed(at=at(d), vessel="A", feed="algae", amount=9.0) for d in (20.1, 21.0)))
    day = day_number(at(26.0))
    assert estimate(again.log("A", day), again.profile("A"), day).hungry_days > 2.0


def test_step_by_step_or_at_once_and_read_meanwhile_or_not():
    rack = Rack.build([PROFILE], daily(8))
    for days in (9.0, 10.5, 12.0):
        median(rack, days)
    back = ev.Count(at=at(13.0), vessel="A", tallies=(60, 66, 58))
    again = [ev.Feed(at=at(13.02), vessel="A", feed="algae", amount=4.0)]
    whole = Rack.build([PROFILE], [*daily(8), back, *again])
    assert median(rack.record(back, *again), 14.0) == pytest.approx(median(whole, 14.0), rel=1e-9)
    # a feeding alone brings the hunger before it to account
    late = rack.record(ev.Feed(at=at(13.0), vessel="A", feed="algae", amount=4.0))
    assert median(late, 13.01) == pytest.approx(median(rack, 13.0), rel=0.02)


def test_days_ahead_take_feeding_for_granted_whatever_moves_between_vessels():
    rack = Rack.build([PROFILE, Vessel("B", "rotifer-L", "1", 2, 20.0)], daily(8))
    day = day_number(at(7.1))
    ahead = project(rack.log("A", day), rack.profile("A"), day, [1.0, 3.0, 5.0], [0.5])[:, 0]
    assert ahead[2] > ahead[0]
    moved = {"at": at(7.2), "vessel": "A", "kind": "split", "to_vessel": "B", "volume_l": 4.0, "refill_l": 4.0}
    after = api.forecast(rack, "A", at(7.1), [1.0, 5.0], [0.5], [moved])[:, 0]
    assert after[1] == pytest.approx(ahead[2], rel=0.1)


def test_it_is_named_where_the_density_is_explained():
    rack = Rack.build([PROFILE], daily(8))
    found = grounds(rack.log("A"), rack.profile("A"), day_number(at(12.0)))
    assert found.unfed_days == pytest.approx(3.48, abs=0.05)
    assert found.unfed == pytest.approx(math.exp(-constants.HUNGER_FALL * found.unfed_days**2))
    assert grounds(rack.log("A"), rack.profile("A"), day_number(at(8.0))).unfed_days == 0.0


@pytest.mark.parametrize("gone", [3, 5, 7])
def test_a_simulated_culture_left_alone_stays_within_what_is_believed(gone):
    """Against the demo simulator, which shares nothing with the estimate: without hunger it was far outside."""
    inside = []
    for seed in range(6):
        simulator = Simulator(
            seed, [PROFILE], START, densities={"A": 150.0}, feeds={"algae": 0.08}, climate=Climate(hazard=0.0)
        )
        events: list[ev.Event] = []
        for d in range(10):
            count = simulator.observe("A", at(d), aliquots=3, dilution=5.0, females=40)
            fed = ev.Feed(at=at(d + 0.02), vessel="A", feed="algae", amount=25.0)
            taken = ev.Harvest(at=at(d + 0.01), vessel="A", volume_l=4.0, refill_l=4.0)
            for event in (count, taken, fed) if count.animals > 90 * count.looked_at_ml else (count, fed):
                simulator.apply(event, own_tools=True)
                events.append(event)
        then = at(9.02 + gone)
        simulator.apply(ev.Note(at=then, vessel="A", text="looked in"), own_tools=True)
        rack = Rack.build([PROFILE], events)
        day = day_number(then)
        believed = estimate(rack.log("A", day), rack.profile("A"), day).density_per_ml
        inside.append(believed.low90 <= simulator.culture("A").density <= believed.high90)
    assert sum(inside) >= 5
