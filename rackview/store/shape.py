"""What a store of ours looks like inside, and the refusal of whatever does not.

A file may say that it is ours and hold anything: a view that never ends, a trigger that writes, a column that is
computed. So before anything is asked of it, what its schema says is compared with what we write, word for word.
"""

from __future__ import annotations

import re
import sqlite3

from rackview.core.events import KINDS
from rackview.store.rows import TABLES

SCHEMA = "SELECT type, name, tbl_name, sql FROM sqlite_master"

OTHERS = frozenset({"sqlite_stat1", "sqlite_sequence"})
"""SQLite's own tables that an upkeep tool may have added; they hold no entry."""

LOG = "_sqlite_migrations"
"""The table of sqlite-utils that says which migrations were made; its wording is the library's."""


def _listed(words: tuple[str, ...]) -> str:
    return ", ".join(f"'{w}'" for w in words)


TABLES_1 = (
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

_OBJECT = re.compile(r"CREATE (TABLE|INDEX|TRIGGER) (\w+)")
_CHOICE = re.compile(r"IN \((?:'\w+'(?:, )?)+\)")
_PLAIN = re.compile(r'CREATE (?:TABLE|UNIQUE INDEX) [\w\s"()\[\],]+')


def _plain(sql: str) -> str:
    """A statement without its line breaks and without the list of kinds, which grows."""
    return _CHOICE.sub("IN ()", " ".join(sql.split()))


def _known() -> dict[tuple[str, str], str]:
    found = {}
    for sql in TABLES_1:
        word = _OBJECT.match(sql)
        if word is not None:
            found[word[1].lower(), word[2]] = _plain(sql)
    return found


KNOWN = _known()
"""The statement behind each table, index and trigger; no migration has changed any of them since."""


def odd(connection: sqlite3.Connection) -> str | None:
    """What in an open file's schema is not as we write it; None if nothing.

    Reads nothing but the schema; raises `sqlite3.Error` if that can't be read.
    """
    for kind, name, table, sql in connection.execute(SCHEMA):
        if (kind, name) in KNOWN:
            if _plain(str(sql)) != KNOWN[kind, name]:
                return f"its {kind} {name} is not as rackview makes it"
        elif not _harmless(str(kind), str(name), str(table), sql):
            return f"it has a {_short(kind)} {_short(name)}, which rackview does not make"
    return None


def lacking(connection: sqlite3.Connection) -> list[str]:
    """What of our tables, indexes and triggers is not there, each in two words."""
    there = {(kind, name) for kind, name, _, _ in connection.execute(SCHEMA)}
    return sorted(f"{kind} {name}" for kind, name in KNOWN.keys() - there)


def _harmless(kind: str, name: str, table: str, sql: object) -> bool:
    if sql is None:
        return kind == "index" and name.startswith("sqlite_autoindex_")
    if name in OTHERS:
        return kind == "table"
    plain = isinstance(sql, str) and _PLAIN.fullmatch(sql) and not re.search(r"\b(as|generated)\b", sql, re.IGNORECASE)
    return bool(plain) and table == LOG and kind in {"table", "index"}


def _short(name: object) -> str:
    return "".join(c if c.isprintable() else "?" for c in str(name))[:40]
