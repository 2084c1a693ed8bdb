"""A tiny store of every released data format is opened by today's program, with everything in it.

The files in tests/store/released were each written by the program that introduced their format, and never change.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from rackview.core.tables import Standing, TankEntry
from rackview.store import Store, StoreError, TableRow, backup, connect, schema
from rackview.store.restore import restore
from rackview.store.rows import checksum
from rackview.store.verify import check

WHEN = datetime(2026, 4, 1, tzinfo=UTC)
RELEASED = sorted((Path(__file__).parent / "released").glob("format-*.db"))


def test_every_format_has_its_store():
    assert [p.stem for p in RELEASED] == [f"format-{i + 1}" for i in range(connect.VERSION)]


@pytest.mark.parametrize("released", RELEASED, ids=lambda p: p.stem)
@pytest.mark.parametrize("mode", ["read", "write"])
def test_it_opens_with_everything_in_it(quick_folder, released, mode):
    path = shutil.copy(released, quick_folder / "rack.db")
    with Store.open(path, mode) as store:
        rack = store.load()
        assert store.draft("round") == {"A1": "98 1"}
    assert [(e.id, e.kind) for e in rack.events()] == [
        ("e1", "count"), ("e2", "harvest"), ("e3", "reading"), ("e5", "count"), ("e8", "split")
    ]  # fmt: skip
    assert list(rack.vessels) == ["A1", "A2"]
    assert (rack.stock[0].amount, rack.settings.name) == (400.0, "the loft")
    assert rack.log("A2").event.to_vessel == "A2"
    assert not any(f.damage for f in check(path))


def test_moves_that_told_of_no_new_water_are_read_as_refilled_and_that_is_said(quick_folder):
    path = shutil.copy(RELEASED[0], quick_folder / "rack.db")
    with Store.open(path, "write") as store:
        (notice,) = [n for n in store.notices if "new water" in n]
        split = store.load().log("A2").event
        assert (split.refill_l, split.refilled_l) == (None, split.volume_l)
    (copy,) = backup.folders_of(path, None)[0].glob("before-format-2-*.db")
    assert f"the split of {split.vessel} on {split.at:%Y-%m-%d}" in notice
    assert str(copy) in notice
    assert format_of(copy) == 1
    with Store.open(path, "write") as again:
        assert not again.notices, "said once"


def test_of_many_moves_that_told_of_no_new_water_a_few_are_named_and_the_rest_counted(quick_folder):
    path = shutil.copy(RELEASED[0], quick_folder / "rack.db")
    with closing(sqlite3.connect(path)) as file, file:
        for day in range(2, 9):
            row = (f"m{day}", f"2026-03-{day:02}T16:00:00.000000+00:00", "A1", "split", None, None, "", "")
            said = (*row, '{"to_vessel":"A2","volume_l":1.0}')
            file.execute(
                "INSERT INTO events VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", (20 + day, *said, checksum(said))
            )
    with Store.open(path, "write") as store:
        (notice,) = [n for n in store.notices if "new water" in n]
    named = ", ".join(f"the split of A1 on 2026-03-{day:02}" for day in (8, 7, 6, 5, 4))
    assert f"usual: {named} and 3 more. If" in notice


@pytest.mark.parametrize("released", RELEASED[1:], ids=lambda p: p.stem)
def test_what_a_later_program_read_so_already_is_not_said_again(quick_folder, released):
    path = shutil.copy(released, quick_folder / "rack.db")
    with Store.open(path, "write") as store:
        assert store.load().log("A2").event.refill_l is None
        assert not store.notices


@pytest.mark.parametrize("released", RELEASED, ids=lambda p: p.stem)
def test_a_store_of_before_takes_standing_needs_and_larval_tanks(quick_folder, released):
    path = shutil.copy(released, quick_folder / "rack.db")
    rows = [
        TableRow("standing", "older fish rotifer-L", Standing("older fish", "rotifer-L", 4e5).row(), WHEN),
        TableRow("tank", "2026-03-02 first ", TankEntry(date(2026, 3, 2), "first", 2.5).row(), WHEN),
    ]
    with Store.open(path, "write") as store:
        before = store.since(0)
        store.write([], rows)
        assert store.since(0).rows[: len(before.rows)] == before.rows
    with Store.open(path, "read") as again:
        rack = again.load()
    assert (rack.standing[0].animals_per_day, rack.tanks[0].left_per_ml) == (4e5, 2.5)
    assert not any(f.damage for f in check(path))


def _next_format(monkeypatch, change: Callable[[Database], None]) -> None:
    later = Migrations("rackview")
    for made in (schema.version_1, schema.version_2, schema.version_3, change):
        later(name=made.__name__)(made)
    monkeypatch.setattr(schema, "MIGRATIONS", later)
    monkeypatch.setattr(connect, "VERSION", 4)


def test_an_older_format_is_copied_before_it_is_migrated(store, path, tally, monkeypatch):
    """With a made-up next format."""
    store.append([tally(1)])
    store.close()

    def version_4(db: Database) -> None:
        db.execute("ALTER TABLE meta ADD COLUMN remark TEXT")
        db.execute("PRAGMA user_version = 4")

    _next_format(monkeypatch, version_4)
    with Store.open(path, "write") as again:
        assert again.connection.execute("SELECT remark FROM meta").fetchall()
        assert len(again.since(0).events) == 1
    (copy,) = backup.folders_of(path, None)[0].glob("before-format-4-*.db")
    assert format_of(copy) == 3


def format_of(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute("PRAGMA user_version").fetchone()[0]


def test_a_migration_that_fails_changes_nothing(store, path, tally, monkeypatch):
    store.append([tally(1)])
    store.close()

    def version_4(db: Database) -> None:
        db.execute("CREATE TABLE half (x TEXT) STRICT")
        db.execute("INSERT INTO nowhere VALUES (1)")

    _next_format(monkeypatch, version_4)
    with pytest.raises(StoreError):
        Store.open(path, "write")
    monkeypatch.undo()
    assert check(path) == []
    with Store.open(path) as again:
        assert len(again.since(0).events) == 1
        assert again.connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'half'").fetchone() is None


@pytest.mark.parametrize("noise", [b'"to_vessel":"A9"', b'"to_vessel","A2"', b'"to_vessel":"\xff2"'])
def test_a_store_of_before_with_a_damaged_entry_is_migrated_and_restored(quick_folder, morning, noise):
    path = Path(shutil.copy(RELEASED[0], quick_folder / "rack.db"))
    with Store.open(path, "write"):
        pass  # writes its day book, as the program of that time had
    shutil.copy(RELEASED[0], path)
    path.write_bytes(path.read_bytes().replace(b'"to_vessel":"A2"', noise))
    with Store.open(path, "write") as store:
        (said,) = [n for n in store.notices if "is damaged:" in n]
        assert "the split of A1 on 2026-03-01" in said
        assert format_of(path) == connect.VERSION
    (copy,) = backup.folders_of(path, None)[0].glob("damaged-before-format-2-*.db")
    assert format_of(copy) == 1
    assert str(copy) in said
    assert any(f.damage for f in check(path))
    restore(path, None, morning)
    assert not any(f.damage for f in check(path))
