"""The tally in large figures, for a glance aside from the eyepiece; a tick of sound for each key if it is asked for."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QSizePolicy, QWidget

from rackview.language import _
from rackview.ui import keys
from rackview.ui.paint.ink import pen, saved, width_of, wrapped, write
from rackview.ui.tally.model import ANIMAL, CARRYING, CILIATE, NEXT, Square, Tally
from rackview.ui.theme import Theme, fonts

PRESSED = {"animal": ANIMAL, "with eggs": CARRYING, "ciliate": CILIATE, "next square": NEXT}


class TallyPage(QWidget):
    """One vessel's tally.

    Signals
    -------
    finished() : the tally is to be taken over; it is in `tally`
    left() : back without taking anything over
    """

    finished = Signal()
    left = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.tally = Tally()
        self.sound = False
        self._title = ""
        self._dilution = 1.0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(_("Tally"))

    def begin(self, title: str, dilution: float) -> None:
        """Start a tally for the vessel called `title`, whose sample is diluted so many times."""
        self._title, self._dilution = title, dilution
        self.tally = Tally()
        self.update()
        self.setFocus()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        command = keys.command("Tally", Qt.Key(event.key()))
        if command in PRESSED:
            self.tally.press(PRESSED[command])
        elif command == "undo":
            self.tally.undo()
        elif command == "finish":
            if self.tally.whole():
                self.finished.emit()
            return
        elif command == "sound":
            self.sound = not self.sound
        elif command == "leave":
            self.left.emit()
            return
        else:
            super().keyPressEvent(event)
            return
        if self.sound:
            QApplication.beep()
        self._announce(command)
        self.update()

    def _announce(self, command: str) -> None:
        if command in {"next square", "undo"}:
            said = _("square {n}, {animals} so far").format(
                n=len(self.tally.squares) + 1, animals=sum(self.tally.tallies)
            )
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, said))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, theme, tally = QPainter(self), self.theme, self.tally
        scale = max(0.75, min(self.width() / 900, self.height() / 560, 2.0))
        small, left = round(16 * scale), 36 * scale
        room = self.width() - 2 * left
        with saved(painter):
            y = 44 * scale
            write(painter, left, y, self._title, round(24 * scale), theme.ink, fonts.BOLD, room=room)
            square = _("square {n}").format(n=len(tally.squares) + 1)
            write(painter, left + room, y, square, round(20 * scale), theme.middle, right=True)
            y += 150 * scale
            px = round(150 * scale)
            figure = str(tally.current.animals)
            write(painter, left, y, figure, px, theme.ink, fonts.BOLD, display=True)
            x = left + width_of(figure, px, fonts.BOLD, display=True) + 28 * scale
            for n, (number, word) in enumerate(self._beside()):
                base = y - (62 - 44 * n) * scale
                write(painter, x, base, number, round(34 * scale), theme.ink, fonts.SEMIBOLD)
                write(painter, x + 64 * scale, base, word, small, theme.middle)
            y += 40 * scale
            self._row(painter, QRectF(left, y, room, 64 * scale), scale)
            y += 110 * scale
            for line in wrapped(tally.advice(self._dilution), small, fonts.MEDIUM, room, 2):
                write(painter, left, y, line, small, theme.ink, fonts.MEDIUM)
                y += small * 1.4
            self._keys(painter, QRectF(left, y + small * 1.6, room, 0), small)

    def _beside(self) -> tuple[tuple[str, str], ...]:
        here = self.tally.current
        return ((str(here.with_eggs), _("with eggs")), (str(here.ciliates), _("ciliates")))

    def _keys(self, painter: QPainter, box: QRectF, px: int) -> None:
        """The keys, each with what it does, from left to right and then in the next line."""
        sound = _("sound off") if self.sound else _("sound on")
        x, y = box.left(), box.top()
        for key, word in (
            ("1", _("animal")),
            ("2", _("animal with eggs")),
            ("3", _("ciliate")),
            ("0", _("next square")),
            ("−", _("take back")),
            ("Enter", _("take over")),
            ("S", sound),
            ("Esc", _("leave")),
        ):
            wide = width_of(key, px, fonts.BOLD) + px * 0.5 + width_of(word, px)
            if x > box.left() and x + wide > box.right():
                x, y = box.left(), y + px * 1.7
            end = x + write(painter, x, y, key, px, self.theme.ink, fonts.BOLD) + px * 0.5
            write(painter, end, y, word, px, self.theme.middle)
            x += wide + px * 1.8

    def _row(self, painter: QPainter, box: QRectF, scale: float) -> None:
        """The closed squares, newest at the right, as many as there is room for."""
        wide = 78 * scale
        shown: tuple[Square, ...] = self.tally.squares[-max(1, int(box.width() / wide)) :]
        for n, square in enumerate(shown):
            cell = QRectF(box.left() + n * wide, box.top(), wide - 10 * scale, box.height())
            painter.setBrush(self.theme.entry)
            painter.setPen(pen(self.theme.rim, 1.2))
            painter.drawRoundedRect(cell, 5, 5)
            px = round(28 * scale)
            text = str(square.animals)
            x = cell.center().x() - width_of(text, px, fonts.SEMIBOLD) / 2
            write(painter, x, cell.center().y() + px * 0.36, text, px, self.theme.ink, fonts.SEMIBOLD)
