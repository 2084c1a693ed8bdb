"""A store that can't be opened: what is found to restore from, the way back from a restore, beginning anew."""

from __future__ import annotations

import pytest

from rackview.core.vessel import Vessel
from rackview.services import copies, maintenance, places, rescue
from rackview.services.rack_session import RackSession
from rackview.services.sessions import open_session
from rackview.store import Store, StoreError
from rackview.store.daybook import DayBook
from rackview.store.verify import check

COUNT = {"at": "2026-03-01T08:00", "vessel": "A1", "kind": "count", "tallies": "3 4 5"}


def spoil(path):
    """Overwrite the pages of a store but the first."""
    raw = bytearray(path.read_bytes())
    raw[4096:] = b"\x5a" * (len(raw) - 4096)
    path.write_bytes(raw)


def events(path):
    with Store.open(path) as reader:
        return [e.id for e in reader.load().events()]


def test_copies_are_told_with_their_entries_and_the_newest_usable_first(session, place, clock, tmp_path):
    second = tmp_path / "stick"
    second.mkdir()
    maintenance.upkeep(place, clock, second)
    clock.turn(days=1)
    session.record(COUNT)
    by_hand = session.backup()
    (by_hand.with_name("broken.db")).write_bytes(b"no store")
    found = copies.copies(place, second)
    assert [c.usable for c in found] == [True, True, True, False]
    assert found[0].path == by_hand
    assert (found[0].entries, found[1].entries) == (3, 2)
    assert found[0].newest == clock.now
    assert sum(c.second for c in found) == 1
    assert "not a rackview store" in found[-1].fault
    (book,) = copies.day_books(place)
    assert (book.entries, book.newest) == (3, clock.now)
    assert copies.last_seen(place, second) is not None
    assert copies.last_seen(place, tmp_path / "nowhere") is None


def test_the_second_folder_is_known_though_the_store_is_damaged(session, place, clock, tmp_path, monkeypatch):
    monkeypatch.setattr("rackview.services.copies.platform.node", lambda: "shed")
    session.folders.put("second", tmp_path)
    session.backup()
    session.close()
    spoil(place)
    assert copies.second_folder_of(place, copies.copies(place)) == tmp_path


def test_a_restore_is_undone_in_one_step_and_what_was_recorded_since_comes_along(session, place, clock):
    session.record(COUNT)
    copy = session.backup()
    session.record({**COUNT, "tallies": "7"})
    before = events(place)
    session.close()
    clock.turn(minutes=5)
    done = rescue.undoable_restore(place, copy, clock())
    assert done.entries == 4
    step = rescue.step_back(place)
    assert (step.what, step.at, step.kept) == ("restore", clock.now, done.kept)
    again = open_session(place, clock)
    again.record({**COUNT, "tallies": "9"})
    newest = next(iter(again.rack.log("A1").back())).event
    assert newest is not None
    again.close()
    clock.turn(minutes=5)
    assert rescue.undo(place, clock()) == 1
    assert set(before) < set(events(place))
    assert len(events(place)) == len(before) + 1
    assert check(place) == []
    assert rescue.step_back(place) is None
    kept = sorted(place.parent.glob("rack.db.backups-*/replaced-*.db"))
    assert len(kept) == 2, "the restored store is kept in its turn"


def test_undo_leaves_out_what_only_the_copy_held(session, place, clock, quick_folder):
    other = quick_folder / "copy.db"
    session.backup(other)
    copied = open_session(other, clock)
    copied.record({**COUNT, "note": "only in the copy"})
    copied.close()
    session.record(COUNT)
    before = events(place)
    session.close()
    rescue.undoable_restore(place, other, clock())
    assert len(events(place)) == 2
    clock.turn(minutes=1)
    assert rescue.undo(place, clock()) == 0
    assert events(place) == before
    assert check(place) == []


def test_a_restore_of_a_damaged_store_is_not_undone(session, place, clock):
    session.record(COUNT)
    session.close()
    spoil(place)
    assert rescue.undoable_restore(place, None, clock()).entries == 3
    assert rescue.step_back(place) is None
    with pytest.raises(StoreError, match="nothing to undo"):
        rescue.undo(place, clock())
    assert len(events(place)) == 1


def test_a_restored_store_remembers_its_folders(session, place, clock, tmp_path, monkeypatch):
    monkeypatch.setattr("platform.node", lambda: "shed")
    session.folders.put("second", tmp_path)
    session.folders.put("shared", tmp_path / "share")
    copy = session.backup()
    session.close()
    spoil(place)
    rescue.undoable_restore(place, copy, clock())
    again = RackSession(Store.open(place, "write"), clock, pc="shed")
    assert (again.folders.place("second"), again.folders.place("shared")) == (tmp_path, tmp_path / "share")
    assert again.folders.last_seen("second") is not None
    again.close()


