"""Tiles kept as pictures look as if they were drawn anew, whatever changes, and no more of them are kept than help."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtGui import QImage

from rackview.ui.rack import drawn as pictures
from rackview.ui.rack.rack_state import Shelf, Trend
from rackview.ui.rack.tile import Gauge, TileState
from rackview.ui.rack.view import RackView
from rackview.ui.theme.colours import DARK, LIGHT

ONE = TileState(
    "v", "A1", "Brill", "L rotifer", "rising 0.31 a day", density="210", interval="180-250", age="today",
    gauge=Gauge(0.7, 0.66, 0.73, (0.5, 0.8)), trend=Trend((0.4, 0.6), (((0.1, 0.4), (0.8, 0.6)),)),
    actions=("Harvest 5.2 L",), accessible="x", tooltip="x",
)  # fmt: skip


def shelves(rows: int, density: str = "210") -> tuple[Shelf, ...]:
    return tuple(
        Shelf(str(s), tuple(replace(ONE, vessel=f"{s}.{n}", place=f"{s}{n}", density=density) for n in range(6)))
        for s in range(rows)
    )


def drawn(view: RackView) -> QImage:
    return view.grab().toImage()


@pytest.fixture
def counted(monkeypatch) -> list[str]:
    """The vessels whose tiles were drawn."""
    found: list[str] = []
    whole = pictures.paint_tile

    def paint(painter, rect, state, theme, **more) -> None:
        found.append(state.vessel)
        whole(painter, rect, state, theme, **more)

    monkeypatch.setattr(pictures, "paint_tile", paint)
    return found


def view_of(qtbot, rows: int) -> RackView:
    view = RackView(LIGHT)
    qtbot.addWidget(view)
    view.resize(1100, 700)
    view.show_shelves(shelves(rows))
    return view


def test_a_second_paint_draws_no_tile_and_looks_the_same(qtbot, counted):
    view = view_of(qtbot, 3)
    first = drawn(view)
    assert len(counted) >= 18
    counted.clear()
    assert drawn(view) == first
    assert counted == []


@pytest.mark.parametrize(
    "change",
    [
        lambda view: view.show_shelves(shelves(3, "95")),
        lambda view: view.apply_theme(DARK),
        lambda view: view.set_glance(True),
        lambda view: view.resize(900, 560),
    ],
)
def test_what_changes_is_drawn_anew_and_as_in_a_fresh_view(qtbot, counted, change):
    view, fresh = view_of(qtbot, 3), view_of(qtbot, 3)
    drawn(view)
    change(view)
    change(fresh)
    assert drawn(view) == drawn(fresh)


def test_only_the_tile_that_changed_is_drawn(qtbot, counted):
    view = view_of(qtbot, 3)
    drawn(view)
    counted.clear()
    first, *rest = shelves(3)
    changed = replace(first.places[2], density="95")
    view.show_shelves((replace(first, places=(*first.places[:2], changed, *first.places[3:])), *rest))
    drawn(view)
    assert counted == [changed.vessel]


def test_scrolling_through_a_large_rack_keeps_few_pictures(qtbot):
    view = view_of(qtbot, 60)
    view.show()
    for step in range(0, view.verticalScrollBar().maximum(), 300):
        view.verticalScrollBar().setValue(step)
        drawn(view)
    kept = view._tiles._drawn
    assert kept._pixels <= 2 * view.width() * view.height() * view.devicePixelRatioF() ** 2
    assert kept._pixels == sum(p.width() * p.height() for *_, p in kept._pictures.values())
