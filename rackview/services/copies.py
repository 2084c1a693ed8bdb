"""What a store could be made anew from: the copies beside it, those in the second folder, its day book."""

from __future__ import annotations

import os
import platform
import re
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.store import Store, StoreError, backup, files
from rackview.store.beside import short
from rackview.store.damaged_copy import is_marked
from rackview.store.daybook import BookLine, DayBook
from rackview.store.errors import spoken
from rackview.store.whose import id_at

ALL = 2**62
"""Above every running number."""


@dataclass(frozen=True, slots=True)
class Copy:
    """One file that a store can be made from.

    Attributes
    ----------
    path : the file; for the day book its folder
    made : when it was written last
    entries : how many entries it holds, None if it can't be read
    newest : when the newest of them was entered
    second : whether it lies in the second folder
    fault : why it can't be used, in a sentence
    whose : the beginning of the store's id, where several stores may have stood here
    """

    path: Path
    made: datetime
    entries: int | None = None
    newest: datetime | None = None
    second: bool = False
    fault: str = ""
    whose: str = ""

    @property
    def usable(self) -> bool:
        """Whether it holds anything that can be read."""
        return bool(self.entries) and not self.fault


def copies(store: Path, second: Path | None = None) -> list[Copy]:
    """Every copy of the store that can be found, the newest first; those that can't be read come last."""
    known = known_id(store)
    found = [_look(p, known, second=False) for p in _own_files(store, known)]
    if second is not None:
        found += [
            _look(p, known, second=True) for folder in _second_folders(store, second, known) for p in _files(folder)
        ]
    return sorted(found, key=lambda c: (c.usable, c.made), reverse=True)


def sources(store: Path, second: Path | None = None) -> list[Copy]:
    """All that a store can be restored from, the best first: the newest copy, other copies, then the day book alone.

    The day book is added to whatever copy is chosen, so the newest copy that can be read is always the best. Without
    `second`, the second folder is the one that the newest copy remembers.
    """
    found = copies(store, second)
    if second is None and (second := second_folder_of(store, found)) is not None:
        found = copies(store, second)
    usable = [c for c in found if c.usable] + day_books(store)
    return usable + [c for c in found if not c.usable]


def day_books(store: Path) -> list[Copy]:
    """The day book as something to restore from; those of every store of this name if it can't be told which it is."""
    known, found = known_id(store), []
    with suppress(OSError, StoreError):
        there = DayBook.all_of(store)
        for book in [DayBook.of(store, known)] if known and there else there:
            entries = {line.entry.id: line.entry.entered_at for line in book.lines() if isinstance(line, BookLine)}
            newest = max((at for at in entries.values() if at is not None), default=None)
            whose = "" if known else short(book.owner())
            made = datetime.fromtimestamp(book.changed(), UTC)
            if entries:
                found.append(Copy(book.folder, made, len(entries), newest, whose=whose))
    return found


def known_id(store: Path) -> str | None:
    """The id of the store at a place: as it says itself, or as its day book does, if there is one only."""
    with suppress(OSError, StoreError):
        if (told := id_at(files.real(store))) is not None:
            return told
        owners = {book.owner() for book in DayBook.all_of(store)}
        return owners.pop() if len(owners) == 1 else None
    return None


def any_trace(store: Path) -> bool:
    """Whether a store stood here: a day book or a copy of it does."""
    with suppress(OSError, StoreError):
        if DayBook.all_of(store):
            return True
    return any(True for _ in _own_files(store, None))


def second_folder_of(store: Path, found: list[Copy]) -> Path | None:
    """The second folder of a store that can't be read itself, as its newest readable copy remembers it."""
    for copy in found:
        if copy.usable:
            with suppress(StoreError), Store.open(copy.path, "read") as there:
                said = there.meta(second_folder_key(platform.node()))
                return Path(said) if said else None
    return None


def second_folder_key(pc: str) -> str:
    """Under this a store remembers the second folder of a PC."""
    return f"second folder of {pc}"


def newest_copy(store: Path) -> datetime | None:
    """When the newest copy beside the store was written; None if there is none."""
    return max((_changed(p) for p in _own_files(store, known_id(store)) if not is_marked(p)), default=None)


def last_seen(store: Path, second: Path) -> datetime | None:
    """When the newest daily copy in the second folder was written; None if it is away or holds none."""
    times = [
        _changed(p)
        for folder in _second_folders(store, second, known_id(store))
        for p in _files(folder)
        if not is_marked(p)
    ]
    return max(times, default=None)


def entries_of(store: Path) -> int:
    """How many entries a store holds; raises `StoreError`."""
    with Store.open(store, "read") as there:
        return there.since(ALL).last


def _look(path: Path, known: str | None, *, second: bool) -> Copy:
    made = _changed(path)
    if is_marked(path):
        return Copy(path, made, second=second, fault=_("a copy of the store when an entry in it was damaged"))
    try:
        with spoken(path), Store.open(path, "read") as there:
            if damage := there.quick_check():
                return Copy(path, made, second=second, fault=damage[0])
            whose = "" if known else short(there.meta("id"))
            return Copy(path, made, there.since(ALL).last, there.newest_entered(), second, whose=whose)
    except StoreError as error:
        return Copy(path, made, second=second, fault=str(error))


def _files(folder: Path) -> Iterator[Path]:
    with suppress(OSError):
        yield from sorted(p for p in folder.iterdir() if p.suffix == ".db" and not p.name.startswith(".") and _file(p))


def _own_files(store: Path, known: str | None) -> Iterator[Path]:
    for folder in backup.folders_of(store, known):
        yield from _files(folder)


def _second_folders(store: Path, second: Path, known: str | None) -> list[Path]:
    """The folders of copies of this store in the second folder, of whichever PC.

    Those of every store of its name if its id is not known, and `rack-backups`, which an older program made.
    """
    mark = re.escape(short(known)) if known else "[0-9a-f]{8}"
    name = re.compile(rf"{re.escape(store.stem)}-({mark}(-.*)?|backups)\Z")
    with suppress(OSError):
        return sorted(p for p in second.iterdir() if p.is_dir() and name.match(p.name))
    return []


def _file(path: Path) -> bool:
    return path.is_file() and os.access(path, os.R_OK)


def _changed(path: Path) -> datetime:
    return datetime.fromtimestamp(path.stat().st_mtime, UTC)
