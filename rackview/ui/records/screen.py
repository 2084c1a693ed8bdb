"""Records: everything recorded on the rack, newest first, to look through, correct or take back."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.core.errors import InputError
from rackview.core.events import KINDS, Event
from rackview.core.vessel import by_place
from rackview.language import _
from rackview.services import pictures
from rackview.services.faults import StoreError
from rackview.ui.base import SubPage
from rackview.ui.forms.choose import Choose
from rackview.ui.forms.event_panel import EventPanel
from rackview.ui.records.event_list import EventList, newest_first
from rackview.ui.records.search import RecordSearch, Wanted
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import tall
from rackview.ui.words import event_words

if TYPE_CHECKING:
    from rackview.services.rack_session import Change, RackSession
    from rackview.ui.theme import Theme

SIDE = 348


class RecordsScreen(SubPage):
    """The record of the whole rack.

    Signals
    -------
    loss_wanted(str) : the page of the days before a vessel's loss
    """

    loss_wanted = Signal(str)

    def __init__(self, session: RackSession, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.theme = theme
        self.loss_button = QPushButton(_("After a &loss…"), self)
        tall(self.loss_button, 44)
        self.vessel = Choose(self)
        self.kind = Choose(self)
        for box, name in ((self.vessel, _("Vessel")), (self.kind, _("Kind of entry"))):
            box.setAccessibleName(name)
            box.setFixedWidth(200)
            box.activated.connect(lambda _: self._load())
        self.loss_button.clicked.connect(lambda: self.loss_wanted.emit(self.vessel.currentData() or ""))
        self.search = RecordSearch(self)
        self.search.changed.connect(self._load)
        self.search.wrong.connect(self._show_wrong)
        self.events = EventList(several=True, parent=self)
        self.events.find_picture = partial(pictures.picture_path, session)
        self.events.withdraw_all.connect(self._withdraw_all)
        self.events.copied.connect(lambda n: self.said.emit(_("{n} row(s) copied").format(n=n)))
        self.events.correct.connect(self._correct)
        self.events.withdraw.connect(self._withdraw)
        self.panel = EventPanel(session, theme, self)
        self.panel.setFixedWidth(SIDE)
        self.panel.hide()
        self.panel.done.connect(self._done)
        self.panel.left.connect(self._back)
        self._message = QLabel(self)
        self._message.setProperty("voice", "error")
        self._message.setWordWrap(True)
        self._message.hide()
        self._lay_out()

    def _lay_out(self) -> None:
        title = QLabel(_("Records"), self)
        title.setFont(fonts.font(26, fonts.BOLD))
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(title)
        head.addStretch(1)
        head.addWidget(self.loss_button)
        head.addWidget(self.vessel)
        head.addWidget(self.kind)
        column = QVBoxLayout()
        column.setContentsMargins(24, 10, 24, 14)
        column.setSpacing(12)
        column.addLayout(head)
        column.addWidget(self.search)
        column.addWidget(self._message)
        column.addWidget(self.events, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addLayout(column, 1)
        row.addWidget(self.panel)

    def refresh(self, change: Change | None = None) -> None:
        """Show the record as it is now."""
        self._offer()
        self._load()

    def _offer(self) -> None:
        vessels = [("", _("all vessels"))]
        vessels += [(v.vessel, f"{v.place} {v.vessel}") for v in by_place(self.session.rack.vessels.values())]
        kinds = [("", _("all entries"))]
        kinds += [(k, event_words.kind_word(k)) for k in KINDS if k != "withdraw"]
        for box, choices in ((self.vessel, vessels), (self.kind, kinds)):
            if [box.itemData(n) for n in range(box.count())] != [c[0] for c in choices]:
                kept = box.currentData()
                box.clear()
                for value, word in choices:
                    box.addItem(word, value)
                box.setCurrentIndex(max(0, box.findData(kept)))

    def _load(self) -> None:
        rack, now = self.session.rack, self.session.now().astimezone()
        self.events.read_only = self.session.read_only is not None
        vessel, kind = self.vessel.currentData() or "", self.kind.currentData() or ""
        self.search.at(now)
        wanted = self.search.wanted
        looked_for = wanted != Wanted()
        self.events.table.empty = (
            _("Nothing found. Esc in the search clears it.")
            if looked_for
            else _("Nothing of this kind recorded yet. The round writes here.")
        )
        listed = newest_first(rack, vessel, kind, since=wanted.since(now))
        if looked_for:
            listed = wanted.of(listed, rack, now)
        self.events.load(listed, rack, now, vessel, kind, self.search.key)

    def begin_search(self) -> None:
        """Put the keyboard into the search."""
        self.search.words.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.search.words.selectAll()

    def _show_wrong(self, sentence: str) -> None:
        self._message.setText(sentence)
        self._message.setVisible(bool(sentence))

    def _correct(self, event: Event) -> None:
        self.panel.correct(event)
        self.panel.show()

    def _withdraw(self, event: Event) -> None:
        what = event_words.summary(event, self.session.rack.settings)
        place = self.session.rack.vessel(event.vessel).place
        self._take_back([event], _("{place}: took back {what}").format(place=place, what=what))

    def _withdraw_all(self, events: list[Event]) -> None:
        self._take_back(events, _("Took back {n} entries").format(n=len(events)))

    def _take_back(self, events: list[Event], words: str) -> None:
        try:
            self.session.withdraw_all([e.id for e in events], words)
        except (InputError, StoreError) as error:
            self._show_wrong(str(error))
            return
        self._show_wrong("")
        self.refresh()

    def _back(self) -> None:
        self.panel.hide()
        self.events.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def _done(self, words: str) -> None:
        self._back()
        self.said.emit(words)
        self.refresh()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self.panel.isVisible():
            QPainter(self).fillRect(QRectF(self.panel.geometry()), self.theme.rail)

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.panel.set_theme(theme)
        self.update()
