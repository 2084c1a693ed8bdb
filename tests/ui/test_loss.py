"""The page after a loss: the fortnight before a crash, reached from vessel and records, drawn and said alike."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPainter

from rackview.core.events import Clean, Count, Harvest, Restart
from rackview.ui.loss.days import loss_days
from rackview.ui.loss.page import loss_page
from rackview.ui.loss.screen import LossScreen
from rackview.ui.paint.paper import PAPER, CellRow, Text
from rackview.ui.records.screen import RecordsScreen
from rackview.ui.theme import LIGHT
from rackview.ui.window import MainWindow


@pytest.fixture
def lost(session, clock):
    """The small rack after a bad night: Dab was served just after Brill, and is gone."""
    before = clock.now - timedelta(hours=25, minutes=30)
    session.record(
        [
            Harvest(at=before, vessel="Brill", volume_l=3, refill_l=3),
            Clean(at=before + timedelta(minutes=9), vessel="Dab", what="floss"),
            *(
                Count(at=clock.now - timedelta(hours=h), vessel="Dab", tallies=(0, 1, 0), swimming=1, ciliates="many")
                for h in (25, 8, 1)
            ),
        ]
    )
    assert session.assessments()["Dab"].state == "crashed"
    return session


def said(page) -> str:
    blocks = [*page.begin, *(b for part in page.parts for b in part)]
    words = [b.text if isinstance(b, Text) else " | ".join(b.cells) for b in blocks if isinstance(b, Text | CellRow)]
    return "\n".join(words)


def page_of(session, vessel):
    return loss_page(session.rack, vessel, session.now().astimezone())


def test_the_page_ends_at_the_count_that_showed_the_crash(lost, clock):
    page = page_of(lost, "Dab")
    told = said(page)
    assert "Lost by the count of" in told
    assert "A2 Dab" in page.title
    for words in ("What changed", "Contacts with other vessels", "What the rules said", "Everything recorded"):
        assert words in told
    assert "Ciliates were first seen" in told
    assert "Crashed" in told
    assert "counted 0.33 /mL from 1 animal" in told
    contacts = told.split("Contacts with other vessels")[1].split("What the rules said")[0]
    assert "A1 Brill" in contacts
    assert "harvested 3 L" in contacts
    assert "B3 Weever" not in contacts, "a vessel at rest was not touched"


def test_a_vessel_that_stands_says_so(lost):
    page = page_of(lost, "Ruffe")
    assert "No crash is on record" in said(page)
    assert "Crashed" not in said(page)


def test_a_vessel_without_a_history_has_a_page_too(lost):
    told = said(page_of(lost, "Weever"))
    assert "taken out of use" in told
    assert "Nothing: no flag stood" in told


def test_the_drawing_holds_what_was_recorded(lost, clock):
    from rackview.advice.record.aftermath import aftermath

    now = clock.now.astimezone()
    after = aftermath(lost.rack, "Dab", now)
    days = loss_days(lost.rack, after, now)
    assert days.lost == days.end
    assert days.end - days.begin == pytest.approx(14)
    events = [n.event for n in lost.rack.log("Dab", days.end).back() if n.event is not None]
    counts = sorted((e.day, e.animals / e.looked_at_ml) for e in events if isinstance(e, Count))
    assert [v for c in days.counts for v in c[:2]] == pytest.approx([v for c in counts for v in c])
    assert all(low <= value <= high for _, value, low, high in days.counts)
    assert all(low <= middle <= high for _, low, middle, high in days.estimate)
    assert days.eggs[0][1] == pytest.approx(14 / 50)
    assert days.feed[0][1] == pytest.approx(0.4)  # 4 mL of 0.1 g dry per mL
    assert len(days.acts["clean"]) == 1
    assert len(days.acts["harvest"]) == 0
    assert days.acts["contact"]


@pytest.mark.parametrize("vessel", ["Brill", "Dab", "Goby", "Ruffe", "Weever"])
def test_every_page_can_be_drawn_at_any_width(qapp, lost, vessel):
    page = page_of(lost, vessel)
    for width, height in ((320.0, 480.0), (718.0, 1000.0), (1800.0, 700.0)):
        for one in page.pages(width, height):
            image = QImage(int(width), int(height), QImage.Format.Format_RGB32)
            image.fill(PAPER.field)
            painter = QPainter(image)
            one.paint(painter, width, PAPER)
            painter.end()
            tall = max(top + block.height(width) for top, block in one.blocks)
            assert tall <= height or len(one.blocks) <= 4, "more on the page than fits"
            assert any(image.pixelColor(x, y).lightness() < 128 for x in range(0, 300, 2) for y in range(60))


def test_the_crashed_vessels_page_leads_there(qtbot, lost):
    window = MainWindow(lost, None, look="light")
    qtbot.addWidget(window)
    window.show()
    window.go("vessel", "Brill")
    vessel = window.screen_widget()
    assert vessel.side.loss_button.isHidden()
    window.go("vessel", "Dab")
    assert not vessel.side.loss_button.isHidden()
    vessel.side.loss_button.click()
    assert window.screen_name == "loss"
    loss = window.screen_widget()
    assert loss.page.vessel == "Dab"
    assert "Ciliates" in loss.sheet.accessibleName()
    assert loss.document() is loss.page
    qtbot.keyClick(loss, Qt.Key.Key_Escape)
    assert window.screen_name == "rack"


def test_the_records_lead_there(qtbot, lost):
    screen = RecordsScreen(lost, LIGHT)
    qtbot.addWidget(screen)
    screen.refresh()
    screen.vessel.setCurrentIndex(screen.vessel.findData("Dab"))
    with qtbot.waitSignal(screen.loss_wanted) as wanted:
        screen.loss_button.click()
    assert wanted.args == ["Dab"]


def test_the_page_follows_the_record(qtbot, lost, clock):
    screen = LossScreen(lost, LIGHT)
    qtbot.addWidget(screen)
    screen.open("Dab")
    screen.refresh()
    before = screen.page
    screen.refresh()
    assert screen.page is before, "worked out again although nothing changed"
    lost.record(Harvest(at=clock.now - timedelta(days=2), vessel="Dab", volume_l=7.5))
    screen.refresh()
    assert "harvested 7.5 L" in said(screen.page)


def test_the_parts_stand_side_by_side_where_there_is_room(qtbot, lost):
    screen = LossScreen(lost, LIGHT)
    qtbot.addWidget(screen)
    screen.open("Dab")
    screen.refresh()
    screen.resize(1280, 700)
    screen.grab()
    assert len(screen.sheet._columns()) == 3
    screen.resize(800, 700)
    screen.grab()
    assert len(screen.sheet._columns()) == 2


def test_an_empty_rack_has_an_empty_page(qtbot, tmp_path, clock):
    from rackview.services.sessions import open_session

    session = open_session(tmp_path / "empty.db", clock)
    screen = LossScreen(session, LIGHT)
    qtbot.addWidget(screen)
    screen.open("")
    screen.refresh()
    assert screen.document() is None
    assert screen.button.isHidden()
    session.close()


def test_a_loss_stays_on_record_when_the_vessel_is_started_anew_the_same_morning(qtbot, lost, clock):
    session = lost
    session.record(Restart(at=clock.now - timedelta(minutes=5), vessel="Dab", from_vessel="Brill", volume_l=4))
    clock.now += timedelta(days=2)
    assert session.assessments()["Dab"].state != "crashed"
    told = said(page_of(session, "Dab"))
    assert "Lost by the count of" in told
    morning = told.split("What stood here on that morning")[1].split("What changed")[0]
    assert "Believed:" in morning
    assert "/mL" in morning
    screen = LossScreen(session, LIGHT)
    qtbot.addWidget(screen)
    screen.open()
    assert screen.vessel.currentData() == "Dab", "opened from the menu it shows the newest loss"
    screen.open("Ruffe")
    assert screen.vessel.currentData() == "Ruffe"
