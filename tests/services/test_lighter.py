"""A window that is open all day takes over a lighter rack now and then."""

# ruff: noqa: F811 - a session as that of an old entry
from __future__ import annotations

import threading
import weakref
from datetime import timedelta

import pytest

from rackview.advice import situation
from rackview.advice.api import assess_all
from rackview.core.vessel import Vessel
from rackview.services import behind, rack_session
from rackview.services.behind import RESTED_S
from rackview.services.rack_session import RackSession
from rackview.store import Store, StoreError, snapshot
from tests.services.fortnight import NOW, Late
from tests.services.test_behind import (  # noqa: F401
    as_if_read_whole,
    finish,
    kept,
    look,
    old,
    since_snapshot,
    small_pieces,
)


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


def test_at_rest_it_is_taken_over_earlier(kept, crowded, rest):
    called = threading.Event()
    kept.advise_behind(called.set)
    enter(kept, behind.CROWD + 1)
    rack = kept.rack
    rest(RESTED_S - 0.1)
    look(kept)
    assert kept.rack is rack
    called.clear()
    rest(0.2)
    look(kept)
    assert called.is_set(), "who holds the session is told that there is something to take over"
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