def test_a_merge_is_undone_in_one_step_and_what_was_recorded_since_stays(session, place, clock, tmp_path):
    session.record(COUNT)
    other = open_session(tmp_path / "other.db", clock)
    other.put_vessel(Vessel("B1", "mixed", "B", 1, 5))
    other.record({**COUNT, "vessel": "B1"})
    other.close()
    done = rescue.undoable_merge(place, tmp_path / "other.db", clock())
    assert len(done.written.events) == 1
    session.poll()
    session.record({**COUNT, "tallies": "9"})
    session.close()
    assert rescue.step_back(place).what == "merge"
    clock.turn(minutes=1)
    assert rescue.undo(place, clock()) == 1
    again = open_session(place, clock)
    assert list(again.rack.vessels) == ["A1", "A2"]
    assert len(list(again.rack.events())) == 2
    again.close()
    assert check(place) == []
    (kept,) = place.parent.glob("rack.db.backups-*/replaced-20260301T090100Z-*.db")
    assert rescue.undoable_merge(place, kept, clock()) is not None


def test_a_merge_that_brings_nothing_leaves_nothing_behind(session, place, clock, tmp_path):
    copy = session.backup(tmp_path / "copy.db")
    assert rescue.undoable_merge(place, copy, clock()).written.events == ()
    assert rescue.step_back(place) is None
    assert not list(place.parent.glob("rack.db.backups-*/before-merge*"))
    assert not list(place.parent.glob(".*"))


def test_a_store_that_is_open_is_neither_set_aside_nor_swapped(session, place, clock):
    session.record(COUNT)
    with pytest.raises(StoreError, match="another window"):
        rescue.set_aside(place, clock())
    assert check(place) == []


def test_beginning_anew_keeps_the_old_store_whole_and_can_be_taken_back(session, place, clock):
    session.record(COUNT)
    session.backup()
    session.close()
    aside = rescue.set_aside(place, clock())
    assert not place.exists()
    assert rescue.asides(place) == [aside]
    assert check(aside / "rack.db") == []
    assert copies.copies(aside / "rack.db")[0].entries == 3
    fresh = open_session(place, clock)
    assert fresh.rack.vessels == {}
    fresh.close()
    clock.turn(minutes=1)
    between = rescue.take_aside_back(place, aside, clock())
    assert len(events(place)) == 1
    assert check(place) == []
    assert not aside.exists()
    assert rescue.asides(place) == [between]


def test_setting_aside_moves_all_or_nothing(session, place, clock, monkeypatch):
    session.record(COUNT)
    session.close()
    path_type = type(place)
    rename = path_type.rename

    def stuck(self, target):
        if ".daybook-" in self.name:
            raise PermissionError(13, "in use", str(self))
        return rename(self, target)

    monkeypatch.setattr(path_type, "rename", stuck)
    with pytest.raises(StoreError):
        rescue.set_aside(place, clock())
    monkeypatch.undo()
    assert check(place) == []
    assert len(events(place)) == 1


@pytest.mark.parametrize(
    ("make", "what", "first"),
    [
        (lambda p: p.write_bytes(b"a letter to the tax office, which is not a store at all" * 9), "foreign", "other"),
        (lambda p: p.with_name("x").mkdir(), "missing", "restore"),
    ],
)
def test_what_is_wrong_and_what_can_be_done(place, clock, make, what, first):
    place.parent.mkdir(exist_ok=True)
    make(place)
    with pytest.raises(StoreError) as caught:
        Store.open(place, "read")
    found = rescue.trouble_of(place, caught.value)
    assert found.what == what
    assert found.choices[0] == first


def test_no_empty_store_is_made_in_place_of_one_that_is_away_or_lost(session, place, clock, tmp_path):
    session.backup()
    session.close()
    place.unlink()
    for rest in DayBook.of(place).folder.iterdir():
        rest.unlink()
    with pytest.raises(StoreError, match="copies of it are there") as caught:
        rescue.refuse_empty(place)
    assert rescue.trouble_of(place, caught.value).what == "missing"
    stick = tmp_path / "stick" / "rack.db"
    with pytest.raises(StoreError) as caught:
        rescue.refuse_empty(stick)
    assert rescue.trouble_of(stick, caught.value).choices == ("retry", "other")
    rescue.refuse_empty(places.store())
    rescue.refuse_empty(place.with_name("new.db"))


def test_an_error_of_our_own_is_no_reason_to_show_nothing(place):
    found = rescue.trouble_of(place, RecursionError("maximum recursion depth exceeded"))
    assert found.what == "failed"
    assert "restore" in found.choices
