"""What a count is worth where the answer is known."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from rackview.core.outlook import Outlook
from rackview.planner.constants import MINUTE
from rackview.planner.counting import _gain, _learned, _told, worth_of_counting
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


def test_what_is_worth_looking_at_is_not_known_well_enough_and_a_count_costs_its_minutes():
    found = worth_of_counting(rack(0.5, TIGHT))
    assert not found["A"].enough
    assert not found["B"].wanted
    assert found["A"].costs == pytest.approx(0.4 * MINUTE), "0.8 minutes for two aliquots"


@pytest.mark.parametrize(("aliquots", "cv", "ml", "error"), [(1, 0.0, 1.0, 1 / 200), (2, 0.3, 0.1, 0.07)])
def test_a_sample_tells_of_a_density_by_its_share_of_the_variance(
    aliquots: int, cv: float, ml: float, error: float
) -> None:
    """Of a doubt of 0.5 (log): the error is (1/m + cv^2) / r for r aliquots of m animals each."""
    assert _told(rack(0.5, EASY).cultures[0], aliquots, cv, ml) == pytest.approx(0.25 / (0.25 + error))


def test_learning_of_a_density_is_worth_what_a_coin_is_worth_to_who_sees_it() -> None:
    """Two ways that gain z and -z over the chosen one: the expected best is E|z| = sqrt(2 / pi) of what is told."""
    z = norm.ppf((np.arange(400) + 0.5) / 400)
    gains = np.stack([3.0 * z, -3.0 * z])
    for told in (1.0, 0.25):
        assert _learned(gains, z, told) == pytest.approx(3.0 * math.sqrt(2.0 * told / math.pi), rel=0.01)
    assert _learned(gains[:1], z, 1.0) == pytest.approx(3.0 / math.sqrt(2.0 * math.pi), rel=0.01)
    assert _learned(np.full((1, 400), 2.0), z, 1.0) == pytest.approx(0.0, abs=1e-9), "it is done without looking"
    assert _gain(gains, np.full(400, 5.0), 1.0) == 0.0
    assert _gain(gains, 7.0 + 0.2 * z, 1.0) == pytest.approx(3.0 * math.sqrt(2.0 / math.pi), rel=0.15)
    rng = np.random.default_rng(1)
    assert _gain(gains, rng.normal(size=400), 1.0) < 0.3, "what has nothing to do with the gains tells nothing"
