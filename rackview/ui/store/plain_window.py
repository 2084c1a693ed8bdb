"""A window without screens: what it and the main window have in common."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QMainWindow

SMALLEST = QSize(640, 400)


class PlainWindow(QMainWindow):
    """Opens at a size that the screen has room for; Enter presses the button that has the keyboard."""

    def __init__(self, size: QSize) -> None:
        super().__init__()
        room = self.screen().availableSize()
        self.setMinimumSize(SMALLEST.boundedTo(room))
        self.resize(size.boundedTo(room))

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
