"""A record that is read from a snapshot on is the record read whole, whatever was entered, corrected or taken back."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.core.events import Event
from rackview.core.parse import event_from_row
from rackview.core.rack import Rack
from rackview.store import Store, TableRow, connect, reader, snapshot
from rackview.store.snapshot import snapshots_of
from tests.store.conftest import MORNING

VESSELS = ("V1", "V2", "V3")


def told(rack: Rack) -> dict[str, list[tuple[Event, int, list[str]]]]:
    """Every history, newest event first, each with its length and what the partner's history held before it."""
    return {
        name: [
            (n.event, n.length, [] if n.partner is None else [p.event.id for p in n.partner.back()])
            for n in head.back()
        ]
        for name, head in rack.logs.items()
    }


def entry(number: int, minute: int, **columns: object) -> Event:
    """The event `e<number>`, of so many minutes after the morning; a count of the first vessel unless told else."""
    at = MORNING + timedelta(minutes=minute)
    row = {"at": at, "entered_at": at, "id": f"e{number}", "vessel": "V1", "kind": "count", "tallies": [number]}
    return event_from_row({k: v for k, v in (row | columns).items() if v is not None})


def moved(number: int, minute: int, giver: str, taker: str) -> Event:
    """A litre poured from one vessel into another."""
    return entry(number, minute, vessel=giver, kind="split", tallies=None, to_vessel=taker, volume_l=1.0)


def withdrawn(number: int, minute: int, target: str) -> Event:
    """An entry that takes another back."""
    return entry(number, minute, kind="withdraw", tallies=None, replaces=target)


def note(store: Store) -> None:
    """Note snapshots of all that is in the store, as a start that had time for it does."""
    rack, last = store.read_whole()
    known = store.snapshot(tips=False)
    store.keep(snapshots_of(rack, last, None if known is None else known.at), ())


def closure(store: Store, events: Iterable[Event]) -> set[str]:
    """The ids of all that these replace or are replaced by, near and far, found the long way."""
    everything = [e for _, e in store.numbered() if isinstance(e, Event)]
    mine = {e.id for e in events}
    found = set(mine)
    while True:
        more = {e.id for e in everything if e.replaces in found} | {e.replaces for e in everything if e.id in found}
        more &= {e.id for e in everything}
        if more <= found:
            return found - mine
        found |= more


numbers = st.integers(0, 30)
minutes = st.integers(0, 60)
steps = st.lists(
    st.one_of(
        st.tuples(st.just("count"), st.sampled_from(VESSELS), minutes),
        st.tuples(st.just("split"), st.permutations(VESSELS), minutes),
        st.tuples(st.just("replace"), numbers, minutes),
        st.tuples(st.just("withdraw"), numbers, minutes),
        st.just(("note", None, 0)),
    ),
    min_size=6,
    max_size=30,
)


def made(number: int, kind: str, what: object, minute: int) -> Event:
    """The event of one step; at first there is nothing to correct or take back, and the vessel only rests."""
    if kind == "rest":
        return entry(number, minute, kind="rest", tallies=None)
    if kind == "count":
        return entry(number, minute, vessel=what)
    if kind == "split":
        return moved(number, minute, what[0], what[1])
    target = f"e{what % number}"  # perhaps one that replaces another itself
    return withdrawn(number, minute, target) if kind == "withdraw" else entry(number, minute, replaces=target)


@settings(max_examples=25)
@given(steps)
def test_what_is_read_lazily_is_what_is_read_whole(quick_root, taken):
    with pytest.MonkeyPatch.context() as patch, tempfile.TemporaryDirectory(dir=quick_root) as folder:
        patch.setattr(snapshot, "PIECE", 3)
        patch.setattr(reader, "AT_ONCE", 4)
        with Store.open(Path(folder) / "rack.db", "write") as store:
            vessel = {"strain": "rotifer-L", "shelf": "A", "volume_l": 20.0}
            store.write(
                rows=[
                    TableRow("vessel", v, {**vessel, "vessel": v, "position": i}, MORNING, id=f"row-{v}")
                    for i, v in enumerate(VESSELS, 1)
                ]
            )
            number = 0
            for kind, what, minute in taken:
                if kind == "note":
                    note(store)
                    continue
                store.append([made(number, kind if number else "rest", what, minute)])
                number += 1
            whole = store.load()
            wanted = told(whole)
            assert told(store.read()[0]) == wanted
            alone = store.read_of(["V2"])[0].log("V2")
            assert [(n.event, n.length) for n in alone.back()] == [(event, length) for event, length, _ in wanted["V2"]]
            soon = store.read_soon(lambda *_: {}, lambda *_: True).rack
            newest = [(name, head.event) for name, head in soon.logs.items() if head.event is not None]
            assert all(whole.log(name).event == event for name, event in newest)
            events = [e for _, e in store.numbered() if isinstance(e, Event)]
            for some in ([], events[:1], events[-2:]):
                found = [e.id for e in store.related(some)]
                assert sorted(found) == sorted(closure(store, some))


