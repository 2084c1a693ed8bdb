"""An entry of long ago is kept at once and worked in behind the window; beliefs are noted there too."""

from __future__ import annotations

import gc
import shutil
import weakref
from datetime import timedelta

import pytest

from rackview.advice import situation
from rackview.advice.api import advise, assess_all
from rackview.core.log import LazyNode
from rackview.core.vessel import Vessel
from rackview.services import behind, memory, rack_session
from rackview.services.behind import BEHIND, RESTED
from rackview.services.rack_session import RackSession
from rackview.store import Store, StoreError, reader, snapshot
from tests.services.test_memory import NOW, START, Late, thought  # noqa: F401 - a store with snapshots and beliefs


@pytest.fixture(autouse=True)
def small_pieces(monkeypatch):
    """Cuts every 24 events, and an entry is old if 40 came after it."""
    monkeypatch.setattr(snapshot, "PIECE", 24)
    monkeypatch.setattr(reader, "AT_ONCE", 40)


@pytest.fixture
def kept(quick_folder, thought):  # noqa: F811
    """A session on a copy of that store, which has shown its first picture."""
    shutil.copytree(thought, quick_folder, dirs_exist_ok=True)
    session = opened(quick_folder / "rack.db")
    yield session
    session.close()


def opened(path) -> RackSession:
    session = RackSession(Store.open(path, "write"), Late(), pc="shed", recent=True)
    session.assessments()
    return session


def finish(session) -> None:
    """Wait for what is done behind the session, and take it over as the window's timer does."""
    while session.recounting:
        session._behind._thread.join()
        session.poll()


def old(day: int = 2) -> dict[str, object]:
    return {"at": START + timedelta(days=day, hours=5), "vessel": "A1", "kind": "count", "tallies": "40 45 43"}


def as_if_read_whole(session) -> bool:
    whole = session._store.load()
    same = assess_all(session.rack, NOW) == assess_all(whole, NOW) and advise(session.rack, NOW) == advise(whole, NOW)
    logs = {n: [e.id for e in h.events()] for n, h in session.rack.logs.items()}
    return same and logs == {n: [e.id for e in h.events()] for n, h in whole.logs.items()}


def test_an_old_entry_is_kept_at_once_and_worked_in_behind(kept, monkeypatch):
    began, told = [], []
    monkeypatch.setattr(kept._behind, "_start", began.append)
    kept.subscribe(told.append)
    before, shown = kept.rack.logs, kept.assessments()
    done = kept.record(old(), "Count A1")
    assert done.words == f"Count A1; {BEHIND}"
    assert kept._store.since(0).events[-1].tallies == (40, 45, 43)
    assert kept.recounting
    assert kept.rack.logs == before
    assert kept.assessments() == shown
    monkeypatch.undo()
    began[0]()
    kept.poll()
    assert not kept.recounting
    assert set(told[-1].vessels) == {"A1", "A2", "B1"}
    assert as_if_read_whole(kept)


def test_what_is_recorded_and_undone_meanwhile_is_not_lost(kept):
    kept.record(old())
    kept.record({**old(), "at": NOW - timedelta(hours=1), "vessel": "B1"})
    kept.undo()
    kept.undo()
    kept.redo()
    kept.record(old(4))
    finish(kept)
    assert as_if_read_whole(kept)
    assert sum(e.kind == "count" for e in kept.rack.events()) == 14 * 3 + 2


def test_closed_before_it_is_done_the_next_start_goes_on(kept, monkeypatch):
    monkeypatch.setattr(kept._behind, "_start", lambda work: None)
    kept.record(old())
    kept.close()
    again = opened(kept.place)
    try:
        assert again.recounting
        finish(again)
        assert as_if_read_whole(again)
        assert again._store.snapshot() is not None, "noted for the next start"
    finally:
        again.close()
    third = opened(kept.place)
    assert not third.recounting
    assert as_if_read_whole(third)
    third.close()


def test_a_command_waits_for_the_right_answer(kept):
    kept._behind.stop()
    kept.record(old())
    rack, _ = kept._store.read(memory.remember)
    assert advise(rack, NOW) == advise(kept._store.load(), NOW)


def test_another_programs_old_entry_is_worked_in_too(kept):
    with Store.open(kept.place, "write") as other:
        session = RackSession(other, Late(), pc="house")
        session.record(old())
    kept.poll()
    assert kept.recounting
    finish(kept)
    assert as_if_read_whole(kept)


def test_beliefs_are_noted_while_the_window_is_open(kept):
    for minute in range(snapshot.TIP + 2):
        kept.record({**old(), "at": NOW - timedelta(minutes=minute), "vessel": "B1"})
    before = kept._store.snapshot().n
    for _ in range(RESTED):
        kept.poll()
    assert kept._behind._thread is None, "not while entries come in"
    kept.poll()
    kept._behind._thread.join()
    assert kept._store.snapshot().n > before
    assert memory.due(kept._store, kept.rack, kept._seen) == []


# --- a window that is open all day takes over a lighter rack now and then


@pytest.fixture
def crowded(monkeypatch):
    """So many entries are many."""
    monkeypatch.setattr(behind, "CROWD", 15)


