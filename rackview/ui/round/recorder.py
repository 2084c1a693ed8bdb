"""Recording all of a vessel's entry as one step, and taking the last step back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import Count, Event
from rackview.language import _
from rackview.services import pictures
from rackview.services.faults import StoreError
from rackview.ui.round.drafts import RoundDrafts
from rackview.ui.round.entry.model import Entry
from rackview.ui.words import event_words, formats

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession


@dataclass(frozen=True, slots=True)
class Recorded:
    """What was recorded, in words; why its count is to be made again, "" if it stands; suggested and not taken."""

    words: str
    doubt: str
    left_out: str


class Recorder(QObject):
    """Writes to the session; while it is `busy`, the changes that the session tells of are its own.

    Signals
    -------
    failed(str) : why nothing was recorded or taken back
    """

    failed = Signal(str)

    def __init__(self, session: RackSession, drafts: RoundDrafts, parent: QObject) -> None:
        super().__init__(parent)
        self._session = session
        self._drafts = drafts
        self.busy = False

    def record(self, entry: Entry, events: Sequence[Event], now: datetime) -> Recorded | None:
        """Record the `events` that an entry says `now` as one step; None where that failed, and nothing is recorded."""
        words = self._words(entry, events, now.astimezone())
        made = () if entry.new_vessel is None else (entry.new_vessel,)
        if not self._done(lambda: self._session.take(vessels=made, events=events, words=words, parsed=True)):
            return None
        self._drafts.recorded(entry, entry.moment(now))
        doubt = self._doubt(entry.vessel) if any(isinstance(e, Count) for e in events) else ""
        return Recorded(words, doubt, ", ".join(event_words.kind_word(action) for action in entry.left_out()))

    def take_back(self) -> bool:
        """Take the last step back; False where that failed."""
        return self._done(self._session.undo)

    def keep_picture(self, entry: Entry, path: str) -> bool:
        """Keep a picture with the store at once, as its card may be gone by the time the count is recorded."""
        try:
            name = pictures.keep_picture(self._session, path)
        except (InputError, StoreError) as error:
            self.failed.emit(str(error))
            return False
        entry.put("picture", name, self._session.now())
        return True

    def _done(self, call: Callable[[], object]) -> bool:
        self.busy = True
        try:
            call()
        except (InputError, StoreError) as error:
            self.failed.emit(str(error))
            return False
        finally:
            self.busy = False
        return True

    def _words(self, entry: Entry, events: Sequence[Event], now: datetime) -> str:
        settings = self._session.rack.settings
        return _("{vessel}{when}: {what}").format(
            when="" if entry.day is None else f" ({formats.moment(entry.day.astimezone(), now)})",
            vessel=entry.rack.vessels[entry.vessel].place,
            what=", ".join(event_words.summary(e, settings) for e in events),
        )

    def _doubt(self, vessel: str) -> str:
        """What to say of the count just recorded if it wants to be made again; it is kept either way."""
        from rackview.advice.recount import doubted

        found = doubted(self._session.rack, vessel, self._session.moment())
        return "" if found is None else f"{self._session.rack.vessels[vessel].place}: {found.text}"
