"""The way of a count, from the key that records it to its painted tile: which rooms it goes through, in which shapes.

A call is one from a room into another, as DEVELOPERS.md lists them, on the way to any of the steps at which the count
is taken in, kept, believed, said or painted. A shape is what is handed over in such a call and holds numbers of the
count: whatever lives on (session, store, rack, screens) holds it, but is not made for it.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Callable, Iterator
from dataclasses import is_dataclass
from pathlib import Path
from types import CodeType, FrameType

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

import rackview
from rackview.advice import beliefs
from rackview.core.events import Count
from rackview.core.parse import event_from_row
from rackview.core.rack import Rack
from rackview.services.rack_session import RackSession
from rackview.store import Store
from rackview.store.reader import Reader
from rackview.ui.paint.tile import paint_tile
from rackview.ui.rack.tile import tile
from rackview.ui.round.screen import RoundScreen
from rackview.ui.window import MainWindow
from tests.ui.test_advice_behind import settled

OURS = Path(rackview.__file__).parent
STEPS = (event_from_row, Store.write, Reader.since, Rack.with_history, beliefs.assessment, tile, paint_tile)
MOST_CALLS, MOST_SHAPES, MOST_FILES = 10, 4, 4
BESIDE = {
    "Rack": "lives on, one event longer",
    "Written": "the events as they are, and the running number of the newest",
    "Change": "names the vessels, for whoever shows them",
    "Theme": "how it is drawn",
}
"""Handed over on the way, and no further shape of the count."""


def room(code: CodeType) -> str:
    """The room a function stands in: its folder, and beside the folders of the window the window itself."""
    parts = Path(code.co_filename).relative_to(OURS).parts[:-1]
    return "/".join(parts[:2] if parts[:1] == ("ui",) else parts[:1])


class Way:
    """The calls from room to room that lead to the steps, in order, and what is handed over in them."""

    def __init__(self) -> None:
        self.calls: dict[str, None] = {}
        self.handed: dict[str, None] = {}
        self._steps = {step.__code__ for step in STEPS}
        self._waits: set[FrameType] = set()
        self._painted = False

    def follow(self, work: Callable[[], object]) -> None:
        """Do it, and note the way."""
        sys.setprofile(self._heard)
        try:
            work()
        finally:
            sys.setprofile(None)

    def _heard(self, frame: FrameType, event: str, given: object) -> None:
        if event == "return" and frame in self._waits:
            self._waits.discard(frame)
            self._hand(given)
        elif event == "call" and frame.f_code in self._steps and not self._painted:
            stack = [f for f in _outward(frame) if f.f_code.co_filename.startswith(str(OURS))]
            if "_judge" not in {f.f_code.co_name for f in stack}:  # a field that is judged by itself
                self._note(list(reversed(stack)))
                self._painted = frame.f_code is paint_tile.__code__

    def _note(self, stack: list[FrameType]) -> None:
        before = ""
        for frame in stack:
            code = frame.f_code
            here = room(code)
            if here != before and f"{here} {code.co_qualname}" not in self.calls:
                self.calls[f"{here} {code.co_qualname}"] = None
                self._waits.add(frame)
                for name in code.co_varnames[: code.co_argcount + code.co_kwonlyargcount]:
                    self._hand(frame.f_locals.get(name))
            before = here

    def _hand(self, given: object) -> None:
        for one in given if isinstance(given, list | tuple) else (given,):
            if is_dataclass(one) or isinstance(one, dict):
                self.handed[type(one).__name__] = None


def _outward(frame: FrameType | None) -> Iterator[FrameType]:
    while frame is not None:
        yield frame
        frame = frame.f_back


@pytest.fixture
def way(qtbot, awake, session: RackSession) -> Way:
    """Of a count typed in the round and recorded while the rack is in view, so that its tile is painted at once."""
    window = MainWindow(session, look="light")
    window.advise_behind()
    qtbot.addWidget(window)
    awake(window)
    settled(qtbot, window)
    window.go("round")
    settled(qtbot, window)
    page = window.screen_widget()
    assert isinstance(page, RoundScreen)
    page.go("Brill")
    line = page.count.fields["all.0"].line
    QTest.keyClicks(line, "31")
    window.go("rack")
    settled(qtbot, window)
    found = Way()
    found.follow(lambda: QTest.keyClick(line, Qt.Key.Key_Plus))
    assert next(c.tallies for e in session.rack.log("Brill").back() if isinstance(c := e.event, Count)) == (31,)
    window.leave()
    return found


def test_a_count_comes_to_its_tile_in_few_calls_as_the_house_says(way):
    """Each is told in DEVELOPERS.md, in this order."""
    said = re.findall(r"^\d+\. .*?`([\w.]+)` \(`([\w/]+)`\)", _chapter("The way of a count"), flags=re.MULTILINE)
    assert list(way.calls) == [f"{where} {name}" for name, where in said]
    assert len(way.calls) <= MOST_CALLS


def test_on_its_way_it_has_few_shapes(way):
    shapes = way.handed.keys() - BESIDE.keys()
    assert shapes == {"dict", "Count", "Assessment", "TileState"}
    assert len(shapes) <= MOST_SHAPES


def _chapter(title: str) -> str:
    return (OURS.parent / "DEVELOPERS.md").read_text().split(f"## {title}\n")[1].split("\n## ")[0]


def test_a_number_of_the_tile_stands_in_four_files():
    """Each record between what is believed and what is drawn is made and filled in one place, and drawn in one."""
    made, filled, drawn, waiting = set(), {"Assessment": set(), "TileState": set()}, set(), set()
    for path in OURS.rglob("*.py"):
        where = path.relative_to(OURS).as_posix()
        for node in ast.walk(ast.parse(path.read_text())):
            match node:
                case ast.ClassDef(name=name) if name in filled:
                    made.add(where)
                case ast.Call(func=ast.Name(id=name), keywords=told) if name in filled:
                    filled[name].add(where)
                    waiting |= {k.arg for k in told} if where == "ui/rack/presenter.py" else set()
                case ast.Attribute(attr="signs_brief"):
                    drawn.add(where)
    assert waiting <= {"vessel", "place", "name", "title", "words", "accessible"}, "no number before it is worked out"
    files = made | filled["Assessment"] | filled["TileState"] - {"ui/rack/presenter.py"} | drawn
    assert files == {"core/assessment.py", "advice/beliefs.py", "ui/rack/tile.py", "ui/paint/tile.py"}
    assert len(files) <= MOST_FILES
