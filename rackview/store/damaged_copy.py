"""A copy of a store in which rows are not as they were written: as good as the store, and named as what it is.

Refusing it would leave a keeper whose disk is failing without any copy of that day, and one with an older format
without a way on. It never takes the place of a sound copy.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import zip_longest
from pathlib import Path

from rackview.language import _
from rackview.store import connect, errors
from rackview.store.sums import damaged_rows, fault_of

MARK = "damaged-"
"""What the name of such a copy begins with."""
SOUND, SPOILT_ROW = "ok", "an entry says nothing that can be read"
TABLES = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"


class DamagedCopyError(errors.StoreError):
    """A copy was made of a store that is damaged, and the sentence says where it is."""


def damaged_place(target: Path) -> Path:
    """Where a damaged copy goes that was to be at `target`."""
    return target if is_marked(target) else target.with_name(f"{MARK}{target.name}")


def is_marked(copy: Path) -> bool:
    """Whether a copy is named as one of a damaged store."""
    return copy.name.startswith(MARK)


def damaged_copy(store: Path, what: str, copy: Path) -> DamagedCopyError:
    """What is said once such a copy lies at `copy`."""
    said = _(
        "The store {path} is damaged: {what}. It was copied as it is, row for row, to {copy}; sound copies of before "
        "were left as they are. “rackview restore” makes the store anew from its day book, which holds every entry."
    )
    return DamagedCopyError("corrupt", said.format(path=store, what=what, copy=copy), what)


def damage_of(
    connection: sqlite3.Connection, copy: sqlite3.Connection, store: Path, target: Path, stop: connect.Stop
) -> str:
    """Which rows of a copy just made are not as they were written, in words; nothing for a sound one.

    The connections are of the store, held as it was then, and of the copy. Raises `StoreError` where the file itself
    is damaged, or the copy has other rows than the store, and `Stopped` if `stop` said so.
    """
    with errors.read(target), connect.stoppable(copy, stop), _undecoded(copy, "replace"):
        found = _looked_through(copy)
        rows = damaged_rows(copy) if found in {SOUND, SPOILT_ROW} else []
        if found != SOUND and not rows:
            raise errors.corrupt(target if _looked_through(connection) == SOUND else store, found)
    if rows:
        with errors.read(target), connect.stoppable(copy, stop):
            if not _alike(connection, copy):
                raise errors.corrupt(target, _("the copy is not as its store"))
    more = _(" and {rows} more").format(rows=len(rows) - 1) if rows[1:] else ""
    return _("{where} is not as it was written").format(where=f"{rows[0]}{more}") if rows else ""


def _looked_through(connection: sqlite3.Connection) -> str:
    """What SQLite's quick check says of an open store."""
    try:
        return fault_of(connection) or SOUND
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode != sqlite3.SQLITE_ERROR:
            raise
        return SPOILT_ROW  # it reckons the indexes of what entries say, and one says nothing that can be read


def _alike(store: sqlite3.Connection, copy: sqlite3.Connection) -> bool:
    """Whether two open stores hold the same rows in every table, byte for byte."""
    with _undecoded(store), _undecoded(copy):
        tables = store.execute(TABLES).fetchall()
        if copy.execute(TABLES).fetchall() != tables:
            return False
        each = (f'SELECT * FROM "{name.decode()}"' for (name,) in tables)  # noqa: S608 - as the file names them
        return all(a == b for sql in each for a, b in zip_longest(store.execute(sql), copy.execute(sql)))


@contextmanager
def _undecoded(connection: sqlite3.Connection, instead: str = "") -> Iterator[None]:
    """Have text as its bytes, or as text with something `instead` of bytes that are none."""
    usual = connection.text_factory
    connection.text_factory = (lambda raw: raw.decode(errors=instead)) if instead else bytes
    try:
        yield
    finally:
        connection.text_factory = usual
