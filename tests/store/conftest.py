"""A small rack of our own to keep: three vessels, a day of entries."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rackview.core.events import Event
from rackview.core.parse import event_from_row
from rackview.core.vessel import Vessel
from rackview.store import Store, TableRow

MORNING = datetime(2026, 3, 1, 8, tzinfo=UTC)


@pytest.fixture
def morning() -> datetime:
    """Eight o'clock on the first of March."""
    return MORNING


@pytest.fixture
def vessel_rows() -> list[TableRow]:
    """Three vessels as rows of the store, ids included."""
    return [
        TableRow("vessel", v.vessel, v.row(), MORNING - timedelta(days=1), id=f"row-{v.vessel}")
        for v in (Vessel(f"V{i}", "rotifer-L", "A", i, 20.0) for i in (1, 2, 3))
    ]


@pytest.fixture
def tally() -> Callable[..., Event]:
    """Makes a count, a minute later for each `number`."""

    def make(number: int = 0, vessel: str = "V1", **more: object) -> Event:
        row = {"at": MORNING + timedelta(minutes=number), "vessel": vessel, "kind": "count", "tallies": f"{number} 3 4"}
        return event_from_row({**row, "entered_at": MORNING + timedelta(minutes=number), **more})

    return make


@pytest.fixture
def path(quick_folder: Path) -> Path:
    """Where a test's store goes."""
    return quick_folder / "rack.db"


@pytest.fixture
def store(path: Path, vessel_rows: list[TableRow]) -> Store:
    """A new store with three vessels, open for writing."""
    with Store.open(path, "write") as made:
        made.write(rows=vessel_rows)
        yield made
