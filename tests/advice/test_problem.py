"""What the planner is told of a vessel."""

from __future__ import annotations

import pytest

from rackview.advice.choice.problem import problem_of
from rackview.advice.moment import when
from rackview.advice.situation import situation
from rackview.core.tables import Settings


@pytest.mark.parametrize(("floor", "stays"), [(None, 100.0), (79.0, 100.0), (90.0, 112.5)])
def test_what_must_stay_is_a_start_and_a_quarter_over_the_floor(three, at, floor, stays):
    """A rotifer is started at 100 per mL; the quarter is the project's own choice."""
    changed = Settings(overrides={} if floor is None else {("", "floor_per_ml"): floor})
    sit = situation(three.with_settings(changed), when(at(7, 60.0)))
    assert {c.least_per_ml for c in problem_of(sit, "rotifer-L", {}).cultures} == {stays}
