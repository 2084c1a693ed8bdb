"""An entry of long ago is kept at once and worked in behind the window; beliefs are noted there too."""

from __future__ import annotations

import shutil
import tempfile
import threading
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.advice.api import advise, assess_all
from rackview.core.log import LazyNode
from rackview.services import memory
from rackview.services.behind import BEHIND, RESTED_S
from rackview.services.rack_session import RackSession
from rackview.store import Store, reader, snapshot
from tests.services.fortnight import NOW, START, Late


@pytest.fixture(autouse=True)
def small_pieces(monkeypatch):
    """Cuts every 24 events, and an entry is old if 40 came after it."""
    monkeypatch.setattr(snapshot, "PIECE", 24)
    monkeypatch.setattr(reader, "AT_ONCE", 40)


@pytest.fixture
def kept(quick_folder, thought):
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


def look(session) -> None:
    """A look at the store, and what it begins behind to its end."""
    session.poll()
    if session._behind._thread is not None:
        session._behind._thread.join()


def since_snapshot(session) -> int:
    """How many nodes of the histories lie in memory after the snapshot from which they were read."""
    found = 0
    for head in session.rack.logs.values():
        node = head
        while node is not None:
            found += 1
            node = None if isinstance(node, LazyNode) else node.previous
    return found


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
    assert set(told[-1].vessels) == {"A1"}
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


def test_beliefs_are_noted_while_the_window_is_open(kept, rest):
    for minute in range(snapshot.TIP + 2):
        kept.record({**old(), "at": NOW - timedelta(minutes=minute), "vessel": "B1"})
    before = kept._store.snapshot().n
    kept.poll()
    rest(RESTED_S - 0.1)
    kept.poll()
    assert kept._behind._thread is None, "not while entries come in"
    rest(0.2)
    kept.poll()
    kept._behind._thread.join()
    assert kept._store.snapshot().n > before
    assert memory.due(kept._store, kept.rack, kept._seen) == []


def rows(at: timedelta, vessel: str, number: int) -> dict[str, object]:
    """A count, a split or a reading, as the number has it."""
    said = ({"kind": "count", "tallies": [number % 200]}, {"kind": "split", "volume_l": 1.0},
            {"kind": "feed", "feed": "paste", "amount": 3})[number % 3]  # fmt: skip
    other = {"to_vessel": {"A1": "A2", "A2": "B1", "B1": "A1"}[vessel]} if said["kind"] == "split" else {}
    return {"at": NOW - at, "vessel": vessel, **said, **other}


DEEDS = st.sampled_from(["old", "new", "correct", "back", "undo", "redo", "poll", "wait"])


@settings(max_examples=12)
@given(st.lists(st.tuples(DEEDS, st.integers(0, 10**6)), min_size=2, max_size=9))
def test_whatever_is_entered_while_old_entries_are_worked_in_all_are(quick_root, thought, steps):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reader, "AT_ONCE", 40)
        place = Path(shutil.copytree(thought, tempfile.mkdtemp(dir=quick_root), dirs_exist_ok=True)) / "rack.db"
        session = opened(place)
        for what, number in steps:
            vessel = ("A1", "A2", "B1")[number % 7 % 3]
            listed = sorted(e.id for e in session.rack.events())
            target = listed[number % len(listed)]
            if what in {"old", "new"}:
                ago = timedelta(days=5 + number % 8) if what == "old" else timedelta(minutes=1 + number % 600)
                session.record(rows(ago, vessel, number))
            elif what == "correct":
                named = session._store.event(target).vessel
                session.correct(target, rows(timedelta(days=number % 12), named, 3 * number))
            elif what == "back":
                session.withdraw(target)
            elif what == "wait":
                finish(session)
                assert as_if_read_whole(session)
            else:
                {"undo": session.undo, "redo": session.redo, "poll": session.poll}[what]()
        finish(session)
        assert as_if_read_whole(session)
        session.close()
        again = opened(place)
        finish(again)
        assert as_if_read_whole(again)
        again.close()


def test_of_an_old_entry_only_histories_that_culture_joins_to_its_own_are_read(kept, monkeypatch):
    read = []
    monkeypatch.setattr(Store, "read_of", lambda self, names: (read.append(set(names)), plain(self, names))[1])
    before = dict(kept.rack.logs)
    told = []
    kept.subscribe(told.append)
    kept.record({**old(), "vessel": "B1"})
    finish(kept)
    assert read == [{"B1"}], "no culture ever came to it or went from it"
    assert {n for n, h in kept.rack.logs.items() if h is before[n]} == {"A1", "A2"}
    assert told[-1].vessels == {"B1"}
    assert as_if_read_whole(kept)
    kept.record(old())
    finish(kept)
    assert read[1:] == [{"A1", "A2"}], "A1 was split into A2"
    assert as_if_read_whole(kept)


plain = Store.read_of


def test_who_waits_for_an_old_entry_is_called_when_it_is_worked_in(kept):
    called = threading.Event()
    kept.advise_behind(called.set)
    kept.record(old())
    assert called.wait(30)
    kept.poll()
    assert not kept.recounting
    assert as_if_read_whole(kept)


def test_what_is_noted_is_put_right_at_rest(kept, rest):
    kept.record(old())
    finish(kept)
    assert kept._behind.unnoted
    look(kept)
    rest(RESTED_S)
    look(kept)
    look(kept)
    assert not kept._behind.unnoted
    tip = kept._store.snapshot()
    assert tip.n == kept._seen
    assert since_snapshot(kept) < 24, "and the session went on from there"
    assert as_if_read_whole(kept)


def test_closed_before_that_the_next_start_puts_it_right(kept):
    kept.record(old())
    finish(kept)
    noted = kept._store.snapshot()
    kept.close()
    again = opened(kept.place)
    assert again._store.snapshot() == noted, "closing a window does not wait for years to be thought through"
    assert again.recounting
    finish(again)
    assert as_if_read_whole(again)
    again.close()
