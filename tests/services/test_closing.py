"""Closing does not wait for the look at the file and the copy of the day: they are stopped, and made the next time."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from rackview.services import maintenance, sessions
from rackview.services.folders import SECOND
from rackview.services.sessions import open_session
from rackview.services.sharing import Meeting
from rackview.store import Store, backup, connect
from rackview.store.copies_made import LIST
from rackview.store.verify import check


@pytest.fixture
def kept(session, place) -> Path:
    """The store, closed."""
    session.close()
    return place


class Stopper:
    """Says that to stop is asked for from the so-manieth question on."""

    def __init__(self, after: int | None = None) -> None:
        self.after = after
        self.asked = 0

    def __call__(self) -> bool:
        self.asked += 1
        return self.after is not None and self.asked > self.after


@pytest.fixture(autouse=True)
def small_steps(monkeypatch):
    """So that a small store is looked at and copied in several steps."""
    monkeypatch.setattr(connect, "STEPS", 400)
    monkeypatch.setattr(backup, "STEP", 4)


def left(folder) -> list[str]:
    """The files of the keeper's; the list of digests of copies may name one that went, and grows with the next."""
    return sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file() and p.name != LIST)


def test_wherever_it_is_stopped_nothing_half_written_is_left_and_the_next_time_does_it(kept, clock, tmp_path):
    stick = tmp_path / "stick"
    stick.mkdir()
    before = left(kept.parent)
    whole = Stopper()
    assert maintenance.upkeep(kept, clock, stick, whole) == ()
    assert whole.asked > 12
    made = [*kept.parent.rglob("day-*.db"), *stick.rglob("day-*.db")]
    assert len(made) == 2
    for path in made:
        path.unlink()
    for after in range(whole.asked - 1):
        assert maintenance.upkeep(kept, clock, stick, Stopper(after)) == ()
        found = [p for p in (*kept.parent.rglob("*"), *stick.rglob("*")) if p.is_file() and p.name.startswith(".")]
        assert not found
        assert not list(stick.rglob("day-*.db"))
        for path in kept.parent.rglob("day-*.db"):  # that beside the store was finished before the other was begun
            assert not any(f.damage for f in check(path))
            path.unlink()
    assert left(kept.parent) == before
    maintenance.upkeep(kept, clock, stick)
    assert sorted(made) == sorted([*kept.parent.rglob("day-*.db"), *stick.rglob("day-*.db")])


def test_who_writes_meanwhile_does_not_make_the_copy_begin_anew(kept, clock):
    asked = 0

    def stop() -> bool:
        nonlocal asked
        asked += 1
        with Store.open(kept, "write") as store:
            store.remark({"a remark": str(asked)})
        return False

    calm = Stopper()
    maintenance.upkeep(kept, clock, None, calm)
    (made,) = kept.parent.rglob("day-*.db")
    made.unlink()
    maintenance.upkeep(kept, clock, None, stop)
    assert asked <= calm.asked + 4
    assert not any(f.damage for f in check(made))


def test_a_window_that_closes_stops_it_and_a_command_waits(kept, clock, monkeypatch):
    ended: list[str] = []
    begun, go_on = threading.Event(), threading.Event()

    def slow(*args: object) -> tuple[str, ...]:
        stop = args[3]
        begun.set()
        while not stop() and not go_on.wait(0.01):
            pass
        ended.append("stopped" if stop() else "done")
        return ()

    monkeypatch.setattr(maintenance, "upkeep", slow)
    open_session(kept, clock, recent=True).close()
    assert not begun.is_set(), "it begins after the rack is painted"
    monkeypatch.setattr(sessions, "PAINTED_S", 0.0)
    window = open_session(kept, clock, recent=True)
    assert begun.wait(30)
    window.close()
    assert ended == ["stopped"]
    session = open_session(kept, clock)
    threading.Timer(0.05, go_on.set).start()
    session.close()
    assert ended == ["stopped", "done"]


def test_what_can_not_be_stopped_is_not_waited_for(kept, clock, monkeypatch):
    """As a disk that takes its time to sync."""
    synced = threading.Event()
    begun = threading.Event()
    monkeypatch.setattr(sessions, "PAINTED_S", 0.0)
    monkeypatch.setattr(maintenance, "upkeep", lambda *_: (begun.set(), synced.wait(), ())[2])
    session = open_session(kept, clock, recent=True)
    assert begun.wait(30)
    session.close()
    assert not synced.is_set()
    assert any(t.name == "upkeep" for t in threading.enumerate())
    synced.set()


def test_the_second_folder_of_a_window_is_the_one_of_its_pc(kept, clock, tmp_path):
    """What the first opening of a day copies and what a stick that comes later gets lie in one folder."""
    stick = tmp_path / "stick"
    stick.mkdir()
    session = open_session(kept, clock, recent=True)
    session.folders.put(SECOND, stick)
    Meeting(kept, session.pc, clock).look(None, stick)
    session.close()
    maintenance.upkeep(kept, clock, stick)
    assert len(list(stick.iterdir())) == 1
