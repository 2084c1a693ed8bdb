"""The window as a whole: what it is set to is ticked in its menu."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QSettings

from rackview.ui.window import MainWindow


@pytest.fixture
def kept(quick_folder) -> QSettings:
    return QSettings(str(quick_folder / "window.ini"), QSettings.Format.IniFormat)


def ticked(window: MainWindow) -> set[str]:
    return {name for name, action in window.commands.actions.items() if action.isChecked()}


def test_the_menu_ticks_what_the_window_is_set_to(qtbot, desk, kept):
    kept.setValue("look", "dark")
    kept.setValue("far", "yes")
    window = MainWindow(desk, kept)
    qtbot.addWidget(window)
    assert ticked(window) == {"dark", "far"}
    window.commands["light"].trigger()
    window.commands["light"].trigger()
    assert ticked(window) == {"light", "far"}, "one look only, and never none"
    window.commands["far"].trigger()
    assert not window.far, "the first press turns it off"
    window.commands["follow_system"].trigger()
    assert ticked(window) == {"follow_system"}


def test_a_window_that_keeps_nothing_can_still_be_seen_from_afar(qtbot, desk):
    window = MainWindow(desk, look="light")
    qtbot.addWidget(window)
    window.commands["far"].trigger()
    assert window.far
    window.commands["far"].trigger()
    assert not window.far
