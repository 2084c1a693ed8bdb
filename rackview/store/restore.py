"""A store made anew, with nothing lost: from a copy if one is given, from the day book, and from what can be salvaged.

What is replaced is kept first, damaged or not.
"""

from __future__ import annotations

import itertools
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from rackview.core.dataclass import dataclass
from rackview.core.garbage import uncollected
from rackview.language import _
from rackview.store import connect, errors, files, shape
from rackview.store.anew import Anew
from rackview.store.backup import folder_of
from rackview.store.beside import short
from rackview.store.copies_made import digest_of, made_here
from rackview.store.daybook import DayBook, same_owner
from rackview.store.journal_sync import COMPARED
from rackview.store.progress import Progress, silent
from rackview.store.sql import LEAVE_REMARKS
from rackview.store.store import Store
from rackview.store.sums import fault_of
from rackview.store.whose import id_at

ROOM_KIB = 32 * 1024
"""Memory in which SQLite looks up what an index holds, KiB."""


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
                put = copy is not None and _put(copy, part, path, owner, progress)
                with Store.open(part, "write") as fresh, uncollected():
                    anew = Anew(fresh, owner, progress)
                    anew.gather(path, copy, book, put=put)
                files.sync_file(part)
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
            if anew.lacking:
                again.complete_book()
    return Restored(anew.entries, anew.bad_lines, kept)


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


def _put(copy: Path, part: Path, path: Path, owner: str | None, progress: Progress) -> bool:
    """Lay a copy as it is where the new store is made; whether that could be.

    It can if the file is byte for byte a copy that this program made of this store: its rows were checked when they
    came, and their checksums when it was made. What neither shows is looked at here: that its schema is ours and of
    today, and that its indexes hold what its tables do. Anything else is read entry by entry.
    """
    if (path.exists() and copy.samefile(path)) or any(p.exists() and p.stat().st_size for p in _beside(copy)):
        return False
    files.make_file(part)
    with part.open("rb+") as target:
        digest = digest_of(copy, lambda: progress(_("the copy"), 0.0), target)
    if made_here(folder_of(path, owner), digest) and _is_sound(part, lambda: progress(_("the copy"), 0.0)):
        return True
    _clear(part)
    return False


def _is_sound(part: Path, look: Callable[[], None]) -> bool:
    """Whether a file is a sound store of today's format; what it says of itself is left to whoever fills it on."""
    with closing(sqlite3.connect(part, isolation_level=None)) as there, connect.watched(there, look):
        there.execute(f"PRAGMA cache_size = -{ROOM_KIB}")
        there.execute("BEGIN")
        (version,) = there.execute("PRAGMA user_version").fetchone()
        if version != connect.VERSION or shape.odd(there) is not None or shape.lacking(there):
            return False
        if fault_of(there, "integrity_check") is not None:
            return False
        there.execute(LEAVE_REMARKS, (COMPARED,))
        there.execute("COMMIT")
    return True


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
