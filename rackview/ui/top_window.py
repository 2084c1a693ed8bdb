"""What every window of the program has in common: a second start raises it, Enter presses its buttons."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QMainWindow


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
