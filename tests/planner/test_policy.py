"""What is taken of a culture for the sake of its density alone."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rackview.core.outlook import Outlook
from rackview.planner import policy
from rackview.planner.candidates import Way, acts
from rackview.planner.constants import THINNED, WORTH_HANDS
from rackview.planner.culture import Culture, NeedAhead, Problem
from rackview.planner.futures import sample
from rackview.planner.rollout import Bench


@pytest.mark.parametrize(("over", "taken"), [(0.5, 0.0), (1.5, 1.5), (3.0, 3.0)])
def test_a_culture_is_thinned_to_its_aim_where_that_is_worth_wet_hands(over, taken):
    """In times of the share that is worth it, of 100 animals."""
    worth = 100.0 * WORTH_HANDS
    animals, aim = np.array([100.0]), np.array([100.0 - over * worth])
    assert policy.thinning(animals, aim, np.array([0.9])) == pytest.approx([taken * worth])


def test_no_more_is_thinned_than_may_be_taken():
    assert policy.thinning(np.array([100.0]), np.array([10.0]), np.array([0.4])) == pytest.approx([40.0])


@pytest.mark.parametrize(("need", "most"), [(0.001, THINNED), (0.0, 0.55)])
def test_while_larvae_are_fed_a_dense_culture_is_thinned_gently(need, most):
    look = Outlook(math.log(300.0), 0.1, 0.5, 0.1, math.log(350.0), 0.25, 0.1, 0.0, 1.0 / 120.0)
    problem = Problem((Culture("A", 20.0, 20.0, look, most=0.55),), NeedAhead((need,), (False,)))
    way = Way(scale=0.1)  # aims at next to nothing, so that the limit rules
    found = acts(problem, Bench.of(problem, sample(problem, 8, 4)), [way])
    assert float(found.take[0, 0]) == pytest.approx(most, abs=0.001)
