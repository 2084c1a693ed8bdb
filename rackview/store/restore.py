"""A store made anew, with nothing lost: from a copy if one is given, from the day book, and from what can be salvaged.

What is replaced is kept first, damaged or not.
"""

from __future__ import annotations

import itertools
import json
import os
import sqlite3
from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from rackview.core.events import Event
from rackview.core.garbage import uncollected
from rackview.language import _
from rackview.store import connect, errors, files
from rackview.store.backup import folder_of
from rackview.store.beside import short
from rackview.store.daybook import BadLine, BookLine, DayBook, same_owner
from rackview.store.progress import Progress, silent
from rackview.store.rows import TableRow, events_of, table_rows_of
from rackview.store.sql import EVENTS, ROWS
from rackview.store.store import Store
from rackview.store.taking import checked_entries, readable_entries
from rackview.store.whose import id_at

BATCH = 2_000

Drafts = dict[str, dict[str, object]]


@dataclass(frozen=True, slots=True)
class Restored:
    """Entries in the store now, lines of the day book that could not be read, and where the replaced file is kept."""

    entries: int
    bad_lines: int
    kept: Path | None


def restore(path: Path | str, source: Path | str | None, now: datetime, progress: Progress = silent) -> Restored:
    """Make the store at `path` anew and return what came back.

    `source` is a copy of a store, or None (or a day book's folder) to build from the day book alone. Entries that
    the day book holds beyond the copy are added, and so is what can still be read of the file that is replaced; that
    file itself is kept in the folder of backups. Raises `StoreError`; then everything is as before, and so it is where
    `progress` raises.
    """
    path = files.real(path)
    copy, book = _sources(path, None if source is None else Path(source))
    owner = _owner(path, copy, book)
    part = path.with_name(f".{path.name}.restoring")
    with errors.spoken(path):
        files.make_folder(path.parent)
        _clear(part)
        try:
            with book.held():
                with uncollected():
                    gathered = _gather(path, copy, book, owner, progress)
                progress(_("the new file"), 0.7)
                _fill(part, gathered, book)
                progress("", 1.0)
                alone(path)
                kept = _keep(path, now, owner)
                try:
                    for beside in _beside(path):
                        beside.unlink(missing_ok=True)
                    part.replace(path)
                except OSError:
                    if kept is not None and not path.exists():
                        kept.rename(path)
                    raise
                files.sync_folder(path.parent)
        finally:
            _clear(part)
        with Store.open(path, "write") as again:  # brings store and day book in step
            if not gathered.entries.keys() <= gathered.written:
                again.complete_book()
    return Restored(len(gathered.entries), gathered.bad_lines, kept)


def _sources(path: Path, source: Path | None) -> tuple[Path | None, DayBook]:
    """The copy to restore from, if it is one, and the day book. Raises `StoreError`."""
    there = DayBook.all_of(path)
    named = [book for book in there if source is not None and book.folder.resolve() == source.resolve()]
    if named:
        return None, named[0]
    here = id_at(path)
    if source is None:
        if here is None and len({book.owner() for book in there}) > 1:
            raise errors.several_books(path, [book.folder for book in there])
        book = DayBook.of(path, here)
        if book.owner() is None:
            raise errors.nothing_to_restore(path)
        return None, book
    if not source.exists():
        raise errors.no_copy(source)
    with Store.open(source, "read") as store:
        theirs = store.meta("id")
    book = DayBook.of(path, here or theirs)
    if here is None and book.owner() is None and there:
        book = there[0]  # of another store: that is refused
    return source, book


@dataclass
class _Gathered:
    """Everything that can be found of a store, each entry once."""

    entries: dict[str, Event | TableRow] = field(default_factory=dict)
    drafts: Drafts = field(default_factory=dict)
    remarks: dict[str, str] = field(default_factory=dict)
    written: set[str] = field(default_factory=set)
    bad_lines: int = 0
    owner: str | None = None

    def read(self, book: DayBook, known: Mapping[bytes, BookLine] | None = None) -> set[str]:
        """Add what a day book holds; return the ids of its entries. Lines in `known` are not parsed again."""
        lines = []
        for line in book.lines(known=known):
            if isinstance(line, BadLine):
                self.bad_lines += 1
            else:
                lines.append(line)
        lines.sort(key=lambda line: line.n)
        self.add(line.entry for line in lines)
        return {line.entry.id for line in lines}

    def add(self, entries: Iterable[Event | TableRow]) -> None:
        for entry in entries:
            self.entries.setdefault(entry.id, entry)


