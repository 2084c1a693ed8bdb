"""The checksums of all rows, reckoned inside SQLite; Python sees only rows that may be damaged."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from zlib import crc32

from rackview.store.rows import EVENT_COLUMNS, DamagedRowError, bodies_of, table_rows_of
from rackview.store.sql import ROWS

_SAID = ", ".join(f"coalesce({name}, 'None')" for name in EVENT_COLUMNS[:-1])
_FORM = "' || char(31) || '".join(["%s"] * (len(EVENT_COLUMNS) - 1))
DOUBTFUL = f"""SELECT {", ".join(EVENT_COLUMNS)} FROM events
WHERE sum <> crc32(CAST(printf('{_FORM}', {_SAID}) AS BLOB))"""  # noqa: S608 - our own column names
"""Events whose values do not have their checksum, if they are put together as `rows.checksum` does."""


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
