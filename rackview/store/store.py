"""One file that keeps every entry: reading it into a rack, and adding to it.

Entries are only ever added. `write` is the single way in: one transaction for a whole batch, durable when it returns.
"""

from __future__ import annotations

import itertools
import os
import sqlite3
import uuid
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Literal, Self

from rackview.core.events import Event
from rackview.core.ids import uuid7
from rackview.language import _
from rackview.store import beside, connect, errors, files
from rackview.store.backup import take_over
from rackview.store.beside import short
from rackview.store.daybook import BookLine, BookPosition, DayBook, same_owner
from rackview.store.journal_sync import complete, newest_month, synchronise
from rackview.store.lines import event_line, line_of
from rackview.store.migrate import migrate
from rackview.store.reader import Reader, Written
from rackview.store.rows import (
    TableRow,
    body_of,
    event_values,
    json_text,
    row_values,
)
from rackview.store.snapshot import Memo, Snapshot, keep_snapshots
from rackview.store.sql import INSERT_EVENT, INSERT_ROW, INSERT_VESSEL, KNOWN_EVENTS, KNOWN_ROWS, PUT_DRAFT, PUT_META
from rackview.store.whose import is_own_id

FIRST = 50
"""Lines of a day book by which a store that has lost its id knows it."""

ASKED = 500
"""Entries that are asked for at once: any SQLite takes so many values in one question."""

MANY, MANY_KIB = 1_000, 128 * 1024
"""So many events are added with so much memory for SQLite, as their ids come in no order."""

Mode = Literal["read", "write"]


