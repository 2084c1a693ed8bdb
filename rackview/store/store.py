"""One file that keeps every entry: reading it into a rack, and adding to it.

Entries are only ever added. `write` is the single way in: one transaction for a whole batch, durable when it returns.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Self, TypeVar

from rackview.core.events import Event
from rackview.core.ids import uuid7
from rackview.core.rack import Rack
from rackview.store import connect, errors
from rackview.store.assemble import rack_of
from rackview.store.rows import (
    EVENT_COLUMNS,
    ROW_COLUMNS,
    DamagedRowError,
    TableRow,
    event_values,
    events_of,
    json_text,
    row_values,
    table_rows_of,
)

if TYPE_CHECKING:
    from sqlite_utils import Database

EVENTS = f"SELECT {', '.join(EVENT_COLUMNS)} FROM events "  # noqa: S608 - our own column names
ROWS = f"SELECT {', '.join(ROW_COLUMNS)} FROM table_rows "  # noqa: S608
NEWEST = """JOIN (SELECT in_table AS t, name AS k, min(entered_at) AS since FROM table_rows GROUP BY in_table, name)
ON t = in_table AND k = name WHERE NOT EXISTS (
SELECT 1 FROM table_rows m WHERE m.in_table = table_rows.in_table AND m.name = table_rows.name
AND (m.entered_at, m.id) > (table_rows.entered_at, table_rows.id)) ORDER BY since, in_table, name"""
ONE_ROW = ROWS + "WHERE in_table = ? AND name = ? ORDER BY entered_at, id"
KNOWN_EVENT = "SELECT 1 FROM events WHERE id = ?"
KNOWN_ROW = "SELECT 1 FROM table_rows WHERE id = ?"

Mode = Literal["read", "write"]
Entry = TypeVar("Entry", Event, TableRow)


@dataclass(frozen=True, slots=True)
class Written:
    """What a batch added: the events and table rows that were not there before, in order.

    `last` is the running number of the store's newest entry at that moment.
    """

    events: tuple[Event, ...] = ()
    rows: tuple[TableRow, ...] = ()
    last: int = 0


class Store:
    """An open store. Use `Store.open`; close it, or use it in a with statement.

    Attributes
    ----------
    path : the SQLite file
    mode : read or write
    notices : sentences that the keeper should see about this store's surroundings
    """

    def __init__(self, path: Path, mode: Mode, connection: sqlite3.Connection, database: Database | None) -> None:
        self.path = path
        self.mode = mode
        self.notices: tuple[str, ...] = ()
        self._connection = connection
        self._database = database

    @classmethod
    def open(cls, path: Path | str, mode: Mode = "read") -> Self:
        """Open the store at `path`; in mode write, make it if there is none. Raises `StoreError`."""
        path = Path(path)
        if mode == "read":
            return cls(path, mode, connect.open_reader(path), None)
        database, notices = connect.open_writer(path)
        store = cls(path, mode, database.conn, database)
        store.notices = notices
        try:
            store._migrate(database)
        except BaseException:
            store.close()
            raise
        return store

    def close(self) -> None:
        """Close the file; closing twice does no harm."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # --- reading --------------------------------------------------------------------------------------------------

    def load(self) -> Rack:
        """Everything in the store as a rack."""
        return self.read()[0]

    def read(self) -> tuple[Rack, int]:
        """Everything in the store as a rack, and the running number of the newest entry in it."""
        with self._reading():
            rows = table_rows_of(self._connection.execute(ROWS + NEWEST))
            events = events_of(self._connection.execute(EVENTS + "ORDER BY n").fetchall())
            last = self._last()
        return rack_of(rows, events), last

    def last(self) -> int:
        """The running number of the newest entry; 0 in an empty store."""
        with self._reading():
            return self._last()

    def since(self, n: int) -> Written:
        """Entries with a running number above `n`, replaced and withdrawn ones included."""
        with self._reading():
            events = self._connection.execute(EVENTS + "WHERE n > ? ORDER BY n", (n,)).fetchall()
            rows = self._connection.execute(ROWS + "WHERE n > ? ORDER BY n", (n,)).fetchall()
            return Written(tuple(events_of(events)), tuple(table_rows_of(rows)), self._last())

    def newest_rows(self) -> list[TableRow]:
        """The newest version of each row of the tables beside the events, removed ones included."""
        with self._reading():
            return table_rows_of(self._connection.execute(ROWS + NEWEST))

    def history(self, table: str, key: str) -> list[TableRow]:
        """Every version of one table row, oldest first."""
        with self._reading():
            return table_rows_of(self._connection.execute(ONE_ROW, (table, key)))

    def event(self, event_id: str) -> Event | None:
        """The event of that id, in force or not; None if there is none."""
        with self._reading():
            return next(
                iter(events_of(self._connection.execute(EVENTS + "WHERE id = ?", (event_id,)).fetchall())), None
            )

    def replacing(self, event_id: str) -> list[Event]:
        """Events that replace the one of that id, in the order in which they arrived."""
        with self._reading():
            return events_of(self._connection.execute(EVENTS + "WHERE replaces = ? ORDER BY n", (event_id,)).fetchall())

    def data_version(self) -> int:
        """A number that changes when another connection has written (SQLite's PRAGMA data_version)."""
        with errors.spoken(self.path):
            return int(self._connection.execute("PRAGMA data_version").fetchone()[0])

    # --- adding ---------------------------------------------------------------------------------------------------

    def write(self, events: Iterable[Event] = (), rows: Iterable[TableRow] = ()) -> Written:
        """Add a batch, all of it or nothing; durable when it returns. Entries whose id is known are passed over.

        Entries without an id get one. Vessels must come before or with their events. Raises `StoreError`.
        """
        database = self._writable()
        named = [e if e.id else replace(e, id=uuid7(e.entered_at or e.at, os.urandom(10))) for e in events]
        named_rows = [r if r.id else replace(r, id=uuid7(r.entered_at, os.urandom(10))) for r in rows]
        with errors.spoken(self.path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                fresh = Written(tuple(self._unknown("events", named)), tuple(self._unknown("table_rows", named_rows)))
                fresh = replace(fresh, last=self._insert(database, fresh))
                self._connection.execute("COMMIT")
            except BaseException:
                database.rollback()
                raise
        return fresh

    def append(self, events: Iterable[Event]) -> list[Event]:
        """Add events; return those that were not there before, with their ids."""
        return list(self.write(events).events)

    def put(
        self, table: str, key: str, row: Mapping[str, object] | None, at: datetime, by: str = "", on: str = ""
    ) -> TableRow:
        """Add a version of one table row, or with None its removal; the version before stays in the history."""
        return self.write(rows=[TableRow(table, key, row, at, by, on)]).rows[0]

    def _insert(self, database: Database, fresh: Written) -> int:
        n = self._last()
        if named := [{"vessel": r.key} for r in fresh.rows if r.table == "vessel"]:
            database.table("vessels").insert_all(named, ignore=True)
        if fresh.rows:
            database.table("table_rows").insert_all(
                {"n": n + i, **dict(zip(ROW_COLUMNS, row_values(r), strict=True))} for i, r in enumerate(fresh.rows, 1)
            )
            n += len(fresh.rows)
        if fresh.events:
            database.table("events").insert_all(
                {"n": n + i, **dict(zip(EVENT_COLUMNS, event_values(e), strict=True))}
                for i, e in enumerate(fresh.events, 1)
            )
            n += len(fresh.events)
        return n

    # --- drafts ---------------------------------------------------------------------------------------------------

    def save_draft(self, form: str, data: Mapping[str, object]) -> None:
        """Keep what is typed in an open form, as typed."""
        database = self._writable()
        with errors.spoken(self.path):
            database.table("drafts").insert({"form": form, "body": json_text(dict(data))}, pk="form", replace=True)

    def draft(self, form: str) -> dict[str, object] | None:
        """What was typed in a form and not yet recorded; None if nothing."""
        return self.drafts().get(form)

    def drafts(self) -> dict[str, dict[str, object]]:
        """All that was typed and not yet recorded, by form."""
        with self._reading():
            return {form: json.loads(body) for form, body in self._connection.execute("SELECT form, body FROM drafts")}

    def drop_draft(self, form: str) -> None:
        """Forget a draft, as it was recorded or thrown away."""
        database = self._writable()
        with errors.spoken(self.path):
            database.table("drafts").delete_where("form = ?", [form])

    # --- inside ---------------------------------------------------------------------------------------------------

    @contextmanager
    def _reading(self) -> Iterator[None]:
        """Read several tables as of one moment; turn what goes wrong into a sentence."""
        try:
            with errors.spoken(self.path):
                self._connection.execute("BEGIN")
                try:
                    yield
                finally:
                    self._connection.execute("ROLLBACK")
        except DamagedRowError as damage:
            raise errors.corrupt(self.path, f"{damage.where} is not as it was written") from damage

    def _writable(self) -> Database:
        if self._database is None:
            raise errors.read_only(self.path)
        return self._database

    def _last(self) -> int:
        events, rows = self._connection.execute(
            "SELECT (SELECT coalesce(max(n), 0) FROM events), (SELECT coalesce(max(n), 0) FROM table_rows)"
        ).fetchone()
        return max(int(events), int(rows))

    def _unknown(self, table: Literal["events", "table_rows"], entries: Sequence[Entry]) -> list[Entry]:
        """Those entries whose id is not in the store yet, each id once."""
        known = KNOWN_EVENT if table == "events" else KNOWN_ROW
        fresh: dict[str, Entry] = {}
        for entry in entries:
            if entry.id not in fresh and self._connection.execute(known, (entry.id,)).fetchone() is None:
                fresh[entry.id] = entry
        return list(fresh.values())

    def _migrate(self, database: Database) -> None:
        from rackview.store.schema import MIGRATIONS

        with errors.spoken(self.path):
            version = int(self._connection.execute("PRAGMA user_version").fetchone()[0])
            if version > connect.VERSION:
                raise errors.newer(self.path, version, connect.VERSION)
            if version == connect.VERSION:
                return
            # taken before looking what is pending, so that two programs starting at once don't both migrate
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                MIGRATIONS.apply(database)
                self._connection.execute("COMMIT")
            except BaseException:
                database.rollback()
                raise
