"""A long record is thought through in stretches, with the answers that thinking it through at once gives."""

from __future__ import annotations

import shutil
import tempfile
import weakref
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.advice import situation
from rackview.advice.api import advise, assess_all
from rackview.core.events import Note
from rackview.core.rack import Rack
from rackview.rules.care import care, newest_counts
from rackview.rules.signs import signs_of
from rackview.science.risk.record import watch
from rackview.science.state.belief import believe
from rackview.services import memory, stretches
from rackview.services.rack_session import RackSession
from rackview.services.stretches import thought_through
from rackview.store import Store, StoreError, reader, snapshot
from tests.services.fortnight import NOW, START, VESSELS, Late, events


@pytest.fixture(autouse=True)
def small_stretches(monkeypatch):
    """A stretch of some days: a snapshot every 24 events, and 15 can be thought through at once."""
    monkeypatch.setattr(snapshot, "PIECE", 24)
    monkeypatch.setattr(snapshot, "STRETCH", 40)
    monkeypatch.setattr(snapshot, "OF_EACH", 10)
    monkeypatch.setattr(reader, "AT_ONCE", 15)


@pytest.fixture
def place(quick_folder, thought) -> Path:
    """A store of a fortnight of which nothing is known but what was recorded."""
    shutil.copytree(thought, quick_folder, dirs_exist_ok=True)
    forget(quick_folder / "rack.db")
    return quick_folder / "rack.db"


def forget(place: Path) -> None:
    with Store.open(place, "write") as store:
        store.connection.execute("DELETE FROM memos")
        store.connection.execute("DELETE FROM stumps")


def believed(rack: Rack) -> dict[str, list[object]]:
    """What is believed of each vessel to the last bit: the filter's numbers, the watch, the signs of its counts."""
    found: dict[str, list[object]] = {}
    for name, head in rack.logs.items():
        profile = rack.profile(name)
        held = believe(head, profile).held
        numbers = None if held is None else [float(x).hex() for x in held.numbers.known()]
        counts = newest_counts(head, care(head))
        found[name] = [numbers, watch(head, profile), [signs_of(node, profile) for node in counts]]
    return found


def as_at_once(place: Path, rack: Rack) -> bool:
    """Whether this rack says to the last bit what the record says that is thought through whole."""
    with Store.open(place) as store:
        whole = store.load()
    assert assess_all(rack, NOW) == assess_all(whole, NOW)
    assert advise(rack, NOW) == advise(whole, NOW)
    assert believed(rack) == believed(whole)
    return events(rack) == events(whole)


@pytest.fixture
def deep(monkeypatch) -> list[str]:
    """The moments before which the whole of the record was fetched, stretches before the last one included."""
    seen: list[str] = []
    real = snapshot.Older.log

    def log(self, vessel):
        if self._before is None:
            seen.append(self._at)
        return real(self, vessel)

    monkeypatch.setattr(snapshot.Older, "log", log)
    return seen


@pytest.mark.parametrize("note", [True, False])
def test_answers_are_those_of_the_whole_record_and_no_more_is_read_than_the_stretch_before(place, note, deep):
    told: list[float] = []
    part = thought_through(place, told.append, note=note)
    assert advise(part.rack, NOW)
    assert len(set(deep)) <= 1, "what lies before the first end is the first stretch"
    with Store.open(place) as store:
        assert (store.snapshot() is not None) is note
    assert len(told) > 3
    assert told == sorted(told)
    assert as_at_once(place, part.rack)


def test_the_next_start_believes_the_same(place):
    thought_through(place, note=True)
    with Store.open(place) as store:
        assert store.snapshot().tip
        assert as_at_once(place, store.read(memory.remember)[0])


class HeardEnoughError(Exception):
    """Whoever listened wants no more."""


def stop_after(number: int):
    """A listener that stops at the end of so many stretches."""
    left = iter(range(number))

    def tell(_share: float) -> None:
        if next(left, None) is None:
            raise HeardEnoughError

    return tell


def test_who_stops_in_between_goes_on_from_there(place):
    with pytest.raises(HeardEnoughError):
        thought_through(place, stop_after(2), note=True)
    with Store.open(place) as store:
        middle = store.snapshot()
        part = store.read_stretch(memory.remember, memory.holds)
    assert part.since == middle.at
    assert 0 < part.left < len(list(part.rack.events()))
    told: list[float] = []
    part = thought_through(place, told.append, note=True)
    assert as_at_once(place, part.rack)


def test_after_an_update_it_is_begun_anew_in_stretches_and_who_stops_goes_on(place, monkeypatch):
    thought_through(place, note=True)
    monkeypatch.setattr(memory, "_program", lambda: "another")
    told: list[float] = []

    def tell(share: float) -> None:
        told.append(share)
        if len(told) == 3:
            raise HeardEnoughError

    with pytest.raises(HeardEnoughError):
        thought_through(place, tell, note=True)
    with Store.open(place) as store:
        part = store.read_stretch(memory.remember, memory.holds)
    assert part.since is not None, "what the new program noted is gone on from"
    part = thought_through(place, told.append, note=True)
    assert len(told) > 4
    assert as_at_once(place, part.rack)


