"""Two rates by which everything else is weighed: births by eggs, and how often a sound culture begins to fall."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import numpy as np
import pytest

from rackview.core.events import Count
from rackview.science.state.filter import begin, switch_regime
from rackview.science.state.model import SOUND, paced
from rackview.science.state.signs import births, hatching_days


def test_births_are_those_of_exponential_growth_by_the_eggs_that_hatch():
    """ln(1 + E) / D: Paloheimo 1974, Limnol. Oceanogr. 19:692-694 (from memory)."""
    count = Count(
        at=datetime(2026, 3, 1, tzinfo=UTC), vessel="A", tallies=(100,), with_eggs=5000, females_checked=10_000
    )
    found, _ = births(count, 20.0, rotifer=True)
    assert found * hatching_days(20.0, rotifer=True) == pytest.approx(math.log(1.5), rel=1e-3)


def test_a_sound_culture_begins_to_fall_about_once_in_250_days():
    """The rate that docs/estimate.md gives, a usual strain's."""
    model = paced(1.0)
    one = begin(model, np.array([5.0]), np.array([0.01]), 5.7)
    sound = one.w[:SOUND] / one.w[:SOUND].sum()
    after = switch_regime(
        model, one._replace(w=np.concatenate([sound, 0.0 * sound])), np.array([1.0]), np.array([-1.0])
    )
    assert after.w[SOUND:].sum() == pytest.approx(1 / 250, rel=0.01)
