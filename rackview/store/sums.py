"""Whether a file is as it was written: SQLite's look at its pages, and all checksums, reckoned inside SQLite.

Python sees only rows that may be damaged.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from zlib import crc32

from rackview.store.rows import EVENT_COLUMNS, DamagedRowError, bodies_of, table_rows_of
from rackview.store.shape import KNOWN
from rackview.store.sql import ROWS

_SAID = ", ".join(f"coalesce({name}, 'None')" for name in EVENT_COLUMNS[:-1])
_FORM = "' || char(31) || '".join(["%s"] * (len(EVENT_COLUMNS) - 1))
DOUBTFUL = f"""SELECT {", ".join(EVENT_COLUMNS)} FROM events
WHERE sum <> crc32(CAST(printf('{_FORM}', {_SAID}) AS BLOB))"""  # noqa: S608 - our own column names
"""Events whose values do not have their checksum, if they are put together as `rows.checksum` does."""

BESIDE = "SELECT name FROM sqlite_master WHERE type = 'table' AND name <> 'events'"


def fault_of(connection: sqlite3.Connection, check: str = "quick_check") -> str | None:
    """What is wrong with the pages of an open file, as SQLite's own `check` says first; None if it is sound.

    The CHECKs of events are not evaluated again, which were nine tenths of a quick check: what they ask for was so when
    a row was written, and that it still is as it was written its checksum says.
    """
    connection.execute("PRAGMA ignore_check_constraints = ON")
    try:
        (found,) = connection.execute(f"PRAGMA {check}(1)").fetchone()
    finally:
        connection.execute("PRAGMA ignore_check_constraints = OFF")
    others = [name for (name,) in connection.execute(BESIDE) if ("table", name) in KNOWN] if found == "ok" else []
    said = (found, *(connection.execute(f"PRAGMA {check}({name})").fetchone()[0] for name in others))
    return next((str(one) for one in said if one != "ok"), None)


def damaged_rows(connection: sqlite3.Connection) -> list[str]:
    """What is not as it was written in an open store, each row in words; table rows come first."""
    connection.create_function("crc32", 1, crc32, deterministic=True)
    found: list[str] = []
    for row in connection.execute(ROWS):
        with _named_in(found):
            table_rows_of([row])
    for row in connection.execute(DOUBTFUL):
        with _named_in(found):
            bodies_of([row])
    return found


@contextmanager
def _named_in(found: list[str]) -> Iterator[None]:
    try:
        yield
    except DamagedRowError as error:
        found.append(error.where)
