"""A session on a new store, with a clock that the test turns."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rackview.core.vessel import Vessel
from rackview.services.rack_session import RackSession
from rackview.store import Store


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
