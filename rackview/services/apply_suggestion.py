"""From a suggestion to the record: do it, or decline it with a reason."""

from __future__ import annotations

from datetime import UTC
from typing import TYPE_CHECKING

from rackview.core.events import Decline
from rackview.language import _

if TYPE_CHECKING:
    from rackview.core.assessment import Suggestion
    from rackview.services.change import Change
    from rackview.services.rack_session import RackSession

LOOKED_AT = frozenset({"count", "test"})
"""Suggestions that are carried out by looking and typing, not by a button."""
DECLINE_DAYS = 1.0


def apply_suggestions(session: RackSession, *suggestions: Suggestion) -> Change:
    """Record suggestions as done as they stand, as one step; a hold is recorded as seen and left alone.

    Raises `InputError` or `StoreError`; a count or a test can't be done this way (ValueError).
    """
    for one in suggestions:
        if one.action in LOOKED_AT:
            raise ValueError(f"a {one.action} is recorded by what is typed")
    from rackview.advice.done import events_for  # the rules and numpy come with it, and the first paint does without

    at = session.now().astimezone(UTC)
    events = [event for one in suggestions for event in events_for(one, at, rack=session.rack)]
    if not events:
        return decline(session, *suggestions, reason=_("seen, left alone"))
    return session.record(events, _told([f"{one.vessel}: {one.text}" for one in suggestions]))


def decline(session: RackSession, *suggestions: Suggestion, reason: str, days: float = DECLINE_DAYS) -> Change:
    """Record that the keeper said no, why, and for how many days, as one step; raises `InputError` or `StoreError`."""
    at = session.now().astimezone(UTC)
    events = [
        Decline(at=at, vessel=one.vessel, action=one.action, code=one.code, reason=reason, days=days)
        for one in suggestions
    ]
    return session.record(
        events, _told([_("{vessel}: no {action}").format(vessel=one.vessel, action=one.action) for one in suggestions])
    )


def _told(words: list[str]) -> str:
    return (
        words[0] if len(words) == 1 else _("{words} and {words_2} more").format(words=words[0], words_2=len(words) - 1)
    )
