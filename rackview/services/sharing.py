"""PCs that meet in a shared folder, without a server: each lays a copy of its store there and takes the others' in.

A file there is only ever written by the PC whose it is, whole or not at all. Entries are never changed, so what two PCs
bring together is the union of both and can't conflict. A store that this PC has not met before waits until the keeper
says that it is the same rack.
"""

from __future__ import annotations

import json
import re
import shutil
import tempfile
import uuid
from collections.abc import Callable
from contextlib import suppress
from dataclasses import field
from datetime import datetime
from functools import partial
from pathlib import Path

from rackview.core.dataclass import dataclass
from rackview.services import copies, places
from rackview.services.faults import Stopped, Tell
from rackview.services.folders import KNOWN
from rackview.services.maintenance import Merged, merge_in
from rackview.store import Store, StoreError, backup, files
from rackview.store.beside import short
from rackview.store.errors import spoken

ENDING = ".rackview.db"
Mark = tuple[int, int]
"""Size and time of a file: another mark, another content."""


@dataclass(frozen=True, slots=True)
class Stranger:
    """A store in the shared folder that this one has not met: its file, its rack's name, vessels and entries."""

    path: Path
    id: str
    rack: str
    vessels: tuple[str, ...]
    entries: int


@dataclass(frozen=True, slots=True)
class Arrival:
    """What came in from another PC, and when."""

    name: str
    at: datetime
    merged: Merged


@dataclass(frozen=True, slots=True)
class Met:
    """What one look into the folders found."""

    shared: bool = False
    second: bool = False
    arrivals: tuple[Arrival, ...] = ()
    strangers: tuple[Stranger, ...] = ()
    troubles: tuple[str, ...] = ()
    laid: bool = False
    copied: bool = False


