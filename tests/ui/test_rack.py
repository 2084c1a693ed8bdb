"""The rack screen: keys as on the shelf, names for a screen reader, first run, read-only, from afar."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible, QImage

from rackview.core.assessment import Severity
from rackview.ui.rack.rack_state import DayList, FreePlace, Shelf
from rackview.ui.rack.screen import RackScreen, rail_width
from rackview.ui.rack.tile import FlagMark, TileState
from rackview.ui.rack.view import STATE, RackView
from rackview.ui.theme import DARK, LIGHT


@pytest.fixture
def view(qtbot, shelves) -> RackView:
    made = RackView(LIGHT)
    qtbot.addWidget(made)
    made.resize(1000, 620)
    made.show_shelves(shelves)
    made.show()
    qtbot.waitExposed(made)
    made.setFocus()
    return made


def at(view: RackView) -> str:
    return view.current.place


def test_model_keeps_its_promises(view, qtmodeltester) -> None:
    qtmodeltester.check(view.rack)


def test_arrows_move_as_on_the_shelf(view, qtbot) -> None:
    assert at(view) == "A1"
    walk = [
        (Qt.Key.Key_Right, "A2"),
        (Qt.Key.Key_Right, "A3"),
        (Qt.Key.Key_Down, "B3"),
        (Qt.Key.Key_Left, "B2"),
        (Qt.Key.Key_Left, "B1"),
        (Qt.Key.Key_Up, "A1"),
    ]
    for key, place in walk:
        qtbot.keyClick(view, key)
        assert at(view) == place


def test_enter_opens_the_vessel_and_a_free_place_offers_itself(view, qtbot) -> None:
    with qtbot.waitSignal(view.opened) as opened:
        qtbot.keyClick(view, Qt.Key.Key_Return)
    assert opened.args == ["Brill"]
    qtbot.keyClick(view, Qt.Key.Key_Right)
    qtbot.keyClick(view, Qt.Key.Key_Right)
    with qtbot.waitSignal(view.free_chosen) as free:
        qtbot.keyClick(view, Qt.Key.Key_Enter)
    assert free.args == ["A", 3]


def test_a_click_opens_the_vessel(view, qtbot) -> None:
    index = view.rack.find("Dab")
    with qtbot.waitSignal(view.opened) as opened:
        qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=view.visualRect(index).center())
    assert opened.args == ["Dab"]


def test_a_screen_reader_finds_every_vessel_by_its_whole_tile(view, shelves) -> None:
    table = QAccessible.queryAccessibleInterface(view)
    said = [table.child(n).text(QAccessible.Text.Name) for n in range(table.childCount())]
    for place in (p for s in shelves for p in s.places):
        assert place.accessible in said
    assert table.text(QAccessible.Text.Name) == "Vessels on the rack"


def test_all_vessels_are_in_view_without_scrolling(qtbot, shelves) -> None:
    three = (*shelves, replace(shelves[0], name="C", places=tuple(_moved(p, "C") for p in shelves[0].places)))
    made = RackView(LIGHT)
    qtbot.addWidget(made)
    made.show_shelves(three)
    for size in ((960, 620), (1480, 980), (2040, 1340)):
        made.resize(*size)
        made.show()
        qtbot.waitExposed(made)
        assert made.verticalScrollBar().maximum() == 0, size
        last = made.visualRect(made.rack.index(made.rack.rowCount() - 1, made.rack.columnCount() - 1))
        assert made.viewport().rect().contains(last), size


def _moved(place: TileState | FreePlace, shelf: str) -> TileState | FreePlace:
    if isinstance(place, FreePlace):
        return replace(place, shelf=shelf)
    return replace(place, vessel=f"{place.vessel} {shelf}", place=shelf + place.place[1:])


def test_many_vessels_scroll_instead_of_shrinking_away(qtbot, tiles) -> None:
    places = tuple(replace(tiles["rising"], vessel=f"v{n}", place=f"A{n + 1}") for n in range(200))
    made = RackView(LIGHT)
    qtbot.addWidget(made)
    made.resize(900, 600)
    made.show_shelves((Shelf("A", places),))
    made.show()
    qtbot.waitExposed(made)
    assert made.verticalScrollBar().maximum() > 0
    assert made.tile_height() >= 100
    made.select("v199")
    assert made.viewport().rect().contains(made.visualRect(made.currentIndex()))


def test_a_changed_tile_is_told_and_the_others_are_not(view, shelves, qtbot) -> None:
    qtbot.keyClick(view, Qt.Key.Key_Right)
    flagged = replace(shelves[0].places[0], marks=(FlagMark(Severity.week, "floss due", "Floss is due."),))
    changed = (replace(shelves[0], places=(flagged, *shelves[0].places[1:])), shelves[1])
    told: list[tuple[int, int]] = []
    view.rack.dataChanged.connect(lambda a, b, roles: told.append((a.row(), a.column())))
    view.show_shelves(changed)
    assert told == [(0, 0)]
    assert view.rack.index(0, 0).data(STATE) is flagged
    assert at(view) == "A2", "the keyboard stays where it was"


def test_the_keyboard_stays_at_its_vessel_when_the_rack_changes(view, shelves, qtbot) -> None:
    view.select("Lumpsucker")
    view.show_shelves((shelves[1],))
    assert view.current.vessel == "Lumpsucker"
    view.show_shelves((shelves[0],))
    assert view.current.vessel == "Brill", "its vessel is gone, so the first one"


def test_a_rack_that_shrinks_before_it_was_shown_is_no_trouble(qtbot, tiles) -> None:
    """Headers ask for rows that are already gone while a model is reset."""

    def shelves(number: int) -> tuple[Shelf, ...]:
        places = (replace(tiles["rising"], vessel=f"v{n}", place=f"A{n}") for n in range(number * 6))
        return tuple(Shelf("ABCDEFG"[n], tuple(next(places) for _ in range(6))) for n in range(number))

    made = RackView(LIGHT)
    qtbot.addWidget(made)
    made.resize(990, 640)
    for number in (5, 2, 7, 1):
        made.show_shelves(shelves(number))
        assert made.rack.rowCount() >= number
    assert made.rack.headerData(99, Qt.Orientation.Vertical) == ""
    made.show_shelves(())
    assert made.rack.rowCount() == 0


def test_each_number_is_told_with_its_age_and_sureness_under_the_pointer(view) -> None:
    index = view.rack.find("Dab")
    assert index.data(Qt.ItemDataRole.ToolTipRole) == "96 per mL now\nOnly 7 % carry eggs."


# --- the screen -----------------------------------------------------------------------------------------------------


class EmptySession:
    """A session on a store without a vessel."""

    def __init__(self, read_only: str | None = None) -> None:
        from datetime import UTC, datetime

        from rackview.core.rack import Rack

        self.rack = Rack.build([])
        self.read_only = read_only
        self._now = datetime(2026, 5, 14, 7, 42, tzinfo=UTC)

    def now(self):
        return self._now

    def freshen(self):
        return True

    def answers(self):
        from rackview.services.advice_cache import CachedAdvice

        return CachedAdvice(self.rack, self._now)


@pytest.fixture
def screen(qtbot, rack_state) -> RackScreen:
    made = RackScreen(EmptySession(), LIGHT)
    qtbot.addWidget(made)
    made.resize(1280, 720)
    made.show()
    qtbot.waitExposed(made)
    made.refresh()
    return made


def test_first_run_leads_to_a_vessel_or_the_demo(screen, qtbot) -> None:
    assert screen.first.isVisible()
    assert not screen.view.isVisible()
    assert not screen.rail.isVisible()
    with qtbot.waitSignal(screen.add_vessel) as add:
        qtbot.mouseClick(screen.first.add, Qt.MouseButton.LeftButton)
    assert add.args == ["", 0]
    with qtbot.waitSignal(screen.demo_wanted):
        qtbot.mouseClick(screen.first.demo, Qt.MouseButton.LeftButton)


def test_a_rack_takes_the_place_of_the_first_page(screen, rack_state) -> None:
    screen.show_state(rack_state, DayList())
    assert not screen.first.isVisible()
    assert screen.view.isVisible()
    assert screen.rail.isVisible()
    assert screen.focusProxy() is screen.view


def test_from_afar_only_shelves_and_supply_stay(screen, rack_state, supplies) -> None:
    screen.show_state(rack_state, DayList(supplies=(supplies["short"],)))
    near = screen.view.width()
    screen.set_glance(True)
    screen.layout().activate()
    assert not screen.rail.isVisible()
    assert screen.strip.isVisible()
    assert screen.strip.accessibleName() == supplies["short"].accessible
    assert screen.view.width() > near
    screen.set_glance(False)
    assert screen.rail.isVisible()
    assert not screen.strip.isVisible()


def test_read_only_is_said_and_nothing_can_be_added(qtbot) -> None:
    made = RackScreen(EmptySession("The folder can only be read, so nothing can be recorded."), LIGHT)
    qtbot.addWidget(made)
    made.work_out()
    assert "can only be read" in made.header.findChildren(type(made.header._banner))[-1].text()
    assert not made.first.add.isEnabled()


def test_the_theme_reaches_every_part(screen, rack_state) -> None:
    def ground() -> set[str]:
        image: QImage = screen.grab().toImage()
        spots = (QPoint(screen.view.x() + screen.view.width() - 60, screen.view.y() + 30), QPoint(1270, 700))
        return {image.pixelColor(p).name() for p in spots}

    wide = replace(rack_state, shelves=(Shelf("A", (rack_state.shelves[0].places[0],)),))
    screen.show_state(wide, DayList())
    assert ground() == {LIGHT.field.name(), LIGHT.rail.name()}
    screen.apply_theme(DARK)
    assert ground() == {DARK.field.name(), DARK.rail.name()}


def test_the_list_takes_a_fifth_of_the_width_within_reason() -> None:
    assert [rail_width(w) for w in (1000, 1280, 1920, 4000)] == [272, 272, 394, 480]


def test_a_tile_is_carried_by_keys_and_by_drag_and_undo_takes_it_back(qtbot, session, awake):
    screen = RackScreen(session, LIGHT)
    qtbot.addWidget(screen)
    screen.resize(1280, 720)
    awake(screen)
    screen.work_out()
    session.subscribe(lambda _: screen.work_out())
    view = screen.view
    view.select("Brill")
    qtbot.keyClick(view, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    assert (session.rack.vessels["Brill"].place, session.rack.vessels["Dab"].place) == ("A2", "A1")
    qtbot.keyClick(view, Qt.Key.Key_Down, Qt.KeyboardModifier.ControlModifier)
    assert (session.rack.vessels["Brill"].place, session.rack.vessels["Ruffe"].place) == ("B2", "A2")
    start, end = (view.visualRect(view.rack.find(n)).center() for n in ("Dab", "Goby"))
    with qtbot.assertNotEmitted(view.opened):
        qtbot.mousePress(view.viewport(), Qt.MouseButton.LeftButton, pos=start)
        qtbot.mouseMove(view.viewport(), pos=(start + end) / 2)
        qtbot.mouseRelease(view.viewport(), Qt.MouseButton.LeftButton, pos=end)
    assert (session.rack.vessels["Dab"].place, session.rack.vessels["Goby"].place) == ("B1", "A1")
    for _ in range(3):
        session.undo()
    assert session.rack.vessels["Brill"].place == "A1"
