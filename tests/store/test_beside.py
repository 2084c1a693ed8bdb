"""Every folder beside a store has the store's id in its name: two stores that share a name and a place never mix."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from rackview.services import copies, maintenance, rescue
from rackview.store import Store, StoreError, backup, beside, copies_made, pictures
from rackview.store.daybook import DayBook
from rackview.store.lines import line_of
from rackview.store.restore import restore
from rackview.store.verify import check

TODAY = date(2026, 3, 1)


@pytest.fixture
def kept(store, path, tally) -> str:
    """The store with an entry and a copy of today, closed; its id, as it stands in names."""
    store.append([tally(1)])
    backup.daily(store.connection, path, TODAY)
    store.close()
    return beside.short(store.id)


@pytest.fixture
def other(path, vessel_rows, tally, tmp_path) -> Path:
    """Another rack's store of the same name, with two entries, in another folder."""
    place = tmp_path / "other" / path.name
    with Store.open(place, "write") as made:
        made.write(rows=vessel_rows)
        made.append([tally(7), tally(8)])
        backup.daily(made.connection, place, TODAY)
    return place


def id_of(path: Path) -> str:
    with Store.open(path) as store:
        return beside.short(store.meta("id"))


def events(path: Path) -> int:
    with Store.open(path, "write") as store:
        return len(store.since(0).events)


def everything(path: Path) -> list[Path]:
    """The store's file and all that lies beside it under its name."""
    return [p for p in path.parent.iterdir() if p.name.startswith(path.name)]


def make_plain(path: Path) -> None:
    """Name the folders as programs did before names had an id."""
    for what in (beside.BOOK, beside.COPIES):
        for folder in beside.folders(path, what):
            (folder / copies_made.LIST).unlink(missing_ok=True)
            folder.rename(beside.older_folder(path, what))


def test_every_folder_and_copy_is_named_by_id(kept, path, morning, tmp_path):
    maintenance.upkeep(path, lambda: morning, tmp_path)
    maintenance.back_up(path, None, morning)
    restore(path, None, morning)
    known = copies.known_id(path)
    pictures.write_picture(pictures.pictures_folder(path, known), b"seen at the microscope", "jpg")
    rescue.set_aside(path, morning)
    restored, aside = everything(path), rescue.asides(path)
    assert [p.name[-8:] for p in restored] == [kept]
    inside = sorted(p.name for p in aside[0].iterdir())
    assert inside == ["rack.db", *(f"rack.db.{what}-{kept}" for what in ("backups", "daybook", "pictures"))]
    copied = list((aside[0] / inside[1]).glob("*.db"))
    assert len(copied) == 3
    assert all(kept in p.name for p in copied)
    assert [p.name[:13] for p in tmp_path.iterdir()] == [f"rack-{kept}"]


def test_folders_of_an_older_program_are_taken_over_with_all_that_is_in_them(kept, path, other, morning):
    restore(path, None, morning)
    before = sorted(p.name for p in beside.folders(path, beside.COPIES)[0].glob("*.db"))
    lines = sorted(p.read_bytes() for p in DayBook.of(path).files())
    make_plain(path)
    nameless = path.with_name("rack.db.backups") / "day-2025-01-01.db"
    shutil.copy(path, nameless)
    assert check(path) == [], "as long as it is only read"
    assert [c.usable for c in copies.copies(path)] == [True] * 3
    assert events(path) == 1
    assert sorted(p.name for p in everything(path)) == ["rack.db", f"rack.db.backups-{kept}", f"rack.db.daybook-{kept}"]
    assert sorted(p.name for p in beside.folders(path, beside.COPIES)[0].glob("*.db")) == sorted(
        [*before, nameless.name]
    )
    assert sorted(p.read_bytes() for p in DayBook.of(path).files()) == lines
    assert check(path) == []


def test_what_is_another_stores_among_them_stays(kept, path, other):
    make_plain(path)
    plain = path.with_name("rack.db.backups")
    theirs = next(other.parent.glob("*.backups-*/day-*.db"))
    shutil.copy(theirs, plain / theirs.name)
    shutil.copy(theirs, plain / "day-2025-01-01.db")
    (plain / "day-2025-01-02.db").write_bytes(b"no store any more")
    assert events(path) == 1
    assert {p.name for p in plain.iterdir()} == {theirs.name, "day-2025-01-01.db", "day-2025-01-02.db"}
    (mine,) = backup.folder_of(path, Store.open(path).meta("id")).iterdir()
    assert kept in mine.name


@pytest.mark.parametrize("name", ["day-2025-01-03-00000000.db", "day-2025-01-03-ffffffff.db"])
def test_a_copy_whose_name_has_another_id_stays(kept, path, name):
    make_plain(path)
    plain = path.with_name("rack.db.backups")
    shutil.copy(next(plain.glob("day-*.db")), plain / name)
    assert events(path) == 1
    assert [p.name for p in plain.iterdir()] == [name]


