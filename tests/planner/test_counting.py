"""What a count is worth where the answer is known."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from rackview.core.outlook import Outlook
from rackview.planner.counting import worth_of_counting
from rackview.planner.culture import Culture, NeedAhead, Problem

TIGHT = NeedAhead((4.0,) * 5, (False,) * 5)
EASY = NeedAhead((0.5,) * 5, (False,) * 5)


def rack(sd: float, need: NeedAhead) -> Problem:
    """Three vessels of 20 L, of which the first is known to `sd` (log), the others well."""
    look = Outlook(math.log(200.0), 0.05, 0.5, 0.1, math.log(350.0), 0.25, 0.1, 0.0, 1.0 / 120.0)
    first = Culture("A", 20.0, 20.0, replace(look, log_density_sd=sd))
    return Problem((first, Culture("B", 20.0, 20.0, look), Culture("C", 20.0, 20.0, look)), need)


def test_where_larvae_need_nearly_all_a_doubtful_vessel_is_worth_counting_and_a_known_one_is_not() -> None:
    found = worth_of_counting(rack(0.5, TIGHT))
    assert found["A"].wanted
    assert found["A"].look > 5.0 * max(found["B"].look, found["C"].look)
    assert found["B"].enough


@pytest.mark.parametrize("sd", [0.05, 0.2, 0.5])
def test_where_there_is_plenty_no_count_changes_what_is_done(sd: float) -> None:
    found = worth_of_counting(rack(sd, EASY))
    assert not any(worth.wanted for worth in found.values())


def test_two_aliquots_tell_no_less_than_one_and_large_ones_no_less_than_small() -> None:
    problem = rack(0.5, TIGHT)
    for worth in worth_of_counting(problem).values():
        assert worth.look >= worth.more - 0.05
    small, large = (worth_of_counting(problem, aliquot_ml=ml)["A"].more for ml in (0.01, 1.0))
    assert small < large


def test_scatter_makes_an_aliquot_worth_less() -> None:
    problem = rack(0.5, TIGHT)
    even, uneven = (worth_of_counting(problem, {"A": cv})["A"].more for cv in (0.05, 1.0))
    assert uneven < even


def test_what_holds_nothing_is_not_counted_and_the_same_is_said_again() -> None:
    problem = rack(0.3, TIGHT)
    empty = replace(problem, cultures=(*problem.cultures, Culture("D", 20.0, 20.0, None, takes="split")))
    assert set(worth_of_counting(empty)) == {"A", "B", "C"}
    assert worth_of_counting(problem) == worth_of_counting(problem)
