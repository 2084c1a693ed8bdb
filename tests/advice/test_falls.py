"""What the rack's own mornings teach of the causes of falls reaches the futures."""

from __future__ import annotations

import math

import pytest

from rackview.advice.choice.falls import CAUGHT_WITHIN, DENSE_WITHIN, OFTEN_WITHIN, falls
from rackview.planner.culture import Falls
from rackview.science.risk.causes import CAUSES, SHIFTS
from rackview.science.risk.model import UNTAUGHT, Taught


def taught(strength: float, *causes: str, shift: float | None = None) -> Taught:
    """Mornings that speak so strongly (log) for some causes, or for a frequency."""
    return Taught(
        tuple(strength * ((name in causes) if shift is None else (s == shift)) for name in CAUSES for s in SHIFTS)
    )


def test_a_rack_that_taught_nothing_has_the_usual_causes() -> None:
    found, usual = falls(UNTAUGHT), Falls()
    assert (found.dense, found.caught, found.often) == pytest.approx((usual.dense, usual.caught, usual.often))


def test_odds_move_as_the_weights_of_causes_do() -> None:
    """A Bayes factor of 3 for all causes of standing dense makes even odds 3 to 1, less what stays open."""
    found = falls(taught(math.log(3.0), "crowding", "foul water"))
    assert found.dense == pytest.approx(0.75, abs=0.01)
    assert found.caught < Falls().caught


@pytest.mark.parametrize(("cause", "field"), [("crowding", "dense"), ("sickness", "caught"), ("contaminant", "caught")])
def test_a_cause_that_the_record_speaks_for_weighs_more_and_none_is_certain(cause: str, field: str) -> None:
    some, much = (getattr(falls(taught(s, cause)), field) for s in (1.0, 50.0))
    assert getattr(Falls(), field) < some < much <= {"dense": DENSE_WITHIN, "caught": CAUGHT_WITHIN}[field][1]


def test_rare_falls_make_rare_futures_of_falling() -> None:
    rare, common = (falls(taught(5.0, shift=s)).often for s in (min(SHIFTS), max(SHIFTS)))
    assert OFTEN_WITHIN[0] <= rare < 1.0 < common <= OFTEN_WITHIN[1]
