"""A copy that this program made of a store is put back as it is; of every other file each entry is looked at."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace

import pytest

from rackview.store import Store, StoreError, anew, copies_made, shape
from rackview.store.backup import folder_of
from rackview.store.restore import restore
from rackview.store.verify import check


@pytest.fixture
def copy(store, tally, tmp_path):
    """A copy of a store in which more was recorded since; the store is closed."""
    kept = store.append([tally(i, f"V{i % 3 + 1}") for i in range(20)])
    store.append([tally(30, replaces=kept[3].id)])
    store.save_draft("round", {"V1": "98 1"})
    store.complete_book()
    store.append([tally(31)])
    made = store.backup(tmp_path / "copy.db")
    store.append([tally(40 + i, "V2") for i in range(4)])
    store.put("stock", "yeast", {"feed": "yeast", "amount": 3.0}, kept[0].at)
    store.remark({"one step back": "of another day"})
    store.close()
    return made


@pytest.fixture
def ways(monkeypatch):
    """How each restore came by the copy's entries: put, or read one by one."""
    found = []
    real = anew.Anew.gather

    def gather(self, path, copy, book, *, put=False):
        found.append("put" if put else "read")
        real(self, path, copy, book, put=put)

    monkeypatch.setattr(anew.Anew, "gather", gather)
    return found


def everything(path):
    with Store.open(path) as reader:
        return reader.numbered()


def test_it_is_put_back_with_what_the_day_book_has_beyond_it(copy, path, morning, ways):
    before = everything(path)
    path.write_bytes(b"spilt" * 1000)
    done = restore(path, copy, morning)
    assert ways == ["put"]
    assert everything(path) == before
    assert (done.entries, done.bad_lines) == (len(before), 0)
    assert check(path) == []
    with Store.open(path, "write") as back:
        assert back.draft("round") == {"V1": "98 1"}
        assert back.meta("one step back") is None
        assert back.complete_book() == 0


@pytest.mark.parametrize("lost", ["the book", "its beginning", "its end", "a letter"])
def test_what_the_day_book_lost_since_comes_from_the_copy_and_the_damaged_file(copy, path, store, morning, ways, lost):
    before = everything(path)
    files = store.book.files()
    page = files[-1]
    lines = page.read_bytes().splitlines(keepends=True)
    if lost == "the book":
        for file in files:
            file.unlink()
    elif lost == "its beginning":
        page.write_bytes(b"".join(lines[:2] + lines[5:]))
    elif lost == "its end":
        page.write_bytes(b"".join(lines[:-3]))
    else:
        page.write_bytes(b"".join(lines[:4]) + lines[4].replace(b"V", b"W") + b"".join(lines[5:]))
    restore(path, copy, morning)
    assert ways == ["put"]
    assert {e.id: e for _, e in everything(path)} == {e.id: e for _, e in before}
    assert not any(f.damage for f in check(path))
    with Store.open(path, "write") as back:
        assert back.complete_book() == 0


def test_it_is_put_back_where_the_store_is_gone_but_not_beside_another_list(copy, path, store, morning, ways):
    before = everything(path)
    path.unlink()
    restore(path, copy, morning)
    assert everything(path) == before
    (folder_of(path, store.id) / copies_made.LIST).unlink()
    restore(path, copy, morning)
    assert everything(path) == before
    assert ways == ["put", "read"]
    assert check(path) == []


def spoil(place, *statements):
    with closing(sqlite3.connect(place, isolation_level=None)) as editor:
        for statement in statements:
            editor.execute(statement)


def test_one_that_was_changed_since_is_read_entry_by_entry(copy, path, morning, ways):
    before = everything(path)
    spoil(copy, "INSERT INTO meta VALUES ('what', 'ever')")
    restore(path, copy, morning)
    assert ways == ["read"]
    assert everything(path) == before
    with Store.open(path) as back:
        assert back.meta("what") is None


def test_one_to_which_entries_were_added_is_read_with_them(copy, path, morning, ways, tally):
    with Store.open(copy, "write") as other:
        (more,) = other.append([tally(77)])
        assert copy.with_name("copy.db-wal").stat().st_size
        restore(path, copy, morning)
    assert ways == ["read"]
    assert more in [e for _, e in everything(path)]


def test_a_row_with_a_right_checksum_that_nobody_can_enter_does_not_come_along(copy, path, morning, ways, store):
    """A stranger's file: no disk makes such a row."""
    kept = path.read_bytes()
    with Store.open(copy) as there:
        event = there.event(there.since(0).events[0].id)
    bad = replace(event, id="strange", tallies=(10**11,))
    from rackview.store.rows import event_values
    from rackview.store.sql import INSERT_EVENT

    with closing(sqlite3.connect(copy, isolation_level=None)) as editor:
        editor.execute(INSERT_EVENT, (999, *event_values(bad)))
    with pytest.raises(StoreError) as caught:
        restore(path, copy, morning)
    assert caught.value.kind == "corrupt"
    assert path.read_bytes() == kept


def test_an_index_that_lost_entries_before_the_copy_was_made_is_built_anew(store, path, tally, morning, tmp_path, ways):
    """SQLite's quick check does not look into indexes, so a copy may have what its store has."""
    store.append([tally(i) for i in range(30)])
    sql = next(sql for sql in shape.TABLES_1 if "INDEX events_at" in sql)
    store.close()
    spoil(
        path,
        "DROP INDEX events_at",
        f"{sql} WHERE n <> 9",
        "PRAGMA writable_schema = ON",
        f"UPDATE sqlite_master SET sql = '{sql}' WHERE name = 'events_at'",  # noqa: S608
    )
    assert check(path)[0].damage
    with Store.open(path, "write") as again:
        made = again.backup(tmp_path / "copy.db")
    restore(path, made, morning)
    assert ways == ["read"]
    assert check(path) == []
    assert len(everything(path)) == 33


def test_a_copy_that_is_made_anew_again_and_again_leaves_room_for_the_others(tmp_path):
    copies_made.remember_copy(tmp_path, "a" * 64, "day.db")
    for i in range(9):
        copies_made.remember_copy(tmp_path, f"{i}" * 64, "shared.db")
    assert copies_made.made_here(tmp_path, "a" * 64)
    kept = [i for i in range(9) if copies_made.made_here(tmp_path, f"{i}" * 64)]
    assert kept == list(range(9 - copies_made.ALIKE, 9))


def test_so_many_are_remembered_and_no_name_makes_a_line(tmp_path, monkeypatch):
    monkeypatch.setattr(copies_made, "MOST", 3)
    for i in range(5):
        copies_made.remember_copy(tmp_path, f"{i}" * 64, f"copy {i}.db")
    assert [copies_made.made_here(tmp_path, f"{i}" * 64) for i in range(5)] == [False, False, True, True, True]
    copies_made.remember_copy(tmp_path, "9" * 64, f"of\n{'8' * 64}  db")
    assert copies_made.made_here(tmp_path, "9" * 64)
    assert not copies_made.made_here(tmp_path, "8" * 64)
    (tmp_path / copies_made.LIST).write_bytes(b"\xff" * 99)
    assert not copies_made.made_here(tmp_path, "9" * 64)
