"""The line inside a field for wet hands: typed into, or chosen from with a digit."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
)
from PySide6.QtWidgets import QLineEdit, QWidget

from rackview.ui import keys

MOVES = {
    Qt.Key.Key_Return: "next",
    Qt.Key.Key_Enter: "next",
    Qt.Key.Key_Up: "up",
    Qt.Key.Key_Down: "down",
    Qt.Key.Key_Left: "left",
    Qt.Key.Key_Right: "right",
}


AT_ONCE = frozenset({"record", "undo", "skip", "back", "take all", "tally", "day before", "day after", "day"})
"""Commands that a field hands on whatever is typed in it."""


COMMANDS = {key: word for key, word in keys.commands("Round").items() if word in AT_ONCE}


CARET = 6
"""Room that a line edit keeps beside its text, px."""


Choices = tuple[tuple[str, str], ...]
"""Values with the words they are shown as."""


class BareLineEdit(QLineEdit):
    """The bare line inside a field.

    Signals
    -------
    moved(str) : next, up, down, left or right was asked for
    commanded(str) : record, undo, skip, back, take all or leave
    take_wanted() : the suggestion that stands here is to be taken
    left() : the keyboard went elsewhere
    """

    moved = Signal(str)
    commanded = Signal(str)
    take_wanted = Signal()
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrame(False)
        self.setStyleSheet("QLineEdit { background: transparent; border: 0; padding: 0; min-height: 0; }")
        self._on_entry = ""
        self.space_goes_on = False
        self.suggests = False

    def restore(self) -> bool:
        """Put back what stood there when the keyboard came; False if nothing had changed."""
        if self.text() == self._on_entry:
            return False
        self.setText(self._on_entry)
        self.textEdited.emit(self._on_entry)
        self.selectAll()
        return True

    def settle(self) -> None:
        """Take the present text as what Esc goes back to."""
        self._on_entry = self.text()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        plain = not event.modifiers() & ~(Qt.KeyboardModifier.KeypadModifier | Qt.KeyboardModifier.ShiftModifier)
        if plain and key in MOVES:
            self.moved.emit(MOVES[key])
        elif plain and key in COMMANDS:
            self.commanded.emit(COMMANDS[key])
        elif plain and key == Qt.Key.Key_Space and self.suggests and not self.text():
            self.take_wanted.emit()
        elif plain and key == Qt.Key.Key_Space and self.space_goes_on:
            if self.text().strip():
                self.moved.emit("next")
        elif plain and key == Qt.Key.Key_Backspace and not self.text():
            self.moved.emit("left")
        elif key == Qt.Key.Key_Escape:
            if not self.restore():
                self.commanded.emit("leave")
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.settle()
        self.selectAll()
        parent = self.parentWidget()
        if parent is not None:
            parent.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        parent = self.parentWidget()
        if parent is not None:
            parent.update()
        self.left.emit()


class ChoiceLine(BareLineEdit):
    """A line that holds one of a few values, each shown as a word; a digit chooses, the space bar goes on.

    Digits count from `first`; where that is 1, a 0 is the last.
    """

    def __init__(self, choices: Choices, first: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.first = first
        self.set_choices(choices)
        self.setReadOnly(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def set_choices(self, choices: Choices) -> None:
        """Offer other values."""
        self.values = tuple(value for value, _ in choices)
        self.words = tuple(word for _, word in choices)
        last = len(self.words) - 1 + self.first
        told = ", ".join(f"{0 if self.first and n == last else n} {w}" for n, w in enumerate(self.words, self.first))
        self.setToolTip(told)

    def value(self) -> str:
        """The value whose word is shown, "" for none."""
        return self.values[self.words.index(self.text())] if self.text() in self.words else ""

    def show_value(self, value: str) -> None:
        """Show the word of a value."""
        self.setText(self.words[self.values.index(value)] if value in self.values else "")
        self.setCursorPosition(0)

    def choose(self, index: int) -> None:
        """Take the value with that number, if there is one."""
        if 0 <= index < len(self.values):
            self.show_value(self.values[index])
            self.textEdited.emit(self.text())

    def step(self) -> None:
        """Go on to the next value, round and round."""
        here = self.values.index(self.value()) if self.value() else -1
        self.choose((here + 1) % len(self.values))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        digit = event.text()
        if digit.isdecimal():
            last = self.first == 1 and digit == "0"
            self.choose(len(self.values) - 1 if last else int(digit) - self.first)
        elif event.key() == Qt.Key.Key_Space and not (self.suggests and not self.text()):
            self.step()
        elif event.key() in {Qt.Key.Key_Backspace, Qt.Key.Key_Delete} and self.text():
            self.clear()
            self.textEdited.emit("")
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """The first click brings the keyboard, the next go from value to value: a click alone changes nothing."""
        if self.hasFocus():
            self.step()
        else:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
