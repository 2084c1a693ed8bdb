"""A long record is opened from its newest snapshot, and nothing can be told apart from one that was read whole."""

from __future__ import annotations

import json
import shutil
import tempfile
import zlib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.advice import situation
from rackview.advice.api import advise, assess_all, assess_some, plan
from rackview.advice.constants import SHOWN_BEFORE
from rackview.advice.moment import when
from rackview.advice.situation import lessons_by
from rackview.core.clock import day_number
from rackview.core.parse import event_from_row
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.rules.care import care
from rackview.science.state import held, past
from rackview.science.state.belief import believe
from rackview.science.state.growth import Prior
from rackview.services import files, memo_text, memory
from rackview.services.rack_session import RackSession
from rackview.store import Store, snapshot
from rackview.store.verify import check
from rackview.ui.rack.trends import courses

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
VESSELS = [
    Vessel("A1", "rotifer-L", "A", 1, 20),
    Vessel("A2", "rotifer-L", "A", 2, 15),
    Vessel("B1", "mixed", "B", 1, 9),
]
NOW = START + timedelta(days=15)


@pytest.fixture(autouse=True)
def small_pieces(monkeypatch):
    """Cuts every 24 events, so that two weeks make several."""
    monkeypatch.setattr(snapshot, "PIECE", 24)


def fortnight() -> list[dict[str, object]]:
    """Fourteen days at three vessels, with readings and splits."""
    rows: list[dict[str, object]] = []
    for day in range(14):
        for i, name in enumerate(("A1", "A2", "B1")):
            at = START + timedelta(days=day, minutes=i)
            rows.append({"at": at, "vessel": name, "kind": "count", "tallies": f"{90 + day} {100 + 3 * i} 95"})
            rows.append({"at": at, "vessel": name, "kind": "feed", "feed": "paste", "amount": 2})
            rows.append({"at": at, "vessel": name, "kind": "harvest", "volume_l": 2, "refill_l": 2})
            if day % 3 == i:
                rows.append({"at": at, "vessel": name, "kind": "reading", "temperature_c": 25, "sg": 1.022, "ph": 8.1})
                rows.append({"at": at, "vessel": name, "kind": "clean", "what": "floss"})
        if day in (4, 9):
            later = START + timedelta(days=day, hours=2)
            rows.append({"at": later, "vessel": "A1", "kind": "split", "to_vessel": "A2", "volume_l": 3})
    return rows


class Late:
    """A clock that stands after the fortnight."""

    def __call__(self) -> datetime:
        return NOW


@pytest.fixture(scope="module")
def thought(quick_root):
    """A folder with a store that has snapshots and beliefs; made once, as thinking takes its time."""
    folder = quick_root / "thought"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(snapshot, "PIECE", 24)
        session = RackSession(Store.open(folder / "rack.db", "write"), Late(), pc="shed", recent=True)
        session.take(vessels=VESSELS, events=[{**r, "id": f"e{i:03}"} for i, r in enumerate(fortnight())])
        session.keep_beliefs()
        session.close()
    return folder


@pytest.fixture
def kept(quick_folder, thought) -> RackSession:
    """A session on a copy of that store."""
    shutil.copytree(thought, quick_folder, dirs_exist_ok=True)
    session = RackSession(Store.open(quick_folder / "rack.db", "write"), Late(), pc="shed", recent=True)
    yield session
    session.close()


def events(rack: Rack) -> dict[str, list[tuple[object, ...]]]:
    """All that a history says, node by node."""
    return {
        name: [(n.event, n.length, n.day, None if n.partner is None else n.partner.event) for n in head.back()]
        for name, head in rack.logs.items()
    }


def recent(session: RackSession) -> Rack:
    return session._store.read(memory.remember)[0]


@pytest.fixture
def fetched(monkeypatch) -> list[str]:
    """The moments before which older history was fetched."""
    seen: list[str] = []
    real = snapshot.Older.log

    def log(self, vessel):
        if self._rack is None:
            seen.append(self._at)
        return real(self, vessel)

    monkeypatch.setattr(snapshot.Older, "log", log)
    return seen


def test_what_is_believed_and_advised_is_the_same_and_nothing_older_is_read(kept, fetched):
    whole, rack = kept._store.load(), recent(kept)
    assert assess_all(rack, NOW) == assess_all(whole, NOW)
    assert advise(rack, NOW) == advise(whole, NOW)
    assert plan(rack, NOW, 5) == plan(whole, NOW, 5)
    assert fetched == []


