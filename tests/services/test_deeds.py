"""From suggestions to the record, one or several as one step."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from rackview.core.assessment import Suggestion
from rackview.services import deeds

FEED = Suggestion(
    "A1", "feed", 4.0, "mL", None, 3, datetime(2026, 3, 2, tzinfo=UTC), "why", (), 0.9, text="Feed 4 mL", feed="algae"
)


def test_several_feedings_are_one_step_with_the_amounts_shown(desk):
    other = replace(FEED, vessel="A2", amount=5.5, text="Feed 5.5 mL")
    deeds.do(desk, FEED, other)
    assert {(e.vessel, e.amount, e.feed) for e in desk.rack.events()} == {("A1", 4.0, "algae"), ("A2", 5.5, "algae")}
    assert desk.undo_words == "A1: Feed 4 mL and 1 more"
    desk.undo()
    assert not list(desk.rack.events())


def test_several_are_declined_with_one_reason_in_one_step(desk):
    deeds.decline(desk, FEED, replace(FEED, vessel="A2"), reason="bottle empty")
    assert {(e.vessel, e.action, e.reason) for e in desk.rack.events()} == {
        ("A1", "feed", "bottle empty"), ("A2", "feed", "bottle empty")
    }  # fmt: skip
    desk.undo()
    assert not list(desk.rack.events())


def test_what_must_be_looked_at_is_not_recorded_by_a_button(desk):
    with pytest.raises(ValueError, match="recorded by what is typed"):
        deeds.do(desk, FEED, replace(FEED, action="count"))
    assert not list(desk.rack.events()), "nothing of it"
