"""Whose store is it? The id stands in every copy's name and in every refusal, and two stores are never mixed."""

from __future__ import annotations

import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest

from rackview.core.vessel import Vessel
from rackview.services import maintenance
from rackview.store import Store, StoreError, TableRow, backup, beside, rows
from rackview.store.daybook import DayBook
from rackview.store.restore import restore
from rackview.store.verify import check

TODAY = date(2026, 3, 1)


@pytest.fixture
def other(path, vessel_rows) -> Path:
    """A closed store of someone else, with three vessels."""
    place = path.parent / "theirs" / "rack.db"
    with Store.open(place, "write") as made:
        made.write(rows=vessel_rows)
    return place


def ids(*paths: Path) -> list[str]:
    found = []
    for path in paths:
        with Store.open(path) as store:
            found.append(beside.short(store.meta("id")))
    return found


def notes(path: Path) -> int:
    with Store.open(path) as store:
        return len(store.since(0).events)


def test_a_copy_of_another_store_is_refused_with_both_named(store, path, other, tally, morning):
    store.append([tally(1)])
    store.close()
    before = path.read_bytes()
    with pytest.raises(StoreError, match="nothing was restored") as caught:
        restore(path, other, morning)
    assert caught.value.kind == "refused"
    for part in (*ids(path, other), str(path), str(other), "rackview merge"):
        assert part in str(caught.value)
    assert path.read_bytes() == before
    assert check(path) == []


def test_it_is_refused_by_the_day_book_alone_too(store, path, other, morning):
    store.close()
    mine = ids(path)[0]
    path.unlink()
    with pytest.raises(StoreError, match=mine):
        restore(path, other, morning)
    assert not path.exists()
    restore(path, None, morning)
    assert ids(path) == [mine]


def test_another_store_at_a_new_place_is_restored_as_itself(other, path, morning):
    restore(path, other, morning)
    assert ids(path) == ids(other)
    assert check(path) == []


def test_the_day_book_of_another_store_is_not_restored_from(store, path, other, morning):
    store.close()
    copy = path.with_name("copy.db")
    with Store.open(path) as mine:
        mine.backup(copy)
    shutil.rmtree(DayBook.of(path).folder)
    shutil.copytree(DayBook.of(other).folder, f"{path}.daybook")
    with pytest.raises(StoreError, match="belongs to the store"):
        restore(path, None, morning)
    (said,) = check(path)
    assert ids(other)[0] in said.sentence
    assert "set aside" in said.sentence
    restore(path, copy, morning)
    assert check(path) == []
    with Store.open(path) as again:
        assert {r.id for r in again.since(0).rows} == {f"row-V{i}" for i in (1, 2, 3)}


def test_what_check_says_of_another_day_book_is_what_opening_does(store, path, other, tally):
    store.close()
    shutil.rmtree(DayBook.of(path).folder)
    with Store.open(other, "write") as theirs:
        theirs.append([tally(7)])
    shutil.copytree(DayBook.of(other).folder, f"{path}.daybook")
    (said,) = check(path)
    assert not said.damage
    assert "taken in" not in said.sentence
    with Store.open(path, "write") as again:
        assert "another store's" in again.notices[0]
        assert again.since(0).events == ()
    assert check(path) == []


def test_a_file_that_is_no_store_is_not_replaced(path, other, morning):
    path.write_text("at,vessel\n" * 99, encoding="utf-8")
    with pytest.raises(StoreError, match="is not a rackview store"):
        restore(path, other, morning)
    assert path.read_text(encoding="utf-8").startswith("at,vessel")


def test_a_link_and_the_real_name_are_one_store_with_one_day_book(store, path, tally, morning):
    store.close()
    link = path.parent / "session" / "my rack.db"
    link.parent.mkdir()
    link.symlink_to(path)
    with Store.open(link, "write") as by_link, Store.open(path, "write") as by_name:
        by_link.append([tally(1)])
        by_name.append([tally(2)])
        assert by_link.book.folder == by_name.book.folder
    maintenance.upkeep(link, lambda: morning)
    maintenance.back_up(link, None, morning)
    restore(link, None, morning)
    assert link.is_symlink()
    assert [p.name for p in link.parent.iterdir()] == ["my rack.db"]
    assert check(link) == check(path) == []
    assert notes(link) == 2


def test_a_link_that_leads_in_a_circle_is_a_sentence(path):
    path.symlink_to(path.name)
    for act in (Store.open, check, lambda p: Store.open(p, "write")):
        with pytest.raises(StoreError, match=r"\.$"):
            act(path)