@dataclass()
class Meeting:
    """Looks into the folders of one store, again and again; remembers what it has seen. Safe in any one thread."""

    path: Path
    pc: str
    clock: Callable[[], datetime]
    _seen: dict[Path, Mark] = field(default_factory=dict)
    _laid: int = -1
    _id: str | None = None
    _strangers: dict[Path, Stranger] = field(default_factory=dict)
    _troubles: dict[Path, str] = field(default_factory=dict)

    def look(self, shared: Path | None, second: Path | None, tell: Tell = lambda _: None) -> Met:
        """Take in what is new in the shared folder, lay there what is new here, and make today's second copy.

        Never raises but `Stopped`; what went wrong is among the troubles.
        """
        here = shared is not None and _there(shared)
        stop = partial(_stopped, tell)
        copied = second is not None and _there(second) and self._copy(second, stop)
        arrivals: list[Arrival] = []
        laid = False
        if here and shared is not None:
            arrivals = self._take_in(shared, tell)
            laid = self._lay(shared, stop)
        return Met(
            shared=here,
            second=second is not None and _there(second),
            arrivals=tuple(arrivals),
            strangers=tuple(self._strangers.values()),
            troubles=tuple(self._troubles.values()),
            laid=laid,
            copied=copied,
        )

    def welcome(self, stranger: Stranger) -> None:
        """Take this store's entries in from now on; raises `StoreError`."""
        with Store.open(self.path, "write") as store:
            store.remark({KNOWN: json.dumps(sorted({*_known(store), stranger.id}))})
        self._strangers.pop(stranger.path, None)
        self._seen.pop(stranger.path, None)

    def _take_in(self, shared: Path, tell: Tell) -> list[Arrival]:
        own = shared / self._name()
        self._rename_earlier(shared, own)
        found = []
        listed = [p for p in sorted(shared.glob(f"*{ENDING}")) if p != own and not p.name.startswith(".")]
        for kept in (self._strangers, self._troubles):
            for gone in [p for p in kept if p.parent == shared and p != own and p not in listed]:
                kept.pop(gone)
        for path in listed:
            tell("")
            with suppress(OSError):
                mark = _mark(path)
                if self._seen.get(path) != mark:
                    arrival = self._meet(path)
                    self._seen[path] = mark
                    if arrival is not None:
                        found.append(arrival)
        return found

    def _meet(self, path: Path) -> Arrival | None:
        self._troubles.pop(path, None)
        with tempfile.TemporaryDirectory(prefix="rackview-met-", ignore_cleanup_errors=True) as folder:
            near = Path(folder) / path.name
            try:
                shutil.copyfile(path, near)  # a network drive may go at any moment, and knows no locks to rely on
                with Store.open(near, "read") as theirs, Store.open(self.path, "read") as ours:
                    stranger = _stranger(path, theirs)
                    if stranger.id not in {ours.meta("id"), *_known(ours)}:
                        self._strangers[path] = stranger
                        return None
                merged = merge_in(self.path, near)
            except (StoreError, OSError) as error:
                self._troubles[path] = str(error).replace(str(near), path.name)
                return None
        entries = len(merged.written.events) + len(merged.written.rows)
        return Arrival(path.name.removesuffix(ENDING), self.clock(), merged) if entries else None

    def _lay(self, shared: Path, stop: Callable[[], bool]) -> bool:
        """Lay a copy of this store there if it holds what the last one did not."""
        place = shared / self._name()
        try:
            with Store.open(self.path, "read") as store:
                last = store.since(copies.ALL).last
                if last == self._laid and place.exists():
                    return False
                store.backup(place, stop=stop)
        except StoreError as error:
            self._troubles[place] = str(error)
            return False
        self._laid = last
        self._troubles.pop(place, None)
        return True

    def _copy(self, second: Path, stop: Callable[[], bool]) -> bool:
        """Make today's copy in the second folder if there is none."""
        today = self.clock().astimezone().date()
        try:
            with spoken(second), Store.open(self.path, "read") as store:
                before = copies.last_seen(self.path, second)
                for trouble in backup.daily(store.connection, self.path, today, second, self.pc, stop):
                    raise StoreError("gone", trouble)
                after = copies.last_seen(self.path, second)
        except StoreError as error:
            self._troubles[second] = str(error)
            return False
        self._troubles.pop(second, None)
        return before != after

    def _rename_earlier(self, shared: Path, own: Path) -> None:
        """Give the file that an older program laid there the store's id in its name, if it is this store's."""
        earlier = shared / f"{self._plain()}-{self.path.stem}-{own_mark()}{ENDING}"
        with suppress(StoreError, OSError):
            if earlier.is_file() and not own.exists() and copies.known_id(earlier) == copies.known_id(self.path):
                earlier.rename(own)

    def _name(self) -> str:
        """The name of this PC's file: the PC, the store with its id, and what no other PC has."""
        if self._id is None:
            self._id = short(copies.known_id(self.path))
        return f"{self._plain()}-{self.path.stem}-{self._id}-{own_mark()}{ENDING}"

    def _plain(self) -> str:
        return re.sub(r"[^A-Za-z0-9._-]", "-", self.pc) or "pc"


def own_mark() -> str:
    """What tells this PC from all others, made once."""
    place = places.data_dir() / "this-pc"
    with suppress(OSError):
        said = place.read_text(encoding="ascii").strip()
        if re.fullmatch(r"[0-9a-f]{8}", said):
            return said
    made = uuid.uuid4().hex[:8]
    with suppress(OSError):
        files.make_folder(place.parent)
        files.make_file(place)
        place.write_text(made, encoding="ascii")
    return made


def _stranger(path: Path, theirs: Store) -> Stranger:
    rack = theirs.read_whole()[0]
    last = theirs.since(copies.ALL).last
    return Stranger(path, theirs.meta("id") or "", rack.settings.name, tuple(rack.vessels), last)


def _stopped(tell: Tell) -> bool:
    try:
        tell("")
    except Stopped:
        return True
    return False


def _known(store: Store) -> set[str]:
    with suppress(ValueError, TypeError):
        return {str(one) for one in json.loads(store.meta(KNOWN) or "[]")}
    return set()


def _there(folder: Path) -> bool:
    try:
        return folder.is_dir()
    except OSError:
        return False


def _mark(path: Path) -> Mark:
    found = path.stat()
    return found.st_size, found.st_mtime_ns
