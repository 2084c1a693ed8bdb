"""The page that compares vessels and kits: its lines, its copy, its choices."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtGui import QGuiApplication

from rackview.core.vessel import Kit
from rackview.services.sessions import open_session
from rackview.ui.compare.screen import CompareScreen
from rackview.ui.theme import DARK, LIGHT


@pytest.fixture
def page(qtbot, session):
    made = CompareScreen(session, LIGHT)
    qtbot.addWidget(made)
    made.resize(1000, 600)
    made.work_out()
    return made


def test_every_vessel_in_use_has_a_line_that_can_be_copied(qtbot, session, page):
    page.copy.click()
    lines = QGuiApplication.clipboard().text().splitlines()
    heading, rows = lines[0].split("\t"), [line.split("\t") for line in lines[1:]]
    assert heading[0] == "what"
    assert "growth a day" in heading
    used = {name for name in session.rack.vessels if any(row[0].endswith(f" {name}") for row in rows)}
    assert len(rows) == len(used) > 0
    assert all(len(row) == len(heading) for row in rows)
    assert page.bars.accessibleName()


def test_kits_and_ranges_are_chosen_and_it_draws_in_both_looks(qtbot, session, page):
    before = page.bars.as_text()
    vessel = session.rack.vessels["Brill"]
    session.put_vessel(replace(vessel, kit=Kit("inverted bottle", origin="home-made")), "")
    page._by("kit")
    page.work_out()
    assert page.bars.as_text() != before
    assert "inverted bottle, home-made" in page.bars.as_text()
    page._over(90)
    page.work_out()
    assert "90 days" in page.lead.text()
    page.set_theme(DARK)
    assert not page.grab().isNull()


def test_an_empty_rack_says_what_to_do(qtbot, quick_folder, clock):
    session = open_session(quick_folder / "empty.db", clock)
    made = CompareScreen(session, LIGHT)
    qtbot.addWidget(made)
    made.work_out()
    assert "Nothing to compare yet" in made.lead.text()
    session.close()