def test_a_window_opened_then_shows_the_newest_alone_and_takes_over_the_whole(place):
    with pytest.raises(HeardEnoughError):
        thought_through(place, stop_after(1), note=True)
    session = RackSession(Store.open(place, "write"), Late(), pc="shed", recent=True)
    try:
        assert session.recounting
        assert sum(1 for head in session.rack.logs.values() for _ in head.back()) <= reader.AT_ONCE + 5
        while session.recounting:
            session._behind._thread.join()
            session.poll()
        assert as_at_once(place, session.rack)
        assert session._store.snapshot().tip
    finally:
        session.close()
    again = RackSession(Store.open(place, "write"), Late(), pc="shed", recent=True)
    assert not again.recounting
    again.close()


def test_a_stretch_is_let_go_before_the_next_is_thought_through(place, monkeypatch):
    alive: list[int] = []
    racks: list[weakref.ref] = []
    real = stretches._known

    def known(part, *more):
        alive.append(sum(ref() is not None for ref in racks))
        racks.append(weakref.ref(part.rack))
        return real(part, *more)

    monkeypatch.setattr(stretches, "_known", known)
    kept = dict(situation._kept)
    thought_through(place, note=True)
    assert len(alive) > 3
    assert set(alive) == {0}
    assert situation._kept == kept, "a window that is open does not lose what it looked at"


def test_what_can_not_be_noted_is_thought_through_all_the_same(place, monkeypatch):
    def full(*_given: object) -> None:
        raise StoreError("full", "the disk is full")

    monkeypatch.setattr(Store, "keep", full)
    part = thought_through(place, note=True)
    with Store.open(place) as store:
        assert store.snapshot() is None
    assert as_at_once(place, part.rack)


def test_an_entry_from_before_that_comes_in_meanwhile_begins_it_anew(place):
    shares: list[float] = []

    def tell(share: float) -> None:
        shares.append(share)
        if len(shares) == 3:
            late = {"at": START + timedelta(hours=3), "vessel": "A1", "kind": "count", "tallies": "20 22"}
            with Store.open(place, "write") as store:
                RackSession(store, Late(), pc="house").record(late)

    part = thought_through(place, tell, note=True)
    assert shares.count(0.0) == 2
    assert as_at_once(place, part.rack)
    assert sum(e.kind == "count" for e in part.rack.events()) == 14 * len(VESSELS) + 1


def test_many_entries_of_one_moment_are_one_stretch(place):
    with Store.open(place, "write") as store:
        session = RackSession(store, Late(), pc="house")
        note = {"at": START + timedelta(days=5, hours=9), "vessel": "B1", "kind": "note"}
        session.record([{**note, "text": f"{n}"} for n in range(150)])
    part = thought_through(place, note=True)
    assert as_at_once(place, part.rack)


@pytest.mark.parametrize("day", [-30, 30])
def test_many_entries_at_a_vessel_that_nobody_listed_do_not_stop_it(place, day):
    stray = [Note(at=START + timedelta(days=day, minutes=n), vessel="gone", text=f"{n}") for n in range(150)]
    with Store.open(place, "write") as store:
        store.write(stray, adopt=True)
    assert as_at_once(place, thought_through(place, note=True).rack)
    assert as_at_once(place, thought_through(place, note=False).rack)


DEEDS = st.sampled_from(["count", "split", "restart", "correct", "back", "rest"])


@settings(max_examples=6)
@given(st.lists(st.tuples(DEEDS, st.integers(0, 10**6)), max_size=9), st.integers(5, 90))
def test_whatever_was_recorded_stretches_of_any_length_say_the_same(quick_root, thought, steps, length):
    place = Path(shutil.copytree(thought, tempfile.mkdtemp(dir=quick_root), dirs_exist_ok=True)) / "rack.db"
    with pytest.MonkeyPatch.context() as patch:
        for name, value in (("PIECE", 24), ("STRETCH", length), ("OF_EACH", 1)):
            patch.setattr(snapshot, name, value)
        patch.setattr(reader, "AT_ONCE", min(15, length))
        with Store.open(place, "write") as store:
            session = RackSession(store, Late(), pc="shed")
            for what, number in steps:
                do(session, what, number)
        forget(place)
        assert as_at_once(place, thought_through(place, note=True).rack)
        with Store.open(place) as store:
            assert as_at_once(place, store.read(memory.remember)[0])


def do(session: RackSession, what: str, number: int) -> None:
    """One entry of some day of the fortnight, or a correction of one."""
    listed = sorted(e.id for e in session.rack.events())
    vessel, target = ("A1", "A2", "B1")[number % 3], listed[number % len(listed)]
    other = {"A1": "A2", "A2": "B1", "B1": "A1"}[vessel]
    said = {
        "count": {"kind": "count", "tallies": [number % 200, number % 190]},
        "split": {"kind": "split", "volume_l": 1.0, "to_vessel": other},
        "restart": {"kind": "restart", "from_vessel": other, "volume_l": 1.0},
        "rest": {"kind": "rest"},
    }
    at = START + timedelta(days=number % 14, minutes=number % 600)
    if what == "back":
        session.withdraw(target)
    elif what == "correct":
        session.correct(target, {"at": at, "vessel": session._store.event(target).vessel, **said["count"]})
    else:
        session.record({"at": at, "vessel": vessel, **said[what]})
