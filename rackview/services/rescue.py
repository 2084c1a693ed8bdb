"""A store that can't be opened, and what can be done: restored with one step back, another opened, one begun anew.

Nothing here deletes an entry. What is replaced or set aside is moved, with its day book, to where it can be opened.
"""

from __future__ import annotations

import json
import platform
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from rackview.core.dataclass import dataclass
from rackview.core.events import Event
from rackview.language import _
from rackview.services import copies, places
from rackview.services.faults import Stopped
from rackview.services.folders import kept_keys
from rackview.services.maintenance import Merged, merge_in, put_back, wants_stop
from rackview.store import Store, StoreError, TableRow, backup, beside, files, pictures
from rackview.store.beside import short
from rackview.store.daybook import DayBook
from rackview.store.errors import spoken
from rackview.store.progress import Progress, silent
from rackview.store.restore import Restored, alone

BESIDE = ("", "-wal", "-shm", "-journal")
"""The endings of the files that are one store together."""
NOTE = "one step back"
"""Under this a store remembers what it was before it was restored, or merged with another."""

RESTORE, RETRY, OTHER, AFRESH = "restore", "retry", "other", "afresh"
CHOICES = {
    "damaged": (RESTORE, OTHER, AFRESH),
    "missing": (RESTORE, RETRY, OTHER, AFRESH),
    "away": (RETRY, OTHER),
    "foreign": (OTHER, AFRESH),
    "newer": (OTHER, AFRESH),
    "busy": (RETRY, OTHER),
    "unwritable": (RETRY, OTHER),
    "clock": (RETRY, OTHER),
    "failed": (RESTORE, RETRY, OTHER, AFRESH),
}
"""What can be wrong with a store that is to be opened, and what can be done then."""
OF_KIND = {
    "corrupt": "damaged",
    "missing": "missing",
    "not_ours": "foreign",
    "newer": "newer",
    "locked": "busy",
    "gone": "away",
    "read_only": "unwritable",
    "full": "unwritable",
    "clock": "clock",
}
"""By the kind of a `StoreError`; any other is a failure of our own."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """Why a store can't be opened: what is wrong (a key of CHOICES), in which file, and the details in a sentence."""

    what: str
    path: Path
    details: str

    @property
    def choices(self) -> tuple[str, ...]:
        """What can be done."""
        return CHOICES[self.what]


@dataclass(frozen=True, slots=True)
class StepBack:
    """A restore or merge that can be undone.

    Attributes
    ----------
    what : restore or merge
    at : when it was done
    kept : the store as it was before
    entries : how many entries that holds
    came : the first and last running number of what a merge brought
    """

    what: str
    at: datetime
    kept: Path
    entries: int
    came: tuple[int, int]

    def since(self, store: Store) -> list[Event | TableRow]:
        """What was recorded afterwards, by hand."""
        first, last = self.came
        return [e for n, e in store.numbered() if n > self.entries and not first <= n <= last]


@dataclass(frozen=True, slots=True)
class StoreStatus:
    """How a store stands: its entries, its newest copy, what can be undone, what was set aside."""

    entries: int
    copied: datetime | None
    back: StepBack | None
    asides: tuple[Path, ...]


def store_status(path: Path) -> StoreStatus:
    """How a store stands; raises `StoreError`."""
    return StoreStatus(copies.entries_of(path), copies.newest_copy(path), step_back(path), tuple(asides(path)))


def trouble_of(path: Path, error: Exception) -> Trouble:
    """What is wrong with a store that could not be opened."""
    what = OF_KIND.get(error.kind, "failed") if isinstance(error, StoreError) else "failed"
    if what in {"missing", "away"}:
        what = "missing" if path.parent.is_dir() else "away"
    if what == "foreign" and copies.any_trace(path):
        what = "damaged"
    return Trouble(what, path, str(error) or type(error).__name__)


def refuse_empty(path: Path) -> None:
    """Raise `StoreError` where a new store would be made in place of one that is away or lost."""
    if path.exists():
        return
    if copies.any_trace(path):
        raise StoreError(
            "missing", _("The store {path} is gone, but its day book or copies of it are there.").format(path=path)
        )
    if path != places.store() and not path.parent.is_dir():
        raise StoreError("gone", _("The folder {parent} is not there.").format(parent=path.parent))


