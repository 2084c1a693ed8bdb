"""One file that keeps every entry: reading it into a rack, and adding to it.

Entries are only ever added. `write` is the single way in: one transaction for a whole batch, durable when it returns.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Self

from rackview.core.events import Event
from rackview.core.ids import uuid7
from rackview.core.rack import Rack
from rackview.store import connect, errors
from rackview.store.assemble import tables_of
from rackview.store.backup import copy_to
from rackview.store.daybook import DayBook, Place, line_of
from rackview.store.instep import complete, keep_in_step, month_of
from rackview.store.migrate import migrate
from rackview.store.resume import Cut, Memo, Remember, keep_cuts, newest_cut, related, resumed
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
from rackview.store.sql import EVENTS, KNOWN_EVENT, KNOWN_ROW, NEWEST, NEWEST_ENTERED, ONE_ROW, ROWS

if TYPE_CHECKING:
    from sqlite_utils import Database

Mode = Literal["read", "write"]


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
    book : the day book beside the store
    id : the store's own id, known in mode write
    """

    def __init__(self, path: Path, mode: Mode, connection: sqlite3.Connection, database: Database | None) -> None:
        self.path = path
        self.mode = mode
        self.notices: tuple[str, ...] = ()
        self.book = DayBook.of(path)
        self.id = ""
        self.connection = connection
        self._database = database
        found = path.stat()
        self._file = (found.st_dev, found.st_ino)

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
            store._ready(database)
        except BaseException:
            store.close()
            raise
        return store

    def close(self) -> None:
        """Close the file; closing twice does no harm."""
        self.connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # --- reading --------------------------------------------------------------------------------------------------

    def load(self) -> Rack:
        """Everything in the store as a rack, read whole."""
        return self.read_whole()[0]

    def read_whole(self) -> tuple[Rack, int]:
        """Everything in the store as a rack, and the running number of the newest entry in it."""
        with self._reading():
            last = self._last()
            return resumed(self.connection, self.path, self._bare(), last, None, None), last

    def read(self, remember: Remember | None = None) -> tuple[Rack, int]:
        """As `read_whole`, but lazily.

        A long history is read from the newest cut on; what came before is fetched when someone looks that far back.
        `remember` makes what is known at the cut of what `keep` was given.
        """
        with self._reading():
            last = self._last()
            cut = newest_cut(self.connection, last)
            return resumed(self.connection, self.path, self._bare(), last, cut, remember), last

    def _bare(self) -> Rack:
        """The rack without its events."""
        return tables_of(table_rows_of(self.connection.execute(ROWS + NEWEST)))

    def cut(self, *, tips: bool = True) -> Cut | None:
        """The newest cut that holds; None if there is none."""
        with self._reading():
            return newest_cut(self.connection, self._last(), tips=tips)

    def keep(self, cuts: Iterable[Cut], memos: Iterable[Memo]) -> None:
        """Note cuts, and what is known at the newest of them, for a quicker start."""
        database = self._writable()
        with errors.spoken(self.path), self.transaction():
            keep_cuts(database, cuts, memos)
            self.connection.execute("COMMIT")

    def related(self, events: Iterable[Event]) -> list[Event]:
        """These events of the store, with all that they replace or are replaced by, near and far."""
        with self._reading():
            return related(self.connection, events, self._last())

    def last(self) -> int:
        """The running number of the newest entry; 0 in an empty store."""
        with self._reading():
            return self._last()

    def since(self, n: int) -> Written:
        """Entries with a running number above `n`, replaced and withdrawn ones included."""
        with self._reading():
            events = self.connection.execute(EVENTS + "WHERE n > ? ORDER BY n", (n,)).fetchall()
            rows = self.connection.execute(ROWS + "WHERE n > ? ORDER BY n", (n,)).fetchall()
            return Written(tuple(events_of(events)), tuple(table_rows_of(rows)), self._last())

    def newest_rows(self) -> list[TableRow]:
        """The newest version of each row of the tables beside the events, removed ones included."""
        with self._reading():
            return table_rows_of(self.connection.execute(ROWS + NEWEST))

    def history(self, table: str, key: str) -> list[TableRow]:
        """Every version of one table row, oldest first."""
        with self._reading():
            return table_rows_of(self.connection.execute(ONE_ROW, (table, key)))

    def event(self, event_id: str) -> Event | None:
        """The event of that id, in force or not; None if there is none."""
        with self._reading():
            return next(iter(events_of(self.connection.execute(EVENTS + "WHERE id = ?", (event_id,)).fetchall())), None)

    def replacing(self, event_id: str) -> list[Event]:
        """Events that replace the one of that id, in the order in which they arrived."""
        with self._reading():
            return events_of(self.connection.execute(EVENTS + "WHERE replaces = ? ORDER BY n", (event_id,)).fetchall())

    def newest_entered(self) -> datetime | None:
        """When the newest entry was made, by the clock of the PC that made it; None in an empty store."""
        with self._reading():
            found = self.connection.execute(NEWEST_ENTERED).fetchone()
        return datetime.fromisoformat(found[0]) if found and found[0] else None

    def data_version(self) -> int:
        """A number that changes when another connection has written (SQLite's PRAGMA data_version)."""
        with errors.spoken(self.path):
            return int(self.connection.execute("PRAGMA data_version").fetchone()[0])

    # --- adding ---------------------------------------------------------------------------------------------------

    def write(self, events: Iterable[Event] = (), rows: Iterable[TableRow] = (), *, adopt: bool = False) -> Written:
        """Add a batch, all of it or nothing; durable when it returns. Entries whose id is known are passed over.

        Entries without an id get one. Events need their vessel in the store or in this batch, unless `adopt` says to
        take those in whose vessel nobody listed, as from a damaged book. Raises `StoreError`.
        """
        database = self._writable()
        named = [e if e.id else replace(e, id=uuid7(e.entered_at or e.at, os.urandom(10))) for e in events]
        named_rows = [r if r.id else replace(r, id=uuid7(r.entered_at, os.urandom(10))) for r in rows]
        with errors.spoken(self.path):
            if not self.is_there():
                raise errors.replaced(self.path)
            with self.book.held(), self.transaction():
                keep_in_step(self, database)
                fresh = self.unknown([*named_rows, *named])
                self.insert(database, fresh, adopt=adopt)
                self._commit(database, [*fresh.rows, *fresh.events])
                return replace(fresh, last=self._last())

    def _commit(self, database: Database, entries: list[Event | TableRow]) -> None:
        """Write the entries that were just inserted into the day book as well, then commit; both or neither."""
        if not entries:
            self.connection.execute("COMMIT")
            return
        first = self._last() + 1 - len(entries)
        with self.book.page(month_of(entries), self.id) as page:
            page.write(line_of(n, entry) for n, entry in enumerate(entries, first))
            try:
                self.set_meta(database, "daybook", str(page.here))
                self.connection.execute("COMMIT")
            except BaseException:
                page.take_back()
                raise

    def fill(self, entries: Iterable[Event | TableRow], drafts: Mapping[str, Mapping[str, object]]) -> None:
        """Put entries and drafts into a store that is being restored from its day book, leaving the book as it is."""
        database = self._writable()
        with errors.spoken(self.path), self.transaction():
            self.insert(database, self.unknown(entries), adopt=True)
            for form, data in drafts.items():
                database.table("drafts").insert({"form": form, "body": json_text(dict(data))}, pk="form", replace=True)
            self.connection.execute("COMMIT")

    def remark(self, remarks: Mapping[str, str]) -> None:
        """Remark things about the store itself."""
        database = self._writable()
        with errors.spoken(self.path), self.transaction():
            for name, value in remarks.items():
                self.set_meta(database, name, value)
            self.connection.execute("COMMIT")

    def complete_book(self) -> int:
        """Write into the day book anew what no good line of it holds; return how many entries that were."""
        database = self._writable()
        with errors.spoken(self.path), self.book.held(), self.transaction():
            keep_in_step(self, database)
            lacking = complete(self)
            self.set_meta(database, "daybook", str(self.book.end()))
            self.connection.execute("COMMIT")
            return lacking

    def quick_check(self) -> tuple[str, ...]:
        """Sentences about damage that SQLite's quick check finds; none if the file is sound."""
        with errors.spoken(self.path):
            said = self.connection.execute("PRAGMA quick_check(1)").fetchone()[0]
        return () if said == "ok" else (str(errors.corrupt(self.path, said)),)

    def backup(self, target: Path | str) -> Path:
        """Copy the store to `target` while it is in use; the copy is sound, or not there at all."""
        return copy_to(self.connection, Path(target))

    def append(self, events: Iterable[Event]) -> list[Event]:
        """Add events; return those that were not there before, with their ids."""
        return list(self.write(events).events)

    def put(
        self, table: str, key: str, row: Mapping[str, object] | None, at: datetime, by: str = "", on: str = ""
    ) -> TableRow:
        """Add a version of one table row, or with None its removal; the version before stays in the history."""
        return self.write(rows=[TableRow(table, key, row, at, by, on)]).rows[0]

    def insert(self, database: Database, fresh: Written, *, adopt: bool = False) -> None:
        """Put entries into the tables, within the transaction that is open."""
        n = self._last()
        vessels = {r.key for r in fresh.rows if r.table == "vessel"}
        if adopt:
            vessels |= {e.vessel for e in fresh.events}
        if vessels:
            database.table("vessels").insert_all([{"vessel": v} for v in sorted(vessels)], ignore=True)
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
            return {form: json.loads(body) for form, body in self.connection.execute("SELECT form, body FROM drafts")}

    def drop_draft(self, form: str) -> None:
        """Forget a draft, as it was recorded or thrown away."""
        database = self._writable()
        with errors.spoken(self.path):
            database.table("drafts").delete_where("form = ?", [form])

    # --- beside the entries ---------------------------------------------------------------------------------------

    def meta(self, name: str) -> str | None:
        """A remark of the store about itself; None if there is none."""
        with self._reading():
            found = self.connection.execute("SELECT value FROM meta WHERE name = ?", (name,)).fetchone()
        return None if found is None else str(found[0])

    def set_meta(self, database: Database, name: str, value: str) -> None:
        """Remark something about the store, within the transaction that is open."""
        database.table("meta").insert({"name": name, "value": value}, pk="name", replace=True)

    # --- inside ---------------------------------------------------------------------------------------------------

    @contextmanager
    def _reading(self) -> Iterator[None]:
        """Read several tables as of one moment; turn what goes wrong into a sentence."""
        nested = self.connection.in_transaction
        try:
            with errors.spoken(self.path):
                if not nested:
                    self.connection.execute("BEGIN")
                try:
                    yield
                finally:
                    if not nested:
                        self._roll_back()
        except DamagedRowError as damage:
            raise errors.corrupt(self.path, f"{damage.where} is not as it was written") from damage

    def _writable(self) -> Database:
        if self._database is None:
            raise errors.read_only(self.path)
        return self._database

    def _last(self) -> int:
        events, rows = self.connection.execute(
            "SELECT (SELECT coalesce(max(n), 0) FROM events), (SELECT coalesce(max(n), 0) FROM table_rows)"
        ).fetchone()
        return max(int(events), int(rows))

    def unknown(self, entries: Iterable[Event | TableRow]) -> Written:
        """Those entries whose id is not in the store yet, each id once."""
        events: dict[str, Event] = {}
        rows: dict[str, TableRow] = {}
        for entry in entries:
            event = isinstance(entry, Event)
            if self.connection.execute(KNOWN_EVENT if event else KNOWN_ROW, (entry.id,)).fetchone() is None:
                if isinstance(entry, Event):
                    events.setdefault(entry.id, entry)
                else:
                    rows.setdefault(entry.id, entry)
        return Written(tuple(events.values()), tuple(rows.values()))

    def numbered(self) -> list[tuple[int, Event | TableRow]]:
        """Every entry with its running number, in the order of arrival."""
        with self._reading():
            found: list[tuple[int, Event | TableRow]] = []
            events = self.connection.execute(EVENTS + "ORDER BY n").fetchall()
            numbers = [n for (n,) in self.connection.execute("SELECT n FROM events ORDER BY n")]
            found += zip(numbers, events_of(events), strict=True)
            rows = self.connection.execute(ROWS + "ORDER BY n").fetchall()
            numbers = [n for (n,) in self.connection.execute("SELECT n FROM table_rows ORDER BY n")]
            found += zip(numbers, table_rows_of(rows), strict=True)
        return sorted(found, key=lambda pair: pair[0])

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Hold the right to write; whatever the block did not commit itself is rolled back."""
        self.connection.execute("BEGIN IMMEDIATE")
        try:
            yield
        finally:
            self._roll_back()

    def _roll_back(self) -> None:
        """End a transaction that may have ended already, as SQLite ends it itself after some faults."""
        if self.connection.in_transaction:
            self.connection.execute("ROLLBACK")

    def is_there(self) -> bool:
        """Whether the file is still the one that was opened; raises `StoreError` if it was taken away."""
        try:
            found = self.path.stat()
        except FileNotFoundError:
            raise errors.gone(self.path) from None
        return (found.st_dev, found.st_ino) == self._file

    def _ready(self, database: Database) -> None:
        """Bring a file that was just opened for writing up to today's tables, and in step with its day book."""
        with errors.spoken(self.path):
            version = int(self.connection.execute("PRAGMA user_version").fetchone()[0])
            if version > connect.VERSION:
                raise errors.newer(self.path, version, connect.VERSION)
            if version < connect.VERSION:
                migrate(self, database, version)
            self.id = self.meta("id") or ""
            if self.book.owner() not in {None, self.id}:
                aside = self.book.set_aside()
                self.notices += (f"The day book beside this store was another store's; it is now at {aside}.",)
            if Place.read(self.meta("daybook") or "") != self.book.end():
                with self.book.held(), self.transaction():
                    keep_in_step(self, database)
                    self.connection.execute("COMMIT")
