"""What the main window asks of a screen.

A screen is a QWidget made from the session and a theme. Whatever of the following it has is used: methods
`open(argument)` when it is shown, `refresh()` when the rack changed or a minute passed, `save()` before it may
vanish, `set_theme(theme)`; signals `said(str)`, `leave()`, `open_vessel(str)`, `go(str)`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QWidget

if TYPE_CHECKING:
    from rackview.ui.theme import Theme


class SubPage(QWidget):
    """A screen that Esc leaves.

    Signals
    -------
    leave() : back to the rack
    said(str) : words for the window's line of what was done
    """

    leave = Signal()
    said = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)  # it shows no ring, so Tab does not stop at it

    def take_keyboard(self) -> None:
        """Hand the keyboard on to where the page begins; a page that keeps it does nothing here."""

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.take_keyboard()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.leave.emit()
        else:
            super().keyPressEvent(event)


def call(screen: QWidget, name: str, *arguments: Any) -> None:
    """Call a screen's method if it has one of that name."""
    method = getattr(screen, name, None)
    if method is not None:
        method(*arguments)


def enter(screen: QWidget, argument: str) -> None:
    """Show what the screen is for: the vessel, the page; or what it showed last."""
    call(screen, "open", argument or None)


def refresh(screen: QWidget) -> None:
    """Show the rack as it is now."""
    call(screen, "refresh")


def save(screen: QWidget) -> None:
    """Keep what is typed."""
    call(screen, "save")


def dress(screen: QWidget, theme: Theme) -> None:
    """Take other colours."""
    call(screen, "set_theme" if hasattr(screen, "set_theme") else "apply_theme", theme)
