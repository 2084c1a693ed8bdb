"""Tables on the window: dropped or chosen, asked about, shown line by line, taken in by one step that can be undone."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QLineEdit

from rackview.core.events import Count
from rackview.services import places
from rackview.ui.import_tables.page import ImportPage
from rackview.ui.window import MainWindow


@pytest.fixture(autouse=True)
def own_mappings(quick_folder, monkeypatch):
    monkeypatch.setattr(places, "config_dir", lambda: quick_folder / "config")


@pytest.fixture
def window(qtbot, session):
    found = MainWindow(session, look="light")
    qtbot.addWidget(found)
    found.show()
    return found


def drop(window: MainWindow, *paths: Path) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(p)) for p in paths])
    copy, left, plain = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(QPoint(5, 5), copy, data, left, plain)
    QApplication.sendEvent(window, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(window, QDropEvent(QPointF(5, 5), copy, data, left, plain))


def shown(qtbot, window: MainWindow) -> ImportPage:
    """The page once it has read."""
    page = window.screen_widget()
    assert isinstance(page, ImportPage)
    qtbot.waitUntil(lambda: page.model.draft is not None and page.busy.isHidden())
    return page


def choose(qtbot, page: ImportPage, key: str, value: str) -> None:
    box = page.questions.fields[key]
    assert isinstance(box, QComboBox)
    place = box.findData(value)
    assert place >= 0
    box.setCurrentIndex(place)
    box.activated.emit(place)
    qtbot.waitUntil(page.busy.isHidden)


def counts(session) -> list[Count]:
    return [e for e in session.rack.events() if isinstance(e, Count) and not e.tallies]


def table(folder: Path, text: str) -> Path:
    path = folder / "log.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_table_is_dropped_asked_about_taken_in_and_taken_back(qtbot, window, session, tmp_path):
    drop(window, table(tmp_path, "Date,Tank,Density\n3/4/26,Brill,120\n3/5/26,Dab,130\n"))
    page = shown(qtbot, window)
    assert not page.take.isEnabled()
    assert list(page.questions.fields) == ["date order"]
    choose(qtbot, page, "date order", "month first")
    assert page.take.text().replace("&", "") == "Take in 2 entries"
    assert page.lines.item(0, 2).text() == "count at Brill, 2026-03-04T00:00: 120 per mL"
    page.take.click()
    assert window.screen_name == "rack"
    assert [(e.vessel, e.density_per_ml) for e in counts(session)] == [("Brill", 120.0), ("Dab", 130.0)]
    session.undo()
    assert counts(session) == []


def test_the_keyboard_goes_on_to_the_next_question_and_to_taking_in(qtbot, window, tmp_path):
    drop(window, table(tmp_path, "Date,Tank,Density\n3/4/26,Brill,120\n3/5/26,Merlin,130\n"))
    page = shown(qtbot, window)
    choose(qtbot, page, "date order", "day first")
    qtbot.waitUntil(lambda: page.focusWidget() is page.questions.fields["unknown vessels"])
    choose(qtbot, page, "unknown vessels", "left out")
    qtbot.waitUntil(lambda: page.focusWidget() is page.take)


def test_what_was_answered_is_remembered_by_the_header(qtbot, window, tmp_path):
    drop(window, table(tmp_path, "Date,Tank,Density\n3/4/26,Brill,120\n"))
    choose(qtbot, shown(qtbot, window), "date order", "month first")
    shown(qtbot, window).take.click()
    drop(window, table(tmp_path, "Date,Tank,Density\n3/5/26,Brill,140\n"))
    assert shown(qtbot, window).take.isEnabled()


def test_a_column_can_be_taken_for_something_else(qtbot, window, session, tmp_path):
    drop(window, table(tmp_path, "Date,Tank,Density\n2026-03-04,Brill,120\n"))
    page = shown(qtbot, window)
    box = page.columns.grid.cellWidget(0, 2)
    assert isinstance(box, QComboBox)
    assert box.currentData() == "density /mL"
    place = box.findData("tallies")
    box.setCurrentIndex(place)
    box.activated.emit(place)
    qtbot.waitUntil(lambda: page.busy.isHidden() and "tallies" in page.lines.item(0, 2).text())
    page.take.click()
    assert any(isinstance(e, Count) and e.tallies == (120,) for e in session.rack.events())


def test_good_lines_go_in_and_the_others_into_a_file(qtbot, window, session, tmp_path, monkeypatch):
    drop(window, table(tmp_path, "Date,Tank,Density\n2026-03-04,Brill,120\n2026-03-05,Brill,100-120\n"))
    page = shown(qtbot, window)
    assert page.lines.item(0, 1).text() == "stays out"
    assert "1 can't be and will stay out" in page.lead.text()
    saved = tmp_path / "refused.csv"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(saved), ""))
    page.save_refused.click()
    assert "not a range" in saved.read_text(encoding="utf-8")
    page.take.click()
    assert [e.density_per_ml for e in counts(session)] == [120.0]
    page = shown(qtbot, window)
    assert not page.take.isEnabled(), "what was taken in is there already"


def test_new_vessels_are_made_where_the_keeper_says_so(qtbot, window, session, tmp_path):
    drop(window, table(tmp_path, "Date,Tank,Density /mL\n2026-03-04,Bucket 7,120\n"))
    page = shown(qtbot, window)
    assert list(page.questions.fields) == ["unknown vessels"], "it may be no new vessel"
    assert "one thing must be said first" in page.lead.text()
    choose(qtbot, page, "unknown vessels", "new rotifer-L")
    line = page.questions.fields["litres of new vessels"]
    assert isinstance(line, QLineEdit)
    line.setText("18")
    line.editingFinished.emit()
    qtbot.waitUntil(page.take.isEnabled)
    page.take.click()
    assert session.rack.vessels["Bucket 7"].volume_l == 18


def test_a_file_that_is_no_table_is_a_sentence(qtbot, window, tmp_path):
    (tmp_path / "log.xlsx").write_bytes(b"PK\x03\x04" + bytes(50))
    drop(window, tmp_path / "log.xlsx")
    page = shown(qtbot, window)
    assert page.lines.item(0, 2).text() == "It is damaged or protected by a password."
    assert not page.take.isEnabled()


def test_files_are_chosen_from_the_page(qtbot, window, tmp_path, monkeypatch):
    path = table(tmp_path, "at,vessel,kind,what\n2026-03-04T08:00,Brill,clean,floss\n")
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_: ([str(path)], ""))
    window.commands["take_in"].trigger()
    page = window.screen_widget()
    page.choose.click()
    assert shown(qtbot, window).take.isEnabled()
    assert page.columns.isHidden(), "a table of ours needs no mapping"


def test_a_wide_table_is_asked_what_it_holds_and_then_more(qtbot, window, session, tmp_path):
    drop(window, table(tmp_path, "Date,Brill,Dab\n3/4/26,2,1.5\n3/5/26,2,\n"))
    page = shown(qtbot, window)
    choose(qtbot, page, "numbers under the vessels", "harvest L")
    choose(qtbot, page, "date order", "month first")
    assert page.take.isEnabled()
    assert page.lines.item(0, 2).text() == "harvest at Brill, 2026-03-04T00:00: 2 L"


def test_how_far_a_table_is_looked_through_is_drawn(qtbot, window, tmp_path):
    drop(window, table(tmp_path, "at,vessel,kind,tallies\n2026-03-01T08:00,A1,count,98\n"))
    page = shown(qtbot, window)
    assert (page.busy.maximum(), page.busy.value()) == (100, 100)
    page._looked.emit(40, page._turn)
    assert page.busy.value() == 40
    page._looked.emit(90, page._turn - 1)
    assert page.busy.value() == 40, "an older reading is not this one"


def test_a_name_that_is_nearly_a_vessels_is_asked_about_with_that_vessel_first(qtbot, window, session, tmp_path):
    drop(window, table(tmp_path, "Date,Tank,Density\n2026-03-04,Brlll,120\n2026-03-05,Dab,130\n"))
    page = shown(qtbot, window)
    assert list(page.questions.fields) == ["vessel Brlll"]
    box = page.questions.fields["vessel Brlll"]
    assert [box.itemText(n) for n in (0, 1, box.count() - 2)] == ["choose…", "Brill (likely)", "none of these"]
    assert not page.take.isEnabled()
    choose(qtbot, page, "vessel Brlll", "Brill")
    assert list(page.questions.fields) == ["vessel Brlll"], "a slip can be put right"
    page.take.click()
    assert [(e.vessel, e.density_per_ml) for e in counts(session)] == [("Brill", 120.0), ("Dab", 130.0)]


def test_any_name_can_be_said_to_be_a_vessel_of_the_rack(qtbot, window, session, tmp_path):
    drop(window, table(tmp_path, "Date,Tank,Density\n2026-03-04,left tub,120\n2026-03-05,right tub,130\n"))
    page = shown(qtbot, window)
    choose(qtbot, page, "unknown vessels", "vessels of this rack by other names")
    choose(qtbot, page, "vessel left tub", "Dab")
    choose(qtbot, page, "vessel right tub", "Brill")
    page.take.click()
    assert {(e.vessel, e.density_per_ml) for e in counts(session)} == {("Brill", 130.0), ("Dab", 120.0)}


def test_a_name_that_is_none_of_these_is_a_new_vessel(qtbot, window, session, tmp_path):
    drop(window, table(tmp_path, "Date,Tank,Density /mL\n2026-03-04,Brilla,120\n"))
    page = shown(qtbot, window)
    choose(qtbot, page, "vessel Brilla", "none of these")
    choose(qtbot, page, "unknown vessels", "new rotifer-L")
    line = page.questions.fields["litres of new vessels"]
    line.setText("18")
    line.editingFinished.emit()
    qtbot.waitUntil(page.take.isEnabled)
    page.take.click()
    assert "Brilla" in session.rack.vessels
