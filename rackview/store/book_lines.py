"""What the day book must hold, line by line, told from the rows of the store without making entries of them."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from rackview.core.dataclass import dataclass
from rackview.store.lines import event_line, line_of
from rackview.store.rows import TableRow, stamp
from rackview.store.walk import events_in_pieces, numbered_rows


@dataclass(slots=True)
class StoreLine:
    """The line of one entry: its running number, its id, the month in which it was entered, and the bytes."""

    n: int
    id: str
    month: str
    raw: bytes


def lines_of(connection: sqlite3.Connection, look: Callable[[float], None], after: int = 0) -> Iterator[StoreLine]:
    """The lines of all entries after a number, those of the tables first and each in the order of arrival.

    `look` is told which share lies behind. Raises `DamagedRowError` for a row that is not as it was written.
    """
    for n, row in numbered_rows(connection, after):
        yield row_line(n, row)
    for piece in events_in_pieces(connection, look, after):
        yield from event_lines(piece.numbers, piece.rows, piece.bodies)


def row_line(n: int, row: TableRow) -> StoreLine:
    """The line of one version of a table row."""
    return StoreLine(n, row.id, stamp(row.entered_at)[:7], line_of(n, row))


def event_lines(
    numbers: Sequence[int], rows: Sequence[tuple[Any, ...]], bodies: Sequence[Mapping[str, Any]]
) -> Iterator[StoreLine]:
    """The lines of events from their rows and what their bodies say: byte by byte those that `line_of` writes."""
    for n, row, body in zip(numbers, rows, bodies, strict=True):
        yield StoreLine(n, row[0], (row[5] or row[1])[:7], event_line(n, row, body))
