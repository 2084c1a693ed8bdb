"""The day's list by keys alone, its buttons, and a decline with its reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible

from rackview.core.assessment import Severity, Suggestion
from rackview.ui.rack.rack_state import DayList, Item, ItemProgress
from rackview.ui.rack.rail import Rail
from rackview.ui.theme import LIGHT

AT = datetime(2026, 5, 14, 9, 0, tzinfo=UTC)


def suggestion(vessel: str, action: str, text: str) -> Suggestion:
    return Suggestion(vessel, action, 5.0, "L", None, 1, AT, "because it grows", (), 0.9, text=text)


HARVEST = suggestion("Brill", "harvest", "Harvest 5 L")
FEED = suggestion("Brill", "feed", "Feed 4 mL")
RINSE = suggestion("Dab", "clean", "Rinse floss")


def item(place: str, one: Suggestion, why: str = "", **other: object) -> Item:
    return Item(place, one.text, why or one.why, suggestion=one, accessible=f"{place} {one.text}", **other)


DAY = DayList(
    items=(
        Item("C4", "Feed 2 mL", step=ItemProgress.done, accessible="C4 Feed 2 mL, done"),
        Item("C2", "Harvest declined", "not today", ItemProgress.declined, accessible="C2 Harvest declined"),
        item("A1", HARVEST),
        item("A1", FEED),
        item("B1", RINSE, severity=Severity.week, cautions=("Switch off heaters first.",)),
    ),
    progress="1 of 4 done",
    cautions=("Cover cuts and wear gloves.",),
    foot="Saved 07:41",
)


@pytest.fixture
def rail(qtbot) -> Rail:
    made = Rail(LIGHT)
    qtbot.addWidget(made)
    made.resize(300, 640)
    made.show_day(DAY)
    made.show()
    qtbot.waitExposed(made)
    made.view.setFocus()
    return made


def test_the_first_open_line_is_selected_and_shows_its_buttons(rail) -> None:
    assert rail.selected is HARVEST
    assert rail.bar.isVisible()
    line = rail.view.visualRect(rail.view.currentIndex())
    assert line.contains(rail.bar.geometry())
    assert rail.bar.done_button.height() >= 24


def test_enter_records_c_changes(rail, qtbot) -> None:
    with qtbot.waitSignal(rail.done) as done:
        qtbot.keyClick(rail.view, Qt.Key.Key_Return)
    assert done.args == [(HARVEST,)]
    with qtbot.waitSignal(rail.change) as change:
        qtbot.keyClick(rail.view, Qt.Key.Key_C)
    assert change.args == [HARVEST]


def test_a_line_that_stands_for_several_does_and_declines_them_all(rail, qtbot) -> None:
    both = Item(
        "",
        "Feed 2 vessels",
        "as it stands",
        suggestion=FEED,
        together=(FEED, RINSE),
        rows=(("A1", "4 mL"), ("B1", "2 mL")),
    )
    rail.show_day(DayList(items=(both,)))
    plain = rail.view.sizeHintForIndex(rail.model.index(0)).height()
    rail.show_day(DayList(items=(replace(both, rows=()),)))
    assert plain > rail.view.sizeHintForIndex(rail.model.index(0)).height() + 20, "the table is shown"
    with qtbot.waitSignal(rail.done) as done:
        qtbot.keyClick(rail.view, Qt.Key.Key_Return)
    assert done.args == [(FEED, RINSE)]
    qtbot.keyClick(rail.view, Qt.Key.Key_D)
    with qtbot.waitSignal(rail.decline) as declined:
        qtbot.keyClicks(rail.bar.reason, "full")
        qtbot.keyClick(rail.bar.reason, Qt.Key.Key_Return)
    assert declined.args == [(FEED, RINSE), "full"]


def test_arrows_move_and_the_buttons_come_along(rail, qtbot) -> None:
    first = rail.bar.geometry()
    qtbot.keyClick(rail.view, Qt.Key.Key_Down)
    assert rail.selected is FEED
    qtbot.waitUntil(lambda: rail.bar.geometry().top() > first.top())
    qtbot.keyClick(rail.view, Qt.Key.Key_Down)
    assert rail.selected is RINSE


def test_decline_asks_for_its_reason_in_the_line(rail, qtbot) -> None:
    qtbot.keyClick(rail.view, Qt.Key.Key_D)
    assert rail.bar.asking
    qtbot.keyClicks(rail.bar.reason, "larvae still full")
    with qtbot.waitSignal(rail.decline) as declined:
        qtbot.keyClick(rail.bar.reason, Qt.Key.Key_Return)
    assert declined.args == [(HARVEST,), "larvae still full"]
    assert not rail.bar.asking


def test_enter_in_the_line_stays_in_the_line(rail, qtbot) -> None:
    rail.view.setFocus()
    said = []
    rail.done.connect(said.append)
    qtbot.keyClick(rail.view, Qt.Key.Key_D)
    qtbot.keyClicks(rail.bar.reason, "later")
    qtbot.keyClick(rail.bar.reason, Qt.Key.Key_Return)
    assert said == [], "Enter after a reason was taken as done"
    rail.bar.decline_button.setFocus()
    qtbot.keyClick(rail.bar.decline_button, Qt.Key.Key_Return)
    assert said == [], "Enter on the button Decline was taken as done"
    assert rail.bar.asking


def test_escape_goes_back_and_declines_nothing(rail, qtbot) -> None:
    qtbot.keyClick(rail.view, Qt.Key.Key_D)
    with qtbot.assertNotEmitted(rail.decline):
        qtbot.keyClick(rail.bar.reason, Qt.Key.Key_Escape)
    assert not rail.bar.asking
    assert rail.selected is HARVEST


def test_what_is_typed_as_a_reason_survives_a_refresh(rail, qtbot) -> None:
    qtbot.keyClick(rail.view, Qt.Key.Key_D)
    qtbot.keyClicks(rail.bar.reason, "half a reas")
    rail.show_day(replace(DAY, foot="Saved 07:42"))
    assert rail.bar.asking
    assert rail.bar.reason.text() == "half a reas"


def test_moving_on_leaves_the_question(rail, qtbot) -> None:
    qtbot.keyClick(rail.view, Qt.Key.Key_D)
    rail.view.setFocus()
    qtbot.keyClick(rail.view, Qt.Key.Key_Down)
    assert not rail.bar.asking
    assert rail.selected is FEED


def test_buttons_do_the_same(rail, qtbot) -> None:
    with qtbot.waitSignal(rail.done):
        qtbot.mouseClick(rail.bar.done_button, Qt.MouseButton.LeftButton)
    with qtbot.waitSignal(rail.change):
        qtbot.mouseClick(rail.bar.change_button, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(rail.bar.decline_button, Qt.MouseButton.LeftButton)
    assert rail.bar.asking


def test_the_first_button_is_named_by_what_it_does(rail) -> None:
    assert rail.bar.done_button.text() == "Done"
    count = suggestion("Dab", "count", "Count again")
    rail.show_day(replace(DAY, items=(item("B1", count),)))
    assert rail.bar.done_button.text() == "Count", "a count is typed in, not ticked off"


def test_done_lines_offer_nothing(rail, qtbot) -> None:
    rail.view.setCurrentIndex(rail.model.index(0))
    assert rail.selected is None
    assert not rail.bar.isVisible()
    with qtbot.assertNotEmitted(rail.done):
        qtbot.keyClick(rail.view, Qt.Key.Key_Return)


def test_the_selected_line_stays_when_others_are_done(rail, qtbot) -> None:
    rail.view.setCurrentIndex(rail.model.index(4))
    left = replace(
        DAY, items=(DAY.items[0], replace(DAY.items[2], step=ItemProgress.done, suggestion=None), *DAY.items[3:])
    )
    rail.show_day(left)
    assert rail.selected is RINSE
    gone = replace(DAY, items=DAY.items[:4])
    rail.show_day(gone)
    assert rail.selected is HARVEST, "its line is done, so the first that is open"


def test_when_a_line_is_done_the_next_one_is_selected(rail) -> None:
    rail.view.setCurrentIndex(rail.model.index(3))
    declined = Item("A1", "Feed declined", "later", ItemProgress.declined, accessible="A1 Feed declined")
    rail.show_day(replace(DAY, items=(*DAY.items[:2], declined, DAY.items[2], DAY.items[4])))
    assert rail.selected is RINSE, "not back at the top of the day"


def test_a_line_about_the_whole_rack_offers_nothing_and_is_not_selected_first(rail, qtbot) -> None:
    rack = Item("Rack", "5 of 11 vessels went wrong together.", severity=Severity.today, accessible="The whole rack")
    rail.show_day(replace(DAY, items=(rack, *DAY.items[2:])))
    assert rail.selected is HARVEST
    rail.view.setCurrentIndex(rail.model.index(0))
    assert rail.selected is None
    assert not rail.bar.isVisible()


def test_read_only_shows_the_list_without_its_buttons(rail, qtbot) -> None:
    rail.show_day(DAY, read_only=True)
    assert not rail.bar.isVisible()
    for key in (Qt.Key.Key_Return, Qt.Key.Key_C, Qt.Key.Key_D):
        with qtbot.assertNotEmitted(rail.done), qtbot.assertNotEmitted(rail.change):
            qtbot.keyClick(rail.view, key)
    assert not rail.bar.asking


def test_selecting_a_line_points_at_its_vessel(rail, qtbot) -> None:
    with qtbot.waitSignal(rail.pointed) as pointed:
        rail.view.setCurrentIndex(rail.model.index(4))
    assert pointed.args == ["Dab"]


def test_a_screen_reader_hears_every_line(rail) -> None:
    found = QAccessible.queryAccessibleInterface(rail.view)
    said = [found.child(n).text(QAccessible.Text.Name) for n in range(found.childCount())]
    assert said == [i.accessible for i in DAY.items]
    assert found.text(QAccessible.Text.Name) == "What to do today, in order"


def test_common_cautions_and_the_last_save_stand_at_the_foot(rail) -> None:
    assert "Cover cuts and wear gloves." in rail._foot.text()
    assert "Saved 07:41" in rail._foot.text()


def test_a_day_without_anything_to_do_says_so(rail) -> None:
    rail.show_day(DayList(items=DAY.items[:1], progress="1 of 1 done"))
    assert rail._calm.isVisible()
    assert rail.selected is None


def test_a_place_is_said_once_for_lines_that_follow_each_other(rail) -> None:
    assert [rail.model.continues(n) for n in range(5)] == [False, False, False, True, False]


def test_the_reason_of_the_selected_line_is_shown_whole(rail) -> None:
    why = (
        "A4 stands empty and 241 /mL can spare it. A4 starts at 120 /mL when filled up, which is "
        "enough to grow back within 2 days. It is resting: take it back into use first."
    )
    long = replace(DAY.items[2], why=why)
    _, lines, _ = rail._lines._lines(long, opened=True, width=rail.view.viewport().width())
    assert " ".join(lines) == why


def test_the_head_of_the_opened_line_stays_in_sight(rail, qtbot) -> None:
    """A line that was open above closes when another opens: what is below moves up by its height."""
    whys = {n: " ".join(["because it grows"] * n) for n in (2, 12, 40)}
    lines = [item(f"A{n}", replace(HARVEST, vessel=f"V{n}"), why=whys[(2, 12, 40)[n % 3]]) for n in range(12)]
    rail.show_day(DayList(items=tuple(lines), progress="0 of 12 done"))
    for height in (640, 330, 240):
        rail.resize(300, height)
        for key in [Qt.Key.Key_Down] * 11 + [Qt.Key.Key_Up] * 11:
            qtbot.keyClick(rail.view, key)
            qtbot.wait(1)
            line, seen = rail.view.visualRect(rail.view.currentIndex()), rail.view.viewport().height()
            assert line.top() >= 0, "its head"
            assert line.bottom() < seen or line.top() == 0, "and as much of the rest as there is room for"
