"""What the tests of the round share: typing, where the keyboard is, and what was recorded."""

from __future__ import annotations

from datetime import timedelta

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

ENTER = "\n"


def press(qtbot, text) -> None:
    """Type digits and named keys on whatever has the keyboard."""
    for key in [text] if isinstance(text, Qt.Key) else text:
        target = QApplication.focusWidget()
        assert target is not None
        if key == ENTER:
            qtbot.keyClick(target, Qt.Key.Key_Return)
        elif isinstance(key, str):
            qtbot.keyClicks(target, key)
        else:
            qtbot.keyClick(target, key)


def here(screen) -> str:
    """The key of the field that has the keyboard; "" for the button."""
    line = QApplication.focusWidget()
    fields = {**screen.count.fields, **screen.do.fields}
    return next((k for k, f in fields.items() if f.line is line), "")


def today(session, clock, kind):
    return [e for e in session.rack.events() if isinstance(e, kind) and e.at >= clock.now - timedelta(hours=3)]
