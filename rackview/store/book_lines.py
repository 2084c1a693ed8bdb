"""What the day book must hold, line by line, told from the rows of the store without making entries of them."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rackview.store.daybook import line_of, sealed
from rackview.store.rows import bodies_of, stamp, table_rows_of
from rackview.store.sql import EVENTS, ROWS


@dataclass(slots=True)
class StoreLine:
    """The line of one entry: its running number, its id, the month in which it was entered, and the bytes."""

    n: int
    id: str
    month: str
    raw: bytes


def lines_of(connection: sqlite3.Connection) -> list[StoreLine]:
    """The lines of all entries in the order of arrival; raises `DamagedRowError` for a row that is not as written."""
    numbers = [n for (n,) in connection.execute("SELECT n FROM events ORDER BY n")]
    rows = connection.execute(EVENTS + "ORDER BY n").fetchall()
    found = [*event_lines(numbers, rows, bodies_of(rows))]
    numbers = [n for (n,) in connection.execute("SELECT n FROM table_rows ORDER BY n")]
    others = table_rows_of(connection.execute(ROWS + "ORDER BY n").fetchall())
    found += (StoreLine(n, e.id, stamp(e.entered_at)[:7], line_of(n, e)) for n, e in zip(numbers, others, strict=True))
    return sorted(found, key=lambda line: line.n)


def event_lines(
    numbers: Sequence[int], rows: Sequence[tuple[Any, ...]], bodies: Sequence[Mapping[str, Any]]
) -> Iterator[StoreLine]:
    """The lines of events from their rows and what their bodies say: byte by byte those that `line_of` writes."""
    for n, row, body in zip(numbers, rows, bodies, strict=True):
        event_id, at, vessel, kind, replaces, entered_at, by, on, *_ = row
        said = {**body, "at": at, "id": event_id, "kind": kind, "vessel": vessel}
        if replaces:
            said["replaces"] = replaces
        if entered_at:
            said["entered_at"] = entered_at
        if by:
            said["entered_by"] = by
        if on:
            said["entered_on"] = on
        yield StoreLine(n, event_id, (entered_at or at)[:7], sealed({"n": n, "event": said}))
