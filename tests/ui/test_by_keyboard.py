"""The window without a mouse: where Tab goes, what a screen reader is told there, and which letters press what."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QWidget

from rackview.ui.window import SCREENS, MainWindow


@pytest.fixture
def window(qtbot, session):
    made = MainWindow(session, look="light")
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.show()
    made.activateWindow()
    return made


def name_of(widget: QWidget) -> str:
    told = QAccessible.queryAccessibleInterface(widget)
    return told.text(QAccessible.Text.Name) if told else ""


def stops(window: MainWindow) -> list[str]:
    """The names at which Tab stops, from the open screen once around."""
    start = window.screen_widget()
    start.setFocus()
    seen: list[QWidget] = []
    onwards = True
    while QApplication.focusWidget() not in seen:
        seen.append(QApplication.focusWidget())
        window.focusNextPrevChild(onwards)
    return [name_of(w) for w in seen]


def in_order(names: list[str], *wanted: str) -> bool:
    places = [names.index(w) for w in wanted]
    return places == sorted(places)


@pytest.mark.parametrize("screen", SCREENS)
def test_every_stop_has_a_name_and_no_two_controls_share_a_letter(window, screen):
    window.go(screen)
    QApplication.processEvents()
    shown = [w for w in window.findChildren(QWidget) if w.isVisible()]
    nameless = [w for w in shown if w.focusPolicy() != Qt.FocusPolicy.NoFocus and w.isEnabled() and not name_of(w)]
    assert not nameless
    lettered = [w for w in shown if isinstance(w, QAbstractButton) or (isinstance(w, QLabel) and w.buddy())]
    letters = Counter(m[1].lower() for w in lettered if (m := re.search(r"&([^&])", w.text())))
    assert not [letter for letter, n in letters.items() if n > 1]


def test_tab_goes_about_the_round_as_it_is_read(window):
    window.go("round")
    names = stops(window)
    assert in_order(
        names, "tally 1", "tally 2", "with eggs", "tint, 0 to 4", "water temperature", "specific gravity", "pH"
    )
    assert in_order(names, "oxygen", "harvest", "refill", "feed", "Record, next vessel", "Cautions")


def test_tab_goes_about_a_vessel_as_it_is_read_also_when_the_list_was_made_anew(window, session):
    window.go("vessel", "Dab")
    side = window.screen_widget().side
    side.set_theme(side.theme)
    QApplication.processEvents()
    names = stops(window)
    why = next(n for n in names if n.startswith("Why: "))
    assert in_order(names, "14 d", "Vessel after", "Recorded events, newest first", why, "Harvest…", "Edit vessel…")


def test_tab_goes_about_the_records_as_they_are_read(window):
    window.go("records")
    assert in_order(
        stops(window),
        "After a loss…",
        "all vessels",
        "all entries",
        "Search the records",
        "Recorded events, newest first",
    )


@pytest.mark.parametrize("screen", ["larvae", "stock", "records", "vessel", "settings", "add_vessel", "bench"])
def test_tab_does_not_stop_where_nothing_shows_it(window, screen):
    window.go(screen)
    assert stops(window)[1:].count(window.screen_widget().accessibleName()) == 0
    assert not window.screen_widget().focusPolicy() & Qt.FocusPolicy.TabFocus
