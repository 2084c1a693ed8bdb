"""The row at the top: the screens as words, what was last done with its undo, and the menu."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QAction, QPainter, QPaintEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLabel, QMenu, QSizePolicy, QToolButton, QWidget

from rackview.language import _
from rackview.ui import keys

HEIGHT = 40


class OneLine(QLabel):
    """Words in one line, cut at their end where there is no room for all of them."""

    def shown(self) -> str:
        """As much of the words as there is room for."""
        return self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, self.width())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(self.palette().color(self.foregroundRole()))
        painter.drawText(self.rect(), self.alignment(), self.shown())


class Navigation(QWidget):
    """Words to go to the screens by.

    Signals
    -------
    chosen(str) : the name of the screen whose word was pressed
    """

    chosen = Signal(str)

    def __init__(self, words: dict[str, str], undo: QAction, menu: QMenu, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedHeight(HEIGHT)
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 4, 12, 0)
        row.setSpacing(4)
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        self._buttons: dict[str, QToolButton] = {}
        for name, word in words.items():
            button = QToolButton(self)
            button.setText(word)
            button.setCheckable(True)
            button.setProperty("role", "place")
            button.setAccessibleName(_("Go to: {word}").format(word=word))
            button.clicked.connect(lambda _=False, n=name: self.chosen.emit(n))
            self._group.addButton(button)
            self._buttons[name] = button
            row.addWidget(button)
        row.addSpacing(12)
        self._said = OneLine(self)
        self._said.setProperty("voice", "soft")
        self._said.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._said.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._said.setMinimumWidth(80)
        row.addWidget(self._said, 4)
        self._undo = QToolButton(self)
        self._undo.setDefaultAction(undo)
        row.addWidget(self._undo)
        self._menu = QToolButton(self)
        self._menu.setText(_("Menu"))
        self._menu.setAccessibleName(_("Menu"))
        self._menu.setMenu(menu)
        self._menu.setShortcut(keys.bound("Everywhere", "menu").keys[0])
        self._menu.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        row.addWidget(self._menu)

    def sizeHint(self) -> QSize:
        return QSize(800, HEIGHT)

    def show_place(self, name: str) -> None:
        """Mark the word of the screen that is open; a screen without a word marks none."""
        self._group.setExclusive(False)
        for key, button in self._buttons.items():
            button.setChecked(key == name)
        self._group.setExclusive(True)

    def say(self, words: str) -> None:
        """Show what was last done, or a notice."""
        self._said.setText(words)
        self._said.setToolTip(words)
