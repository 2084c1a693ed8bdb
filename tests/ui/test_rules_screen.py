"""The rules page: every rule said in full, its record, its values changed for the rack or a vessel, and set back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLabel

from rackview.core.events import Decline
from rackview.core.tables import Settings, strain_scope
from rackview.core.vessel import Vessel
from rackview.rules.catalogue.table import BY_CODE, RULES
from rackview.services.faults import StoreError
from rackview.ui.rules import rule_words
from rackview.ui.rules.list_view import RECORD, RULE
from rackview.ui.rules.screen import RulesScreen
from rackview.ui.theme import DARK, LIGHT
from rackview.ui.window import MainWindow
from rackview.ui.words import formats

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def demo(demo_at):
    made = demo_at(lambda: NOW)
    for days, reason in ((1, "the water is clear"), (4, "the water is clear"), (7, "no time")):
        at = NOW - timedelta(days=days)
        made.record(Decline(at=at, vessel="Cockle", action="clean", code="floss", reason=reason))
    yield made
    made.close()


@pytest.fixture(scope="module")
def read_page(qapp, demo):
    """A page that is only read, with the record of every rule worked out once."""
    made = RulesScreen(demo, LIGHT)
    made.resize(1280, 680)
    made.work_out()
    yield made
    made.close()
    made.deleteLater()


@pytest.fixture
def page(qtbot, demo):
    return shown(qtbot, demo)


def shown(qtbot, session, code="floor"):
    made = RulesScreen(session, LIGHT)
    qtbot.addWidget(made)
    made.resize(1280, 680)
    made.open(code)
    made.refresh()
    session.subscribe(made.refresh)
    return made


def words(screen) -> str:
    return "\n".join(label.text() for label in screen.findChildren(QLabel) if not label.isHidden())


def put(screen, field, text):
    screen.values.field(field).setText(text)
    screen.values.form.submit()


def choose_scope(values, scope):
    """Choose whose values are shown, as the keeper does."""
    values.scope.setCurrentIndex(values.scope.findData(scope))
    values.scope.activated.emit(values.scope.currentIndex())


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.code)
def test_every_rule_says_all_that_is_written_down_of_it(read_page, rule):
    read_page.open(rule.code)
    said = words(read_page)
    for text in (rule.looks_at, rule.cause, rule.consequence, rule.response, rule.source):
        assert formats.sentence(text) in said
    assert "_per_" not in rule_words.condition(rule, {})
    assert (read_page.values.form is not None) == bool(rule.thresholds)


def test_the_record_is_counted_over_the_whole_rack(page, demo):
    from rackview.advice.record.flag_log import records, vessel_log

    page.work_out()
    now = demo.now().astimezone()
    expected = {r.code: r for r in records(vessel_log(demo.rack, name, now) for name in demo.rack.vessels)}
    items = [page.list.item(n) for n in range(page.list.count())]
    assert {i.data(RULE).code: i.data(RECORD) for i in items if i.data(RECORD) is not None} == expected
    page.open("floss")
    assert page.record.figures["declined"].text() == "3"
    assert page.record.figures["raised"].text() == str(expected["floss"].raised)


def test_a_rule_often_declined_says_so_with_the_reasons(page):
    page.work_out()
    page.open("floss")
    assert "Often declined: 3 times" in page.record.often.text()
    assert "• the water is clear (2 ×)" in page.record.reasons.text()
    item = page.list.currentItem()
    assert "often declined" in item.data(Qt.ItemDataRole.AccessibleTextRole)
    page.open("oxygen")  # never low on the demo rack
    assert page.record.often.isHidden()
    assert "Not raised" in page.record.words.text()


def test_a_rule_of_the_whole_rack_has_no_log(page):
    page.work_out()
    page.open("common")
    assert "no log" in page.record.words.text()


def test_a_value_is_changed_for_the_rack_undone_and_done_again(qtbot, session):
    screen = shown(qtbot, session)
    assert screen.values.field("floor_per_ml").text() == "", "the strains differ, so no one value holds"
    assert "holds for all of them" in screen.values.note.text()
    put(screen, "floor_per_ml", "4,5")
    assert session.rack.settings.overrides == {("", "floor_per_ml"): 4.5}
    assert session.rack.profile("Goby").floor_per_ml == session.rack.profile("Brill").floor_per_ml == 4.5
    assert "whole rack: floor, 4.5 per mL" in screen._changes.text()
    assert screen.values.field("floor_per_ml").text() == "4.5"
    session.undo()
    assert session.rack.settings.overrides == {}
    assert screen.values.field("floor_per_ml").text() == ""
    assert "back to the profile's own" in screen._changes.text()
    session.redo()
    assert session.rack.profile("Brill").floor_per_ml == 4.5


def test_one_vessel_has_its_own_value_and_goes_back_to_the_racks(qtbot, session):
    own = session.rack.profile("Brill").count_days
    screen = shown(qtbot, session, "count_old")
    put(screen, "count_days", "5")
    choose_scope(screen.values, "Brill")
    assert screen.values.field("count_days").text() == "5"
    put(screen, "count_days", "1")
    assert session.rack.profile("Brill").count_days == 1
    assert session.rack.profile("Dab").count_days == 5
    assert "A1 Brill: count every, 1 day" in screen._changes.text()
    assert screen.values.reset.text() == "Back to that of whole rack"
    screen.values.reset.click()
    assert session.rack.profile("Brill").count_days == 5
    choose_scope(screen.values, "")
    screen.values.reset.click()
    assert session.rack.profile("Brill").count_days == own
    assert session.rack.settings.overrides == {}
    assert screen.values.reset.isHidden()


def test_a_strain_has_its_own_value_between_rack_and_vessel(qtbot, session):
    strain = strain_scope("rotifer-L")
    own = session.rack.profile("Goby").count_days
    screen = shown(qtbot, session, "count_old")
    assert screen.values.scope.itemText(screen.values.scope.findData(strain)) == "every L rotifer"
    choose_scope(screen.values, strain)
    put(screen, "count_days", "4")
    assert {n: session.rack.profile(n).count_days for n in ("Brill", "Dab", "Goby")} == {
        "Brill": 4,
        "Dab": 4,
        "Goby": own,
    }
    assert "every L rotifer: count every, 4 days" in screen._changes.text()
    choose_scope(screen.values, "Brill")
    assert "every L rotifer: 4 days" in words(screen)
    put(screen, "count_days", "1")
    assert screen.values.reset.text() == "Back to that of every L rotifer"
    assert (session.rack.profile("Brill").count_days, session.rack.profile("Dab").count_days) == (1, 4)
    choose_scope(screen.values, strain)
    assert "With a value of its own: A1 Brill." in screen.values.note.text()
    choose_scope(screen.values, "")
    assert "every L rotifer, A1 Brill" in screen.values.note.text()
    session.undo()
    session.undo()
    assert session.rack.settings.overrides == {}
    assert "every L rotifer: count every, back to the profile's own" in screen._changes.text()
    session.redo()
    assert session.rack.profile("Dab").count_days == 4


def test_a_value_that_cannot_be_meant_for_a_strain_is_refused(qtbot, session):
    screen = shown(qtbot, session)
    choose_scope(screen.values, strain_scope("rotifer-L"))
    put(screen, "floor_per_ml", "250")
    assert "250" in screen.values.form.error_of("floor_per_ml")
    assert session.rack.settings.overrides == {}


def test_a_step_of_temperature_is_in_the_keepers_degrees(qtbot, session):
    session.put_settings(Settings(temperature_unit="degF"))
    screen = shown(qtbot, session, "temperature_step")
    choose_scope(screen.values, "Brill")
    assert screen.values.field("temperature_step_c").text() == "5.4"  # 3 degrees Celsius by 9/5
    put(screen, "temperature_step_c", "9")
    assert session.rack.profile("Brill").temperature_step_c == pytest.approx(5.0)


def test_an_emptied_field_is_the_profiles_own(qtbot, session):
    screen = shown(qtbot, session, "age")
    put(screen, "restart_days", "50")
    put(screen, "restart_days", "")
    assert session.rack.settings.overrides == {}


def test_saving_what_was_not_touched_changes_nothing(qtbot, session):
    screen = shown(qtbot, session, "warm")
    choose_scope(screen.values, "Brill")
    screen.values.form.submit()
    assert session.rack.settings.overrides == {}
    assert session.undo_words is None


@pytest.mark.parametrize("typed", ["many", "-3", "1e9", "250"])
def test_what_cannot_be_meant_is_said_at_the_field_and_kept(qtbot, session, typed):
    screen = shown(qtbot, session)
    choose_scope(screen.values, "Brill")
    put(screen, "floor_per_ml", typed)
    assert session.rack.settings.overrides == {}
    assert typed.split("e")[0] in screen.values.form.error_of("floor_per_ml")
    assert screen.values.field("floor_per_ml").text() == typed


def test_what_is_typed_is_kept_while_one_looks_at_another_rule(qtbot, session):
    screen = shown(qtbot, session, "age")
    screen.values.field("restart_days").setText("5o")
    screen.open("floss")
    screen.open("age")
    assert screen.values.field("restart_days").text() == "5o"
    screen.refresh()
    assert screen.values.field("restart_days").text() == "5o"
    put(screen, "restart_days", "50")
    assert not [name for name in session.drafts() if name.startswith("rule:")]


def test_temperatures_are_in_the_keepers_unit(qtbot, session):
    session.put_settings(Settings(temperature_unit="degF"))
    screen = shown(qtbot, session, "warm")
    choose_scope(screen.values, "Brill")
    assert screen.values.field("temperature_high_c").text() == "82.4"  # 28 degrees Celsius by 9/5 + 32
    put(screen, "temperature_high_c", "86")
    assert session.rack.profile("Brill").temperature_high_c == pytest.approx(30.0)
    put(screen, "temperature_high_c", "300")
    assert "°F" in screen.values.form.error_of("temperature_high_c")
    assert session.rack.profile("Brill").temperature_high_c == pytest.approx(30.0)


def test_keys_lead_from_the_list_to_the_values_and_out(qtbot, session):
    window = MainWindow(session, None, look="light")
    qtbot.addWidget(window)
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    window.commands["go_rules"].trigger()
    screen = window.screen_widget()
    assert screen.list.hasFocus()
    first = screen.list.rule()
    qtbot.keyClick(screen.list, Qt.Key.Key_Down)
    assert screen.list.rule() is not first
    qtbot.keyClick(screen.list, Qt.Key.Key_Return)
    field = screen.values.field(screen.list.rule().thresholds[0])
    assert field.hasFocus()
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert screen.list.hasFocus()
    qtbot.keyClick(screen.list, Qt.Key.Key_Escape)
    assert window.screen_name == "rack"


def test_a_new_vessel_is_offered_at_once(qtbot, session):
    screen = shown(qtbot, session)
    session.put_vessel(Vessel("Shanny", "rotifer-L", "C", 1, 10))
    assert screen.values.scope.findData("Shanny") > 0


def test_the_rules_look_differs_by_theme_and_stands_beside_when_wide(page):
    images = []
    for theme in (LIGHT, DARK):
        page.set_theme(theme)
        images.append(page.grab().toImage())
    assert images[0] != images[1]
    page.resize(1900, 1000)
    page.grab(QImage(1, 1, QImage.Format.Format_RGB32).rect())
    assert page._side.x() > page._rule_card.x() + 400


def test_words_of_a_rule_name_its_values():
    told = rule_words.condition(BY_CODE["count_old"], {"count_days": "2 days"})
    assert told.startswith("more than a day and a quarter over “count every” (2 days)")
    assert "the chance of “density under the floor now”" in rule_words.condition(BY_CODE["failing"], {})


def test_a_full_disk_is_said_in_the_form_and_what_is_typed_stays(page, demo, monkeypatch):
    def full(*_):
        raise StoreError("full", "The disk is full.")

    page.open("floss")
    field = page.values._rule.thresholds[0]
    page.values.field(field).setText("4")
    monkeypatch.setattr(demo, "save_draft", full)
    page.save()
    assert page.values.form.foot.trouble.text() == "The disk is full."
    assert page.values.field(field).text() == "4"


def test_in_a_narrow_window_the_cards_stand_one_below_the_other_without_a_hole(qtbot, page):
    page.resize(1100, 900)
    page.open("early")
    page.show()
    qtbot.waitExposed(page)
    qtbot.waitUntil(lambda: 0 < page._side.geometry().top() - page._rule_card.geometry().bottom() < 24)
    page.resize(1600, 900)
    qtbot.waitUntil(lambda: page._side.geometry().left() > page._rule_card.geometry().right())
    assert abs(page._side.width() - page._rule_card.width()) < 40


def test_the_heading_of_a_group_is_seen_with_its_first_rule(page):
    page.resize(1000, 150)
    page.show()
    page.list.choose("")
    page.resize(1000, 500)
    first = page.list.row(page.list.currentItem())
    assert first == 1
    assert page.list.visualItemRect(page.list.item(0)).top() >= 0