def test_two_stores_and_two_pcs_with_one_stick_keep_their_places(store, path, other, tally, tmp_path):
    """The other PC began from a copy of this store, so both have one name and one id; a third store has its own."""
    twin = path.parent / "twin" / "rack.db"
    store.backup(twin)
    store.append([tally(1)])
    stick = tmp_path / "stick"
    stick.mkdir()
    with Store.open(twin) as second, Store.open(other) as third:
        for day in (TODAY, TODAY + timedelta(days=1)):
            for one, pc in ((store, "shed"), (second, "house/2"), (third, "shed")):
                assert backup.daily(one.connection, one.path, day, stick, pc) == ()
    mine, theirs = ids(path, other)
    assert {p.name for p in stick.iterdir()} == {f"rack-{mine}-shed", f"rack-{mine}-house-2", f"rack-{theirs}-shed"}
    assert len(list(stick.rglob("*.db"))) == 6
    assert {p.parent.name: notes(p) for p in stick.rglob(f"day-{TODAY}*.db")} == {
        f"rack-{mine}-shed": 1,
        f"rack-{mine}-house-2": 0,
        f"rack-{theirs}-shed": 0,
    }


def test_a_store_that_takes_anothers_place_gets_a_copy_of_its_own(store, path, other, tally):
    for i in range(9):
        backup.daily(store.connection, path, TODAY + timedelta(days=i))
    store.close()
    mine, theirs = ids(path, other)
    shutil.copy(other, path)
    with Store.open(path) as there:
        for i in range(9):
            backup.daily(there.connection, path, TODAY + timedelta(days=i))
    assert {p.name for p in backup.folders_of(path, None)} == {f"rack.db.backups-{i}" for i in (mine, theirs)}
    for folder, owner in ((f, f.name[-8:]) for f in backup.folders_of(path, None)):
        assert sum(owner in p.name for p in folder.glob("*.db")) == len(list(folder.glob("*.db"))) == 8


def test_copies_made_before_names_had_an_id_are_thinned_too(store, path):
    folder = backup.folder_of(path, store.id)
    for i in range(9):
        made = backup.keep_daily_copy(store.connection, folder, TODAY + timedelta(days=i))
        made.rename(folder / f"day-{TODAY + timedelta(days=i)}.db")
    (folder / "day-2020-01-01.db").write_bytes(b"someone else's")
    backup.keep_daily_copy(store.connection, folder, TODAY + timedelta(days=9))
    names = sorted(p.name for p in folder.glob("*.db"))
    mine = beside.short(store.id)
    assert names[0] == "day-2020-01-01.db"
    assert all(n.endswith(f"-{mine}.db") for n in names[1:])
    assert len(names) == 1 + 8


def test_a_copy_over_another_store_names_both(store, other):
    with pytest.raises(StoreError) as caught:
        store.backup(other)
    assert all(i in str(caught.value) for i in (*ids(other), beside.short(store.id)))


@pytest.mark.parametrize("target", ["/", "."])
def test_a_folder_is_no_name_for_a_copy(store, target):
    with pytest.raises(StoreError, match="name a file in it") as caught:
        store.backup(target)
    assert caught.value.kind == "refused"


def test_what_a_pc_has_set_outlives_a_restore(store, path, morning):
    store.remark({"second folder of shed": "/media/stick"})
    store.close()
    restore(path, None, morning)
    with Store.open(path) as again:
        assert again.meta("second folder of shed") == "/media/stick"


def test_an_entry_that_no_parser_accepts_is_not_restored(store, path, other, morning, tally):
    """A row with a good checksum, put into a copy by someone else's program."""
    copy = store.backup(path.with_name("copy.db"))
    store.close()
    good = rows.event_values(tally(1, id="odd"))
    said = (*good[:8], '{"tallies":[4],"with_eggs":9,"females_checked":3}')
    with Store.open(copy, "write") as forged:
        values = (99, *said, rows.checksum(said))
        forged.connection.execute("INSERT INTO events VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", values)
    with pytest.raises(StoreError, match="with_eggs"):
        restore(path, copy, morning)
    assert check(path) == []
    spoilt = Vessel("V9", "rotifer-L", "B", 1, 20.0).row() | {"volume_l": "lots"}
    row = TableRow("vessel", "V9", spoilt, morning, id="odd row")
    with Store.open(other, "write") as theirs:
        theirs.write(rows=[row])
    fresh = path.with_name("fresh.db")
    with pytest.raises(StoreError, match="volume_l"):
        restore(fresh, other, morning)
    assert not fresh.exists()


@pytest.mark.parametrize("spoilt", ["a letter", "all of it"])
def test_a_spoilt_id_does_not_part_a_store_from_its_day_book(store, path, tally, morning, spoilt):
    store.append([tally(1)])
    true = store.id
    wrong = ("0" if true[5] != "0" else "1") + true[6:] if spoilt == "a letter" else ""
    if wrong:
        store.connection.execute("UPDATE meta SET value = ? WHERE name = 'id'", (true[:5] + wrong,))
    else:
        store.connection.execute("DELETE FROM meta WHERE name = 'id'")
    store.close()
    assert check(path)[0].damage
    copy = path.with_name("copy.db")
    shutil.copy(path, copy)
    with Store.open(path, "write") as again:
        assert again.id == true
        assert not again.notices
    assert check(path) == []
    shutil.copy(copy, path)
    restore(path, None, morning)
    assert ids(path) == [beside.short(true)]
    assert check(path) == []
    assert not list(path.parent.glob("*.daybook-of-*"))
