"""The choice on racks small enough to know what is right."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from rackview.core.outlook import Outlook
from rackview.planner.candidates import Way, acts, median_animals, transfers
from rackview.planner.choose import _thrifty, choose, look_ahead, search
from rackview.planner.constants import ALIKE_ERRORS, ALIKE_FOR
from rackview.planner.culture import Culture, NeedAhead, Problem
from rackview.planner.futures import sample
from rackview.planner.rollout import Acts, Bench, play
from rackview.planner.value import Worth


def culture(name, per_ml, ceiling=350.0, rate=0.5, litres=20.0, ill=0.0, **more):
    """A vessel that holds so many animals per mL; none for an empty one."""
    if per_ml is None:
        return Culture(name, litres, litres, None, takes="split", **more)
    look = Outlook(math.log(per_ml), 0.1, rate, 0.1, math.log(ceiling), 0.25, 0.1, ill, 1.0 / 120.0)
    return Culture(name, litres, litres, look, **more)


def asked(*millions, **more):
    """A need day by day, of which all is known."""
    return NeedAhead(tuple(millions), (False,) * len(millions), **more)


def given(problem, choice):
    """Millions taken from what is food."""
    held = {c.vessel: math.exp(c.outlook.log_density) * c.level_l / 1e3 for c in problem.cultures if c.outlook}
    food = {c.vessel for c in problem.cultures if c.food}
    return sum(share * held[name] for name, share in choice.shares.items() if name in food)


SMALL = [
    (asked(1.0, 1.0, 1.0, 1.0), 150.0, 250.0),
    (asked(0.0, 2.0, 2.0, 2.0), 200.0, 200.0),
    (asked(3.0, 3.0, 0.0, 0.0), 220.0, 160.0),
    (asked(2.0, 2.0, 2.0, 2.0), 120.0, 90.0),
    (asked(0.0, 0.0, 0.0, 0.0, more=True), 260.0, 240.0),
]
"""Need and density of both vessels."""
ENOUGH = 64
"""So many futures that the sequence that is best in hindsight is one that a keeper could have chosen."""


@pytest.mark.parametrize(("need", "first", "second"), SMALL)
def test_the_choice_is_within_a_hundredth_of_an_exhaustive_search(need, first, second):
    """Two vessels, four days: every sequence of shares on a grid, finer for today, on the same futures."""
    problem = Problem((culture("A", first), culture("B", second)), need)
    futures = sample(problem, ENOUGH, 4)
    bench = Bench.of(problem, futures)
    today, later = [(0.0, 0.1, 0.2, 0.3, 0.4, 0.55)] * 2, [(0.0, 0.25, 0.5)] * 6
    grid = np.array(list(itertools.product(*today, *later))).T.reshape(4, 2, -1)
    best = -math.inf
    for part in np.array_split(grid, 16, axis=2):
        ways = part.shape[2]
        none = np.full((3, ways), -1)
        every = Acts(part[0], none, none, np.zeros((3, ways)), np.ones(ways), np.zeros(ways), np.ones(ways))
        best = max(best, float(play(bench, every, script=part).value.mean(axis=1).max()))
    mine = acts(problem, bench, [search(problem, bench, bench)])
    assert float(play(bench, mine).value.mean()) >= 0.99 * best


@pytest.mark.parametrize("millions", [0.5, 2.0, 3.5, 5.0])
def test_larvae_are_fed_while_half_the_stock_would_do(millions):
    """Never under 70 % of a day, whatever comes after."""
    problem = Problem((culture("A", 200.0), culture("B", 180.0), culture("C", 220.0)), asked(*[millions] * 9))
    assert given(problem, choose(problem)) >= 0.76 * millions


def test_what_is_no_food_and_what_is_kept_is_never_served():
    problem = Problem(
        (culture("A", 200.0), culture("B", 200.0, food=False), culture("R", 200.0, reserve=True)), asked(3.0)
    )
    shares = choose(problem).shares
    assert set(shares) <= {"A", "B"}
    assert shares["A"] > 0.5


def test_a_doubted_vessel_serves_less_than_the_others_while_these_can():
    clean, doubted = culture("A", 250.0), culture("B", 250.0, doubted=True, ill=0.02)
    small, large = (choose(Problem((clean, doubted), asked(m, more=True))).shares for m in (1.0, 4.0))
    assert small["A"] >= small.get("B", 0.0)
    assert set(large) == {"A", "B"}


def test_names_change_nothing_and_the_same_is_chosen_again():
    problem = Problem((culture("A", 200.0), culture("B", 120.0), culture("C", None)), asked(1.0, 2.0, 2.0))
    renamed = replace(problem, cultures=tuple(replace(c, vessel=c.vessel * 3) for c in problem.cultures))
    first, again, other = choose(problem), choose(problem), choose(renamed)
    assert first == again
    assert list(first.shares.values()) == list(other.shares.values())


def test_what_is_gone_is_started_anew_from_the_better_giver():
    gone = culture("G", 3.0, takes="restart", urgent=True)
    found = choose(Problem((culture("A", 240.0, rate=0.3), gone, culture("B", 230.0)), asked(more=True)))
    assert [(t.giver, t.taker) for t in found.transfers] == [("B", "G")]


@pytest.mark.parametrize(("per_ml", "gives"), [(79.0, False), (81.0, True)])
def test_who_stands_under_what_it_is_started_at_gives_nothing(per_ml, gives):
    """A fifth under it is what a count cannot tell from it."""
    gone = culture("G", 3.0, takes="restart", urgent=True)
    thin = culture("T", per_ml, least_per_ml=100.0)
    assert {t.giver for t in transfers(Problem((thin, gone), asked(more=True)), Way())} == ({"T"} if gives else set())


@pytest.mark.parametrize(("rate", "gives"), [(0.39, False), (0.41, True)])
def test_an_old_culture_is_started_anew_only_from_one_that_grows_as_well(rate, gives):
    old = culture("O", 150.0, takes="restart", anew=0.3)
    found = transfers(Problem((old, culture("N", 200.0, rate=rate)), asked(more=True)), Way())
    assert {t.giver for t in found} == ({"N"} if gives else set())
    gone = replace(old, anew=0.0)
    assert transfers(Problem((gone, culture("N", 200.0, rate=rate)), asked(more=True)), Way())


def test_stock_is_sized_to_what_is_coming():
    """Between broods less is kept than before one that needs much."""
    rack = tuple(culture(name, 220.0) for name in "ABC")
    idle = choose(Problem(rack, asked(*[0.0] * 12, more=True)))
    ahead = choose(Problem(rack, asked(0.0, 0.0, *[3.5] * 9, more=True)))
    assert sum(idle.shares.values()) > sum(ahead.shares.values())
    assert all(share <= 0.56 for share in idle.shares.values())


def test_without_larvae_a_thriving_rack_gives_a_third_a_day():
    """The trade's 30 to 40 % a day; common practice, no source."""
    rack = tuple(culture(name, 215.0) for name in "ABC")
    shares = choose(Problem(rack, NeedAhead())).shares
    assert all(0.25 <= share <= 0.4 for share in shares.values())
    assert len(shares) == 3


