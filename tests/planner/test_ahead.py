"""Broods ahead: how likely they fall short, and the last day on which one more culture would help."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rackview.planner import ahead
from rackview.planner.ahead import SAFE, prospects
from rackview.planner.choose import choose, look_ahead
from rackview.planner.culture import Problem
from rackview.planner.replanning import replanned
from tests.planner.test_choose import asked, culture

DAYS = 16
SPAN = range(9, 16)


def hatching(millions):
    """Nothing to feed for nine days, then a brood that needs so much a day."""
    return asked(*[0.0] * 9, *[millions] * 7)


def told(need, *cultures):
    problem = Problem(cultures, need)
    choice = choose(problem)
    return problem, choice, look_ahead(problem, choice, need, DAYS)


def prospect(need, *cultures):
    problem, choice, outlined = told(need, *cultures)
    return prospects(problem, choice, need, outlined, {"one": SPAN})["one"]


def test_what_the_rack_bears_is_safe_and_needs_no_start():
    found = prospect(hatching(0.8), culture("A", 150.0), culture("B", 150.0))
    assert found.state == "safe"
    assert found.chance <= SAFE
    assert found.last_start is None


def test_what_no_culture_more_could_bear_is_said_to_be_too_much():
    found = prospect(hatching(30.0), culture("A", 150.0), culture("B", 150.0))
    assert found.state == "late"
    assert found.chance > 0.9
    assert found.last_start is None


@pytest.mark.parametrize("millions", [1.6, 1.8, 2.0])
def test_between_the_two_a_start_in_time_makes_it_safe_and_one_a_day_later_does_not(millions):
    need = hatching(millions)
    problem, choice, outlined = told(need, culture("A", 150.0, rate=0.4))
    found = prospects(problem, choice, need, outlined, {"one": SPAN})["one"]
    missed = ahead._with_a_start(problem, choice, need, DAYS)
    chances = [ahead._chance(missed[:, d], SPAN) for d in range(DAYS)]
    assert found.chance > SAFE
    without = ahead._chance(outlined.missed, SPAN)
    assert chances[0] < without - 0.2
    assert chances[-1] == pytest.approx(without, abs=0.1), "on the last day it is too late"
    assert found.chance < without, "the mornings in between are planned anew"
    if found.state == "start":
        assert chances[found.last_start] <= SAFE < min(chances[found.last_start + 1 :])
        assert 0 <= found.last_start < 9 + 4


def test_some_of_these_racks_can_be_helped():
    states = {prospect(hatching(m), culture("A", 150.0, rate=0.4)).state for m in (1.2, 1.4, 1.6, 1.8, 2.0)}
    assert "start" in states


def test_a_free_vessel_is_used_before_one_more_is_asked_for():
    empty = replace(culture("E", None), volume_l=12.0)
    problem = Problem((culture("A", 150.0), empty), hatching(3.0))
    place, same = ahead._place(problem, ())
    assert same is problem
    assert problem.cultures[place].vessel == "E"
    place, more = ahead._place(problem, {"E"})
    assert more.cultures[place].vessel == ahead.MORE
    assert more.cultures[place].volume_l == 20.0


def test_a_brood_that_does_not_eat_within_the_days_is_safe():
    problem, choice, outlined = told(hatching(2.0), culture("A", 150.0))
    assert prospects(problem, choice, hatching(2.0), outlined, {"later": ()})["later"].chance == 0.0


def test_a_chance_of_today_is_told_as_it_is_and_a_certain_shortage_stays_certain():
    days = replanned(np.full(12, 0.5))
    assert days[:3] == pytest.approx(0.5)
    assert all(np.diff(days[2:9]) < 0.0)
    assert days[8:] == pytest.approx(days[8]), "no further than it was watched"
    assert replanned(np.ones(10)) == pytest.approx(1.0)
    assert replanned(np.zeros((10, 2))) == pytest.approx(0.0)


def test_a_brood_is_as_likely_to_fall_short_as_any_of_its_days_or_likelier():
    problem, choice, outlined = told(hatching(1.8), culture("A", 150.0, rate=0.4))
    found = prospects(problem, choice, problem.need, outlined, {"one": SPAN})["one"]
    assert found.chance >= max(outlined.short[d] for d in SPAN) > 0.0
