"""An entry of long ago is kept at once and worked in behind the window; beliefs are noted there too."""

from __future__ import annotations

import shutil
from datetime import timedelta

import pytest

from rackview.advice.api import advise, assess_all
from rackview.services import memory
from rackview.services.behind import BEHIND, RESTED
from rackview.services.rack_session import RackSession
from rackview.store import Store, reader, snapshot
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
