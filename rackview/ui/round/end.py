"""The end of the round: what was recorded, what is left, the way back to the rack."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from rackview.advice.recount import doubted
from rackview.language import _
from rackview.ui.rack.today import events_today
from rackview.ui.round.order import ROUND_KINDS, Stop
from rackview.ui.theme import Theme, fonts
from rackview.ui.widgets.fields import scrolled, tall
from rackview.ui.words import event_words, formats

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession


class RoundEnd(QWidget):
    """A page with one line per vessel; those that are left can be gone to.

    Signals
    -------
    leave() : back to the rack
    chosen(str) : a vessel that is left
    day_after() : on to the round of the day after, where this one was of a day that has passed
    """

    leave = Signal()
    chosen = Signal(str)
    day_after = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._scale = 1.0
        self._title = QLabel(self)
        self._sub = QLabel(self)
        self._list = QWidget(self)
        self._grid = QGridLayout(self._list)
        self._scroll = scrolled(self._list, self)
        self._back = QPushButton(_("Back to the rack"), self)
        self._back.setProperty("role", "primary")
        self._back.clicked.connect(self.leave)
        self._on = QPushButton(self)
        self._on.setProperty("role", "primary")
        self._on.clicked.connect(self.day_after)
        self._on.hide()
        self._column = QVBoxLayout(self)
        foot = QHBoxLayout()
        foot.addWidget(self._on)
        foot.addWidget(self._back)
        foot.addStretch(1)
        for part in (self._title, self._sub):
            self._column.addWidget(part)
        self._column.addWidget(self._scroll, 1)
        self._column.addLayout(foot)
        self.set_scale(1.0)

    def show_end(self, session: RackSession, order: tuple[Stop, ...], day: datetime | None = None) -> None:
        """Say what was recorded today, or on a `day` that has passed, and what is left."""
        now = session.now().astimezone()
        at = now if day is None else day.astimezone().replace(hour=23, minute=59, second=59)
        self._on.setVisible(day is not None)
        self._back.setProperty("role", "" if day is not None else "primary")
        self._back.style().polish(self._back)
        self.setFocusProxy(self._back if day is None else self._on)
        if day is not None:
            after = at.date() + timedelta(days=1)
            name = _("today") if after == now.date() else formats.full_date(after)
            self._on.setText(_("Go on with {day}  (F8)").format(day=name))
        left = [s for s in order if not s.done]
        if not order:
            self._title.setText(_("No vessel is in use"))
            self._sub.setText(_("Add a vessel, or return a resting one, and the round begins with it."))
        elif left:
            self._title.setText(_("{n} of {all} recorded").format(n=len(order) - len(left), all=len(order)))
            self._sub.setText(_("What is left can wait or be done now; what was begun is kept."))
        else:
            self._title.setText(_("All {n} recorded").format(n=len(order)))
            self._sub.setText(_("The round is done."))
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.deleteLater()
        for n, stop in enumerate(order):
            events = [e for e in events_today(session.rack, stop.vessel, at) if e.kind in ROUND_KINDS]
            what = ", ".join(event_words.summary(e, session.rack.settings) for e in events)
            counted = day is None and any(e.kind == "count" for e in events)
            doubt = doubted(session.rack, stop.vessel, session.moment()) if counted else None
            self._line(n, stop, what, "" if doubt is None else doubt.text)
        self._grid.setRowStretch(len(order), 1)
        self._grid.setColumnStretch(2, 1)
        self.set_scale(self._scale)

    def _line(self, n: int, stop: Stop, what: str, doubt: str) -> None:
        """One vessel: what was recorded, or the way to it if it is left or its count wants to be made again."""
        place = QLabel(stop.place, self._list)
        place.setProperty("part", "place")
        self._grid.setRowMinimumHeight(n, 46)
        name = QLabel(stop.vessel, self._list)
        self._grid.addWidget(place, n, 0)
        self._grid.addWidget(name, n, 1)
        if stop.done and not doubt:
            words = QLabel(what, self._list)
            words.setProperty("voice", "soft")
            words.setWordWrap(True)
            self._grid.addWidget(words, n, 2)
            return
        row = QWidget(self._list)
        layout = QHBoxLayout(row)
        layout.setContentsMargins(0, 0, 0, 0)
        waiting = _("begun, not recorded") if stop.drafted else _("not yet")
        said = f"{what}. {doubt}" if stop.done else waiting
        words = QLabel(said, row)
        words.setWordWrap(bool(doubt))
        button = QPushButton(_("Count again") if stop.done else _("Go there"), row)
        button.setProperty("role", "quiet")
        button.setAccessibleName(_("Go to {vessel}").format(vessel=stop.vessel))
        button.clicked.connect(lambda _=False, v=stop.vessel: self.chosen.emit(v))
        layout.addWidget(words, int(stop.done))
        layout.addWidget(button)
        if not stop.done:
            layout.addStretch(1)
        self._grid.addWidget(row, n, 2)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.leave.emit()
        else:
            super().keyPressEvent(event)

    def set_theme(self, theme: Theme) -> None:
        """Take other colours; the style sheet of the application dresses the rest."""
        self.theme = theme

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self._column.setContentsMargins(*(round(m * scale) for m in (48, 40, 48, 32)))
        self._column.setSpacing(round(12 * scale))
        self._grid.setHorizontalSpacing(round(20 * scale))
        self._grid.setVerticalSpacing(round(6 * scale))
        self._title.setFont(fonts.font(fonts.px(30, scale), fonts.BOLD))
        self._sub.setFont(fonts.font(fonts.px(16, scale)))
        for button in (self._on, self._back):
            button.setFont(fonts.font(fonts.px(18, scale), fonts.SEMIBOLD))
            tall(button, round(54 * scale), 24)
        for child in self._list.findChildren(QLabel):
            bold = child.property("part") == "place"
            child.setFont(fonts.font(fonts.px(16, scale), fonts.BOLD if bold else fonts.REGULAR))
        for button in self._list.findChildren(QPushButton):
            button.setFont(fonts.font(fonts.px(15, scale), fonts.SEMIBOLD))
            tall(button, round(44 * scale))
