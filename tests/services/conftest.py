"""A session on a new store, with a clock that the test turns."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rackview.core.vessel import Vessel
from rackview.services import behind
from rackview.services.rack_session import RackSession
from rackview.store import Store, snapshot
from tests.services.fortnight import VESSELS, Late, fortnight


class Clock:
    """A clock that stands still until it is turned."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 1, 9, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def turn(self, **by: float) -> None:
        """Turn it on, or back."""
        self.now += timedelta(**by)


@pytest.fixture
def clock() -> Clock:
    """Nine o'clock on the first of March."""
    return Clock()


@pytest.fixture
def place(quick_folder: Path) -> Path:
    """Where the test's store goes."""
    return quick_folder / "rack.db"


@pytest.fixture
def session(place: Path, clock: Clock) -> Iterator[RackSession]:
    """A session with two vessels and nothing to undo."""
    made = RackSession(Store.open(place, "write"), clock, pc="shed")
    made.take(vessels=[Vessel("A1", "rotifer-L", "A", 1, 20), Vessel("A2", "rotifer-L", "A", 2, 15)])
    made.forget_steps()
    yield made
    made.close()


@pytest.fixture
def second(session: RackSession, place: Path, clock: Clock) -> Iterator[RackSession]:
    """Another window on the same store."""
    made = RackSession(Store.open(place, "write"), clock, pc="kitchen")
    yield made
    made.close()


@pytest.fixture
def small_pieces(monkeypatch):
    """Cuts every 24 events, so that two weeks make several."""
    monkeypatch.setattr(snapshot, "PIECE", 24)


@pytest.fixture(scope="session")
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


@pytest.fixture
def rest(monkeypatch):
    """Lets so many seconds pass in which nothing is entered."""
    passed = [behind.monotonic()]
    monkeypatch.setattr(behind, "monotonic", lambda: passed[0])

    def rest(seconds: float) -> None:
        passed[0] += seconds

    return rest