def test_some_vessels_looked_at_first_are_as_among_all_and_are_not_looked_at_twice(kept, monkeypatch):
    rack, looked, real = recent(kept), [], situation.view_of
    monkeypatch.setattr(
        situation, "view_of", lambda rack, name, *more: (looked.append(name), real(rack, name, *more))[1]
    )
    first = assess_some(rack, ["B1", "A1"], NOW)
    assert looked == ["B1", "A1"]
    found = assess_all(rack, NOW)
    assert found == assess_all(kept._store.load(), NOW)
    assert looked[:3] == ["B1", "A1", "A2"]
    assert list(first) == ["B1", "A1"]
    for name, seen in first.items():
        own = tuple(f for f in found[name].flags if f.code != "contact")  # which only a neighbour's flags say
        assert seen == replace(found[name], flags=own)


def test_of_a_vessel_that_only_taught_no_more_is_read_than_that(kept, monkeypatch):
    made: list[object] = []
    for name in ("events_of", "_unpacked"):
        real = getattr(memo_text, name)
        monkeypatch.setattr(memo_text, name, lambda given, real=real: (made.append(real), real(given))[1])
    rack = recent(kept)
    taught = lessons_by(rack, "rotifer-L", when(NOW).day, when(NOW).today)
    assert taught == lessons_by(kept._store.load(), "rotifer-L", when(NOW).day, when(NOW).today)
    assert made == []
    assert rack.logs["A1"].memo["care"].counts
    assert len(made) == 2


def test_what_is_noted_is_reckoned_side_by_side_before_it_is_written(kept, monkeypatch):
    asked: list[object] = []
    alone: list[int] = []
    reckon, written = held.reckon, memory.written

    def counted(*given):
        before, text = len(asked), written(*given)
        alone.append(len(asked) - before)
        return text

    monkeypatch.setattr(held, "reckon", lambda wanted: (asked.append(wanted), reckon(wanted))[1])
    monkeypatch.setattr(memory, "written", counted)
    rack, last = kept._store.read_whole()
    memory.memos_of(rack, snapshot.snapshots_of(rack, last, None), {})
    assert len(alone) >= len(VESSELS)
    assert set(alone) == {0}


def test_no_belief_of_an_older_entry_is_noted_however_short(kept, monkeypatch):
    monkeypatch.setattr(memo_text, "SMALL", 1 << 20)
    rack, last = kept._store.read_whole()
    for name, head in rack.logs.items():
        believe(next(iter(care(head).count_nodes)), rack.profile(name))
    memos = memory.memos_of(rack, snapshot.snapshots_of(rack, last, None), {})
    assert {zlib.decompress(memo.body).count(b"belief:Belief") for memo in memos} == {1}


def test_older_history_comes_piece_by_piece_and_is_the_same(kept, fetched):
    whole, rack = kept._store.load(), recent(kept)
    assert rack.log("A1").event == whole.log("A1").event
    assert fetched == []
    near = rack.log("A1", rack.log("A1").day - 3)
    assert near.event == whole.log("A1", rack.log("A1").day - 3).event
    assert len(fetched) == 1
    assert events(rack) == events(whole)
    assert len(fetched) > 3


def test_the_past_days_of_a_trend_are_kept_though_none_was_drawn_and_are_the_same(kept, fetched):
    whole, rack = kept._store.load(), recent(kept)
    here = NOW.astimezone()  # the days of a trend are the keeper's
    assert [a.line for a in courses(rack, list(rack.vessels), here)] == [
        a.line for a in courses(whole, list(whole.vessels), here)
    ]
    assert fetched == []
    key = ("medians", Prior.of(rack.profile("A1")))
    assert len(rack.log("A1").memo[key]) > 14


@pytest.mark.parametrize("days_ago", [1, 9])
def test_a_moment_in_the_past_is_judged_the_same(kept, days_ago):
    whole, rack = kept._store.load(), recent(kept)
    then = NOW - timedelta(days=days_ago)
    assert assess_all(rack, then) == assess_all(whole, then)


def same(session: RackSession) -> None:
    """The session, a fresh look at the recent history and the whole record agree."""
    whole = session._store.load()
    assert events(session.rack) == events(whole)
    assert events(recent(session)) == events(whole)


def test_entries_of_today_go_on_from_the_cut(kept, fetched):
    again = RackSession(Store.open(kept.place, "write"), Late(), pc="shed", recent=True)
    again.record({"at": NOW, "vessel": "A1", "kind": "count", "tallies": "120 118"})
    again.undo()
    again.redo()
    assert fetched == []
    same(again)
    assert assess_all(again.rack, NOW) == assess_all(again._store.load(), NOW)
    again.close()


