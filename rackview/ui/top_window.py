"""What every window of the program has in common: a second start raises it, Enter presses its buttons."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QMainWindow

FRAME = QSize(8, 40)
"""A title bar and borders, as window managers draw them; Qt knows their sizes only once the window is shown."""


class TopWindow(QMainWindow):
    """A window on the desktop."""

    def raise_up(self) -> None:
        """Bring the window to the front; a second start asks for it."""
        self.setWindowState(self.windowState() & ~Qt.WindowState.WindowMinimized)
        self.raise_()
        self.activateWindow()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let Enter press the button that has the keyboard, as the space bar does."""
        pressed = QApplication.focusWidget()
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and isinstance(pressed, QAbstractButton):
            pressed.click()
        else:
            super().keyPressEvent(event)

    def fit(self, smallest: QSize, usual: QSize) -> None:
        """Take the usual size, or what the screen has room for with the frame."""
        room = self.screen().availableSize() - FRAME
        self.setMinimumSize(smallest.boundedTo(room))
        self.resize(usual.boundedTo(room))
