"""How signs are followed: how steady each is, and what a look tells of failing."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from rackview.science.state.constants import LEAST_SPREAD, PLAINEST
from rackview.science.state.signs import SIGNS, SignState, look

SWIMMING = SIGNS["swimming"]


def followed(name: str, values: list[float], days: float = 1.0) -> tuple[SignState, list[float]]:
    """A sign after looks so many days apart, with what each look told of failing."""
    kind = SIGNS[name]
    seen, told = SignState(kind.habit, kind.habit_weight, kind.habit, 0.0, kind.var), []
    for n, value in enumerate(values):
        seen, ratio = look(kind, seen, n * days, value)
        told.append(ratio)
    return seen, told


@pytest.mark.parametrize("sd", [0.7, 1.2])
def test_the_spread_of_departures_is_found_again(sd: float) -> None:
    marks = 4.0 + np.random.default_rng(1).normal(0.0, sd, 400)
    spreads = [followed("swimming", marks[: 100 + k].tolist())[0].spread for k in range(0, 300, 30)]
    # far ones count up to three times what was expected, which leaves out up to two fifths of a normal variance
    assert 0.6 * sd**2 < np.mean(spreads) < sd**2


def test_however_steady_a_sign_is_some_spread_is_left() -> None:
    seen, _ = followed("swimming", [4.0] * 50)
    assert seen.spread == LEAST_SPREAD * SWIMMING.var


def test_one_collapse_does_not_make_a_habit_of_it() -> None:
    calm, _ = followed("swimming", [4.0, 4.5, 3.5] * 8)
    fallen, _ = followed("swimming", [*[4.0, 4.5, 3.5] * 8, 1.0])
    assert fallen.spread < 1.2 * calm.spread


def test_a_drop_tells_more_of_who_is_always_lively() -> None:
    lively = followed("swimming", [*[4.0] * 20, 3.0])[1][-1]
    restless = followed("swimming", [*[2.5, 5.0] * 10, 3.0])[1][-1]
    assert lively > 2.0 * max(restless, 0.0)


def test_what_a_look_tells_is_the_ratio_of_two_normal_densities() -> None:
    seen, _ = followed("swimming", [4.0, 4.5, 3.5] * 5)
    sd = np.sqrt(seen.spread)
    sound, failing = (norm(seen.habit + by, sd).logpdf(3.2) for by in (0.0, SWIMMING.failing))
    told = look(SWIMMING, seen, seen.day + 1.0, 3.2)[1]
    assert told == pytest.approx(failing - sound, rel=1e-9)
    assert look(SWIMMING, seen, seen.day + 1.0, 1.0)[1] == PLAINEST


def test_ciliates_tell_of_failing_when_they_come_and_not_again_because_they_stay() -> None:
    _, told = followed("ciliates", [0.0, 0.0, 0.0, 0.0, 2.0, 2.0, 2.0, 2.0, 2.0, 2.0])
    assert told[4] > 0.5
    assert told[4:] == sorted(told[4:], reverse=True)
    assert told[-1] < 0.05 * told[4]