def test_late_entries_and_corrections_of_old_ones_are_seen(kept):
    again = RackSession(Store.open(kept.place, "write"), Late(), pc="shed", recent=True)
    late = START + timedelta(days=6, hours=1)
    again.record({"at": late, "vessel": "A2", "kind": "count", "tallies": "55 60"})
    same(again)
    old = next(e for e in again.rack.events() if e.kind == "count")
    again.correct(old.id, {"at": old.at, "vessel": old.vessel, "kind": "count", "tallies": "1 2"})
    same(again)
    again.withdraw(next(e for e in again.rack.events() if e.kind == "feed").id)
    same(again)
    while again.undo():
        same(again)
    again.close()
    assert check(kept.place) == []


def test_a_cut_made_before_a_late_entry_is_not_used(kept):
    newest = kept._store.snapshot().at
    kept.record({"at": START + timedelta(days=13), "vessel": "A2", "kind": "note", "text": "late"})
    assert kept._store.snapshot().at < newest
    same(kept)
    kept.suggestions()
    for i in range(12):
        kept.record({"at": NOW - timedelta(minutes=30 - i), "vessel": "A2", "kind": "note", "text": "new"})
    kept.keep_beliefs()
    assert kept._store.snapshot().at > newest
    same(kept)


@settings(max_examples=8)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["late", "correct", "back", "undo", "keep", "lighten", "open"]), st.integers(0, 10**6)
        ),
        max_size=7,
    )
)
def test_whatever_is_done_the_recent_and_the_whole_agree(quick_root, thought, steps):
    place = Path(shutil.copytree(thought, tempfile.mkdtemp(dir=quick_root), dirs_exist_ok=True)) / "rack.db"
    session = RackSession(Store.open(place, "write"), Late(), pc="shed", recent=True)
    for what, number in steps:
        listed = sorted(e.id for e in session.rack.events())
        target = listed[number % len(listed)]
        if what == "late":
            at = START + timedelta(days=number % 14, minutes=number % 50)
            session.record({"at": at, "vessel": "A2", "kind": "count", "tallies": [number % 200]})
        elif what == "correct":
            old = session._store.event(target)
            at = START + timedelta(days=(number // 7) % 14)
            session.correct(target, event_from_row({"at": at, "vessel": old.vessel, "kind": "note", "text": "better"}))
        elif what == "back":
            session.withdraw(target)
        elif what == "undo":
            session.undo()
        elif what == "keep":
            snapshots = snapshot.snapshots_of(session.rack, session._seen, None)
            session._store.keep(snapshots, [])
        elif what == "lighten":
            session._behind._lighten(session.rack, session._seen)
            session.poll()
        else:
            session.close()
            session = RackSession(Store.open(place, "write"), Late(), pc="shed", recent=True)
        whole = session._store.load()
        assert events(session.rack) == events(whole)
        assert list(session.whole().events()) == list(whole.events())
    session.close()


def test_a_changed_vessel_or_program_makes_old_beliefs_void(kept, monkeypatch):
    memos = kept.rack.logs["A1"].memo
    assert memos
    kept.put_vessel(Vessel("A1", "rotifer-L", "A", 1, 25))
    assert recent(kept).logs["A2"].memo == {}  # culture of A1 went into it
    assert assess_all(recent(kept), NOW) == assess_all(kept._store.load(), NOW)
    kept.undo()
    assert recent(kept).logs["A2"].memo
    monkeypatch.setattr(memory, "_program", lambda: "another")
    assert recent(kept).logs["A2"].memo == {}
    assert memory.keep(kept._store, kept.rack, kept._seen) > 0  # the new program notes its own
    assert recent(kept).logs["A2"].memo
    assert memory.keep(kept._store, kept.rack, kept._seen) == 0


def test_a_damaged_cut_or_memo_is_passed_over(kept):
    kept._store.connection.execute("UPDATE memos SET body = x'00'")
    assert recent(kept).logs["A1"].memo == {}
    kept._store.connection.execute("UPDATE stumps SET body = '{}'")
    assert kept._store.snapshot() is None
    same(kept)


@pytest.mark.parametrize(
    "said",
    [
        ["c", "os:system", "echo"],
        ["c", "subprocess:Popen", "echo"],
        ["c", "rackview.core.rack:check"],
        ["c", "rackview.store.store:Store", 1],
        ["E", "builtins:eval", "1"],
        ["N", "rackview.core.log:Node", 1],
        ["zz"],
        [],
        ["c", "rackview.rules.care:Nothing"],
        ["c", "rackview.rules.nothing:Nothing"],
    ],
)
def test_a_forged_memo_makes_nothing_but_our_own_records(kept, said):
    forge(kept, lines([], ["k", "whole"], said, 5))
    assert recent(kept).logs["A1"].memo == {"whole": 5}
    same(kept)


def lines(events: object, *said: object) -> bytes:
    """A memo's body that says this on its lines: keys, a value for each key, and the events that they name."""
    said = (*said, events)
    return zlib.compress("\n".join(map(json.dumps, said)).encode())


def forge(kept, body: bytes) -> None:
    """Put a body into every memo, with the checksum that belongs to it."""
    connection = kept._store.connection
    newest = "SELECT at, vessel, made_by FROM memos WHERE at = (SELECT max(at) FROM memos)"
    for at, name, made_by in connection.execute(newest).fetchall():
        total = snapshot.Memo(at, name, made_by, body).sum()
        put = "UPDATE memos SET body = ?, sum = ? WHERE at = ? AND vessel = ?"
        connection.execute(put, (body, total, at, name))


def huge() -> bytes:
    """Two hundred megabytes in two hundred kilobytes; packing them takes a second that each process would spend."""
    return zlib.compress(b" " * 200_000_000, 9)


@pytest.mark.parametrize("body", [
    zlib.compress(b"[" * 200_000), huge, b"", zlib.compress(b"[[1]]"),
    zlib.compress(b"{}"), lines([], ["k"], "".join(map(str, range(5000))))[:2000],
    lines([], ["k"], ["a", "<f8", [3], []]), lines([], ["k"], ["a", "O", [1], [1]]), lines([], ["k"]),
    lines([], ["k"], ["e", 0]), lines([], ["k"], ["g", "AAA="]), lines([], ["k"], ["g", 1]),
    zlib.compress(b'["k"]\n' + b"[" * 200_000), lines([], ["k"], ["h", 1.0, "AAAAAAAAAAA="]),
    lines([], [["l"]], 1), lines([[1]], ["k"], ["e", 0]),
], ids=["deep", "huge", "empty", "short", "other", "cut", "shape", "objects", "no value", "no event", "bits", "no bits",
        "deep value", "too few", "unhashable", "bad event"])  # fmt: skip
def test_a_memo_that_can_not_be_read_costs_a_recount(kept, body):
    forge(kept, body() if callable(body) else body)
    assert recent(kept).logs["A1"].memo == {}
    same(kept)


@pytest.mark.parametrize("table", ["memos", "stumps"])
def test_a_bad_page_of_what_is_remembered_costs_a_recount(kept, quick_folder, table):
    path = kept.backup(quick_folder / "spoilt.db")
    with Store.open(path) as sound:
        root = sound.connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()[0]
    with path.open("rb+") as file:
        file.seek(4096 * (root - 1))
        file.write(b"noise" * 800)
    with Store.open(path) as spoilt, Store.open(path) as again:
        rack, last = spoilt.read(memory.remember)
        whole, known = again.read_whole()
        assert last == known
        assert advise(rack, NOW) == advise(whole, NOW)


@pytest.mark.parametrize(("least", "thought_through"), [(100, True), (10_000, False)])
def test_an_imported_history_is_thought_through_once(kept, quick_folder, fetched, monkeypatch, least, thought_through):
    monkeypatch.setattr(files, "HISTORY", least)
    tables = files.give_out(kept._store.load(), quick_folder / "tables")
    path = quick_folder / "again" / "rack.db"
    assert not files.import_files(tables, path, Late()).intake.refused
    session = RackSession(Store.open(path, "write"), Late(), pc="shed", recent=True)
    try:
        assert advise(session.rack, NOW) == advise(kept._store.load(), NOW)
        assert (session._store.snapshot() is not None) is thought_through
        assert fetched == []
    finally:
        session.close()


def test_a_program_in_one_folder_is_known_by_its_executable(monkeypatch, tmp_path):
    """A bundle has no sources to tell one version of the reckoning from another."""
    seen = set()
    memory._program.cache_clear()
    for code in (b"one", b"another"):
        executable = tmp_path / "rackview"
        executable.write_bytes(code)
        with monkeypatch.context() as bundled:
            bundled.setattr("sys.frozen", True, raising=False)
            bundled.setattr("sys.executable", str(executable))
            seen.add(memory._program())
        memory._program.cache_clear()
    assert len({*seen, memory._program()}) == 3


def test_what_a_trend_asked_for_does_not_make_a_later_note_look_further_back(kept, fetched):
    """The noons between, which the note before had, stay with the newest event."""
    rack = kept.rack
    courses(rack, list(rack.vessels), NOW.astimezone())
    fetched.clear()
    at = NOW.astimezone()
    past.remember_days(
        [(rack.log(name), rack.profile(name)) for name in rack.vessels],
        day_number(at) - SHOWN_BEFORE,
        day_number(at),
        at.utcoffset() / timedelta(days=1),
    )
    assert fetched == []
    whole = kept._store.load()
    again = courses(whole, list(whole.vessels), at)
    assert [a.line for a in courses(rack, list(rack.vessels), at)] == [a.line for a in again]
