"""Deadband, on-delay in counts, and what silence may do."""

from __future__ import annotations

import pytest

from rackview.rules.alarm import Alarm, Sample, judge, news, with_now
from rackview.rules.constants import SEEN_ROUND


def run(*chances, raise_at=0.8, clear_at=0.5, in_a_row=2):
    return judge([Sample(float(k), c, f"e{k}") for k, c in enumerate(chances)], raise_at, clear_at, in_a_row)


@pytest.mark.parametrize(
    ("chances", "raised"),
    [
        ((), False),
        ((0.79, 0.79), False),
        ((0.8,), False),
        ((0.8, 0.8), True),
        ((0.8, 0.79), False),
        ((0.95,), True),
        ((0.949,), False),
        ((0.8, 0.8, 0.51), True),
        ((0.8, 0.8, 0.5), False),
        ((0.8, 0.8, 0.49), False),
        ((0.8, 0.8, 0.6, 0.6, 0.6), True),
        ((0.8, 0.8, 0.4, 0.8), False),
    ],
)
def test_raised_at_the_threshold_and_cleared_only_past_the_deadband(chances, raised):
    assert run(*chances).raised is raised


def test_a_missing_count_neither_raises_nor_clears():
    assert run(0.8, None, 0.8).raised
    assert run(0.8, 0.8, None, None).raised
    assert not run(None, None).raised


def test_one_count_is_enough_where_waiting_is_dear():
    assert run(0.8, in_a_row=1).raised
    assert not run(0.79, in_a_row=1).raised


def test_since_is_the_first_count_of_the_spell_and_every_count_of_it_is_named():
    found = run(0.1, 0.85, 0.85, 0.6)
    assert found.since == 1.0
    assert found.events == ("e1", "e2", "e3")


def test_time_alone_raises_only_when_nearly_certain_and_never_clears():
    quiet = run(0.1, raise_at=0.2, clear_at=0.1)
    assert not with_now(quiet, Sample(3.0, 0.94), 0.2).raised
    assert with_now(quiet, Sample(3.0, 0.95, "a"), 0.2).events == ("a",)
    standing = run(0.9, 0.9, raise_at=0.2, clear_at=0.1)
    assert with_now(standing, Sample(3.0, 0.0), 0.2).raised
    assert with_now(standing, Sample(3.0, None), 0.2).raised


def test_the_chance_of_a_standing_alarm_is_the_higher_of_the_counts_and_of_now():
    standing = Alarm(raised=True, chance=0.9, since=1.0, events=("e",))
    assert with_now(standing, Sample(3.0, 0.4), 0.2).chance == 0.9
    assert with_now(standing, Sample(3.0, 0.97), 0.2).chance == 0.97
    assert with_now(standing, Sample(3.0, None), 0.2).chance == 0.9


def daily(*found):
    return [(float(k), bool(one)) for k, one in enumerate(found)]


@pytest.mark.parametrize(
    ("looks", "said"),
    [
        (daily(), False),
        (daily(1), True),
        (daily(0, 1), False),  # one look of a daily round may be a slip
        ([(0.0, False), (5.0, True)], True),  # looked at every five days one must do
        ([(0.0, False), (1.5, True)], False),
        ([(0.0, False), (1.51, True)], True),
        (daily(0, 1, 1), True),
        (daily(0, 1, 1, 0), False),
        (daily(0, 1, 1, 1), True),
        (daily(0, 1, 1, 1, 1), False),  # by now it is usual here
        (daily(1, 0, 1, 0, 1, 1), False),
        (daily(0, 0, 1, 0, 1, 1), True),
    ],
)
def test_news_is_what_is_found_twice_and_is_not_usual(looks, said):
    assert news(looks) is said


def test_of_a_round_every_other_day_one_look_may_be_a_slip_as_well():
    assert news([(0.0, False), (2.0, True)])
    assert not news([(0.0, False), (2.0, True)], one_round=SEEN_ROUND)
    assert news([(0.0, False), (2.0, True), (4.0, True)], one_round=SEEN_ROUND)
