"""A long record is opened from its newest snapshot, and nothing can be told apart from one that was read whole."""

from __future__ import annotations

import shutil
import tempfile
import zlib
from dataclasses import replace
from datetime import timedelta
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
from rackview.core.vessel import Vessel
from rackview.rules.care import care
from rackview.science.state import held, past
from rackview.science.state.belief import believe
from rackview.science.state.growth import Prior
from rackview.services import files, memo_text, memory
from rackview.services.rack_session import RackSession
from rackview.services.sessions import open_session
from rackview.store import Store, snapshot
from rackview.store.verify import check
from rackview.ui.rack.trends import courses
from tests.services.fortnight import NOW, START, VESSELS, Late, events, recent, same

pytestmark = pytest.mark.usefixtures("small_pieces")


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


def test_a_store_that_is_only_looked_at_is_read_so_too_and_leaves_nothing_for_later(kept, fetched):
    late = {"at": START + timedelta(days=2, hours=5), "vessel": "A1", "kind": "count", "tallies": "40 45 43"}
    for entered in ([], [late]):
        kept.record(entered)
        seen = open_session(kept.place, Late(), "read")
        try:
            assert seen.assessments() == assess_all(kept._store.load(), NOW)
            assert seen.suggestions() == advise(kept._store.load(), NOW)
            assert not seen.recounting
            assert entered or fetched == []
            assert events(seen.rack) == events(kept._store.load())
            assert entered or fetched, "it was not read whole"
            assert {e.id for e in seen.whole().events()} == {e.id for e in kept._store.load().events()}
        finally:
            seen.close()


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
        believe(next(iter(care(head).count_nodes_before)), rack.profile(name))
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
    assert memory.keep_due_snapshots(kept._store, kept.rack, kept._seen) > 0  # the new program notes its own
    assert recent(kept).logs["A2"].memo
    assert memory.keep_due_snapshots(kept._store, kept.rack, kept._seen) == 0


def test_after_an_update_what_is_noted_before_the_tip_is_noted_anew_too(kept, fetched, monkeypatch):
    monkeypatch.setattr(memory, "_program", lambda: "another")
    rack, last = kept._store.read_whole()
    kept._behind._keep(rack, last)
    for tips in (True, False):
        made = kept._store.made_by(kept._store.snapshot(tips=tips))
        assert made.keys() == {v.vessel for v in VESSELS}
        assert all(memory.holds(rack, name, by) for name, by in made.items())
    light, older = recent(kept), kept._store.snapshot(tips=False).at
    believe(light.log("A1", light.log("A1").day - 0.5), light.profile("A1"))
    assert fetched == [kept._store.snapshot().at], f"not what lies before {older}"
    same(kept)


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


@pytest.mark.parametrize("hours", [0, 5, 15])
def test_what_a_trend_asked_for_does_not_make_a_later_note_look_further_back(kept, fetched, hours):
    """The noons between and before, which the note before had, stay with the newest event."""
    rack, at = kept.rack, (NOW + timedelta(hours=hours)).astimezone()
    courses(rack, list(rack.vessels), at)
    fetched.clear()
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
