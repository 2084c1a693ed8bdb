"""Records: found by words and days, several taken back in one step, rows copied as a spreadsheet takes them."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QItemSelectionModel, Qt
from PySide6.QtWidgets import QApplication

from rackview.ui.records.screen import RecordsScreen
from rackview.ui.theme import LIGHT
from rackview.ui.window import MainWindow

ROW = QItemSelectionModel.SelectionFlag.Select | QItemSelectionModel.SelectionFlag.Rows


@pytest.fixture
def screen(qtbot, session):
    made = RecordsScreen(session, LIGHT)
    qtbot.addWidget(made)
    made.resize(1000, 600)
    made.refresh()
    return made


def rows(screen) -> list[list[str]]:
    return [screen.events.model.line_at(r) for r in range(screen.events.model.rowCount())]


def choose(screen, *which: int) -> None:
    table = screen.events.table
    table.clearSelection()
    for row in which:
        table.selectionModel().setCurrentIndex(table.model().index(row, 0), ROW)


@pytest.mark.parametrize(
    ("words", "number"),
    [("dab algae", 5), ("HARVEST", 5), ("floss brill", 1), ("b1", 3), ("refill 5", 5), ("nothing of the kind", 0)],
)
def test_all_words_must_be_there_wherever_they_stand(screen, words, number):
    screen.search.begin(words)
    assert len(rows(screen)) == number


def test_days_bound_the_search_with_both_ends_in_it(screen, session):
    whole = len(rows(screen))
    screen.search.begin(first="yesterday")
    newest = rows(screen)
    assert 0 < len(newest) < whole
    screen.search.begin(last="2 days ago")
    assert len(rows(screen)) == whole - len(newest)
    screen.search.begin(first="yesterday", last="2026-05-13")
    assert rows(screen) == newest
    screen.search.begin()
    assert len(rows(screen)) == whole


def test_a_day_that_cannot_be_read_is_said_and_changes_nothing(screen):
    screen.search.begin(first="yesterday")
    before = rows(screen)
    screen.search.begin(first="the day of the storm")
    assert "a day such as yesterday" in screen._message.text()
    assert not screen._message.isHidden()
    assert screen.search.first.property("wrong") == "true"
    assert rows(screen) == before
    screen.search.begin(first="yesterday")
    assert screen._message.isHidden()


def test_typing_searches_by_itself_and_esc_clears_before_it_leaves(qtbot, awake, session):
    window = MainWindow(session, look="light")
    qtbot.addWidget(window)
    awake(window)
    window.commands["find"].trigger()
    assert window.screen_name == "records"
    screen = window.screen_widget()
    assert QApplication.focusWidget() is screen.search.words
    qtbot.keyClicks(screen.search.words, "floss")
    qtbot.waitUntil(lambda: len(rows(screen)) == 1)
    qtbot.keyClick(screen.search.words, Qt.Key.Key_Escape)
    assert len(rows(screen)) > 1
    assert window.screen_name == "records"
    qtbot.keyClick(screen.search.words, Qt.Key.Key_Escape)
    assert window.screen_name == "rack"


def test_several_lines_are_taken_back_in_one_step(screen, session):
    screen.search.begin("harvest")
    choose(screen, 0, 2, 3)
    assert screen.events._withdraw.text() == "Take 3 back"
    assert not screen.events._correct.isEnabled()
    screen.events._withdraw.click()
    assert len(rows(screen)) == 2
    assert session.undo_words == "Took back 3 entries"
    session.undo()
    screen.refresh()
    assert len(rows(screen)) == 5


def test_rows_are_copied_with_their_titles(screen):
    screen.search.begin("harvest")
    choose(screen, 0, 1)
    said = []
    screen.said.connect(said.append)
    screen.events._copy.click()
    lines = QApplication.clipboard().text().splitlines()
    assert lines[0].split("\t") == ["When", "Vessel", "What", "Details"]
    assert [line.split("\t") for line in lines[1:]] == rows(screen)[:2]
    assert said == ["2 row(s) copied"]


def test_nothing_found_says_how_to_go_on(screen):
    screen.search.begin("no such thing")
    assert "clears it" in screen.events.table.empty
    screen.search.begin()
    assert "The round writes here" in screen.events.table.empty
