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
