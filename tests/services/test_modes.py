"""What the program writes is for the keeper's eyes only, and leaves nothing behind (POSIX modes; Windows has none)."""

from __future__ import annotations

import ast
import logging
import os
import stat
from datetime import UTC, datetime
from pathlib import Path

import pytest

import rackview
from rackview import app
from rackview.core.vessel import Vessel
from rackview.services import logbook, maintenance, places, rescue, sharing
from rackview.services.sessions import open_session
from rackview.store.restore import restore
from rackview.ui.door import Door

MORNING = datetime(2026, 3, 1, 8, tzinfo=UTC)


@pytest.fixture(autouse=True)
def wide_open():
    """The widest mask that a keeper's shell could have set."""
    before = os.umask(0)
    yield
    os.umask(before)


def modes(folder: Path) -> dict[str, int]:
    return {str(p.relative_to(folder)): stat.S_IMODE(p.lstat().st_mode) for p in folder.rglob("*")}


def names(folder: Path) -> set[str]:
    return {p.name for p in folder.iterdir()}


def private(folder: Path) -> list[str]:
    """Everything in a folder that someone else could read; where modes mean nothing, everything is as it is made."""
    if os.name == "nt":
        return []
    wanted = {True: 0o700, False: 0o600}
    return [f"{name} {mode:o}" for name, mode in modes(folder).items() if mode != wanted[(folder / name).is_dir()]]


def test_store_day_book_copies_and_what_is_replaced(tmp_path):
    home = tmp_path / "data" / "rackview"
    stick = tmp_path / "stick"
    stick.mkdir(0o700)
    path = home / "rack.db"
    session = open_session(path, lambda: MORNING)
    session.put_vessel(Vessel("B1", "mixed", "B", 1, 5))
    session.record({"at": MORNING, "vessel": "B1", "kind": "note", "text": "seen"})
    assert {"rack.db-wal", "rack.db-shm"} <= names(home)
    assert private(tmp_path) == []
    session.close()
    maintenance.back_up(path, None, MORNING)
    maintenance.back_up(path, tmp_path / "by hand" / "copy.db", MORNING)
    maintenance.upkeep(path, lambda: MORNING, stick)
    restore(path, None, MORNING)
    assert list(stick.rglob("*.db"))
    assert list(home.rglob("replaced-*.db"))
    assert private(tmp_path) == []


def test_what_is_set_aside_put_back_and_merged(tmp_path):
    home = tmp_path / "data"
    path, other = home / "rack.db", tmp_path / "away" / "rack.db"
    for place, name in ((path, "B1"), (other, "B2")):
        session = open_session(place, lambda: MORNING)
        session.put_vessel(Vessel(name, "mixed", "B", 1, 5))
        session.close()
    rescue.undoable_merge(path, other, MORNING)
    rescue.undo(path, MORNING)
    rescue.undoable_restore(path, None, MORNING)
    rescue.set_aside(path, MORNING)
    sharing.own_mark()
    assert private(tmp_path) == []
    assert private(places.data_dir()) == []


def test_the_log_and_each_that_takes_its_place(tmp_path, monkeypatch):
    monkeypatch.setattr(logbook, "LOG_BYTES", 200)
    handler = logbook.book(tmp_path / "state" / "log")
    for number in range(20):
        handler.emit(logging.LogRecord("rackview", logging.INFO, "", 0, "line %s of the log", (number,), None))
    handler.close()
    assert len(names(tmp_path / "state" / "log")) == logbook.LOGS + 1
    assert private(tmp_path) == []
    with app.logged():
        pass
    assert "fault.log" in names(places.log_dir())
    assert private(places.log_dir()) == []


def test_the_window_knocks_in_the_keepers_own_folder_and_clears_up(tmp_path, monkeypatch, qapp):
    run = tmp_path / "run"
    run.mkdir(0o700)
    (tmp_path / "data").mkdir(0o700)
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(run))
    door = Door(tmp_path / "data" / "rack.db")
    assert door.first
    if os.name != "nt":
        (socket,) = run.iterdir()
        assert stat.S_ISSOCK(socket.lstat().st_mode)
        assert stat.S_IMODE(socket.lstat().st_mode) & 0o077 == 0
    door.close()
    assert list(run.iterdir()) == []
    assert list((tmp_path / "data").iterdir()) == []


def test_nothing_read_from_a_file_can_run():
    """No pickle anywhere, and no exec or eval of text but of the names of a dataclass's own fields."""
    found = []
    for part in Path(rackview.__file__).parent.rglob("*.py"):
        text = part.read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Import) and any(a.name in {"pickle", "marshal", "shelve"} for a in node.names):
                found.append(f"{part.name} {node.lineno}")
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in {"exec", "eval"}:
                found.append(f"{part.name} {ast.unparse(node)}")
    assert found == ["dataclass.py exec(f'def {name}({words}', names)"]
