"""The round of another day: which moment it is recorded for, and the rack as it was then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from functools import partial
from statistics import median
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from rackview.core.clock import day_number
from rackview.core.events import Count
from rackview.core.rack import Rack
from rackview.ui.forms.dates import local
from rackview.ui.rack.trends import Trends
from rackview.ui.widgets.aside import Aside
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


Known = tuple[Rack, "Assessment", Sequence["Suggestion"]]


class RoundDay(QObject):
    """The day of a round. `moment` is that for which a round of another day is recorded, None for today, now.

    A day of before is read and thought through behind a window that advises behind.

    Signals
    -------
    chosen() : the day was chosen, and the histories back to it are there
    looked(str) : what was believed of a vessel then is known now
    """

    chosen = Signal()
    looked = Signal(str)

    def __init__(self, session: RackSession, parent: QObject) -> None:
        super().__init__(parent)
        self._session = session
        self.trends = Trends()
        self.moment: datetime | None = None
        self._asked: tuple[Rack, datetime, str] | None = None
        self._known: Known | None = None
        self._days, self._looks = Aside(self), Aside(self)
        self._days.found.connect(self._reached)
        self._looks.found.connect(self._take)
        self._looks.failed.connect(self._forget)

    def choose(self, day: date) -> None:
        """Do the round of that day, of today at the latest; `chosen` says when it can be shown."""
        rack, now = self._session.rack, self._session.now().astimezone()
        day = min(day, now.date())
        self._looks.drop()

        def reach() -> datetime | None:
            moment = moment_on(rack, day, now)
            if moment is not None:
                as_it_was(rack, self._midnight(moment))
            return moment

        self._days.work(reach, behind=self._session.advises_behind and day < now.date())

    def _reached(self, moment: datetime | None) -> None:
        self.moment = moment
        self._forget()
        self.chosen.emit()

    @property
    def at(self) -> datetime:
        """The moment of the round, in the keeper's zone."""
        return (self.moment or self._session.now()).astimezone()

    @staticmethod
    def _midnight(at: datetime) -> datetime:
        return at.replace(hour=0, minute=0, second=0, microsecond=0)

    def bounds(self) -> tuple[datetime, datetime | None]:
        """Where the day begins, and where it ends if it has passed."""
        midnight = self._midnight(self.at)
        return midnight, None if self.moment is None else midnight + timedelta(days=1)

    def stale(self, entry: Entry) -> str:
        """When an entry was begun, if that was so long ago that it is recorded for then; "" if it is not."""
        now = self._session.now()
        if self.moment is not None or entry.begun is None or entry.moment(now) == now:
            return ""
        begun = entry.begun.astimezone()
        return f"{formats.weekday(begun.date())} {formats.clock(begun)}"

    def known(self, vessel: str) -> Known | None:
        """The rack, what is believed and what is suggested now; on the round of another day as it was, and nothing.

        None where that is still worked out; `looked` says when it is known.
        """
        session = self._session
        if self.moment is None:
            return session.rack, session.assessments()[vessel], session.suggestions()
        asked = (session.rack, self.moment, vessel)
        if self._asked != asked:
            self._asked, self._known = asked, None
            self._looks.work(partial(self._look, *asked), behind=session.advises_behind)
        return self._known

    def _look(self, rack: Rack, moment: datetime, vessel: str) -> Known:
        """What was known of a vessel then, and all that its page looks up in the past, so that it is at hand there."""
        from rackview.advice.api import assess
        from rackview.ui.round.entry.model import Entry

        as_it_was(rack, self._midnight(moment.astimezone()))
        was = as_it_was(rack, moment)
        assessed = assess(was, vessel, moment)
        Entry(was, vessel, assessed, day=moment)
        self.trends.one(was, vessel, moment.astimezone())
        return was, assessed, ()

    def _take(self, found: Known) -> None:
        self._known = found
        if self._asked is not None and self._session.advises_behind:
            self.looked.emit(self._asked[2])

    def _forget(self) -> None:
        self._asked = None
