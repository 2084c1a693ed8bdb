"""An entry of long ago is kept at once and worked in behind the window; beliefs are noted there too."""

from __future__ import annotations

import shutil
import tempfile
import threading
import weakref
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.advice import situation
from rackview.advice.api import advise, assess_all
from rackview.core.log import LazyNode
from rackview.core.vessel import Vessel
from rackview.services import behind, memory, rack_session
from rackview.services.behind import BEHIND, RESTED
from rackview.services.rack_session import RackSession
from rackview.store import Store, StoreError, reader, snapshot
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


def test_what_is_noted_is_put_right_at_rest(kept):
    kept.record(old())
    finish(kept)
    assert kept._behind.unnoted
    for _ in range(RESTED + 3):
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


def since_snapshot(session) -> int:
    """How many nodes of the histories lie in memory after the snapshot from which they were read."""
    found = 0
    for head in session.rack.logs.values():
        node = head
        while node is not None:
            found += 1
            node = None if isinstance(node, LazyNode) else node.previous
    return found


def test_without_a_rest_a_rack_of_many_entries_is_taken_over_lighter(kept, crowded):
    told = []
    kept.subscribe(told.append)
    begun = since_snapshot(kept)
    enter(kept, 2 * behind.CROWD - 1)
    heavy = since_snapshot(kept)
    assert heavy >= begun + 2 * behind.CROWD - 1
    told.clear()
    newest, words = weakref.ref(kept.rack.logs["B1"]), kept.undo_words
    enter(kept, 1)
    look(kept)
    assert since_snapshot(kept) < begun + snapshot.TIP
    assert {c.words for c in told} == {"Record"}, "only the entry itself is told of"
    assert kept.undo_words == words
    assert as_if_read_whole(kept)
    kept.assessments()
    situation._kept.clear()
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
    assert kept._seen == kept._store.last()
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
    assert kept._seen == kept._store.last()
    assert as_if_read_whole(kept)


def test_undo_goes_back_a_thousand_steps(kept, monkeypatch):
    monkeypatch.setattr(rack_session, "MOST_STEPS", 5)
    enter(kept, 7)
    while kept.undo():
        pass
    assert [e.text for e in kept.rack.events() if e.kind == "note"] == ["0", "1"]
