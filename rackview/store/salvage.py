"""What can still be read of a damaged file."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Container, Sequence
from contextlib import closing, suppress
from pathlib import Path

from rackview.core.events import Event
from rackview.store import connect, errors
from rackview.store.rows import TableRow, events_of, table_rows_of
from rackview.store.sql import EVENTS, ROWS
from rackview.store.taking import readable_entries
from rackview.store.walk import PIECE

Drafts = dict[str, dict[str, object]]


def salvage(
    path: Path, known: Container[str], look: Callable[[float], None] = lambda _: None
) -> tuple[list[Event | TableRow], Drafts, dict[str, str]]:
    """Entries but those with `known` ids, drafts and settings of PCs that can still be read from a damaged file.

    What is not as it was written, or could not be entered, is passed over. `look` is told which share lies behind, and
    may raise.
    """
    entries: list[Event | TableRow] = []
    drafts: Drafts = {}
    remarks: dict[str, str] = {}
    with suppress(errors.StoreError), errors.read(path), closing(connect.open_reader(path)) as connection:
        entries += readable_entries(_readable(connection, ROWS, table_rows_of, known, lambda _: None))
        entries += readable_entries(_readable(connection, EVENTS, events_of, known, look))
        with suppress(errors.StoreError), errors.read(path):
            for form, body in connection.execute("SELECT form, body FROM drafts"):
                drafts[form] = dict(json.loads(body))
        with suppress(errors.StoreError), errors.read(path):
            remarks = remarks_of(connection)
    return entries, drafts, remarks


def remarks_of(connection: sqlite3.Connection) -> dict[str, str]:
    """What PCs have set for themselves, such as a second folder."""
    return dict(connection.execute("SELECT name, value FROM meta WHERE name LIKE 'second folder of %'"))


def _readable(
    connection: sqlite3.Connection,
    select: str,
    read: Callable[[list[tuple[object, ...]]], Sequence[Event | TableRow]],
    known: Container[object],
    look: Callable[[float], None],
) -> list[Event | TableRow]:
    found: list[Event | TableRow] = []
    last = 0
    with suppress(sqlite3.Error, *errors.UNREADABLE):
        table = "events" if select == EVENTS else "table_rows"
        last = connection.execute(f"SELECT max(n) FROM {table}").fetchone()[0] or 0  # noqa: S608 - our own names
    pieces = [(i, min(i + PIECE, last)) for i in range(0, last, PIECE)]
    while pieces:
        low, high = pieces.pop()
        look(1.0 - high / last)
        try:
            rows = connection.execute(select + "WHERE n > ? AND n <= ? ORDER BY n", (low, high)).fetchall()
            found += read([row for row in rows if row[0] not in known])
        except (sqlite3.Error, *errors.UNREADABLE):
            middle = (low + high) // 2
            if low < middle:
                pieces += [(low, middle), (middle, high)]
    return found