# --- restore, and back ---------------------------------------------------------------------------------------------


def undoable_restore(path: Path, source: Path | None, now: datetime, progress: Progress = silent) -> Restored:
    """Make the store anew as `put_back` does, and keep what it takes to undo that.

    Raises `StoreError`; then everything is as before, and so it is where `progress` raises `Stopped`.
    """
    with _book_held(path) as held:
        done = put_back(path, source, now, progress)
        if done.kept is not None and held.is_dir():
            held.rename(_book_beside(path, done.kept, held))
    _remind(path, [p for p in (done.kept, source) if p is not None and p.is_file()])
    if done.kept is not None:
        last = copies.entries_of(path)
        _note(path, StepBack("restore", now, done.kept, last, (0, 0)))
    return done


def _remind(path: Path, before: list[Path]) -> None:
    """Let a store that was made anew remember its folders and the stores it met, as the first that can tell does."""
    for other in before:
        with suppress(StoreError), Store.open(other, "read") as there:
            kept = {key: said for key in kept_keys(platform.node()) if (said := there.meta(key))}
            with Store.open(path, "write") as store:
                store.remark(kept)
            return


def undoable_merge(path: Path, other: Path, now: datetime, progress: Progress = silent) -> Merged:
    """Take the entries of another store in as `merge_in` does, and keep what it takes to undo that.

    Raises `StoreError`; then nothing was taken, nor where `progress` raises `Stopped`.
    """
    with _book_held(path) as held:
        with Store.open(path, "read") as store:
            kept = _free(backup.copy_place(store.connection, path, f"before-merge-{_stamp(now)}"))
            store.backup(kept, stop=partial(wants_stop, progress, _("this store"), 0.0))
        try:
            done = merge_in(path, other, progress)
        except (Stopped, StoreError):
            kept.unlink()
            raise
        came = len(done.written.events) + len(done.written.rows)
        if not came:
            kept.unlink()
            return done
        if held.is_dir():
            held.rename(_book_beside(path, kept, held))
    last = done.written.last
    _note(path, StepBack("merge", now, kept, copies.entries_of(kept), (last - came + 1, last)))
    return done


@contextmanager
def _book_held(path: Path) -> Iterator[Path]:
    """A copy of the day book as it is now, which goes unless it is moved away."""
    book = DayBook.of(path, copies.known_id(path))
    held = path.with_name(f".{path.name}.before") / book.folder.name
    with spoken(path):
        shutil.rmtree(held.parent, ignore_errors=True)
        if book.folder.is_dir():
            files.make_folder(held.parent)
            shutil.copytree(book.folder, held)
    try:
        yield held
    finally:
        shutil.rmtree(held.parent, ignore_errors=True)


def _book_beside(path: Path, kept: Path, book: Path) -> Path:
    """Where the day book of the store at `path` belongs that is kept as `kept`."""
    return Path(f"{kept}{beside.ending(path, book)}")


def _note(path: Path, step: StepBack) -> None:
    said = {
        "what": step.what,
        "at": step.at.astimezone(UTC).isoformat(),
        "kept": step.kept.name,
        "entries": step.entries,
        "came": step.came,
    }
    with Store.open(path, "write") as store:
        store.remark({NOTE: json.dumps(said)})


def step_back(path: Path) -> StepBack | None:
    """The last restore or merge of a store if it can be undone: what was there before is kept, and sound."""
    with suppress(StoreError, ValueError, KeyError, TypeError), Store.open(path, "read") as store:
        said = json.loads(store.meta(NOTE) or "{}")
        first, last = said["came"]
        at = datetime.fromisoformat(said["at"])
        for folder in backup.folders_of(path, store.meta("id")):
            kept = folder / Path(str(said["kept"])).name
            if kept.is_file() and _sound(kept):
                return StepBack(str(said["what"]), at, kept, int(said["entries"]), (int(first), int(last)))
    return None


