"""What things are worth, on the rules page: shown by amounts a keeper handles, changed, undone, set back; bad input."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

from rackview.core.tables import WORTHS
from rackview.planner.value import Worth
from rackview.ui.rules.screen import RulesScreen
from rackview.ui.rules.worth_form import priced
from rackview.ui.theme import LIGHT


@pytest.fixture
def page(qtbot, session):
    made = RulesScreen(session, LIGHT)
    qtbot.addWidget(made)
    made.resize(1280, 680)
    session.subscribe(made.refresh)
    made.open("worth")
    return made


def put(page, **typed):
    for name, text in typed.items():
        page.worth.form.input(name).setText(text)
    page.worth.form.submit()


def test_everything_that_is_weighed_has_a_field_with_its_usual_worth(page):
    assert [p.name for p in priced()] == list(WORTHS) == list(Worth.__dataclass_fields__)
    typed = page.worth.form.typed()
    for one in priced():
        assert float(typed[one.name]) == pytest.approx(one.times * getattr(Worth(), one.name), rel=1e-3)
    assert typed["starter_days"] == "7"
    assert page.worth.reset.isHidden()


def test_a_worth_is_changed_undone_and_set_back(page, session):
    put(page, brood="500", feed_g="40", starter_days="3")
    assert session.rack.settings.worth == {"brood": 500.0, "feed_g": pytest.approx(0.4)}
    assert session.rack.settings.starter_days == 3.0
    assert session.undo_words == "Change what things are worth"
    assert not page.worth.reset.isHidden()
    session.undo()
    assert session.rack.settings.worth == {}
    assert page.worth.form.typed()["brood"] == "200"
    session.redo()
    assert page.worth.form.typed()["brood"] == "500"
    page.worth.reset.click()
    assert session.rack.settings.worth == {}
    assert session.rack.settings.starter_days == 3.0, "that is no worth"


def test_saving_without_a_change_writes_nothing(page, session):
    page.worth.form.submit()
    assert session.undo_words is None or "worth" not in session.undo_words
    assert session.rack.settings.worth == {}


def test_a_blank_is_the_usual(page, session):
    put(page, brood="500")
    put(page, brood="")
    assert session.rack.settings.worth == {}


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("brood", "a lot", "a worth from 0 to 1000000"),
        ("minute", "-1", "a worth from 0 to 10000000"),
        ("starter_days", "soon", "days from 0 to 365"),
    ],
)
def test_what_can_t_be_is_said_at_the_field_and_stays_typed(page, session, name, text, said):
    put(page, **{name: text})
    assert said in page.worth.form.error_of(name)
    assert page.worth.form.typed()[name] == text
    assert session.rack.settings.worth == {}


def test_what_is_typed_outlives_a_closed_page(qtbot, page, session):
    page.worth.form.input("brood").setText("77")
    page.save()
    again = RulesScreen(session, LIGHT)
    qtbot.addWidget(again)
    again.open("worth")
    assert again.worth.form.typed()["brood"] == "77"


def test_the_button_and_the_list_lead_there_and_back(qtbot, page):
    page.list.choose("floor")
    page.list.setFocus()
    page.open("floor")
    assert not page.worth_button.isChecked()
    qtbot.mouseClick(page.worth_button, Qt.MouseButton.LeftButton)
    assert page.worth_button.isChecked()
    page.list.choose("oxygen")
    assert not page.worth_button.isChecked()
