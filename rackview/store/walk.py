"""All entries of a store one after another, in pieces, so that years of them need no more room than a month."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Hashable, Iterable, Iterator
from itertools import zip_longest
from pathlib import Path
from typing import Any, TypeVar

from rackview.core.dataclass import dataclass
from rackview.store import errors
from rackview.store.rows import TableRow, bodies_of, table_rows_of
from rackview.store.sql import NUMBERED_EVENTS, NUMBERED_ROWS

PIECE = 2_000
"""Events that are read at once, and so between two looks whether to stop: some hundredths of a second."""

Row = tuple[Any, ...]
T = TypeVar("T")
Key = TypeVar("Key", bound=Hashable)
Ours = TypeVar("Ours")
Theirs = TypeVar("Theirs")


@dataclass(slots=True)
class Piece:
    """Some events of a store: their running numbers, their rows with EVENT_COLUMNS, and what the bodies say."""

    numbers: list[int]
    rows: list[Row]
    bodies: list[dict[str, Any]]


def events_in_pieces(connection: sqlite3.Connection, look: Callable[[float], None], after: int = 0) -> Iterator[Piece]:
    """Every event after a number, in the order of arrival; `look` is told which share lies behind, and may raise.

    Raises `DamagedRowError` where a row is not as it was written.
    """
    (all_of_them,) = connection.execute("SELECT count(*) FROM events WHERE n > ?", (after,)).fetchone()
    cursor = connection.execute(NUMBERED_EVENTS, (after,))
    done = 0
    while found := cursor.fetchmany(PIECE):
        look(done / max(all_of_them, 1))
        rows = [row[1:] for row in found]
        yield Piece([row[0] for row in found], rows, bodies_of(rows))
        done += len(found)


def numbered_rows(connection: sqlite3.Connection, after: int = 0) -> Iterator[tuple[int, TableRow]]:
    """Every version of every table row after a number, with its own, in the order of arrival; raises as above."""
    found = connection.execute(NUMBERED_ROWS, (after,)).fetchall()
    yield from zip((row[0] for row in found), table_rows_of(row[1:] for row in found), strict=True)


def read_of(path: Path, found: Iterable[T]) -> Iterator[T]:
    """What is read from a file, one by one; what goes wrong with that is said of this file, as a `StoreError`."""
    with errors.read(path):
        yield from found


def symmetric_difference(
    ours: Iterable[tuple[Key, Ours]], theirs: Iterable[tuple[Key, Theirs]]
) -> tuple[dict[Key, Ours], dict[Key, list[Theirs]]]:
    """What only one of two long lists has, each with what belongs to it and in its order.

    Both are walked at once and what both have is let go, so that two that hardly differ need hardly any room. One of
    theirs that stands there twice is left over the second time.
    """
    mine: dict[Key, Ours] = {}
    other: dict[Key, list[Theirs]] = {}
    for our, their in zip_longest(ours, theirs):
        if our is not None and their is not None and our[0] == their[0]:
            continue
        if our is not None:
            _meet(other, our[0]) or mine.setdefault(*our)
        if their is not None and mine.pop(their[0], None) is None:
            other.setdefault(their[0], []).append(their[1])
    return mine, other


def _meet(other: dict[Key, list[Theirs]], key: Key) -> bool:
    """Take one of theirs away that is the same as ours; whether there was one."""
    there = other.get(key)
    if not there:
        return False
    there.pop(0)
    if not there:
        del other[key]
    return True
