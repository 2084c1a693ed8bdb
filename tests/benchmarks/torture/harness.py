"""A small store to torment, entries that can be told apart, and a promise that is held or named."""

from __future__ import annotations

import os
import warnings
from datetime import UTC, datetime, timedelta
from pathlib import Path

from rackview.core.vessel import Vessel
from rackview.store import Store, TableRow

MORNING = datetime(2026, 3, 1, 8, tzinfo=UTC)
PAGE = 4096
VESSELS = tuple(Vessel(f"V{i}", "rotifer-L", "A", i, 20.0) for i in range(1, 5))


class DoesNotHoldError(AssertionError):
    """A promise of the store was broken."""


def hold(promise: bool, otherwise: object) -> None:
    if not promise:
        raise DoesNotHoldError(otherwise)


def make(path: Path) -> None:
    """A new store with four vessels."""
    with Store.open(path, "write") as store:
        store.write(rows=[TableRow("vessel", v.vessel, v.row(), MORNING, id=f"row-{v.vessel}") for v in VESSELS])


def note(text: str, number: int = 0) -> dict[str, object]:
    """An entry that can be told from every other by its text."""
    at = MORNING + timedelta(seconds=number)
    return {"at": at, "vessel": f"V{number % 4 + 1}", "kind": "note", "text": text}


def texts(path: Path) -> list[str]:
    """The texts of all notes of a store, opened for writing as a keeper would next."""
    with Store.open(path, "write") as store:
        return [e.text for e in store.since(0).events if e.kind == "note"]


def fork() -> int:
    """A second process that has all loaded already; the threads of a test runner do not matter to it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        return os.fork()
