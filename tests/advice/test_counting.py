"""How far counting helps today, on a rack with a history."""

from __future__ import annotations

import pytest

from rackview.advice.choice.counting import counting
from rackview.core.errors import InputError
from rackview.core.tables import Demand

DAY, NOON = 7, 60.0


def of_all(rack, at):
    return {name: counting(rack, name, at) for name in rack.vessels}


def test_every_vessel_is_told_of_and_the_same_is_said_again(three, at):
    found = of_all(three, at(DAY, NOON))
    assert set(found) == set(three.vessels)
    assert {c.code for c in found.values()} <= {"none", "count", "more", "enough"}
    assert found == of_all(three, at(DAY, NOON))


def test_one_aliquot_is_never_enough(three, at, count):
    once = three.record(count(at(DAY + 1), "A", 150.0, tallies="150"))
    assert counting(once, "A", at(DAY + 1, NOON)).code == "more"


def test_with_nobody_to_feed_two_aliquots_are_enough(three, at, count):
    twice = three.record(count(at(DAY + 1), "A", 150.0, tallies="150 155"))
    assert counting(twice, "A", at(DAY + 1, NOON)).code == "enough"


def test_a_vessel_not_counted_for_days_is_to_be_counted(three, at):
    later = of_all(three, at(DAY + 6, NOON))
    assert all(c.code == "count" for c in later.values())


def test_a_doubted_vessel_is_counted_whatever_is_needed(three, at, count):
    fell = three.record(count(at(DAY, 20), "B", 30.0, tallies="30 31")).with_demand(
        [Demand(at(DAY + 1).date(), "rotifer-L", 1e6)]
    )
    assert counting(fell, "B", at(DAY + 1, NOON)).code == "count"


def test_a_vessel_that_is_not_there_is_named(three, at):
    with pytest.raises(InputError, match="Z"):
        counting(three, "Z", at(DAY, NOON))
