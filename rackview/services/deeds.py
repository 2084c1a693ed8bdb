"""From a suggestion to the record: do it, or decline it with a reason."""

from __future__ import annotations

from datetime import UTC
from typing import TYPE_CHECKING

from rackview.core.events import Decline

if TYPE_CHECKING:
    from rackview.core.assessment import Suggestion
    from rackview.services.change import Change
    from rackview.services.desk import Desk

LOOKED_AT = frozenset({"count", "test"})
"""Suggestions that are carried out by looking and typing, not by a button."""
DECLINE_DAYS = 1.0


def do(desk: Desk, suggestion: Suggestion) -> Change:
    """Record a suggestion as done as it stands, as one step; a hold is recorded as seen and left alone.

    Raises `InputError` or `StoreError`; a count or a test can't be done this way (ValueError).
    """
    if suggestion.action in LOOKED_AT:
        raise ValueError(f"a {suggestion.action} is recorded by what is typed")
    from rackview.advice.done import events_for  # the rules and numpy come with it, and the first paint does without

    events = events_for(suggestion, desk.now().astimezone(UTC), rack=desk.rack)
    if not events:
        return decline(desk, suggestion, "seen, left alone")
    return desk.record(events, f"{suggestion.vessel}: {suggestion.text}")


def decline(desk: Desk, suggestion: Suggestion, reason: str, days: float = DECLINE_DAYS) -> Change:
    """Record that the keeper said no, why, and for how many days; raises `InputError` or `StoreError`."""
    event = Decline(
        at=desk.now().astimezone(UTC),
        vessel=suggestion.vessel,
        action=suggestion.action,
        code=suggestion.code,
        reason=reason,
        days=days,
    )
    return desk.record(event, f"{suggestion.vessel}: no {suggestion.action}")
