"""A database that says it is ours and is not: refused by its schema, before anything is asked of it."""

from __future__ import annotations

import runpy
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from rackview.services.sessions import open_session
from rackview.store import Store, StoreError, connect, shape
from rackview.store.merge import merge
from rackview.store.restore import restore
from rackview.store.verify import check

_bench = runpy.run_path(str(Path(__file__).parents[1] / "benchmarks" / "store_spoilt.py"))
HOSTILE: dict[str, list[str]] = _bench["SCHEMAS"]
ENDLESS: str = _bench["ENDLESS"]


@pytest.fixture(params=HOSTILE, ids=lambda name: name.replace(" ", "-"))
def hostile(request, quick_folder, vessel_rows, tally) -> Path:
    """A file with our mark and format, and something in it that we never make."""
    place = quick_folder / "hostile.db"
    with Store.open(place, "write") as made:
        made.write([tally(1)], vessel_rows)
    with closing(sqlite3.connect(place, isolation_level=None)) as editor:
        editor.execute("PRAGMA foreign_keys = OFF")
        for statement in HOSTILE[request.param]:
            editor.execute(statement)
    return place


@pytest.fixture
def asked(monkeypatch) -> list[str]:
    """All that is asked of any store."""
    found: list[str] = []
    monkeypatch.setattr(connect, "guard", lambda connection: connection.set_trace_callback(found.append))
    return found


def test_it_is_refused_before_anything_is_asked_of_it(hostile, store, path, morning, asked):
    before = hostile.read_bytes()
    for act in (
        lambda: Store.open(hostile),
        lambda: Store.open(hostile, "write"),
        lambda: open_session(hostile, lambda: morning),
        lambda: merge(store, hostile),
        lambda: restore(path.with_name("new.db"), hostile, morning),
    ):
        with pytest.raises(StoreError) as caught:
            act()
        assert caught.value.kind == "corrupt"
        assert hostile.read_bytes() == before
    assert asked
    assert [a for a in asked if not a.startswith(("PRAGMA ", "SELECT 1 FROM sqlite_master", shape.SCHEMA))] == []


def test_it_is_no_copy_of_this_store(hostile, store):
    before = hostile.read_bytes()
    with pytest.raises(StoreError, match="is no copy of this store"):
        store.backup(hostile)
    assert hostile.read_bytes() == before


def test_check_names_what_is_odd(hostile):
    (said,) = check(hostile)
    assert said.damage
    assert "more" in said.sentence or "as rackview makes it" in said.sentence or "does not make" in said.sentence


def test_every_released_schema_is_known():
    for released in sorted((Path(__file__).parent / "released").glob("*.db")):
        with closing(sqlite3.connect(f"{released.as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
            assert shape.odd(connection) is None
            assert shape.lacking(connection) == []


def test_what_an_upkeep_tool_adds_is_harmless(store, path):
    store.close()
    with closing(sqlite3.connect(path)) as tool:
        tool.execute("ANALYZE")
        tool.execute("VACUUM")
    assert check(path) == []


@pytest.mark.parametrize("name", sorted(shape.OTHERS))
@pytest.mark.parametrize("kind", ["view", "trigger", "index"])
def test_nothing_hides_behind_the_name_of_a_table_of_sqlites_own(store, kind, name):
    """SQLite makes no such thing, but a file can be made by hand."""
    store.connection.execute("PRAGMA writable_schema = ON")
    row = (kind, name, name, f"CREATE {kind} {name} something")
    store.connection.execute(
        "INSERT INTO sqlite_master (type, name, tbl_name, rootpage, sql) VALUES (?, ?, ?, 0, ?)", row
    )
    assert shape.odd(store.connection) == f"it has a {kind} {name}, which rackview does not make"


def test_ctrl_c_ends_a_long_question(path):
    """Whatever is asked of an open store, an interrupt is heard while SQLite works; in a program of its own."""
    code = f"""
import signal, sqlite3
from pathlib import Path
from rackview.store import connect, errors
connection = sqlite3.connect(":memory:", isolation_level=None)
connect.guard(connection)
signal.signal(signal.SIGINT, signal.default_int_handler)  # a program started in the background has it switched off
try:
    print("asking", flush=True)
    with errors.read(Path("x")):
        connection.execute({ENDLESS + "count(*) FROM c"!r}).fetchone()
except KeyboardInterrupt:
    print("ended", flush=True)
"""
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True) as asking:
        assert asking.stdout.readline() == "asking\n"
        asking.send_signal(signal.SIGINT)
        assert asking.communicate(timeout=60)[0] == "ended\n"
