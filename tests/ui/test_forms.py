"""Forms: what is wrong stands beside its field, nothing typed is lost, the keyboard leads through."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QCalendarWidget, QWidget

from rackview.core.errors import InputError
from rackview.core.events import KINDS
from rackview.core.tables import Settings
from rackview.ui.forms.ask import Ask
from rackview.ui.forms.asks import brood_asks, demand_asks, event_asks, stock_asks, vessel_asks
from rackview.ui.forms.choose import Choose
from rackview.ui.forms.form import Form

ASKS = (
    Ask("name", "Name"),
    Ask("volume_l", "Working volume", quantity="volume"),
    Ask("kind", "Kind", choices=(("", "–"), ("a", "first"), ("b", "second"))),
    Ask("reserve", "Reserve", yes=True),
)


def form(qtbot, settings=None, asks=ASKS) -> Form:
    made = Form(asks, settings or Settings(), save="Save")
    qtbot.addWidget(made)
    return made


def test_a_row_comes_back_as_it_was_filled_in(qtbot):
    made = form(qtbot)
    row = {"name": "Dab", "volume_l": 20.0, "kind": "b", "reserve": "yes", "not asked": "kept"}
    made.fill(row)
    assert made.row() == {**row, "volume_l": 20.0}


def test_volumes_are_shown_in_the_keepers_unit_and_handed_on_in_litres(qtbot):
    made = form(qtbot, Settings(volume_unit="US gal"))
    made.fill({"volume_l": 3.785411784})
    assert made.input("volume_l").text() == "1"
    made.input("volume_l").setText("2")
    assert made.row()["volume_l"] == pytest.approx(2 * 3.785411784)
    made.input("volume_l").setText("much")
    assert made.row()["volume_l"] == "much"


def test_an_error_stands_at_its_field_in_the_keepers_words(qtbot):
    made = form(qtbot)
    made.input("name").setText("Dab")
    made.input("volume_l").setText("-3")
    made.show_error(InputError("volume_l", -3.0, "a volume in litres above 0"))
    assert made.error_of("volume_l") == "Working volume: found “-3”, but needs a volume in litres above 0."
    assert made.input("volume_l").accessibleDescription() == made.error_of("volume_l")
    assert made.error_of("name") == ""
    assert made.input("name").text() == "Dab"
    made.clear_errors()
    assert made.error_of("volume_l") == ""


def test_an_error_goes_when_its_field_is_typed_in_again_and_not_before(qtbot):
    made = form(qtbot)
    made.show_error(InputError("name", None, "a name"))
    made.input("volume_l").textEdited.emit("3")
    assert made.error_of("name")
    made.input("name").textEdited.emit("D")
    assert made.error_of("name") == ""


def test_a_choice_too_long_for_its_box_is_cut_visibly_and_told_whole(qtbot):
    host = QWidget()
    qtbot.addWidget(host)
    box = Choose(host)
    long = "A4 Periwinkle of the far corner, resting"
    box.addItems(["none", long])
    box.setCurrentText(long)
    box.resize(140, 40)
    host.show()
    assert box.shown().endswith("…")
    assert (long.startswith(box.shown()[:-1]), box.toolTip()) == (True, long)
    assert box.list_width() >= box.fontMetrics().horizontalAdvance(long), "the list shows it whole"
    box.resize(600, 40)
    assert (box.shown(), box.toolTip()) == (long, "")


@pytest.mark.parametrize("kind", ["split", "restart", "feed"])
def test_names_of_vessels_and_feeds_get_the_whole_width(session, kind):
    wide = {a.column for a in event_asks(session.rack, "Dab", kind) if a.wide}
    assert wide & {"to_vessel", "from_vessel", "feed"}


def test_an_error_of_no_field_stands_at_the_foot(qtbot):
    made = form(qtbot)
    made.show_error(InputError("something else", "x", "y"))
    assert "something else" in made.foot.trouble.text()
    assert made.foot.trouble.isVisibleTo(made)


def test_enter_leads_through_the_fields_and_saves_at_the_end(qtbot, awake):
    made = form(qtbot)
    awake(made)
    made.begin()
    with qtbot.waitSignal(made.submitted):
        for _ in ASKS:
            qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    with qtbot.waitSignal(made.cancelled):
        qtbot.keyClick(made.input("name"), Qt.Key.Key_Escape)


def test_typing_replaces_what_a_form_offers_first_or_finds_wrong(qtbot, awake):
    made = form(qtbot, asks=(ASKS[1], ASKS[0]))
    made.fill({"volume_l": 6.6})
    awake(made)
    made.begin()
    qtbot.keyClicks(QApplication.focusWidget(), "50")
    assert made.row()["volume_l"] == 50, "not 6.650"
    made.show_error(InputError("volume_l", 50.0, "at most 20 L"))
    qtbot.keyClicks(QApplication.focusWidget(), "5")
    assert made.row()["volume_l"] == 5


def test_a_draft_restores_text_that_is_wrong(qtbot):
    made = form(qtbot)
    made.input("volume_l").setText("1,5,2")
    made.input("reserve").setCurrentIndex(1)
    again = form(qtbot)
    again.restore(made.draft())
    assert again.typed() == made.typed()


def test_a_draft_typed_in_litres_means_the_same_in_gallons(qtbot):
    made = form(qtbot)
    made.input("volume_l").setText("18.927")
    gallons = form(qtbot, settings=Settings(volume_unit="US gal"))
    gallons.restore(made.draft())
    assert gallons.typed()["volume_l"] == "4.99998"
    assert gallons.row()["volume_l"] == pytest.approx(18.927, rel=1e-5)
    back = form(qtbot)
    back.restore(gallons.draft())
    assert float(back.typed()["volume_l"]) == pytest.approx(18.927, rel=1e-5)
    for odd in ("lots", "", "1,5,2"):
        made.input("volume_l").setText(odd)
        gallons.restore(made.draft())
        assert gallons.typed()["volume_l"] == odd
    gallons.restore({"volume_l": "7", "volumes typed in": "buckets"})
    assert gallons.typed()["volume_l"] == "7"


def test_every_table_and_kind_of_event_has_its_columns_asked(session):
    rack = session.rack
    assert {a.column for a in vessel_asks(rack)} == set(next(iter(rack.vessels.values())).row())
    assert {a.column for a in stock_asks(rack)} == set(rack.stock[0].row())
    assert {a.column for a in brood_asks(rack)} >= {"brood", "group", "spawned", "hatched", "tank_l", "larvae"}
    assert [a.column for a in demand_asks(rack)] == ["date", "strain", "animals"]
    for kind in set(KINDS) - {"withdraw"}:
        asks = event_asks(rack, "Dab", kind)
        assert all(a.label for a in asks)
        assert "at" in {a.column for a in asks}


def test_a_vessel_at_rest_is_offered_first_for_a_split(session):
    ask = next(a for a in event_asks(session.rack, "Dab", "split") if a.column == "to_vessel")
    assert ask.choices[0] == ("Weever", "B3 Weever, resting")


def test_a_vessel_at_rest_is_offered_last_as_a_donor(session):
    ask = next(a for a in event_asks(session.rack, "Dab", "restart") if a.column == "from_vessel")
    assert ask.choices[0][0] == ""
    assert session.rack.vessels[ask.choices[1][0]].strain == session.rack.vessels["Dab"].strain
    assert ask.choices[-1] == ("Weever", "B3 Weever, resting")


@pytest.fixture
def dated(qtbot, clock):
    asks = (Ask("at", "When", quantity="moment"), Ask("opened", "Opened", quantity="day"), Ask("amount", "Amount"))
    made = Form(asks, Settings(), save="Save", now=clock)
    qtbot.addWidget(made)
    return made


def test_a_time_is_understood_said_and_handed_on_with_the_keepers_offset(qtbot, dated, clock):
    dated.input("at").setText("")
    qtbot.keyClicks(dated.input("at"), "yesterday 7:30")
    assert "yesterday 07:30" in dated._errors["at"].text()
    at = datetime.fromisoformat(str(dated.row()["at"]))
    assert (at.date(), at.hour, at.minute) == (clock.now.astimezone().date() - timedelta(days=1), 7, 30)
    assert at.tzinfo is not None
    qtbot.keyClicks(dated.input("opened"), "20 Dec 2025")
    assert dated.row()["opened"] == "2025-12-20"


def test_a_date_that_can_be_two_and_a_number_that_can_be_two_are_asked_about(qtbot, dated):
    with qtbot.assertNotEmitted(dated.submitted):
        dated.input("at").setText("3/4/2026 7:30")
        dated.submit()
    assert "as both can be meant" in dated.error_of("at")
    dated.input("at").setText("now")
    with qtbot.assertNotEmitted(dated.submitted):
        dated.input("amount").setText("300.000")
        dated.submit()
    assert "300 or 300000 written plainly" in dated.error_of("amount")
    dated.input("amount").setText("300.5")
    with qtbot.waitSignal(dated.submitted):
        dated.submit()


def test_a_day_is_chosen_from_the_calendar_by_keys(qtbot, dated, awake):
    awake(dated)
    dated.input("at").setFocus()
    dated.input("at").setText("yesterday 7:30")
    qtbot.keyClick(dated.input("at"), Qt.Key.Key_Down)
    month = dated.findChild(QCalendarWidget)
    wanted = month.selectedDate().addDays(-7)
    month.setSelectedDate(wanted)
    month.activated.emit(wanted)
    assert dated.input("at").text() == f"{wanted.toString('yyyy-MM-dd')} 7:30"


def test_a_draft_is_marked_and_can_be_forgotten_and_its_now_stays_what_it_was(qtbot, dated, clock):
    dated.fill({"at": "now"})
    dated.input("amount").setText("4")
    draft = dated.draft()
    clock.now += timedelta(hours=30)
    dated.restore(draft)
    assert dated.draft_line.text().startswith("Draft of yesterday")
    assert datetime.fromisoformat(str(dated.row()["at"])) < clock.now - timedelta(hours=29)
    with qtbot.waitSignal(dated.forgotten):
        dated.draft_line.click()


def test_the_wheel_changes_nothing_that_has_no_keyboard(qtbot):
    box = form(qtbot).input("kind")
    turn = QWheelEvent(
        QPointF(5, 5), QPointF(5, 5), QPoint(0, -120), QPoint(0, -120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,  # noqa: FBT003
    )  # fmt: skip
    before = box.currentText()
    QApplication.sendEvent(box, turn)
    assert box.currentText() == before