def undo(path: Path, now: datetime) -> int:
    """Put back the store as it was before the last restore or merge, with what was recorded since; return how much.

    The store in its place now is kept among the backups in its turn. Raises `StoreError`; then everything is as before.
    """
    step = step_back(path)
    if step is None:
        raise StoreError(
            "missing", _("There is nothing to undo: the store as it was before is gone, or damaged itself.")
        )
    with Store.open(path, "read") as store:
        fresh = step.since(store)
        mine = store.meta("id")
        now_kept = backup.copy_place(store.connection, path, f"replaced-{_stamp(now)}")
    alone(path)
    with spoken(path):
        back = Path(f"{path}.putting-back")
        _copy_store(step.kept, back)
        _move_store(path, _free(now_kept), DayBook.of(path, mine))
        _move_store(back, path, DayBook.of(back))
    with Store.open(path, "write") as store:
        events = [e for e in fresh if isinstance(e, Event)]
        store.write(events, [r for r in fresh if isinstance(r, TableRow)], adopt=True)
        store.remark({NOTE: ""})
    return len(fresh)


def _sound(path: Path) -> bool:
    try:
        with Store.open(path, "read") as store:
            return not store.quick_check()
    except StoreError:
        return False


# --- afresh, and back ----------------------------------------------------------------------------------------------


def set_aside(path: Path, now: datetime) -> Path | None:
    """Move a store with its day book and copies into a folder of their own; return it, None if nothing was there.

    The folder holds them under their own names, so the store in it can be opened, checked and restored as before.
    Raises `StoreError`.
    """
    listed = [p for p in _all_of(path) if p.exists()]
    if not listed:
        return None
    folder = _free(Path(f"{path}.set-aside-{_stamp(now)}-{short(copies.known_id(path))}"))
    if path.exists():
        alone(path)
    with spoken(path):
        files.make_folder(folder)
        _move_all([(p, folder / p.name) for p in listed])
    return folder


def asides(path: Path) -> list[Path]:
    """The folders into which earlier stores of this place were set aside, the newest first."""
    with suppress(OSError):
        found = (p for p in path.parent.iterdir() if p.name.startswith(f"{path.name}.set-aside-"))
        return sorted((p for p in found if (p / path.name).exists()), reverse=True)
    return []


def take_aside_back(path: Path, aside: Path, now: datetime) -> Path | None:
    """Put a store that was set aside back in its place; return where the one in between is now. Raises `StoreError`."""
    between = set_aside(path, now)
    with spoken(path):
        _move_all([(p, path.with_name(p.name)) for p in _all_of(aside / path.name) if p.exists()])
        aside.rmdir()
    return between


def _all_of(path: Path) -> Iterator[Path]:
    yield from (Path(f"{path}{end}") for end in BESIDE)
    for what in (beside.BOOK, beside.COPIES, pictures.PICTURES):
        yield from beside.folders(path, what)


def _copy_store(source: Path, target: Path) -> None:
    for end in BESIDE:
        Path(f"{target}{end}").unlink(missing_ok=True)
        if Path(f"{source}{end}").exists():
            shutil.copy2(f"{source}{end}", f"{target}{end}")
    for left in beside.folders(target, beside.BOOK):
        shutil.rmtree(left)
    for book in DayBook.all_of(source):
        shutil.copytree(book.folder, _book_beside(source, target, book.folder))


def _move_store(source: Path, target: Path, book: DayBook) -> None:
    files.make_folder(target.parent)
    ends = [*BESIDE, beside.ending(source, book.folder)]
    _move_all([(Path(f"{source}{end}"), Path(f"{target}{end}")) for end in ends if Path(f"{source}{end}").exists()])


def _move_all(moves: list[tuple[Path, Path]]) -> None:
    """Rename all of these or none."""
    done: list[tuple[Path, Path]] = []
    try:
        for source, target in moves:
            source.rename(target)
            done.append((source, target))
    except OSError:
        for source, target in reversed(done):
            target.rename(source)
        raise


def _free(path: Path) -> Path:
    """The path, or where it is taken one with a number behind."""
    found, n = path, 1
    while found.exists():
        n += 1
        found = path.with_name(f"{path.stem}-{n}{path.suffix}")
    return found


def _stamp(now: datetime) -> str:
    return f"{now.astimezone(UTC):%Y%m%dT%H%M%S}Z"
