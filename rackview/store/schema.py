"""The tables of the store, as named migrations from version 1 on.

Imported only to write: sqlite-utils loads pandas where that is installed.
"""

from __future__ import annotations

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from rackview.core.events import KINDS
from rackview.store.rows import TABLES

MIGRATIONS = Migrations("rackview")


def _listed(words: tuple[str, ...]) -> str:
    return ", ".join(f"'{w}'" for w in words)


VERSION_1 = (
    """CREATE TABLE vessels (
    vessel TEXT NOT NULL PRIMARY KEY CHECK (length(vessel) BETWEEN 1 AND 200)
) STRICT""",
    f"""CREATE TABLE events (
    n INTEGER PRIMARY KEY CHECK (n > 0),
    id TEXT NOT NULL UNIQUE CHECK (length(id) BETWEEN 1 AND 100),
    at TEXT NOT NULL CHECK (length(at) = 32 AND julianday(at) IS NOT NULL),
    vessel TEXT NOT NULL REFERENCES vessels (vessel),
    kind TEXT NOT NULL CHECK (kind IN ({_listed(tuple(KINDS))})),
    replaces TEXT CHECK (replaces <> id),
    entered_at TEXT CHECK (length(entered_at) = 32),
    entered_by TEXT NOT NULL,
    entered_on TEXT NOT NULL,
    body TEXT NOT NULL CHECK (json_type(body) = 'object'),
    sum INTEGER NOT NULL,
    CHECK (kind <> 'withdraw' OR replaces IS NOT NULL)
) STRICT""",
    "CREATE INDEX events_at ON events (at)",
    "CREATE INDEX events_replaces ON events (replaces) WHERE replaces IS NOT NULL",
    f"""CREATE TABLE table_rows (
    n INTEGER PRIMARY KEY CHECK (n > 0),
    id TEXT NOT NULL UNIQUE CHECK (length(id) BETWEEN 1 AND 100),
    in_table TEXT NOT NULL CHECK (in_table IN ({_listed(TABLES)})),
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 300),
    body TEXT CHECK (body IS NULL OR json_type(body) = 'object'),
    entered_at TEXT NOT NULL CHECK (length(entered_at) = 32),
    entered_by TEXT NOT NULL,
    entered_on TEXT NOT NULL,
    sum INTEGER NOT NULL
) STRICT""",
    "CREATE INDEX table_rows_name ON table_rows (in_table, name, entered_at, id)",
    """CREATE TABLE drafts (
    form TEXT NOT NULL PRIMARY KEY CHECK (length(form) BETWEEN 1 AND 300),
    body TEXT NOT NULL CHECK (json_type(body) = 'object')
) STRICT""",
    # what the next start may skip; can be thrown away at any time
    """CREATE TABLE stumps (
    at TEXT NOT NULL PRIMARY KEY CHECK (length(at) = 32),
    n INTEGER NOT NULL,
    tip INTEGER NOT NULL CHECK (tip IN (0, 1)),
    body TEXT NOT NULL CHECK (json_type(body) = 'object'),
    sum INTEGER NOT NULL
) STRICT""",
    """CREATE TABLE memos (
    at TEXT NOT NULL,
    vessel TEXT NOT NULL,
    made_by TEXT NOT NULL,
    body BLOB NOT NULL,
    sum INTEGER NOT NULL,
    PRIMARY KEY (at, vessel)
) STRICT""",
    """CREATE TABLE meta (
    name TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
) STRICT""",
    *(
        f"""CREATE TRIGGER {table}_stay_{word.lower()} BEFORE {word} ON {table}
BEGIN SELECT RAISE(ABORT, 'entries are never changed or erased; a correction is a new entry'); END"""
        for table in ("events", "table_rows")
        for word in ("UPDATE", "DELETE")
    ),
)


@MIGRATIONS()
def version_1(db: Database) -> None:
    """Events, the tables beside them, drafts."""
    for statement in VERSION_1:
        db.execute(statement)
    db.execute("PRAGMA user_version = 1")


@MIGRATIONS()
def version_2(db: Database) -> None:
    """Splits and restarts may say how much new water giver and taker got; one that does not is read as filled up.

    An older program would stumble over the new columns, so the format goes up. What was remembered of the estimates
    rests on the old reading.
    """
    db.execute("DELETE FROM stumps")
    db.execute("DELETE FROM memos")
    db.execute("PRAGMA user_version = 2")
