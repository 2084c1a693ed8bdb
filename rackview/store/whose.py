"""Which store lies at a place: a damaged file may say anything, and a wrong id would part it from its day book."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from rackview.store import connect, errors
from rackview.store.backup import id_of
from rackview.store.daybook import DayBook, same_owner


def id_at(path: Path) -> str | None:
    """The id of the store at a place, as far as it can be read and believed."""
    with suppress(errors.StoreError), errors.read(path), closing(connect.open_reader(path)) as connection:
        told = id_of(connection)
        return told if is_own_id(told, path, connection) else None
    return None


def is_own_id(told: str | None, path: Path, connection: sqlite3.Connection) -> bool:
    """Whether an id that an open store says is its own: a day book says the same, or the file is sound."""
    if told is None or any(same_owner(told, book.owner()) for book in DayBook.all_of(path)):
        return told is not None
    said = connection.execute("PRAGMA quick_check(1)").fetchone()
    return bool(said == ("ok",))
