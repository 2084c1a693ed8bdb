"""The checksums of all rows, reckoned inside SQLite; Python sees only rows that may be damaged."""

from __future__ import annotations

import sqlite3
from zlib import crc32

from rackview.store.rows import EVENT_COLUMNS, bodies_of
from rackview.store.walk import numbered_rows

_SAID = ", ".join(f"coalesce({name}, 'None')" for name in EVENT_COLUMNS[:-1])
_FORM = "' || char(31) || '".join(["%s"] * (len(EVENT_COLUMNS) - 1))
DOUBTFUL = f"""SELECT {", ".join(EVENT_COLUMNS)} FROM events
WHERE sum <> crc32(CAST(printf('{_FORM}', {_SAID}) AS BLOB))"""  # noqa: S608 - our own column names
"""Events whose values do not have their checksum, if they are put together as `rows.checksum` does."""


def verify_sums(connection: sqlite3.Connection) -> None:
    """Raise `DamagedRowError` if a row of an open store is not as it was written."""
    connection.create_function("crc32", 1, crc32, deterministic=True)
    for _row in numbered_rows(connection):
        pass
    for row in connection.execute(DOUBTFUL):
        bodies_of([row])
