"""A reminder at an hour of the keeper's choice: which vessels have no entry of today. Off until it is set.

It only speaks while the window is open, once a day, and not when nothing is left.
"""

from __future__ import annotations

import re
from datetime import datetime, time
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QApplication, QCheckBox, QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from rackview.core.vessel import by_place
from rackview.language import _
from rackview.ui.store.parts import button
from rackview.ui.theme import Theme, fonts
from rackview.ui.words import formats

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession
    from rackview.ui.preferences import WindowSettings

USUAL = "18:00"
HOUR = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?")
NAMED = 6
"""How many vessels are named before the rest is only counted."""


def hour_of(text: str) -> time | None:
    """The time of day that a text such as 18:00, 18.00 or 18 means; None if it means none."""
    found = HOUR.fullmatch(text.strip())
    if found is None or int(found[1]) > 23 or int(found[2] or 0) > 59:
        return None
    return time(int(found[1]), int(found[2] or 0))


def without_entry(session: RackSession, now: datetime) -> list[str]:
    """The vessels in use that have no entry of today, as places and names; `now` is in the keeper's zone."""
    resting = {name for name, seen in session.assessments().items() if seen.state == "resting"}
    found = []
    for vessel in by_place(session.rack.vessels.values()):
        name = vessel.vessel
        newest = next(session.rack.log(name).back(), None)
        event = None if newest is None else newest.event
        seen = event is not None and event.at.astimezone(now.tzinfo).date() == now.date()
        if name not in resting and not seen:
            found.append(f"{vessel.place} {name}")
    return found


class Reminder(QObject):
    """Says when it is time.

    Signals
    -------
    due(str) : it is time; what is left, in a sentence
    """

    due = Signal(str)

    def __init__(self, session: RackSession, settings: WindowSettings, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.settings = settings

    def look(self) -> None:
        """Ask the clock; to be called each minute."""
        at = hour_of(self.settings.reminder)
        now = self._session.now().astimezone()
        today = now.date().isoformat()
        if at is None or now.time() < at or self.settings.reminded == today:
            return
        self.settings.reminded = today
        left = without_entry(self._session, now)
        if left:
            more = _(" and {n} more").format(n=len(left) - NAMED) if len(left) > NAMED else ""
            self.due.emit(
                _("It is {time}. Without an entry today: {vessels}{more}.").format(
                    time=formats.clock(now), vessels=", ".join(left[:NAMED]), more=more
                )
            )


class ReminderBar(QWidget):
    """The sentence over the screens, until it is answered.

    Signals
    -------
    wanted() : begin the round
    """

    wanted = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._said = QLabel(self)
        self._said.setWordWrap(True)
        self.begin = button(_("Start the &round"), self._begin, self)
        self.later = button(_("&Not now"), self.hide, self)
        line = QHBoxLayout(self)
        line.setContentsMargins(16, 6, 16, 6)
        line.setSpacing(12)
        line.addWidget(self._said, 1)
        line.addWidget(self.begin)
        line.addWidget(self.later)
        self.apply_theme(theme)
        self.hide()

    def remind(self, sentence: str) -> None:
        """Show the sentence, and let the taskbar ask for attention."""
        self._said.setText(sentence)
        self.setAccessibleName(sentence)
        self.show()
        QApplication.alert(self.window())

    @property
    def said(self) -> str:
        """What it says."""
        return self._said.text()

    def _begin(self) -> None:
        self.hide()
        self.wanted.emit()

    def apply_theme(self, theme: Theme) -> None:
        """Dress the bar in a theme."""
        self._said.setFont(fonts.font(15, fonts.SEMIBOLD))
        self._said.setStyleSheet(
            f"color: {theme.ink.name()}; background: {theme.tile.name()}; border: 2px solid {theme.notice.name()};"
            " border-radius: 6px; padding: 8px 12px;"
        )


class ReminderSetting(QWidget):
    """Whether and when to be reminded, on this PC; kept as it is changed."""

    def __init__(self, settings: WindowSettings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._settings = settings
        self.on = QCheckBox(_("Remind me of vessels without an entry, at"), self)
        self.at = QLineEdit(self)
        self.at.setFixedWidth(90)
        self.at.setAccessibleName(_("Hour of the reminder"))
        self._hint = QLabel(self)
        self._hint.setWordWrap(True)
        line = QHBoxLayout()
        line.setSpacing(8)
        line.addWidget(self.on)
        line.addWidget(self.at)
        line.addStretch(1)
        title = QLabel(_("On this PC"), self)
        title.setFont(fonts.font(16, fonts.SEMIBOLD))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        for part in (title, line, self._hint):
            if isinstance(part, QWidget):
                column.addWidget(part)
            else:
                column.addLayout(part)
        self.at.setText(settings.reminder or USUAL)
        self.on.setChecked(bool(settings.reminder))
        self.on.toggled.connect(lambda _: self._keep())
        self.at.textChanged.connect(lambda _: self._keep())
        self._keep()

    def _keep(self) -> None:
        found = hour_of(self.at.text())
        wrong = self.on.isChecked() and found is None
        self.at.setEnabled(self.on.isChecked())
        self.at.setProperty("wrong", "true" if wrong else "")
        self._hint.setProperty("voice", "error" if wrong else "soft")
        for widget in (self.at, self._hint):
            widget.style().unpolish(widget)
            widget.style().polish(widget)
        self._hint.setText(
            _("A time from 0:00 to 23:59, such as 18:00.")
            if wrong
            else _("Only while the window is open, once a day, and not when nothing is left.")
        )
        self._hint.setAlignment(Qt.AlignmentFlag.AlignLeft)
        if not wrong:
            said = f"{found:%H:%M}" if found is not None and self.on.isChecked() else ""
            if said != self._settings.reminder:
                self._settings.reminder = said
                self._settings.reminded = ""