def enter(session, number: int, vessel: str = "B1") -> None:
    """So many entries of the last minutes; after each the store and the rack are looked at, as by a window."""
    for n in range(number):
        session.record({"at": NOW - timedelta(seconds=900 - n), "vessel": vessel, "kind": "note", "text": f"{n}"})
        session.assessments()
        look(session)


def look(session) -> None:
    """A look at the store, and what it begins behind to its end."""
    session.poll()
    if session._behind._thread is not None:
        session._behind._thread.join()


def in_memory(session) -> int:
    """How many nodes of the histories lie in memory."""
    found = 0
    for head in session.rack.logs.values():
        node = head
        while node is not None:
            found += 1
            node = node._whole if isinstance(node, LazyNode) else node.previous
    return found


def test_without_a_rest_a_rack_of_many_entries_is_taken_over_lighter(kept, crowded):
    told = []
    kept.subscribe(told.append)
    begun = in_memory(kept)
    enter(kept, 2 * behind.CROWD - 1)
    heavy = in_memory(kept)
    assert heavy >= begun + 2 * behind.CROWD - 1
    told.clear()
    newest, words = weakref.ref(kept.rack.logs["B1"]), kept.undo_words
    enter(kept, 1)
    look(kept)
    assert in_memory(kept) < begun + snapshot.TIP
    assert {c.words for c in told} == {"Record"}, "only the entry itself is told of"
    assert kept.undo_words == words
    assert as_if_read_whole(kept)
    kept.assessments()
    situation._kept.clear()
    gc.collect()
    assert newest() is None, "what was seen until then is let go"


def test_at_rest_it_is_taken_over_earlier(kept, crowded):
    enter(kept, behind.CROWD + 1)
    rack = kept.rack
    for _ in range(RESTED):
        look(kept)
    assert kept.rack is rack
    look(kept)
    look(kept)
    assert kept.rack is not rack
    assert as_if_read_whole(kept)


def test_the_answers_at_hand_are_those_of_the_lighter_rack(kept, crowded):
    enter(kept, 2 * behind.CROWD)
    shown, heavy = kept.answers(), kept.rack
    look(kept)
    assert kept.rack is not heavy
    assert kept.answers() is shown, "nothing is worked out anew"
    assert kept._advice_cache.newest.rack is kept.rack
    assert shown.assessments() == assess_all(kept._store.load(), kept.moment())


def test_steps_of_before_are_undone_and_done_again_after_it(kept, crowded):
    kept.record({"at": NOW - timedelta(hours=1), "vessel": "A1", "kind": "count", "tallies": "70 71"})
    enter(kept, 2 * behind.CROWD)
    look(kept)
    for _ in range(2 * behind.CROWD + 1):
        kept.undo()
    finish(kept)
    assert all(e.kind != "note" and getattr(e, "tallies", ()) != (70, 71) for e in kept.rack.events())
    assert as_if_read_whole(kept)
    for _ in range(2 * behind.CROWD + 1):
        kept.redo()
    finish(kept)
    assert kept.redo_words is None
    assert sum(e.kind == "note" for e in kept.rack.events()) == 2 * behind.CROWD
    assert as_if_read_whole(kept)


@pytest.mark.parametrize("what", ["entry", "late", "old", "vessel", "mine"])
def test_what_comes_in_while_it_is_read_is_not_lost(kept, crowded, what):
    enter(kept, 2 * behind.CROWD)
    late = {"at": NOW - timedelta(hours=40), "vessel": "A2", "kind": "count", "tallies": "33 35"}
    if what == "mine":
        kept.record({**late, "at": NOW})
        kept.withdraw(next(e.id for e in kept.rack.events() if e.kind == "note"))
    else:
        with Store.open(kept.place, "write") as other:
            session = RackSession(other, Late(), pc="house")
            if what == "vessel":
                session.put_vessel(Vessel("B2", "mixed", "B", 2, 9))
            else:
                session.record({"entry": {**late, "at": NOW}, "late": late, "old": old()}[what])
    look(kept)
    look(kept)
    finish(kept)
    assert kept._seen == kept._store._last()
    assert kept.rack.vessels.keys() == kept._store.load().vessels.keys()
    assert as_if_read_whole(kept)


def test_where_nothing_can_be_noted_the_rack_stays_as_it_is(kept, crowded, monkeypatch):
    monkeypatch.setattr(Store, "keep", full)
    rack = kept.rack.logs["A1"]
    enter(kept, 2 * behind.CROWD + 1)
    look(kept)
    assert kept.rack.logs["A1"] is rack
    assert kept.trouble is None
    assert as_if_read_whole(kept)


def full(*_given) -> None:
    raise StoreError("full", "the disk is full")


def test_a_file_put_in_its_place_is_not_taken_for_the_one_that_was_read(kept, crowded, quick_folder):
    before = kept.backup(quick_folder / "before.db")
    enter(kept, 2 * behind.CROWD)
    kept._store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    before.replace(kept.place)
    look(kept)
    look(kept)
    finish(kept)
    assert kept._seen == kept._store._last()
    assert as_if_read_whole(kept)


def test_undo_goes_back_a_thousand_steps(kept, monkeypatch):
    monkeypatch.setattr(rack_session, "MOST_STEPS", 5)
    enter(kept, 7)
    while kept.undo():
        pass
    assert [e.text for e in kept.rack.events() if e.kind == "note"] == ["0", "1"]
