"""A long day: like work is one line that says how many it stands for and opens to them."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from PySide6.QtCore import Qt

from rackview.core.assessment import Severity, Suggestion
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.ui.rack.day_list import day_list
from rackview.ui.rack.rack_state import DayList, Item
from rackview.ui.rack.rail import Rail
from rackview.ui.theme import LIGHT

AT = datetime(2026, 5, 14, 9, 0, tzinfo=UTC)
VESSELS = tuple(Vessel(f"V{n}", "rotifer-L", "A", n, 20.0) for n in range(1, 31))


def to_do(n: int, action: str, severity: Severity | None = None, *, own_tools: bool = False) -> Suggestion:
    return Suggestion(
        f"V{n}", action, 5.0, "L", None, 1, AT, "why", (), 0.9, text=action, severity=severity, own_tools=own_tools
    )


def day(suggestions: list[Suggestion]) -> DayList:
    return day_list(Rack.build(VESSELS, ()), suggestions, None, AT)


SUSPECT = [to_do(30, action, Severity.week, own_tools=True) for action in ("count", "test", "hold")]
LONG = [
    *(to_do(n, action) for n in range(1, 11) for action in ("harvest", "count", "feed")),
    *(to_do(n, "clean", Severity.week) for n in (4, 2, 9)),
    to_do(5, "split"),
    *SUSPECT,
    to_do(29, "test", Severity.today, own_tools=True),
]


def test_a_day_that_can_be_read_stays_as_it_is() -> None:
    short = [to_do(n, action) for n in range(1, 9) for action in ("harvest", "count", "test")]
    assert [i.suggestion for i in day(short).items] == short
    assert not any(i.members for i in day(short).items)


def test_of_a_long_day_like_work_is_one_line_and_nothing_is_left_out() -> None:
    made = day(LONG)
    told = [(i.place, i.text, i.why) for i in made.items]
    places = " ".join(f"A{n}" for n in range(1, 11))
    assert told == [
        ("A29", "test", "why"),  # urgent, never gathered
        ("", "Clean: 3", "A4 A2 A9"),  # what is more severe first, in the order of service
        ("", "Count: 10", places),
        ("", "Harvest: 10", places),
        ("A5", "split", "why"),
        ("", "Feed 10 vessels", "These have no cautions of their own. Done records each as it stands here."),
        ("", "Last, with separate tools: 3", "A30"),
    ]
    assert [i.severity for i in made.items[:2]] == [Severity.today, Severity.week]
    lines = [one for i in made.items for one in (i.members or (i,))]
    stood_for = [s for one in lines for s in (one.together or (one.suggestion,))]
    assert sorted(map(repr, stood_for)) == sorted(map(repr, LONG))
    assert made.items[-1].members[0].suggestion is SUSPECT[0]
    assert made.items[1].accessible == "Clean: 3, at A4, A2, A9. Enter shows or hides them."


@pytest.fixture
def rail(qtbot) -> Rail:
    made = Rail(LIGHT)
    qtbot.addWidget(made)
    made.resize(300, 640)
    made.show_day(day(LONG))
    made.show()
    qtbot.waitExposed(made)
    made.view.setFocus()
    return made


def shown(rail: Rail) -> list[str]:
    return [f"{i.place} {i.text}".strip() for i in rail.model.items]


def test_enter_and_a_click_open_and_close_what_is_gathered(rail, qtbot) -> None:
    closed = shown(rail)
    qtbot.keyClick(rail.view, Qt.Key.Key_Down)
    qtbot.keyClick(rail.view, Qt.Key.Key_Return)
    assert shown(rail) == [*closed[:2], "A4 clean", "A2 clean", "A9 clean", *closed[2:]]
    assert rail.view.currentIndex().row() == 1
    assert not rail.bar.isVisible(), "a line that gathers others has nothing to record"
    middle = rail.view.visualRect(rail.model.index(1)).center()
    qtbot.mouseClick(rail.view.viewport(), Qt.MouseButton.LeftButton, pos=middle)
    assert shown(rail) == closed


def test_what_is_open_stays_open_while_its_lines_are_done_one_by_one(rail, qtbot) -> None:
    qtbot.keyClick(rail.view, Qt.Key.Key_Down)
    qtbot.keyClick(rail.view, Qt.Key.Key_Return)
    qtbot.keyClick(rail.view, Qt.Key.Key_Down)
    for vessel in ("V4", "V2"):
        assert rail.selected is not None
        assert (rail.selected.vessel, rail.selected.action) == (vessel, "clean")
        with qtbot.waitSignal(rail.done) as done:
            qtbot.keyClick(rail.view, Qt.Key.Key_Return)
        left = [s for s in LONG if s not in done.args[0] and s.vessel not in {"V4"} | {vessel}]
        more = [to_do(n, "clean", Severity.week) for n in range(11, 14)]
        rail.show_day(day([*left, *more]))


def test_a_minute_later_the_line_that_was_selected_is_still_selected(rail, qtbot) -> None:
    for _ in range(2):
        qtbot.keyClick(rail.view, Qt.Key.Key_Down)
    assert shown(rail)[rail.view.currentIndex().row()] == "Count: 10"
    rail.show_day(day([s for s in LONG if s != to_do(3, "count")]))
    assert shown(rail)[rail.view.currentIndex().row()] == "Count: 9"


def test_what_is_folded_is_copied_too(rail) -> None:
    said = rail.view.as_text()
    assert said.count("clean") == 3
    assert len(said.splitlines()) == len([i for i in rail.model.everything if not i.members])


def test_a_remark_on_the_whole_rack_is_told_to_its_end(rail) -> None:
    words = "No reserve of benthic copepod, pelagic copepod, S rotifer, SS rotifer. "
    said = Item("All", words + "Mark one vessel of each as reserve and keep it apart with tools of its own.")
    rail.show_day(DayList(items=(said,)))
    lines = rail.view.itemDelegate()._lines(said, opened=False, width=rail.view.viewport().width())[0]
    assert " ".join(lines) == said.text


def test_the_list_fades_where_it_goes_on_below_its_edge(rail, qtbot) -> None:
    view = rail.view
    for height in range(380, 425, 3):  # at some of them a line of words is cut by the edge
        rail.resize(300, height)
        qtbot.waitUntil(lambda: view.verticalScrollBar().maximum() > 0)
        image = rail.grab(view.geometry()).toImage()
        last = min(image.pixelColor(x, image.height() - 1).lightness() for x in range(image.width() - 20))
        assert last > LIGHT.rail.lightness() - 12, height
