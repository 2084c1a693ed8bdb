"""What can still be read of a damaged file."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import closing, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from rackview.core.events import Event
from rackview.store import connect, errors
from rackview.store.rows import TableRow, events_of, table_rows_of
from rackview.store.sql import EVENTS, IDS, KNOWN_EVENTS, KNOWN_ROWS, ROWS
from rackview.store.taking import readable_entries
from rackview.store.walk import PIECE

if TYPE_CHECKING:
    from rackview.store.store import Store

Drafts = dict[str, dict[str, object]]


def salvage(
    path: Path, here: Store, look: Callable[[float], None] = lambda _: None
) -> tuple[list[Event | TableRow], Drafts, dict[str, str]]:
    """Entries that are not `here` yet, drafts and settings of PCs that can still be read from a damaged file.

    What is not as it was written, or could not be entered, is passed over. `look` is told which share lies behind, and
    may raise.
    """
    entries: list[Event | TableRow] = []
    drafts: Drafts = {}
    remarks: dict[str, str] = {}
    with suppress(errors.StoreError), errors.read(path), closing(connect.open_reader(path)) as connection:
        entries += readable_entries(_readable(connection, here, "table_rows", lambda _: None))
        entries += readable_entries(_readable(connection, here, "events", look))
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
    connection: sqlite3.Connection, here: Store, table: str, look: Callable[[float], None]
) -> list[Event | TableRow]:
    found: list[Event | TableRow] = []
    last = 0
    with suppress(sqlite3.Error, *errors.UNREADABLE):
        last = connection.execute(f"SELECT max(n) FROM {table}").fetchone()[0] or 0  # noqa: S608 - our own names
    pieces = [(i, min(i + PIECE, last)) for i in range(0, last, PIECE)]
    while pieces:
        low, high = pieces.pop()
        look(1.0 - high / last)
        try:
            found += _lacking(connection, here, table, (low, high))
        except (sqlite3.Error, *errors.UNREADABLE):
            middle = (low + high) // 2
            if low < middle:
                pieces += [(low, middle), (middle, high)]
    return found


def _lacking(
    connection: sqlite3.Connection, here: Store, table: str, numbers: tuple[int, int]
) -> Sequence[Event | TableRow]:
    """What is there between two running numbers and not here; hardly a look where both have the same."""
    ids = IDS[table]
    if connection.execute(ids, numbers).fetchone() == here.connection.execute(ids, numbers).fetchone():
        return ()
    select, known = (EVENTS, KNOWN_EVENTS) if table == "events" else (ROWS, KNOWN_ROWS)
    rows = connection.execute(select + "WHERE n > ? AND n <= ? ORDER BY n", numbers).fetchall()
    there = here.known_ids([row[0] for row in rows], known)
    fresh = [row for row in rows if row[0] not in there]
    return events_of(fresh) if table == "events" else table_rows_of(fresh)
