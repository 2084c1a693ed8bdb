"""From suggestions to the record, one or several as one step."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from rackview.core.assessment import Suggestion
from rackview.services import apply_suggestion

FEED = Suggestion(
    "A1", "feed", 4.0, "mL", None, 3, datetime(2026, 3, 2, tzinfo=UTC), "why", (), 0.9, text="Feed 4 mL", feed="algae"
)


def test_several_feedings_are_one_step_with_the_amounts_shown(session):
    other = replace(FEED, vessel="A2", amount=5.5, text="Feed 5.5 mL")
    apply_suggestion.apply_suggestions(session, FEED, other)
    assert {(e.vessel, e.amount, e.feed) for e in session.rack.events()} == {("A1", 4.0, "algae"), ("A2", 5.5, "algae")}
    assert session.undo_words == "A1: Feed 4 mL and 1 more"
    session.undo()
    assert not list(session.rack.events())


def test_several_are_declined_with_one_reason_in_one_step(session):
    apply_suggestion.decline(session, FEED, replace(FEED, vessel="A2"), reason="bottle empty")
    assert {(e.vessel, e.action, e.reason) for e in session.rack.events()} == {
        ("A1", "feed", "bottle empty"), ("A2", "feed", "bottle empty")
    }  # fmt: skip
    session.undo()
    assert not list(session.rack.events())


def test_what_must_be_looked_at_is_not_recorded_by_a_button(session):
    with pytest.raises(ValueError, match="recorded by what is typed"):
        apply_suggestion.apply_suggestions(session, FEED, replace(FEED, action="count"))
    assert not list(session.rack.events()), "nothing of it"
