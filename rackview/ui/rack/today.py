"""What was recorded at a vessel on the keeper's day."""

from __future__ import annotations

from datetime import datetime, timedelta

from rackview.core.events import Clean, Event, Feed, Harvest, Restart, Split, TopUp
from rackview.core.rack import Rack

WORK = (Harvest, Feed, Clean, Split, Restart, TopUp)


def worked_on(rack: Rack, vessel: str, at: datetime) -> list[Event]:
    """What was done at a vessel since midnight of the keeper's day, oldest first; counts are not work."""
    return [e for e in events_today(rack, vessel, at) if isinstance(e, WORK)]


def events_today(rack: Rack, vessel: str, at: datetime) -> list[Event]:
    """Events of the keeper's day at a vessel, oldest first, those of other vessels left out."""
    midnight = at.replace(hour=0, minute=0, second=0, microsecond=0)
    tomorrow = midnight + timedelta(days=1)
    found: list[Event] = []
    for node in rack.logs[vessel].back():
        if node.event is None or node.event.at < midnight:
            break
        if node.event.at < tomorrow and node.event.at <= at and not node.incoming:
            found.append(node.event)
    found.reverse()
    return found
