"""A picture kept beside a count, from the round and from the form, seen in the list of entries and whole."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QDialog, QFileDialog

from rackview.core.events import Count
from rackview.ui.records.screen import RecordsScreen
from rackview.ui.round.screen import RoundScreen
from rackview.ui.theme import LIGHT
from rackview.ui.vessel.screen import VesselScreen


@pytest.fixture
def photo(tmp_path, monkeypatch):
    place = tmp_path / "sample.jpg"
    image = QImage(1600, 1200, QImage.Format.Format_RGB32)
    image.fill(QColor("#507060"))
    assert image.save(str(place))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_, **__: (str(place), ""))
    return place


def newest(session) -> Count:
    return max((e for e in session.rack.events() if isinstance(e, Count)), key=lambda e: e.at)


def test_the_round_keeps_a_picture_with_the_count_and_its_draft(qtbot, session, clock, photo):
    screen = RoundScreen(session, LIGHT)
    qtbot.addWidget(screen)
    screen.open("Brill")
    screen.count._picture.click()
    photo.unlink()
    assert "picture" in screen.count._sample.text()
    assert "all.0" in screen.entry.errors(), "a picture is beside a count, never in its place"
    screen.entry.put("all.0", "31", clock.now)
    screen.save()
    again = RoundScreen(session, LIGHT)
    qtbot.addWidget(again)
    again.open("Brill")
    assert again.entry.text("picture") == screen.entry.text("picture"), "the draft has it"
    again.record()
    made = newest(session)
    assert (made.tallies, made.animals) == ((31,), 31), "nothing is counted in a picture"
    assert made.picture.endswith(".jpg")


def test_a_file_that_is_no_picture_is_told_of_on_the_round(qtbot, session, tmp_path, photo):
    photo.write_text("no picture")
    screen = RoundScreen(session, LIGHT)
    qtbot.addWidget(screen)
    screen.open("Brill")
    screen.count._picture.click()
    assert "a picture file" in screen.page.saved.text()
    assert screen.entry.text("picture") == ""


def test_the_form_keeps_it_and_the_list_shows_it_small_and_whole(qtbot, session, photo):
    page = VesselScreen(session, LIGHT)
    qtbot.addWidget(page)
    page.open("Dab")
    page._wanted("count")
    form = page.panel.form
    form.input("tallies").setText("30 33")
    form.input("picture").setText("nowhere.jpg")
    form.submit()
    assert "a picture file" in form.error_of("picture")
    form._choose_file(next(a for a in form.asks if a.column == "picture"), form.input("picture"))
    form.submit()
    made = newest(session)
    assert made.picture.endswith(".jpg")
    records = RecordsScreen(session, LIGHT)
    qtbot.addWidget(records)
    records.refresh()
    for shown in (page.events, records.events):
        shown.show_event(made.id)
        index = shown.model.index(shown.table.currentIndex().row(), shown.model.columnCount() - 2)
        assert not index.data(Qt.ItemDataRole.DecorationRole).isNull()
        assert shown._picture.isVisibleTo(shown)
        other = next(n for n in range(9) if shown.model.picture_of(shown.model.event_at(n)) is None)
        assert shown.model.index(other, index.column()).data(Qt.ItemDataRole.DecorationRole) is None
        shown.table.selectRow(other)
        assert not shown._picture.isVisibleTo(shown)
        shown.show_event(made.id)
        shown._picture.click()
        assert shown.findChild(QDialog).windowTitle().startswith("today")