class Store(Reader):
    """An open store. Use `Store.open`; close it, or use it in a with statement.

    Attributes
    ----------
    mode : read or write
    notices : sentences that the keeper should see about this store's surroundings
    id : the store's own id, known in mode write
    """

    def __init__(self, path: Path, mode: Mode, connection: sqlite3.Connection) -> None:
        super().__init__(path, connection)
        self.mode = mode
        self.notices: tuple[str, ...] = ()
        self.id = ""
        self._book: DayBook | None = None

    @classmethod
    def open(cls, path: Path | str, mode: Mode = "read") -> Self:
        """Open the store at `path`; in mode write, make it if there is none. Raises `StoreError`."""
        path = files.real(path)
        if mode == "read":
            return cls._of(path, mode, connect.open_reader(path))
        connection, notices = connect.open_writer(path)
        store = cls._of(path, mode, connection)
        store.notices = notices
        try:
            store._ready()  # noqa: SLF001 - our own
        except BaseException:
            store.close()
            raise
        return store

    @classmethod
    def _of(cls, path: Path, mode: Mode, connection: sqlite3.Connection) -> Self:
        try:
            with errors.spoken(path):
                return cls(path, mode, connection)
        except BaseException:
            connection.close()
            raise

    @property
    def book(self) -> DayBook:
        """The day book of this store, which may not be there yet."""
        if self._book is None:
            self._book = DayBook.of(self.path, self.id or self.meta("id"))
        return self._book

    # --- entries --------------------------------------------------------------------------------------------------

    def write(self, events: Iterable[Event] = (), rows: Iterable[TableRow] = (), *, adopt: bool = False) -> Written:
        """Add a batch, all of it or nothing; durable when it returns. Entries whose id is known are passed over.

        Entries without an id get one. Events need their vessel in the store or in this batch, unless `adopt` says to
        take those in whose vessel nobody listed, as from a damaged book. Raises `StoreError`.
        """
        self._must_write()
        named = [e if e.id else replace(e, id=uuid7(e.entered_at or e.at, os.urandom(10))) for e in events]
        named_rows = [r if r.id else replace(r, id=uuid7(r.entered_at, os.urandom(10))) for r in rows]
        with errors.spoken(self.path):
            if not self.is_there():
                raise errors.replaced(self.path)
            with self.book.held(), self.transaction():
                synchronise(self)
                fresh = self.unknown([*named_rows, *named])
                lines: list[bytes] = []
                last = self.insert(fresh, lines.append, adopt=adopt)
                self._commit(fresh, lines)
                return replace(fresh, last=last)

    def _commit(self, fresh: Written, lines: list[bytes]) -> None:
        """Write the lines of what was just inserted into the day book as well, then commit: both or neither."""
        if not lines:
            self.connection.execute("COMMIT")
            return
        with self.book.page(newest_month([*fresh.rows, *fresh.events]), self.id) as page:
            page.write(lines)
            try:
                self.set_meta("daybook", str(page.here))
                self.connection.execute("COMMIT")
            except BaseException:
                page.take_back()
                raise

    def insert(self, fresh: Written, told: Callable[[bytes], None] | None = None, *, adopt: bool = False) -> int:
        """Put entries into the tables, within the transaction that is open; return the newest one's number.

        `told` gets each one's line of the day book.
        """
        n = self.last()
        vessels = {r.key for r in fresh.rows if r.table == "vessel"}
        if adopt:
            vessels |= {e.vessel for e in fresh.events}
        if vessels:
            self.connection.executemany(INSERT_VESSEL, ((v,) for v in sorted(vessels)))
        self.connection.executemany(INSERT_ROW, ((n + i, *row_values(r)) for i, r in enumerate(fresh.rows, 1)))
        if told is not None:
            for i, row in enumerate(fresh.rows, 1):
                told(line_of(n + i, row))
        n += len(fresh.rows)
        with self._room_for(len(fresh.events)):
            self.connection.executemany(INSERT_EVENT, _numbered(fresh.events, n + 1, told))
        return n + len(fresh.events)

    @contextmanager
    def _room_for(self, events: int) -> Iterator[None]:
        """Let SQLite keep the index of ids in memory while many are added: they come in no order."""
        if events < MANY:
            yield
            return
        (usual,) = self.connection.execute("PRAGMA cache_size").fetchone()
        self.connection.execute(f"PRAGMA cache_size = -{MANY_KIB}")
        try:
            yield
        finally:
            self.connection.execute(f"PRAGMA cache_size = {usual}")

    def append(self, events: Iterable[Event]) -> list[Event]:
        """Add events; return those that were not there before, with their ids."""
        return list(self.write(events).events)

    def put(
        self, table: str, key: str, row: Mapping[str, object] | None, at: datetime, by: str = "", on: str = ""
    ) -> TableRow:
        """Add a version of one table row, or with None its removal; the version before stays in the history."""
        return self.write(rows=[TableRow(table, key, row, at, by, on)]).rows[0]

    def unknown(self, entries: Iterable[Event | TableRow]) -> Written:
        """Those entries whose id is not in the store yet, each id once."""
        events: dict[str, Event] = {}
        rows: dict[str, TableRow] = {}
        for entry in entries:
            if isinstance(entry, Event):
                events.setdefault(entry.id, entry)
            else:
                rows.setdefault(entry.id, entry)
        for event_id in self.known_ids(list(events), KNOWN_EVENTS):
            del events[event_id]
        for row_id in self.known_ids(list(rows), KNOWN_ROWS):
            del rows[row_id]
        return Written(tuple(events.values()), tuple(rows.values()))

    def known_ids(self, ids: Sequence[str], ask: str) -> set[str]:
        """Those of the ids that are in the store, asked for many at a time with KNOWN_EVENTS or KNOWN_ROWS."""
        found: set[str] = set()
        for i in range(0, len(ids), ASKED):
            some = ids[i : i + ASKED]
            found.update(i for (i,) in self.connection.execute(f"{ask} (?{', ?' * (len(some) - 1)})", some))
        return found

    def remark(self, remarks: Mapping[str, str]) -> None:
        """Remark things about the store itself."""
        self._must_write()
        with errors.spoken(self.path), self.transaction():
            for name, value in remarks.items():
                self.set_meta(name, value)
            self.connection.execute("COMMIT")

    def complete_book(self, look: Callable[[float], None] = lambda _: None) -> int:
        """Write into the day book anew what no good line of it holds; return how many entries that were.

        `look` is told which share was looked at, and may raise; then nothing was written.
        """
        self._must_write()
        with errors.spoken(self.path), self.book.held(), self.transaction():
            synchronise(self)
            lacking = complete(self, look)
            self.set_meta("daybook", str(self.book.end()))
            self.connection.execute("COMMIT")
            return lacking

    # --- beside the entries ---------------------------------------------------------------------------------------

    def keep(self, snapshots: Iterable[Snapshot], memos: Iterable[Memo]) -> None:
        """Note snapshots, and what is known at the newest of them, for a quicker start."""
        self._must_write()
        with errors.spoken(self.path), self.transaction():
            keep_snapshots(self.connection, snapshots, memos)
            self.connection.execute("COMMIT")

    def save_draft(self, form: str, data: Mapping[str, object]) -> None:
        """Keep what is typed in an open form, as typed."""
        self._must_write()
        with errors.spoken(self.path):
            self.connection.execute(PUT_DRAFT, (form, json_text(dict(data))))

    def drop_draft(self, form: str) -> None:
        """Forget a draft, as it was recorded or thrown away."""
        self._must_write()
        with errors.spoken(self.path):
            self.connection.execute("DELETE FROM drafts WHERE form = ?", (form,))

    def set_meta(self, name: str, value: str) -> None:
        """Remark something about the store, within the transaction that is open."""
        self.connection.execute(PUT_META, (name, value))

    def _must_write(self) -> None:
        if self.mode == "read":
            raise errors.read_only(self.path)

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Hold the right to write; whatever the block did not commit itself is rolled back."""
        self.connection.execute("BEGIN IMMEDIATE")
        try:
            yield
        finally:
            self._roll_back()

    def _knows_book(self, book: DayBook) -> bool:
        """Whether this store, whose own page does not say its id any more, holds what the book begins with."""
        first = [line.entry for line in itertools.islice(book.lines(), FIRST) if isinstance(line, BookLine)]
        fresh = self.unknown(first)
        return len(fresh.events) + len(fresh.rows) < len(first)

    def _find_book(self) -> None:
        """Know the store's id and its day book, and give the folders of older programs the name of whose they are."""
        told = self.meta("id") or ""
        others = DayBook.all_of(self.path)
        if told and others and not is_own_id(told, self.path, self.connection):
            raise errors.corrupt(self.path, _("its id is not as it was written"))
        known = [DayBook.of(self.path, told)] if told else [b for b in others if self._knows_book(b)]
        owner = known[0].owner() if known else None
        # a book's line has a checksum; what the store's own page says may be spoilt, in part or as a whole
        self.id = owner if owner and (not told or same_owner(told, owner)) else told or str(uuid.uuid4())
        if self.id != told:
            self._must_write()
            self.set_meta("id", self.id)
        if owner is not None:
            found = known[0].move(self.path)
            if owner != self.id:
                said = _("The day book beside this store ({id}) was another store's; it is now at ").format(
                    id=short(self.id)
                )
                self.notices += (f"{said}{found.folder}.",)
        self._book = DayBook.of(self.path, self.id)
        if self._book.owner() not in {None, self.id}:  # it could not be renamed
            self._book = DayBook(beside.folder_of_store(self.path, beside.BOOK, self.id))
        take_over(self.connection, self.path)

    def _ready(self) -> None:
        """Bring a file that was just opened for writing up to today's tables, and in step with its day book."""
        with errors.spoken(self.path):
            version = int(self.connection.execute("PRAGMA user_version").fetchone()[0])
            if version > connect.VERSION:
                raise errors.newer(self.path, version, connect.VERSION)
            if version < connect.VERSION:
                self._must_write()
                migrate(self, version)
            self._find_book()
            if BookPosition.read(self.meta("daybook") or "") != self.book.end():
                self._must_write()
                with self.book.held(), self.transaction():
                    synchronise(self)
                    self.connection.execute("COMMIT")


def _numbered(
    events: Iterable[Event], first: int, told: Callable[[bytes], None] | None
) -> Iterator[tuple[object, ...]]:
    """Events as rows with their running numbers; `told` gets each one's line of the day book."""
    for n, event in enumerate(events, first):
        body = body_of(event)
        row = event_values(event, body)
        if told is not None:
            told(event_line(n, row, body))
        yield (n, *row)
