"""The round of another day: which moment it is recorded for, and the rack as it was then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from statistics import median
from typing import TYPE_CHECKING

from rackview.core.clock import day_number
from rackview.core.events import Count
from rackview.core.rack import Rack
from rackview.ui.forms.dates import local
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.core.assessment import Assessment, Suggestion
    from rackview.services.rack_session import RackSession
    from rackview.ui.round.entry.model import Entry

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


class RoundDay:
    """The day of a round. `moment` is that for which a round of another day is recorded, None for today, now."""

    def __init__(self, session: RackSession) -> None:
        self._session = session
        self.moment: datetime | None = None

    def choose(self, day: date) -> None:
        """Do the round of that day, of today at the latest."""
        now = self._session.now().astimezone()
        self.moment = moment_on(self._session.rack, min(day, now.date()), now)

    @property
    def at(self) -> datetime:
        """The moment of the round, in the keeper's zone."""
        return (self.moment or self._session.now()).astimezone()

    def bounds(self) -> tuple[datetime, datetime | None]:
        """Where the day begins, and where it ends if it has passed."""
        midnight = self.at.replace(hour=0, minute=0, second=0, microsecond=0)
        return midnight, None if self.moment is None else midnight + timedelta(days=1)

    def stale(self, entry: Entry) -> str:
        """When an entry was begun, if that was so long ago that it is recorded for then; "" if it is not."""
        now = self._session.now()
        if self.moment is not None or entry.begun is None or entry.moment(now) == now:
            return ""
        begun = entry.begun.astimezone()
        return f"{formats.weekday(begun.date())} {formats.clock(begun)}"

    def known(self, vessel: str) -> tuple[Rack, Assessment, Sequence[Suggestion]]:
        """The rack, what is believed and what is suggested now; on the round of another day as it was, and nothing."""
        session = self._session
        if self.moment is None:
            return session.rack, session.assessments()[vessel], session.suggestions()
        from rackview.advice.api import assess

        was = as_it_was(session.rack, self.moment)
        return was, assess(was, vessel, self.moment), ()
