"""The day book: every entry once more as a line of plain text beside the store.

One JSON object per line, one file per month of entry, each line with a checksum of its own. It can be read in any
editor, and the whole store can be made anew from it. A line is on the disk before the store says that the entry is
kept; the store remembers up to where the book is in step with it, so that a line left by a program that was ended
between the two is found and taken in.
"""

from __future__ import annotations

import json
import os
import re
import sys
import time
import uuid
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from io import FileIO
from itertools import islice
from pathlib import Path
from typing import IO, Any

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import KINDS, Event
from rackview.core.parse import event_from_row, row_of
from rackview.store import beside, files
from rackview.store.lines import line_sum, sealed
from rackview.store.rows import TABLES, TableRow

SEAL = re.compile(rb',"sum":"([0-9a-f]{16})"\}\Z')
NAME = re.compile(r"(\d{4}-\d{2})\.jsonl\Z")
LONGEST = 1 << 26
AT_ONCE = 2_000
"""Lines that are written at once."""
PATIENCE, PAUSE = 10.0, 0.003
"""Seconds to wait for another program to finish its entry, and between two looks."""
FORMAT = 1
SPOILT = 4
"""Letters of an id that may differ from the book's."""


@dataclass(frozen=True, slots=True)
class BookPosition:
    """A point in the book: the month's file and how many bytes of it; the empty name is before the first line."""

    file: str = ""
    size: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.size}"

    @classmethod
    def read(cls, text: str) -> BookPosition:
        """The place that `str` wrote."""
        file, _, size = text.rpartition(":")
        return cls(file, int(size)) if size.isdecimal() else cls()


@dataclass(frozen=True, slots=True)
class BookLine:
    """One good line of the book: the entry's running number and the entry."""

    n: int
    entry: Event | TableRow


@dataclass(frozen=True, slots=True)
class Owner:
    """The first line of a month's file: the id of the store whose book it is."""

    store: str


@dataclass(frozen=True, slots=True)
class BadLine:
    """A line that is not as it was written."""

    file: str
    line: int


def same_owner(store_id: str | None, owner: str | None) -> bool:
    """Whether a book belongs to a store whose id reads so, a letter or two of which a disk may have spoilt.

    Two ids that were made by chance differ nearly everywhere.
    """
    if store_id is None or owner is None or len(store_id) != len(owner):
        return False
    return sum(a != b for a, b in zip(store_id, owner, strict=True)) <= SPOILT


class DayBook:
    """The folder of month files."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @classmethod
    def of(cls, store: Path, store_id: str | None = None) -> DayBook:
        """The day book of the store with this id, which may not be there yet; the newest there is if none is known.

        Where only another store's lies under the plain name of an older program, that one.
        """
        there = cls.all_of(store)
        if not store_id:
            return there[0] if there else cls(beside.older_folder(store, beside.BOOK))
        named, plain = beside.folder_of_store(store, beside.BOOK, store_id), beside.older_folder(store, beside.BOOK)
        likely = [b for b in there if b.folder == named]
        likely += [b for b in there if same_owner(store_id, b.owner())]
        likely += [b for b in there if b.folder == plain]
        return likely[0] if likely else cls(named)

    @classmethod
    def all_of(cls, store: Path) -> list[DayBook]:
        """The day books beside a store that say whose they are, the one written last first."""
        books = [cls(folder) for folder in beside.folders(store, beside.BOOK)]
        return sorted((b for b in books if b.owner() is not None), key=DayBook.changed, reverse=True)

    def changed(self) -> float:
        """When it was written last, in seconds since 1970."""
        return max((p.stat().st_mtime for p in self.files()), default=0.0)

    def files(self) -> list[Path]:
        """The month files, oldest first."""
        if not self.folder.is_dir():
            return []
        return sorted(p for p in self.folder.iterdir() if NAME.match(p.name))

    def end(self) -> BookPosition:
        """Where the next line goes."""
        files = self.files()
        return BookPosition(files[-1].name, files[-1].stat().st_size) if files else BookPosition()

    def owner(self) -> str | None:
        """The id of the store whose book this is; None if no file says so."""
        for path in reversed(self.files()):
            with path.open("rb") as file:
                found = parsed(file.readline(LONGEST))
            if isinstance(found, Owner):
                return found.store
        return None

    def lines(self, after: BookPosition | None = None) -> Iterator[BookLine | BadLine]:
        """Every entry's line after a place, good or bad, in the order in which they were written."""
        for path, number, raw in self.raw_lines(after):
            found = parsed(raw) if raw.strip() else None
            if isinstance(found, BookLine):
                yield found
            elif found is None and raw.strip():
                yield BadLine(path.name, number)

    def raw_lines(
        self, after: BookPosition | None = None, until: BookPosition | None = None
    ) -> Iterator[tuple[Path, int, bytes]]:
        """Every line after a place and before another as it stands there, with its file and its number from there."""
        after = after or BookPosition()
        for path in self.files():
            if path.name < after.file or (until is not None and path.name > until.file):
                continue
            with path.open("rb") as file:
                here = file.seek(after.size if path.name == after.file else 0)
                end = until.size if until is not None and path.name == until.file else sys.maxsize
                number = 0
                while here < end and (raw := file.readline(LONGEST)):
                    here += len(raw)
                    number += 1
                    yield path, number, raw

    @contextmanager
    def held(self) -> Iterator[None]:
        """Keep other programs from the book until the block ends."""
        files.make_folder(self.folder)
        files.make_file(self.folder / "lock")
        with (self.folder / "lock").open("ab") as file, _locked(file):
            yield

    @contextmanager
    def at_rest(self) -> Iterator[None]:
        """As `held`, where that can be: a book that is not there or can't be written to has nobody who adds to it."""
        if not (self.folder.is_dir() and os.access(self.folder, os.W_OK)):
            yield
            return
        with self.held():
            yield

    @contextmanager
    def page(self, month: str, store: str) -> Iterator[MonthPage]:
        """The newest page, or that of a later `month` such as 2026-03, open for adding; hold the book meanwhile."""
        end = self.end()
        name = max(end.file, f"{month}.jsonl")
        # unbuffered: a buffer would try again at closing what a full disk refused, behind our back
        files.make_file(self.folder / name)
        with (self.folder / name).open("ab", buffering=0) as file:
            page = MonthPage(name, file)
            if not page.start:
                page.write([sealed({"book": store, "format": FORMAT})])
                page.start = page.here.size
                files.sync_folder(self.folder)
                files.sync_folder(self.folder.parent)
            yield page

    def cut_torn(self, after: BookPosition) -> None:
        """Cut off what a program that was ended in the middle of a line left at the very end, behind `after`."""
        end = self.end()
        if not end.file:
            return
        keep = after.size if after.file == end.file else 0
        with (self.folder / end.file).open("rb+") as file:
            file.seek(keep)
            behind = file.read()
            whole = behind.rfind(b"\n") + 1
            if whole < len(behind):
                file.truncate(keep + whole)
                file.flush()
                os.fsync(file.fileno())

    def move(self, store: Path) -> DayBook:
        """The book under the name of whose it is, if that is free; as it is where it can't be renamed."""
        target = beside.folder_of_store(store, beside.BOOK, self.owner())
        with suppress(OSError):  # another program was first, or writes to it just now on a system that minds
            if not target.exists():
                self.folder.rename(target)
        return DayBook(target) if target.is_dir() and not self.folder.is_dir() else self