@pytest.fixture
def noted(store, monkeypatch):
    """Counts e0 to e11 at three vessels in turn, with snapshots before e3, e6 and e9 and after the newest."""
    monkeypatch.setattr(snapshot, "PIECE", 3)
    store.append([entry(n, n, vessel=VESSELS[n % 3]) for n in range(12)])
    note(store)
    return store


@pytest.mark.parametrize(
    ("more", "kept"),
    [
        ([entry(20, 20)], 12),
        ([entry(20, 20), entry(21, 21, replaces="e20"), withdrawn(22, 22, "e21")], 12),
        ([entry(20, 5)], 3),
        ([entry(20, 30, replaces="e4")], 3),
        ([withdrawn(20, 30, "e7")], 6),
        ([entry(20, 30, replaces="e7"), withdrawn(21, 31, "e20")], 6),
        ([entry(20, 1, replaces="e11")], 0),
        ([entry(20, 30, replaces="not here")], 12),
    ],
    ids=["new", "new corrected", "late", "corrected", "withdrawn", "correction withdrawn", "moved back", "unknown"],
)
def test_a_snapshot_holds_until_something_reaches_back_before_it(noted, more, kept):
    noted.append(more)
    found = noted.snapshot()
    assert (0 if found is None else sum(length for _, length in found.heads.values())) == kept
    assert told(noted.read()[0]) == told(noted.load())


def test_only_what_is_asked_for_is_read(noted, monkeypatch):
    read: list[str] = []
    real = connect.open_reader
    monkeypatch.setattr(connect, "open_reader", lambda path: (read.append(path.name), real(path))[1])
    rack = noted.read()[0]
    assert rack.log("V3").event.id == "e11"
    assert read == []
    assert [n.event.id for n in rack.log("V3").back()] == ["e11", "e8", "e5", "e2"]
    assert len(read) == 4, "a piece at a time, from the end on"
    assert [n.event.id for n in rack.log("V1").back()] == ["e9", "e6", "e3", "e0"]
    assert len(read) == 4, "of all vessels at once"


def test_which_vessels_were_joined_and_which_were_ever_told_of(store):
    store.append([moved(0, 0, "V1", "V2"), moved(1, 1, "V2", "V1"), withdrawn(2, 2, "e0")])
    assert store.moves() == {frozenset({"V1", "V2"})}
    last = store.last()
    assert store.mentions(["V2"], last)
    assert store.mentions(["V3", "V1"], last)
    assert not store.mentions(["V3"], last)
    assert not store.mentions(["V2"], last - 3), "not yet then"


def test_how_much_can_be_worked_through_at_once(store, monkeypatch):
    monkeypatch.setattr(reader, "AT_ONCE", 4)
    store.append([entry(n, n) for n in range(4)])
    assert not store.is_long()
    store.append([entry(4, 4)])
    assert store.is_long()
    assert store.goes_far_back([entry(9, 8), entry(8, 0)])
    assert not store.goes_far_back([entry(9, 1)])
    assert not store.goes_far_back([])


def test_a_quick_start_reads_the_newest_alone_where_nothing_remembered_holds(noted, monkeypatch):
    monkeypatch.setattr(reader, "AT_ONCE", 4)
    memos = [snapshot.Memo(noted.snapshot().at, v, "this program", b"what is believed") for v in VESSELS]
    rack, last = noted.read_whole()
    noted.keep(snapshots_of(rack, last, None), memos)
    held = noted.read_soon(lambda *_: {}, lambda rack, name, by: by == "this program")
    assert (held.left_out, held.noted, held.last) == (False, True, last)
    assert told(held.rack) == told(rack)
    void = noted.read_soon(lambda *_: {}, lambda rack, name, by: by == "another program")
    assert (void.left_out, void.noted) == (True, False)
    assert {e.id for e in void.rack.events()} == {"e7", "e8", "e9", "e10", "e11"}


def test_what_is_remembered_at_a_snapshot_is_asked_for_once_and_only_if_it_is_sound(noted):
    at = noted.snapshot().at
    rack, last = noted.read_whole()
    noted.keep(snapshots_of(rack, last, None), [snapshot.Memo(at, v, "by", v.encode()) for v in VESSELS])
    noted.connection.execute("UPDATE memos SET body = x'5639' WHERE vessel = 'V2'")
    asked: list[bytes] = []

    def remember(memo, rack, node, find):
        asked.append(memo.body)
        return {"known": find(memo.vessel, node.event, node.length).event.id}

    rack = noted.read(remember)[0]
    assert [rack.log(v).memo.get("known") for v in (*VESSELS, "V1")] == ["e9", None, "e11", "e9"]
    assert asked == [b"V1", b"V3"]