@pytest.mark.parametrize("theirs", ["00000000-0000-4000-8000-000000000000", "ffffffff-ffff-4fff-bfff-ffffffffffff"])
def test_a_copy_without_an_id_in_its_name_stays_if_it_is_of_another_store(kept, path, theirs):
    make_plain(path)
    plain = path.with_name("rack.db.backups")
    nameless = plain / "day-2025-01-03.db"
    shutil.copy(next(plain.glob("day-*.db")), nameless)
    with closing(sqlite3.connect(nameless, isolation_level=None)) as editor:
        editor.execute("UPDATE meta SET value = ? WHERE name = 'id'", (theirs,))
    (plain / f"day-2025-01-04-{theirs[:8]}.db").touch()
    assert events(path) == 1
    assert sorted(p.name for p in plain.iterdir()) == [nameless.name, f"day-2025-01-04-{theirs[:8]}.db"]


def test_a_folder_that_can_not_be_renamed_is_used_as_it_is(kept, path, tally, monkeypatch):
    make_plain(path)
    rename = Path.rename

    def refuse(self: Path, target: Path) -> Path:
        if self.name in {"rack.db.daybook", "rack.db.backups"}:
            raise PermissionError(13, "in use", str(self))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse)
    with Store.open(path, "write") as store:
        store.append([tally(2)])
        assert store.book.folder.name == "rack.db.daybook"
        assert not store.notices
    assert check(path) == []
    monkeypatch.undo()
    assert events(path) == 2
    assert DayBook.of(path).folder.name == f"rack.db.daybook-{kept}"
    assert check(path) == []


def test_two_racks_at_one_place_in_turn_keep_their_books_and_copies(kept, path, other, tmp_path, morning, tally):
    """Two sticks that the system puts at the same place; only the stores are swapped, and all else stays."""
    theirs = id_of(other)
    aside = tmp_path / "pulled.db"
    shutil.move(path, aside)
    shutil.copy(other, path)
    with Store.open(path, "write") as store:
        assert not store.notices
        store.append([tally(9)])
    maintenance.upkeep(path, lambda: morning)
    assert check(path) == []
    shutil.move(path, tmp_path / "their.db")
    shutil.move(aside, path)
    assert events(path) == 1
    assert check(path) == []
    assert {b.folder.name[-8:] for b in DayBook.all_of(path)} == {kept, theirs}
    assert [c.entries for c in copies.copies(path)] == [4]
    path.unlink()
    with pytest.raises(StoreError, match="day books of several stores") as caught:
        restore(path, None, morning)
    assert kept in str(caught.value)
    assert theirs in str(caught.value)
    found = copies.sources(path)
    assert {c.whose for c in found if c.path.is_dir()} == {c.whose for c in found if c.path.is_file()} == {kept, theirs}
    for whose, entries in ((theirs, 6), (kept, 4)):
        book = next(c.path for c in found if c.path.name == f"rack.db.daybook-{whose}")
        assert restore(path, book, morning).entries == entries
        assert id_of(path) == whose
        assert check(path) == []
        path.unlink()


def test_what_an_older_program_wrote_beside_is_not_lost(kept, path, tally, morning):
    """It knows the plain name only, begins a book there anew, and is killed before the entry is in the store."""
    with Store.open(path) as store:
        owner = store.meta("id")
    plain = DayBook(beside.older_folder(path, beside.BOOK))
    with plain.held(), plain.page("2026-03", owner) as page:
        page.write([line_of(99, tally(30, id="late"))])
    path.unlink()
    assert restore(path, None, morning).entries == 5
    assert events(path) == 2
    assert check(path) == []


def test_copies_of_a_store_with_a_longer_name_are_not_taken_for_ours(kept, path, tmp_path, morning, vessel_rows):
    longer = path.with_name("rack-2.db")
    with Store.open(longer, "write") as second:
        second.write(rows=vessel_rows)
    for one in (path, longer):
        maintenance.upkeep(one, lambda: morning, tmp_path)
    assert len(list(tmp_path.iterdir())) == 2
    for one in (path, longer):
        (found,) = [c for c in copies.copies(one, tmp_path) if c.second]
        assert id_of(one) in found.path.name


def test_an_id_that_a_damaged_file_makes_up_does_not_part_it_from_its_book(kept, path, morning):
    """Two pages of the file change places, so that another row is read where the id should be."""
    sound = path.read_bytes()
    with Store.open(path) as store:
        true = store.meta("id")
    pages, made_up = len(sound) // 4096, 0
    for a in range(1, pages):
        for b in range(a + 1, pages):
            raw = bytearray(sound)
            first, second = slice(4096 * a, 4096 * (a + 1)), slice(4096 * b, 4096 * (b + 1))
            raw[first], raw[second] = raw[second], raw[first]
            path.write_bytes(raw)
            assert copies.known_id(path) == true
            try:
                with Store.open(path) as store:
                    if store.meta("id") in {true, None}:
                        continue
            except StoreError:
                continue
            made_up += 1
            with pytest.raises(StoreError, match="damaged"):
                Store.open(path, "write")
            assert copies.sources(path)[0].usable
            assert restore(path, None, morning).entries == 4
            assert id_of(path) == kept
    assert made_up


def test_the_command_line_restores_from_the_day_book_that_is_named(kept, path, other, capsys):
    from rackview.cli import main

    theirs = DayBook.of(other).folder
    shutil.copytree(theirs, path.with_name(theirs.name))
    path.unlink()
    assert main(["--store", str(path), "restore"]) == 1
    assert "day books of several stores" in capsys.readouterr().err
    assert main(["--store", str(path), "restore", str(path.with_name(theirs.name))]) == 0
    assert id_of(path) == id_of(other)
    assert check(path) == []
