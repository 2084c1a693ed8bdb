"""The window as a whole: what it is set to is ticked in its menu, Enter presses buttons."""

from __future__ import annotations

import sys

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QAbstractButton, QApplication, QPushButton, QWidget

from rackview.services import desktop
from rackview.services.sessions import open_session
from rackview.ui.navigation import OneLine
from rackview.ui.window import SCREENS, MainWindow


@pytest.fixture
def kept(quick_folder) -> QSettings:
    return QSettings(str(quick_folder / "window.ini"), QSettings.Format.IniFormat)


def ticked(window: MainWindow) -> set[str]:
    return {name for name, action in window.commands.actions.items() if action.isChecked()}


def test_the_menu_ticks_what_the_window_is_set_to(qtbot, session, kept):
    kept.setValue("look", "dark")
    kept.setValue("far", "yes")
    window = MainWindow(session, kept)
    qtbot.addWidget(window)
    assert ticked(window) == {"dark", "far", "language_en"}
    window.commands["light"].trigger()
    window.commands["light"].trigger()
    assert ticked(window) == {"light", "far", "language_en"}, "one look only, and never none"
    window.commands["far"].trigger()
    assert not window.look.far, "the first press turns it off"
    window.commands["follow_system"].trigger()
    assert ticked(window) == {"follow_system", "language_en"}


def test_a_window_that_keeps_nothing_can_still_be_seen_from_afar(qtbot, session):
    window = MainWindow(session, look="light")
    qtbot.addWidget(window)
    window.commands["far"].trigger()
    assert window.look.far
    window.commands["far"].trigger()
    assert not window.look.far


def test_enter_presses_the_button_that_has_the_keyboard(qtbot, awake, session_at, quick_folder, clock):
    empty = open_session(quick_folder / "empty.db", clock)
    window = MainWindow(empty, look="dark")
    qtbot.addWidget(window)
    awake(window)
    button = QApplication.focusWidget()
    assert isinstance(button, QPushButton), "the first run begins on its button"
    qtbot.keyClick(button, Qt.Key.Key_Return)
    assert window.screen_name == "add_vessel"
    empty.close()


def test_enter_at_the_end_of_the_round_goes_where_its_button_says(qtbot, awake, session, clock):
    window = MainWindow(session, look="light")
    qtbot.addWidget(window)
    window.resize(1200, 800)
    awake(window)
    window.go("round")
    page = window.screen_widget()
    while not page.end.isVisible():
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_PageDown)
    there = next(b for b in page.end.findChildren(QPushButton) if b.text() == "Go there")
    there.setFocus()
    qtbot.keyClick(there, Qt.Key.Key_Return)
    assert window.screen_name == "round"
    assert not page.end.isVisible(), "not back to the rack"
    page._show_end()
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert window.screen_name == "rack"


@pytest.mark.parametrize("screen", ["larvae", "stock", "records", "bench", "loss", "help"])
def test_esc_goes_back_to_the_rack(qtbot, session, screen):
    window = MainWindow(session, look="light")
    qtbot.addWidget(window)
    window.show()
    qtbot.waitExposed(window)
    window.go(screen)
    qtbot.keyClick(window.focusWidget() or window.screen_widget(), Qt.Key.Key_Escape)
    assert window.screen_name == "rack"


def test_long_words_at_the_top_lose_their_end_and_not_their_beginning(qtbot):
    line = OneLine()
    qtbot.addWidget(line)
    line.setText("A1: count 31 33 34, harvest 4.5 L, feed 11 mL, floss rinsed")
    line.resize(180, 30)
    assert line.shown().startswith("A1: count")
    assert line.shown().endswith("…")
    line.resize(900, 30)
    assert line.shown() == line.text()


@pytest.fixture
def shown(qtbot, awake, session):
    """Shows a window on one of its screens and gives it the keyboard."""

    def show(name, width=1280, height=800):
        window = MainWindow(session, look="light")
        qtbot.addWidget(window)
        window.resize(width, height)
        awake(window)
        window.go(name)
        return window

    return show


def controls(window: MainWindow) -> list[QWidget]:
    """What Tab must lead to; among buttons of which one is chosen the arrows lead on."""
    tab = Qt.FocusPolicy.TabFocus
    shown = [w for w in window.findChildren(QWidget) if w.isVisible() and w.isEnabled() and w.focusPolicy() & tab]
    return [w for w in shown if w.focusProxy() is None and not (isinstance(w, QAbstractButton) and w.group())]


@pytest.mark.parametrize("name", [n for n in SCREENS if n != "help"])  # there Tab leads through the links of a page
def test_tab_leads_to_every_control_and_round_again(qtbot, shown, name):
    window = shown(name)
    wanted = controls(window)
    reached = set()
    for _ in range(2 * len(wanted) + 2):
        here = QApplication.focusWidget()
        reached.add(here)
        qtbot.keyClick(here, Qt.Key.Key_Tab)
    assert [w for w in wanted if w not in reached] == []


@pytest.mark.parametrize("name", SCREENS)
def test_every_screen_fits_a_full_hd_screen_at_double_size(qtbot, shown, name):
    window = shown(name, 960, 540)
    window.setMinimumSize(0, 0)
    window.resize(960, 540)
    qtbot.waitUntil(lambda: window.minimumSizeHint().width() <= 960)
    assert window.minimumSizeHint().height() <= 540


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="a menu of Linux desktops")
def test_the_menu_puts_the_program_into_the_desktops_menu_and_out_again(qtbot, session):
    window = MainWindow(session, look="light")
    qtbot.addWidget(window)
    assert "desktop" not in ticked(window)
    window.commands["desktop"].trigger()
    assert desktop.installed()
    assert "desktop" in ticked(window)
    window.commands["desktop"].trigger()
    assert not desktop.installed()
    assert "out of the applications menu" in window.navigation._said.text()


def test_the_window_opens_at_a_size_that_the_screen_has_room_for_with_its_frame(qtbot, session):
    window = MainWindow(session, look="light")
    qtbot.addWidget(window)
    room = window.screen().availableSize()
    assert window.width() <= room.width() - 8
    assert window.height() <= room.height() - 40
