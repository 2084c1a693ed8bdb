"""The round of another day: which moment it is recorded for, and the rack as it was then."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from statistics import median

from rackview.core.clock import day_number
from rackview.core.events import Count
from rackview.core.rack import Rack
from rackview.ui.forms.dates import local

LOOKED_AT = 8
"""Newest counts of each vessel from which the usual hour of the round is read."""
USUAL = time(8, 0)
"""The hour of a round where nothing was counted yet: common practice, no source."""


def usual_time(rack: Rack, now: datetime) -> time:
    """The hour at which this keeper counts: the median of the newest counts."""
    minutes: list[int] = []
    for head in rack.logs.values():
        found = 0
        for node in head.back():
            if isinstance(node.event, Count) and not node.incoming:
                at = node.event.at.astimezone(now.tzinfo)
                minutes.append(at.hour * 60 + at.minute)
                found += 1
            if found == LOOKED_AT:
                break
    if not minutes:
        return USUAL
    return time(*divmod(int(median(minutes)), 60))


def moment_on(rack: Rack, day: date, now: datetime) -> datetime | None:
    """The moment for which a round of that day is recorded, in the zone of `now`; None for today, which is now."""
    return None if day >= now.date() else local(day, usual_time(rack, now), now)


def as_it_was(rack: Rack, at: datetime) -> Rack:
    """The rack with only what was recorded for times before `at`."""
    return replace(rack, logs={name: head.upto(day_number(at)) for name, head in rack.logs.items()})
