"""Copies: whole, sound, thinned out with age."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.store import Store, StoreError, backup, beside, shape
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


@pytest.mark.parametrize(("table", "column"), [("events", "body"), ("events", "sum"), ("table_rows", "entered_on")])
def test_a_row_that_is_not_as_it_was_written_is_in_no_copy(store, path, tally, tmp_path, table, column):
    store.append([tally(i, note=note) for i, note in enumerate(["", "a \0 in it", "ñ \U0001f990 \x1f", "None"])])
    copy = store.backup(tmp_path / "copy.db")
    good = copy.read_bytes()
    with closing(sqlite3.connect(path, isolation_level=None)) as editor:
        editor.execute(f"DROP TRIGGER {table}_stay_update")
        other = {"sum": "sum + 1", "body": "replace(body, '3', '4')", "entered_on": "'elsewhere'"}[column]
        editor.execute(f"UPDATE {table} SET {column} = {other} WHERE n IN (2, 5)")  # noqa: S608
        editor.execute(next(sql for sql in shape.TABLES_1 if f"{table}_stay_update" in sql))
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
