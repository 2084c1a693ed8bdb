"""What must follow when one thing about a rack is changed and all else stays."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from rackview.core.outlook import Outlook
from rackview.planner.choose import choose
from rackview.planner.culture import Culture, NeedAhead, Problem
from rackview.planner.futures import days_for, sample

DAYS = 9


def culture(name: str, per_ml: float, ceiling: float = 350.0, ill: float = 0.0, **more: float) -> Culture:
    """A vessel of 20 L."""
    look = Outlook(math.log(per_ml), 0.1, 0.5, 0.1, math.log(ceiling), 0.25, 0.1, ill, 1.0 / 120.0)
    return Culture(name, 20.0, 20.0, look, **more)


def given(problem: Problem) -> float:
    """Millions taken today."""
    held = {c.vessel: math.exp(c.outlook.log_density) * c.level_l / 1e3 for c in problem.cultures if c.outlook}
    return sum(share * held[name] for name, share in choose(problem).shares.items())


def need(*millions: float) -> NeedAhead:
    """All of it known."""
    return NeedAhead(tuple(millions), (False,) * len(millions))


@pytest.mark.parametrize("today", [0.5, 1.5, 3.0, 5.0, 6.0])
@pytest.mark.parametrize("later", [0.0, 1.0, 3.0, 8.0])
def test_a_brood_more_in_the_days_ahead_takes_nothing_from_what_can_be_met_today(today: float, later: float) -> None:
    """Never under the line, whatever comes after: of 12 million, 6.6 can be taken."""
    rack = tuple(culture(n, 200.0) for n in "ABC")
    assert given(Problem(rack, need(today, *[later] * (DAYS - 1)))) >= 0.75 * today


@pytest.mark.parametrize("today", [1.0, 2.0, 4.0])
def test_a_brood_more_today_takes_no_less_today(today: float) -> None:
    rack = tuple(culture(n, 200.0) for n in "ABC")
    one, two = (given(Problem(rack, need(*[m] * 5))) for m in (today, 1.5 * today))
    assert two >= min(one, 0.9 * 1.5 * today)
    assert two >= 0.75 * min(1.5 * today, 6.6)


@pytest.mark.parametrize("millions", [1.0, 3.0, 5.0])
def test_a_vessel_more_never_raises_what_is_expected_to_be_lost(millions: float) -> None:
    rack = (culture("A", 200.0), culture("B", 160.0))
    lost = [choose(Problem(r, need(*[millions] * DAYS))).expected.lost for r in (rack, (*rack, culture("C", 150.0)))]
    assert lost[1] <= lost[0] + 0.01


@pytest.mark.parametrize("ill", [0.0, 0.6])
def test_no_culture_is_thinned_to_under_what_it_is_started_at(ill: float) -> None:
    """A low ceiling would have it thinner: the last sound one most of all."""
    rack = (culture("A", 160.0, ceiling=200.0, least_per_ml=120.0), culture("B", 150.0, ill=ill, doubted=ill > 0.0))
    idle = NeedAhead((0.0,) * DAYS, (False,) * DAYS, more=True)
    left = 160.0 * (1.0 - choose(Problem(rack, idle)).shares.get("A", 0.0))
    assert left >= 119.0


def test_the_last_sound_culture_is_not_thinned_deeper_than_among_sound_ones() -> None:
    idle = NeedAhead((0.0,) * DAYS, (False,) * DAYS, more=True)
    shares = []
    for ill in (0.0, 0.8):
        rack = (culture("A", 240.0), *(culture(n, 200.0, ill=ill, doubted=ill > 0.0) for n in "BC"))
        shares.append(choose(Problem(rack, idle)).shares.get("A", 0.0))
    assert shares[1] <= shares[0] + 1e-9


def test_the_last_day_of_a_brood_may_be_served_from_deeper_than_a_day_before_others() -> None:
    """Three thin cultures hold 2.7 million and 1.3 are needed: nobody is to be fed tomorrow."""
    rack = tuple(culture(n, 45.0) for n in "ABC")
    assert given(Problem(rack, need(1.3))) >= 1.15


def test_no_culture_serves_to_under_the_thinnest_that_it_lives_at() -> None:
    rack = tuple(culture(n, 45.0, lowest_per_ml=40.0) for n in "ABC")
    assert given(Problem(rack, need(1.3))) <= 0.8


def test_a_brood_said_in_part_is_played_to_its_end() -> None:
    """Four days are said of one that is fed for eight to ten; where all is said it ends as said."""
    part = NeedAhead((0.0,) * 3 + (2.0,) * 4 + (0.0,) * 7, (False,) * 14, said_days=7)
    whole = replace(part, said_days=None)
    rack = (culture("A", 200.0),)
    for one, least, most in ((part, 8, 10), (whole, 4, 4)):
        needs = sample(Problem(rack, one), 60, days_for(one)).need[:, 0]
        fed = (needs > 0.0).sum(axis=0)
        assert (fed.min(), fed.max()) == (least, most)


def test_a_rack_that_grows_slowly_keeps_more_for_the_same_brood() -> None:
    coming = need(0.0, 0.0, *[2.0] * 9)
    taken = []
    for rate in (0.8, 0.25):
        rack = tuple(
            replace(c, outlook=replace(c.outlook, rate_per_day=rate))
            for c in (culture(n, 220.0) for n in "ABC")
            if c.outlook
        )
        taken.append(given(Problem(rack, coming)))
    assert taken[1] <= taken[0]