def test_the_days_ahead_say_how_likely_they_fall_short():
    problem = Problem((culture("A", 150.0), culture("B", 150.0)), asked(*[1.0] * 6))
    plenty = look_ahead(problem, choose(problem), asked(*[1.0] * 6), 6)
    too_much = look_ahead(problem, choose(problem), asked(*[5.0] * 6), 6)
    assert max(plenty.short) < 0.2
    assert min(too_much.short[2:]) > 0.7
    assert plenty.met > 0.95 > 0.7 > too_much.met
    for low_to_high in plenty.supply:
        median, low, high = low_to_high
        assert low <= median <= high


def test_what_is_spare_is_worth_more_to_mouths_than_down_the_drain():
    """The same rack between broods: what is taken is worth as much more as the mouths value it, up to what they eat."""
    rack = tuple(culture(name, 230.0) for name in "ABC")
    quiet = asked(*[0.0] * 9, more=True)
    values = []
    for most in (0.0, 1.0, 100.0):
        problem = Problem(rack, replace(quiet, mouths_m=most, mouth_worth=0.3))
        futures = sample(problem, 32)
        bench = Bench.of(problem, futures)
        values.append(float(play(bench, acts(problem, bench, [Way()])).value.mean()))
    assert values[0] < values[1] < values[2]


