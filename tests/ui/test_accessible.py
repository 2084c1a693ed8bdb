"""What a screen reader is told: buttons are announced as buttons, and everything that takes the keyboard has a name."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QAbstractButton, QAbstractItemView, QComboBox, QLineEdit, QWidget

from rackview.ui.registry import SCREENS
from rackview.ui.window import MainWindow

PRESSED = {
    QAccessible.Role.PushButton,
    QAccessible.Role.Button,
    QAccessible.Role.ButtonMenu,
    QAccessible.Role.CheckBox,
    QAccessible.Role.RadioButton,
}


def nameless(window: QWidget) -> Iterator[str]:
    """What is announced as something else than it is, or has no name, as a sentence each."""
    for widget in window.findChildren(QWidget):
        if not widget.isVisible():
            continue
        told = QAccessible.queryAccessibleInterface(widget)
        name = told.text(QAccessible.Text.Name)
        words = f"{type(widget).__name__} {widget.objectName()} in {type(widget.parentWidget()).__name__}"
        if isinstance(widget, QAbstractButton) and told.role() not in PRESSED:
            yield f"{words} “{name}” is announced as {told.role().name}"
        takes = isinstance(widget, QAbstractButton | QLineEdit | QComboBox | QAbstractItemView)
        if takes and widget.focusPolicy() != Qt.FocusPolicy.NoFocus and not name.strip():
            yield f"{words} has no name"


@pytest.mark.parametrize("screen", SCREENS)
def test_buttons_are_announced_as_buttons_and_fields_have_names(qtbot, session, screen) -> None:
    window = MainWindow(session, None, look="light")
    qtbot.addWidget(window)
    window.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    window.show()
    window.go(screen)
    for _ in range(3):
        QCoreApplication.processEvents()
    assert list(nameless(window)) == []
    if screen == "vessel":
        for what in ("count", "split", "edit"):
            window.screen_widget()._wanted(what)
            QCoreApplication.processEvents()
            assert list(nameless(window)) == []


def test_the_test_hears_what_has_no_name(qtbot) -> None:
    host = QWidget()
    qtbot.addWidget(host)
    field = QLineEdit(host)
    host.show()
    assert len(list(nameless(host))) == 1
    field.setAccessibleName("tallies")
    assert list(nameless(host)) == []
