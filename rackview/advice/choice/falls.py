"""Of what cultures fall on this rack, as far as its own mornings tell: from the weights of causes to the futures."""

from __future__ import annotations

import math

from rackview.advice.constants import CAUGHT_WITHIN, DENSE_WITHIN, OFTEN_WITHIN
from rackview.planner.culture import Falls
from rackview.science.risk.causes import CAUSES, SHIFTS
from rackview.science.risk.model import UNTAUGHT, Taught

STANDING = {"crowding", "foul water"}
"""Causes that come of standing dense."""
CAUGHT = {"sickness", "contaminant"}
"""Causes that go from vessel to vessel."""


def falls(taught: Taught) -> Falls:
    """The causes of falls in the futures, moved from the usual by what the mornings taught."""
    usual = Falls()
    often = _frequency(taught) / _frequency(UNTAUGHT)
    return Falls(
        _within(_moved(usual.dense, STANDING, taught), DENSE_WITHIN),
        _within(_moved(usual.caught, CAUGHT, taught), CAUGHT_WITHIN),
        _within(often, OFTEN_WITHIN),
    )


def _moved(chance: float, causes: set[str], taught: Taught) -> float:
    """A chance whose odds are moved as the weight of some causes against the others was moved."""
    odds = chance / (1.0 - chance) * _odds(causes, taught) / _odds(causes, UNTAUGHT)
    return odds / (1.0 + odds)


def _odds(causes: set[str], taught: Taught) -> float:
    step = len(SHIFTS)
    weight = sum(sum(taught.weights[k * step : (k + 1) * step]) for k, name in enumerate(CAUSES) if name in causes)
    return weight / (1.0 - weight)


def _frequency(taught: Taught) -> float:
    """How often falls come against where the coefficients are from."""
    factors = [math.exp(shift) for _ in CAUSES for shift in SHIFTS]
    return sum(w * f for w, f in zip(taught.weights, factors, strict=True))


def _within(value: float, bounds: tuple[float, float]) -> float:
    return min(max(value, bounds[0]), bounds[1])