class MonthPage:
    """A month's file while it is written to."""

    def __init__(self, name: str, file: FileIO) -> None:
        self.name = name
        self._file = file
        self.start = file.seek(0, os.SEEK_END)

    @property
    def here(self) -> BookPosition:
        """The end of the page."""
        return BookPosition(self.name, self._file.tell())

    def write(self, lines: Iterable[bytes]) -> None:
        """Add lines; they are on the disk when it returns. If that fails, none is."""
        try:
            waiting = iter(lines)
            before = b"" if not self.start or _ends_line(self._file) else b"\n"
            while piece := b"".join(islice(waiting, AT_ONCE)):
                rest, before = before + piece, b""
                while rest:
                    rest = rest[self._file.write(rest) :]
            os.fsync(self._file.fileno())
        except BaseException:
            self.take_back()
            raise

    def take_back(self) -> None:
        """Cut off what was written since the page was opened."""
        os.ftruncate(self._file.fileno(), self.start)
        os.fsync(self._file.fileno())


def parsed(raw: bytes) -> BookLine | Owner | None:
    """The entry on a line, or whose book it is; None if the line is not as it was written."""
    raw = raw.rstrip(b"\r\n")
    seal = SEAL.search(raw)
    if seal is None:
        return None
    body = raw[: seal.start()] + b"}"
    if line_sum(body) != seal[1].decode():
        return None
    try:
        found = json.loads(body)
        if "book" in found:
            return Owner(str(uuid.UUID(found["book"])))
        entry = _event(found["event"]) if "event" in found else _row(found["row"])
        return BookLine(int(found["n"]), entry)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError, OverflowError):
        return None


def checked(event: Event) -> Event:
    """The event, if the checked parser takes it too: for what others wrote. Raises `InputError`."""
    again = event_from_row(row_of(event))
    if again.kind != event.kind:
        raise InputError("kind", event.kind, f"{again.kind}")
    return event


def _event(said: dict[str, Any]) -> Event:
    kind = KINDS[said.pop("kind")]
    for moment in ("at", "entered_at"):
        if moment in said:
            said[moment] = datetime.fromisoformat(said[moment])
    if "tallies" in said:
        said["tallies"] = tuple(said["tallies"])
    return checked(kind(**said))


def _row(said: dict[str, Any]) -> TableRow:
    if said["table"] not in TABLES or not isinstance(said["row"], dict | None):
        raise ValueError(said["table"])
    said["entered_at"] = datetime.fromisoformat(said["entered_at"])
    return TableRow(**said)


def _ends_line(file: FileIO) -> bool:
    with Path(str(file.name)).open("rb") as again:
        again.seek(-1, os.SEEK_END)
        return again.read(1) == b"\n"


@contextmanager
def _locked(file: IO[bytes]) -> Iterator[None]:
    """Keep other programs out; the system lets go by itself if this one is ended.

    Raises `TimeoutError` if another program keeps it for longer than any of ours does.
    """
    waited = 0.0
    while not _try_lock(file):
        if waited > PATIENCE:
            raise TimeoutError(file.name)
        time.sleep(PAUSE)
        waited += PAUSE
    try:
        yield
    finally:
        _unlock(file)


if sys.platform == "win32":
    import msvcrt

    def _try_lock(file: IO[bytes]) -> bool:
        file.seek(0)
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _unlock(file: IO[bytes]) -> None:
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _try_lock(file: IO[bytes]) -> bool:
        try:
            fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _unlock(file: IO[bytes]) -> None:
        fcntl.flock(file.fileno(), fcntl.LOCK_UN)