def _owner(path: Path, copy: Path | None, book: DayBook) -> str | None:
    """The id of the store that is to be restored; raises `StoreError` where two stores would be mixed."""
    here, written, theirs = id_at(path), book.owner(), None
    if same_owner(here, written):
        here = written  # the book's line has a checksum, the store's page may be spoilt
    if path.exists() and here is None and written is None:
        connect.identify(path)  # what is no store of ours is not replaced by one
    if copy is None:
        if here is not None and written not in {None, here}:
            raise errors.other_book(path, short(here), short(written))
        return here or written
    with Store.open(copy, "read") as store:
        theirs = store.meta("id")
    known = here or written
    if None not in {theirs, known} and theirs != known:
        raise errors.other_store(copy, short(theirs), path, short(known))
    return theirs or known


def _gather(path: Path, copy: Path | None, book: DayBook, owner: str | None, progress: Progress) -> _Gathered:
    found = _Gathered(owner=owner)
    progress(_("the copy"), 0.0)
    known: dict[bytes, BookLine] = {}
    if copy is not None:
        with Store.open(copy, "read") as store:
            found.add(checked_entries(copy, [entry for _, entry in store.numbered()]))
            known = {line.raw: BookLine(line.n, found.entries[line.id]) for line in store.lines()}
            found.drafts = store.drafts()
            found.remarks = _remarks(store.connection)
    progress(_("the day book"), 0.2)
    if book.owner() in {None, owner}:  # another store's is set aside at opening
        found.written = found.read(book, known)
    for other in DayBook.all_of(path):
        if other.folder != book.folder and other.owner() == owner:  # an older program's, under the plain name
            found.read(other)
    progress(_("the store as it is"), 0.5)
    here = id_at(path)
    if copy is None or here in {None, owner} or same_owner(here, owner):
        entries, drafts, remarks = salvage(path, found.entries)
        found.add(entries)
        found.drafts |= drafts
        found.remarks |= remarks
    return found


def _fill(part: Path, found: _Gathered, book: DayBook) -> None:
    with Store.open(part, "write") as fresh:
        fresh.fill(found.entries.values(), found.drafts)
        in_step = found.entries.keys() <= found.written
        mine = {"id": found.owner or fresh.id, "daybook": str(book.end()) if in_step else ""}
        fresh.remark(found.remarks | mine)


def salvage(path: Path, known: Container[str]) -> tuple[list[Event | TableRow], Drafts, dict[str, str]]:
    """Entries but those with `known` ids, drafts and settings of PCs that can still be read from a damaged file.

    What is not as it was written, or could not be entered, is passed over.
    """
    entries: list[Event | TableRow] = []
    drafts: Drafts = {}
    remarks: dict[str, str] = {}
    with suppress(errors.StoreError), errors.read(path), closing(connect.open_reader(path)) as connection:
        for select, read in ((ROWS, table_rows_of), (EVENTS, events_of)):
            entries += readable_entries(e for e in _readable(connection, select, read) if e.id not in known)
        with suppress(errors.StoreError), errors.read(path):
            for form, body in connection.execute("SELECT form, body FROM drafts"):
                drafts[form] = dict(json.loads(body))
        with suppress(errors.StoreError), errors.read(path):
            remarks = _remarks(connection)
    return entries, drafts, remarks


def _remarks(connection: sqlite3.Connection) -> dict[str, str]:
    """What PCs have set for themselves, such as a second folder."""
    return dict(connection.execute("SELECT name, value FROM meta WHERE name LIKE 'second folder of %'"))


def _readable(
    connection: sqlite3.Connection, select: str, read: Callable[[list[tuple[object, ...]]], Sequence[Event | TableRow]]
) -> list[Event | TableRow]:
    found: list[Event | TableRow] = []
    last = 0
    with suppress(sqlite3.Error, *errors.UNREADABLE):
        table = "events" if select == EVENTS else "table_rows"
        last = connection.execute(f"SELECT max(n) FROM {table}").fetchone()[0] or 0  # noqa: S608 - our own names
    pieces = [(i, min(i + BATCH, last)) for i in range(0, last, BATCH)]
    while pieces:
        low, high = pieces.pop()
        try:
            found += read(connection.execute(select + "WHERE n > ? AND n <= ? ORDER BY n", (low, high)).fetchall())
        except (sqlite3.Error, *errors.UNREADABLE):
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
        except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
            if getattr(error, "sqlite_errorcode", 0) & 0xFF in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
                raise errors.open_elsewhere(path) from error
            return  # too damaged for anyone to have it open
        if mode == "wal":
            raise errors.open_elsewhere(path)


def _keep(path: Path, now: datetime, owner: str | None) -> Path | None:
    """Give the file and what lies beside it a second name among the backups; its bytes are not even opened."""
    if not path.exists():
        return None
    stem = f"replaced-{now.astimezone(UTC):%Y%m%dT%H%M%S}Z-{short(owner)}"
    names = (folder_of(path, owner) / f"{stem}{f'-{i}' if i else ''}.db" for i in itertools.count())
    target = next(name for name in names if not name.exists())
    files.make_folder(target.parent)
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
