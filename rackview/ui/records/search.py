"""Looking for entries in the records: by words, from a day, up to a day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime, time

from PySide6.QtCore import QLocale, QTimer, Signal
from PySide6.QtGui import QKeyEvent, Qt
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from rackview.core.clock import day_number
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import Event
from rackview.core.rack import Rack
from rackview.language import _
from rackview.ui.forms import dates
from rackview.ui.words import event_words

SOON_MS = 250
"""How long after the last letter the search begins."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is looked for: words that must all be there, and days, both ends included."""

    words: tuple[str, ...] = ()
    first: date | None = None
    last: date | None = None

    def since(self, now: datetime) -> float:
        """The first moment that counts, as `Event.day`."""
        return float("-inf") if self.first is None else day_number(dates.local(self.first, time(), now))

    def of(self, events: Iterable[Event], rack: Rack, now: datetime) -> Iterator[Event]:
        """Those of the events, newest first, that are wanted."""
        for event in events:
            on = event.at.astimezone(now.tzinfo).date()
            if self.first is not None and on < self.first:
                return
            if (self.last is None or on <= self.last) and (not self.words or self._said(event, rack)):
                yield event

    def _said(self, event: Event, rack: Rack) -> bool:
        vessel = rack.known_vessels.get(event.vessel)
        parts = (
            vessel.place if vessel else "",
            event.vessel,
            event.partner or "",
            event_words.kind_word(event.kind),
            event_words.summary(event, rack.settings),
            event_words.details(event, rack.settings),
            event.entered_by,
        )
        text = " ".join(parts).casefold()
        return all(word in text for word in self.words)


class RecordSearch(QWidget):
    """The three boxes.

    Signals
    -------
    changed() : something else is looked for
    wrong(str) : why a day can't be read; empty when all can be
    """

    changed = Signal()
    wrong = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.wanted = Wanted()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(SOON_MS)
        self._soon.timeout.connect(self._begin)
        self.words = QLineEdit(self)
        self.words.setPlaceholderText(_("Search: vessel, feed, note, amount"))
        self.words.setAccessibleName(_("Search the records"))
        self.first = QLineEdit(self)
        self.last = QLineEdit(self)
        for box, hint, name in (
            (self.first, _("from, such as 3 Apr"), _("From this day")),
            (self.last, _("to, such as yesterday"), _("Up to this day")),
        ):
            box.setPlaceholderText(hint)
            box.setAccessibleName(name)
            box.setFixedWidth(176)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        for box in (self.words, self.first, self.last):
            box.setClearButtonEnabled(True)
            box.setMinimumHeight(36)
            box.textChanged.connect(lambda _: self._soon.start())
            box.returnPressed.connect(self._begin)
            row.addWidget(box, 1 if box is self.words else 0)
        self._now: datetime | None = None

    def at(self, now: datetime) -> None:
        """Read days as of now, in the keeper's zone."""
        self._now = now

    def begin(self, words: str = "", first: str = "", last: str = "") -> None:
        """Look for these at once."""
        for box, text in ((self.words, words), (self.first, first), (self.last, last)):
            box.setText(text)
        self._begin()

    @property
    def key(self) -> str:
        """What tells this search from another."""
        return repr(self.wanted)

    def _begin(self) -> None:
        self._soon.stop()
        found: list[date | None] = []
        trouble = ""
        for box, before in ((self.first, self.wanted.first), (self.last, self.wanted.last)):
            said = ""
            try:
                found.append(self._day(box.text(), box.accessibleName()))
            except InputError as error:
                said = str(error)
                found.append(before)
            trouble = trouble or said
            box.setProperty("wrong", "true" if said else "")
            box.style().unpolish(box)
            box.style().polish(box)
        self.wrong.emit(trouble)
        wanted = Wanted(tuple(self.words.text().casefold().split()), *found)
        if wanted != self.wanted:
            self.wanted = wanted
            self.changed.emit()

    def _day(self, text: str, field: str) -> date | None:
        if not text.strip() or self._now is None:
            return None
        first = dates.day_first(QLocale.system().dateFormat(QLocale.FormatType.ShortFormat))
        return dates.parse_day(text, self._now.date(), first=first, field=field.lower())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let Esc clear what is looked for before it leaves the page."""
        if event.key() == Qt.Key.Key_Escape and (self.words.text() or self.first.text() or self.last.text()):
            self.begin()
        else:
            super().keyPressEvent(event)
