"""Copies: whole, sound, thinned out with age."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.store import Store, StoreError, backup, beside, pictures
from rackview.store.damaged_copy import DamagedCopyError
from rackview.store.verify import check


def test_a_copy_is_a_store_of_its_own(store, tally, tmp_path):
    store.append([tally(1)])
    copy = store.backup(tmp_path / "stick" / "copy.db")
    assert sorted(p.name for p in copy.parent.iterdir()) == ["copy.db"]
    with Store.open(copy) as reader:
        assert list(reader.load().events()) == list(store.load().events())
        assert reader.meta("id") == store.id


def test_a_copy_is_made_while_another_window_writes(store, path, tally, tmp_path):
    with Store.open(path, "write") as window:
        window.connection.execute("BEGIN IMMEDIATE")
        copy = store.backup(tmp_path / "copy.db")
        window.connection.execute("ROLLBACK")
    with Store.open(copy) as reader:
        assert len(reader.load().vessels) == 3


def test_a_copy_that_cannot_be_written_leaves_nothing(store, tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(StoreError):
        store.backup(tmp_path / "file" / "copy.db")
    assert (tmp_path / "file").read_text() == "in the way"


def test_a_damaged_store_does_not_replace_a_good_copy(store, path, tally, tmp_path):
    store.append([tally(i, note="n" * 500) for i in range(60)])
    copy = store.backup(tmp_path / "copy.db")
    good = copy.read_bytes()
    store.close()
    with path.open("rb+") as file:
        file.seek(4096 * (path.stat().st_size // 4096 - 2))
        file.write(b"noise" * 800)
    with Store.open(path) as damaged, pytest.raises(StoreError) as caught:
        damaged.backup(copy)
    assert caught.value.kind == "corrupt"
    assert copy.read_bytes() == good


def spoil(path, table="events", column="body", other="replace(body, '3', '4')", numbers="2, 5"):
    """Change rows of a store behind its back, as a failing disk does."""
    with closing(sqlite3.connect(path, isolation_level=None)) as editor:
        (guard,) = editor.execute("SELECT sql FROM sqlite_master WHERE name = ?", (f"{table}_stay_update",)).fetchone()
        editor.execute(f"DROP TRIGGER {table}_stay_update")
        editor.execute(f"UPDATE {table} SET {column} = {other} WHERE n IN ({numbers})")  # noqa: S608
        editor.execute(guard)


@pytest.mark.parametrize(("table", "column"), [("events", "body"), ("events", "sum"), ("table_rows", "entered_on")])
def test_a_row_that_is_not_as_it_was_written_is_in_no_copy(store, path, tally, tmp_path, table, column):
    store.append([tally(i, note=note) for i, note in enumerate(["", "a \0 in it", "ñ \U0001f990 \x1f", "None"])])
    copy = store.backup(tmp_path / "copy.db")
    good = copy.read_bytes()
    spoil(path, table, column, {"sum": "sum + 1", "body": "replace(body, '3', '4')", "entered_on": "'away'"}[column])
    for _round in range(2):
        with pytest.raises(StoreError, match="not as it was written") as caught:
            store.backup(copy)
        assert caught.value.kind == "corrupt"
        assert copy.read_bytes() == good


def test_one_copy_a_day_and_the_old_ones_thinned(store):
    first = date(2026, 1, 1)
    for i in range(90):
        backup.daily(store.connection, store.path, first + timedelta(days=i))
        backup.daily(store.connection, store.path, first + timedelta(days=i))
    kept = sorted(p.name[4:14] for p in backup.folder_of(store.path, store.id).glob("*.db"))
    assert kept == [
        "2026-01-31", "2026-02-28",  # the newest of each month
        "2026-03-15", "2026-03-22",  # of each week, Sundays
        "2026-03-25", "2026-03-26", "2026-03-27", "2026-03-28", "2026-03-29", "2026-03-30", "2026-03-31",
    ]  # fmt: skip


@given(st.sets(st.dates(date(2020, 1, 1), date(2030, 1, 1)), min_size=1, max_size=200))
def test_thinning_keeps_the_newest_and_never_more_than_23(days):
    kept = backup.kept_days(days)
    assert kept <= days
    assert set(sorted(days)[-7:]) <= kept
    assert len(kept) <= 7 + 4 + 12
    months = {(d.year, d.month) for d in days}
    assert len({(d.year, d.month) for d in kept}) >= min(len(months), 12)


def test_a_second_folder_gets_one_too_and_its_absence_is_a_notice(store, tmp_path):
    stick = tmp_path / "stick"
    today = date(2026, 3, 1)
    (said,) = backup.daily(store.connection, store.path, today, stick)
    assert "is not there today" in said
    stick.mkdir()
    assert backup.daily(store.connection, store.path, today, stick) == ()
    (copy,) = stick.rglob("*.db")
    mine = beside.short(store.id)
    assert (copy.parent.name, copy.name) == (f"rack-{mine}", f"day-2026-03-01-{mine}.db")
    assert check(copy)[0].damage is False


def test_a_copy_takes_the_place_of_an_older_copy_and_of_nothing_else(store, path, tally, tmp_path, vessel_rows):
    copy = store.backup(tmp_path / "copy.db")
    store.append([tally(1)])
    store.backup(copy)
    with Store.open(copy) as again:
        assert [e.tallies for e in again.load().events()] == [(1, 3, 4)]
    table, other = tmp_path / "counts.csv", tmp_path / "other.db"
    table.write_text("at,vessel\n" * 99, encoding="utf-8")
    with Store.open(other, "write") as theirs:
        theirs.write(rows=vessel_rows)
    for target, why in ((path, "is the store itself"), (table, "no copy of this store"), (other, "is another store")):
        before = target.read_bytes()
        with pytest.raises(StoreError, match=why) as caught:
            store.backup(target)
        assert caught.value.kind == "refused"
        assert target.read_bytes() == before
    assert store.is_there()


def rows_in(path):
    """Every value of every entry in a file, as its bytes."""
    with closing(sqlite3.connect(path)) as there:
        there.text_factory = bytes
        return there.execute("SELECT * FROM events").fetchall(), there.execute("SELECT * FROM table_rows").fetchall()


@pytest.mark.parametrize("other", ["replace(body, '3', '4')", "CAST(x'7b226e223a22ff227d' AS TEXT)"])
def test_a_copy_of_a_damaged_store_is_kept_beside_the_sound_one_and_named_so(store, path, tally, tmp_path, other):
    store.append([tally(i) for i in range(4)])
    copy = store.backup(tmp_path / "copy.db")
    good = copy.read_bytes()
    spoil(path, other=other, numbers="5")
    with pytest.raises(DamagedCopyError) as caught:
        store.backup(copy, keep_damaged=True)
    marked = tmp_path / "damaged-copy.db"
    assert copy.read_bytes() == good
    assert sorted(p.name for p in tmp_path.glob("*copy*")) == ["copy.db", "damaged-copy.db"]
    assert rows_in(marked) == rows_in(path) != rows_in(copy)
    said = str(caught.value)
    assert "the count of V1 on 2026-03-01" in said
    assert str(marked) in said
    assert "rackview restore" in said
    assert "more" not in said
    spoil(path, numbers="4")
    with pytest.raises(DamagedCopyError, match="and 1 more is not as it was written"):
        store.backup(copy, keep_damaged=True)


def test_a_damaged_copy_takes_the_place_of_no_other_file(store, path, tally, tmp_path):
    store.append([tally(i) for i in range(4)])
    spoil(path, numbers="5")
    (tmp_path / "damaged-copy.db").write_text("a table of mine", encoding="utf-8")
    with pytest.raises(StoreError) as caught:
        store.backup(tmp_path / "copy.db", keep_damaged=True)
    assert caught.value.kind == "refused"
    assert [p.read_text(encoding="utf-8") for p in tmp_path.glob("*copy*")] == ["a table of mine"]


def test_the_days_of_a_damaged_store_thin_out_no_sound_copy(store, path, tally, tmp_path):
    store.append([tally(i) for i in range(4)])
    stick = tmp_path / "stick"
    stick.mkdir()
    first = date(2026, 1, 1)
    for i in range(12):
        backup.daily(store.connection, path, first + timedelta(days=i), stick)
    sound = set(stick.rglob("day-*.db"))
    spoil(path, numbers="5")
    for i in range(12, 60):
        with pytest.raises(DamagedCopyError):
            backup.daily(store.connection, path, first + timedelta(days=i), stick)
    assert set(stick.rglob("day-*.db")) == sound
    marked = sorted(p.name[:22] for p in stick.rglob("damaged-*.db"))
    assert marked[-7:] == [
        f"damaged-day-2026-{d}" for d in ("02-23", "02-24", "02-25", "02-26", "02-27", "02-28", "03-01")
    ]
    assert len(marked) < 16
    assert len(list(backup.folder_of(path, store.id).glob("damaged-*.db"))) == len(marked)


def test_what_a_copy_that_was_ended_left_behind_goes_with_the_next(store, tmp_path):
    folder = tmp_path / "stick"
    folder.mkdir()
    names = [".day-2026-03-01.db.7-8.part", ".day-2026-03-01.db.7-8.part-journal", ".copies.sha256.7-8.part"]
    kept = [".photo.part", "copy.db.7-8.part", ".day-2026-03-02.db.9-9.part"]
    for name in (*names, *kept):
        (folder / name).write_text("half", encoding="utf-8")
    old = (folder / names[0]).stat().st_mtime - 3600
    for name in (*names, *kept[:2]):  # the last one is just being made
        os.utime(folder / name, (old, old))
    store.backup(folder / "copy.db")
    assert sorted(p.name for p in folder.iterdir()) == sorted([*kept, "copy.db"])


def test_a_second_folder_gets_the_pictures_that_it_lacks_and_keeps_its_own(tmp_path):
    mine, second = tmp_path / "mine", tmp_path / "second"
    pictures.copy_missing(mine, second)
    assert not second.exists()
    names = [pictures.write_picture(mine, data, kind) for data, kind in ((b"one", "jpg"), (b"two", "png"))]
    (mine / ".half.part").write_bytes(b"ha")
    second.mkdir()
    (second / names[0]).write_bytes(b"as it was copied then")
    pictures.copy_missing(mine, second)
    assert {p.name: p.read_bytes() for p in second.iterdir()} == {names[0]: b"as it was copied then", names[1]: b"two"}
    assert pictures.find(names[1], [tmp_path, second, mine]) == second / names[1]
    assert pictures.find("away.jpg", [second, mine]) is None