def test_larvae_come_before_mouths_that_can_do_without():
    rack = (culture("A", 160.0), culture("B", 150.0))
    need = asked(*[1.2] * 9)
    plain = choose(Problem(rack, need))
    fed = choose(Problem(rack, replace(need, mouths_m=50.0, mouth_worth=0.3)))
    assert fed.expected.lost <= plain.expected.lost + 0.01
    assert given(Problem(rack, need), fed) >= 1.2


def test_the_more_doubt_of_what_larvae_eat_the_likelier_they_fall_short():
    rack = (culture("A", 150.0), culture("B", 150.0))
    need = asked(*[2.2] * 6)
    sure, unsure = (Problem(rack, replace(need, spread=s)) for s in (0.05, 0.6))
    choice = choose(sure)
    short = [max(look_ahead(p, choice, p.need, 6).short) for p in (sure, unsure)]
    assert short[0] < short[1]


def test_a_starter_is_bought_where_the_strain_is_lost_and_is_worth_more():
    gone = (culture("A", 2.0, takes="restart", urgent=True), culture("B", None))
    assert choose(Problem(gone, asked(more=True))).starter == "A"
    assert choose(Problem(gone, asked(more=True), Worth(starter=1000.0))).starter is None
    assert choose(Problem(gone, NeedAhead(), Worth(starter=180.0))).starter is None, "no brood waits for it"
    assert choose(Problem(gone, asked(more=True), Worth(starter=180.0))).starter == "A"


def slow(name, per_ml, rate):
    return culture(name, per_ml, rate=rate, takes="restart")


@pytest.mark.parametrize(("rate", "bought"), [(0.1, True), (0.5, False)])
def test_a_starter_is_bought_for_a_brood_that_slow_cultures_would_starve_and_not_where_they_grow_in_time(rate, bought):
    """Thin cultures that hardly grow, whatever ails them, and larvae in six days; a starter is there in three."""
    rack = tuple(slow(name, 45.0, rate) for name in "ABC")
    found = choose(Problem(rack, asked(*[0.0] * 6, *[1.2] * 6), starter_days=3.0))
    assert not found.gone
    assert (found.starter == "A") is bought
    if bought:
        assert max(found.expected.short) < 0.5 * max(found.otherwise["A"].short)


def test_the_emptiest_vessel_takes_the_starter_and_one_that_comes_too_late_is_not_bought():
    rack = (slow("A", 60.0, 0.1), slow("B", 35.0, 0.1), slow("C", 60.0, 0.1))
    need = asked(*[0.0] * 5, *[1.2] * 4, 0.0, 0.0, 0.0)
    assert choose(Problem(rack, need, starter_days=2.0)).starter == "B"
    assert choose(Problem(rack, need, starter_days=8.0)).starter is None
    assert choose(Problem(rack, need, Worth(starter=500.0), starter_days=2.0)).starter is None


def test_of_ways_that_are_not_told_apart_the_one_that_throws_least_away_is_taken():
    """Little to feed on a rack that stands well: how far it is thinned is nearly the same to the futures."""
    ways = [Way(scale=scale) for scale in (1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6)]
    spared = []
    for per_ml in (190.0, 195.0, 200.0, 205.0, 210.0, 215.0):
        problem = Problem((culture("A", per_ml), culture("B", per_ml + 5.0)), asked(0.1, 0.1, 0.1, 0.1, 0.1))
        bench = Bench.of(problem, sample(problem, ENOUGH))
        done = acts(problem, bench, ways)
        value = play(bench, done).value
        best = int(value.mean(axis=1).argmax())
        taken = median_animals(problem) @ done.take
        found, mine = _thrifty(problem, bench, ways)
        chosen = ways.index(found)
        behind = value[best] - mine
        assert behind.mean() <= min(ALIKE_FOR, ALIKE_ERRORS * behind.std() / math.sqrt(ENOUGH)) + 1e-9
        for k in np.flatnonzero(taken < taken[chosen] - 0.01):
            behind = value[best] - value[k]
            assert behind.mean() > min(ALIKE_FOR, ALIKE_ERRORS * behind.std() / math.sqrt(ENOUGH))
        spared.append(taken[best] - taken[chosen])
    assert min(spared) >= -0.01
    assert max(spared) > 0.1, "somewhere it is less than what is best by a hair"
