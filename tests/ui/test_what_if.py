"""What if: each kind of question is typed, answered with both futures, and nothing is recorded."""

from __future__ import annotations

from datetime import date

import pytest
from PySide6.QtWidgets import QComboBox

from rackview.core.tables import Brood
from rackview.ui.theme import DARK, LIGHT
from rackview.ui.what_if.ask import KINDS
from rackview.ui.what_if.screen import WhatIfScreen

TYPED = {
    "harvest": {"vessel": "Brill", "volume_l": "12"},
    "split": {"vessel": "Brill", "to_vessel": "Weever", "volume_l": "6"},
    "restart": {"vessel": "Dab", "from_vessel": "Brill", "volume_l": "5"},
    "lost": {"vessel": "Brill"},
    "brood": {"brood": "Amber 2", "group": "anemonefish", "hatched": "2026-05-16", "tank_l": "90"},
    "away": {"away_days": "7"},
}


@pytest.fixture
def page(qtbot, session):
    session.put_brood(Brood("Amber 1", "anemonefish", hatched=date(2026, 5, 12), tank_l=150, larvae=300))
    made = WhatIfScreen(session, LIGHT)
    qtbot.addWidget(made)
    return made


def fill(page, kind, **typed):
    page.choose(kind)
    for column, text in typed.items():
        made = page.form.input(column)
        if isinstance(made, QComboBox):
            made.setCurrentIndex(made.findData(text))
        else:
            made.setText(text)
    page.form.submit()


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_is_answered_with_both_futures_and_nothing_is_recorded(page, session, kind):
    before = session.rack
    fill(page, kind, **TYPED[kind])
    assert page.model.lines, "day by day"
    assert not page.table.isHidden()
    assert page.lines.accessibleName()
    assert "acting as advised" in page.lead.text()
    assert session.rack is before
    assert page.fans.isHidden() == (kind not in {"harvest", "split", "restart"})


def test_a_week_away_leaves_the_brood_without_food_and_says_so(page):
    fill(page, "away", away_days="7")
    assert "Amber 1: chance of a shortfall nearly certain" in page.lines.accessibleName()
    hungry = [line for line in page.model.lines if line.cells[2]]
    assert hungry[0].cells[3].startswith("nearly certain (")
    assert hungry[0].wanting


def test_a_brood_is_moved_by_its_name(page, session):
    fill(page, "brood", brood="Amber 1", hatched="2026-07-30")
    assert "Amber 1: no longer eats within these days." in page.lines.accessibleName()
    assert session.rack.broods[0].hatched == date(2026, 5, 12)


@pytest.mark.parametrize(
    ("kind", "typed", "column", "said"),
    [
        ("harvest", {"vessel": "Brill", "volume_l": "much"}, "volume_l", "a volume in litres"),
        ("harvest", {"vessel": "Brill", "volume_l": "99"}, "volume_l", "at most the 20 L that Brill holds"),
        ("split", {"vessel": "Brill", "to_vessel": "Brill", "volume_l": "2"}, "to_vessel", "another vessel"),
        ("away", {"away_days": "99"}, "away_days", "days from 1 to 28"),
        ("away", {"away_days": ""}, "away_days", "days from 1 to 28"),
        ("brood", {"brood": "Amber 9"}, "hatched", "the day of spawning or of hatching"),
    ],
)
def test_what_can_t_be_is_said_at_its_field(page, kind, typed, column, said):
    fill(page, kind, **typed)
    assert said in page.form.error_of(column)
    assert not page.model.lines
    assert all(page.form.typed()[c] == t for c, t in typed.items() if c not in {"vessel", "to_vessel"})


def test_what_is_typed_is_kept_from_one_kind_to_another_and_over_a_closed_page(qtbot, page, session):
    page.choose("away")
    page.form.input("away_days").setText("5")
    page.choose("lost")
    page.choose("away")
    assert page.form.typed()["away_days"] == "5"
    page.save()
    again = WhatIfScreen(session, LIGHT)
    qtbot.addWidget(again)
    again.choose("away")
    assert again.form.typed()["away_days"] == "5"


def test_a_new_vessel_can_be_chosen_at_once(page, session):
    from rackview.core.vessel import Vessel

    page.choose("lost")
    session.put_vessel(Vessel("Ling", "rotifer-L", "C", 1, 10))
    page.refresh()
    assert page.form.input("vessel").findData("Ling") >= 0


def test_it_is_painted_light_and_dark_on_a_small_screen(page):
    fill(page, "split", **TYPED["split"])
    page.resize(1000, 600)
    page.show()
    light = page.grab().toImage()
    page.set_theme(DARK)
    assert page.fans.grab().toImage() != light


def test_an_amount_is_dragged_and_answered_when_the_slider_rests(qtbot, page, session):
    page.choose("harvest")
    page.form.input("vessel").setCurrentIndex(page.form.input("vessel").findData("Brill"))
    page.slider.track.setValue(60)  # of 100, in a vessel of 20 L
    assert page.form.typed()["volume_l"] == "12"
    qtbot.waitUntil(lambda: bool(page.model.lines), timeout=20000)
    assert not page.fans.isHidden()
    typed = [line.cells for line in page.model.lines]
    fill(page, "harvest", vessel="Brill", volume_l="12")
    assert [line.cells for line in page.model.lines] == typed


def test_the_slider_follows_what_is_typed_and_goes_no_further_than_the_vessel(page):
    page.choose("harvest")
    page.form.input("vessel").setCurrentIndex(page.form.input("vessel").findData("Brill"))
    page.form.input("volume_l").setText("5")
    assert page.slider.track.value() == 25
    page.form.input("volume_l").setText("99")
    assert page.slider.track.value() == page.slider.track.maximum() == 100
    assert page.form.typed()["volume_l"] == "99", "what is typed is left alone"
    page.slider.track.setValue(100)
    page.choose("away")
    page.slider.track.setValue(6)
    assert page.form.typed()["away_days"] == "7"


def test_a_known_brood_is_dragged_from_its_day_and_others_have_no_slider(page):
    page.choose("brood")
    assert page.slider.isHidden()
    page.form.input("brood").setText("Amber 1")
    assert not page.slider.isHidden()
    page.slider.track.setValue(page.slider.track.value() + 3)
    assert page.form.typed()["hatched"] == "2026-05-15", "three days after the one that is kept"
    page.choose("lost")
    assert page.slider.isHidden()


def test_the_wheel_moves_no_slider(qtbot, page):
    from PySide6.QtCore import QPoint, QPointF, Qt
    from PySide6.QtGui import QWheelEvent
    from PySide6.QtWidgets import QApplication

    page.choose("away")
    turn = QWheelEvent(
        QPointF(9, 9), QPointF(9, 9), QPoint(), QPoint(0, 120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,  # noqa: FBT003 -- Qt takes it by place
    )  # fmt: skip
    QApplication.sendEvent(page.slider.track, turn)
    assert page.form.typed()["away_days"] == ""
