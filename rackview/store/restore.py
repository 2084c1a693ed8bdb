"""A store made anew, with nothing lost: from a copy if one is given, from the day book, and from what can be salvaged.

What is replaced is kept first, damaged or not.
"""

from __future__ import annotations

import itertools
import json
import os
import sqlite3
from collections.abc import Callable, Iterable, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from rackview.core.events import Event
from rackview.store import connect, errors
from rackview.store.backup import folder_of
from rackview.store.daybook import BadLine, DayBook, sync_folder
from rackview.store.rows import DamagedRowError, TableRow, events_of, table_rows_of
from rackview.store.sql import EVENTS, ROWS
from rackview.store.store import Store

BATCH = 2_000


@dataclass(frozen=True, slots=True)
class Restored:
    """Entries in the store now, lines of the day book that could not be read, and where the replaced file is kept."""

    entries: int
    bad_lines: int
    kept: Path | None


def restore(path: Path | str, source: Path | str | None, now: datetime) -> Restored:
    """Make the store at `path` anew and return what came back.

    `source` is a copy of a store, or None (or the day book's folder) to build from the day book alone. Entries that
    the day book holds beyond the copy are added, and so is what can still be read of the file that is replaced; that
    file itself is kept in the folder of backups. Raises `StoreError`; then everything is as before.
    """
    path = Path(path)
    book = DayBook.of(path)
    copy = None if source is None or Path(source).resolve() == book.folder.resolve() else Path(source)
    if copy is None and book.owner() is None:
        raise errors.nothing_to_restore(path)
    if copy is not None and not copy.exists():
        raise errors.no_copy(copy)
    part = path.with_name(f".{path.name}.restoring")
    with errors.spoken(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        _clear(part)
        try:
            with book.held():
                gathered = _gather(path, copy, book)
                _fill(part, gathered, book)
                alone(path)
                kept = _keep(path, now)
                try:
                    for beside in _beside(path):
                        beside.unlink(missing_ok=True)
                    part.replace(path)
                except OSError:
                    if kept is not None and not path.exists():
                        kept.rename(path)
                    raise
                sync_folder(path.parent)
        finally:
            _clear(part)
        Store.open(path, "write").close()  # brings store and day book in step
    return Restored(len(gathered.entries), gathered.bad_lines, kept)


@dataclass
class _Gathered:
    """Everything that can be found of a store, each entry once."""

    entries: dict[str, Event | TableRow] = field(default_factory=dict)
    drafts: dict[str, dict[str, object]] = field(default_factory=dict)
    written: set[str] = field(default_factory=set)
    bad_lines: int = 0
    owner: str | None = None

    def add(self, entries: Iterable[Event | TableRow]) -> None:
        for entry in entries:
            self.entries.setdefault(entry.id, entry)


def _gather(path: Path, copy: Path | None, book: DayBook) -> _Gathered:
    found = _Gathered(owner=book.owner())
    if copy is not None:
        with Store.open(copy, "read") as store:
            found.add(entry for _, entry in store.numbered())
            found.drafts = store.drafts()
            found.owner = found.owner or store.meta("id")
    lines = []
    for line in book.lines():
        if isinstance(line, BadLine):
            found.bad_lines += 1
        else:
            lines.append(line)
    lines.sort(key=lambda line: line.n)
    found.written = {line.entry.id for line in lines}
    found.add(line.entry for line in lines)
    entries, drafts = salvage(path)
    found.add(entries)
    found.drafts |= drafts
    return found


def _fill(part: Path, found: _Gathered, book: DayBook) -> None:
    with Store.open(part, "write") as fresh:
        fresh.fill(found.entries.values(), found.drafts)
        in_step = found.entries.keys() <= found.written
        fresh.remark({"id": found.owner or fresh.id, "daybook": str(book.end()) if in_step else ""})


def salvage(path: Path) -> tuple[list[Event | TableRow], dict[str, dict[str, object]]]:
    """Entries and drafts that can still be read from a damaged file; those whose checksum fails are passed over."""
    entries: list[Event | TableRow] = []
    drafts: dict[str, dict[str, object]] = {}
    with suppress(errors.StoreError, sqlite3.Error, ValueError), closing(connect.open_reader(path)) as connection:
        entries += _readable(connection, ROWS, table_rows_of)
        entries += _readable(connection, EVENTS, events_of)
        with suppress(sqlite3.Error, ValueError):
            for form, body in connection.execute("SELECT form, body FROM drafts"):
                drafts[form] = json.loads(body)
    return entries, drafts


def _readable(
    connection: sqlite3.Connection, select: str, read: Callable[[list[tuple[object, ...]]], Sequence[Event | TableRow]]
) -> list[Event | TableRow]:
    found: list[Event | TableRow] = []
    last = 0
    with suppress(sqlite3.Error, ValueError):
        table = "events" if select == EVENTS else "table_rows"
        last = connection.execute(f"SELECT max(n) FROM {table}").fetchone()[0] or 0  # noqa: S608 - our own names
    pieces = [(i, min(i + BATCH, last)) for i in range(0, last, BATCH)]
    while pieces:
        low, high = pieces.pop()
        try:
            found += read(connection.execute(select + "WHERE n > ? AND n <= ? ORDER BY n", (low, high)).fetchall())
        except (sqlite3.Error, DamagedRowError, ValueError, TypeError, KeyError):
            middle = (low + high) // 2
            if low < middle:
                pieces += [(low, middle), (middle, high)]
    return found


def alone(path: Path) -> None:
    """Raise `StoreError` if another program has the store open, as it would go on writing to the file replaced."""
    if not path.exists():
        return
    with closing(sqlite3.connect(path, timeout=0.5, isolation_level=None)) as connection:
        try:
            mode = connection.execute("PRAGMA journal_mode = DELETE").fetchone()[0]
        except sqlite3.DatabaseError as error:
            if getattr(error, "sqlite_errorcode", 0) & 0xFF in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
                raise errors.open_elsewhere(path) from error
            return  # too damaged for anyone to have it open
        if mode == "wal":
            raise errors.open_elsewhere(path)


def _keep(path: Path, now: datetime) -> Path | None:
    """Give the file and what lies beside it a second name among the backups; its bytes are not even opened."""
    if not path.exists():
        return None
    stem = f"replaced-{now.astimezone(UTC):%Y%m%dT%H%M%S}Z"
    names = (folder_of(path) / f"{stem}{f'-{i}' if i else ''}.db" for i in itertools.count())
    target = next(name for name in names if not name.exists())
    target.parent.mkdir(parents=True, exist_ok=True)
    for source in (path, *_beside(path)):
        if source.exists():
            _second_name(source, Path(f"{target}{source.name.removeprefix(path.name)}"))
    return target


def _second_name(source: Path, target: Path) -> None:
    try:
        os.link(source, target)
    except OSError:  # FAT, as on many sticks, knows no second name
        source.rename(target)


def _beside(path: Path) -> tuple[Path, ...]:
    return tuple(Path(f"{path}{end}") for end in connect.BESIDE)


def _clear(part: Path) -> None:
    for rest in (part, *_beside(part)):
        rest.unlink(missing_ok=True)
