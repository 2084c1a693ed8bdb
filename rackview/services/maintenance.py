"""Keeping the record safe: copies, checking, putting back, and meeting another PC's store."""

from __future__ import annotations

import platform
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path

from rackview.language import _
from rackview.services.faults import Stopped, Tell
from rackview.store import Store, StoreError, backup, pictures
from rackview.store.merge import Merged, merge
from rackview.store.progress import Progress, silent
from rackview.store.restore import Restored, restore
from rackview.store.verify import StoreFinding, check

__all__ = [
    "Merged",
    "Restored",
    "StoreError",
    "StoreFinding",
    "back_up",
    "check",
    "look_through",
    "merge_in",
    "put_back",
    "upkeep",
    "wants_stop",
]


def back_up(path: Path, target: Path | None, now: datetime, progress: Progress = silent) -> Path:
    """Write a verified copy of the store and return its place; without a target, beside the store.

    The day book is completed where lines of it were lost. Raises `StoreError`; one of a damaged store says where the
    copy is that was made all the same.
    """
    try:
        store = Store.open(path, "write") if path.exists() else Store.open(path, "read")
    except StoreError as error:
        if not error.still_read:
            raise
        store = Store.open(path, "read")
    with store:
        with copied_though_damaged(lambda: store.backup(target, now, keep_damaged=True)):
            if store.mode == "write":
                store.complete_book(lambda share: progress(_("the day book"), 0.7 * share))
        copy = store.backup(target, now, lambda: wants_stop(progress, _("the copy"), 0.7), keep_damaged=True)
        progress("", 1.0)
        return copy


@contextmanager
def copied_though_damaged(copy: Callable[[], object]) -> Iterator[None]:
    """Where a damaged entry ends what is done before a `copy`, have that made first: what it raises says more."""
    try:
        yield
    except StoreError as error:
        if error.kind == "corrupt":
            copy()
        raise


def wants_stop(progress: Progress, what: str, share: float) -> bool:
    """Whether who is told how far it is wants it stopped, where raising leads nowhere."""
    try:
        progress(what, share)
    except Stopped:
        return True
    return False


def look_through(path: Path, tell: Tell) -> list[StoreFinding]:
    """All that is wrong with a store, the worst first, as `check`; raises `Stopped` if that was asked for."""
    return check(path, telling(tell))


def telling(tell: Tell) -> Progress:
    """Progress as the sentence that a window shows."""

    def say(what: str, share: float) -> None:
        tell(_("Looking at {what}, {share:.0%} done…").format(what=what, share=share) if what else "")

    return say


def put_back(path: Path, source: Path | None, now: datetime, progress: Progress = silent) -> Restored:
    """Make the store anew from a copy, or from its day book alone; what is replaced is kept. Raises `StoreError`.

    The pictures that lie beside the copy come along, where the store lost its own.
    """
    back = restore(path, source, now, progress)
    if source is not None:
        with suppress(StoreError), Store.open(path, "read") as store:
            mine = pictures.pictures_folder(path, store.meta("id"))
            for folder in pictures.beside_copy(source, store.meta("id")):
                pictures.copy_missing(folder, mine)
    return back


def merge_in(path: Path, other: Path, progress: Progress = silent) -> Merged:
    """Take the entries of another PC's store in; raises `StoreError`, and then nothing was taken."""
    with Store.open(path, "write") as store:
        merged = merge(store, other, progress)
        with suppress(StoreError), Store.open(other, "read") as theirs:  # a picture that is away comes another time
            source = pictures.pictures_folder(other, theirs.meta("id"))
            pictures.copy_missing(source, pictures.pictures_folder(path, store.meta("id")))
        return merged


def upkeep(
    path: Path,
    clock: Callable[[], datetime],
    second: Path | None = None,
    stop: Callable[[], bool] = backup.never,
) -> tuple[str, ...]:
    """What is done once a day when a store is opened: a copy, thinning, the second folder, a look at the file.

    Returns sentences for the keeper. Opens the file by itself, so it may run beside the window. What is left undone as
    `stop` said so is done at the next opening. Raises `StoreError` if the file is damaged; a copy is made of it then if
    only rows are not as they were written, and is named as what it is.
    """
    try:
        with suppress(Stopped), Store.open(path, "read") as store:
            today = clock().astimezone().date()
            said = backup.daily(store.connection, path, today, second, platform.node(), stop)
            if damage := store.quick_check(stop):
                raise StoreError("corrupt", damage[0])
            return said
    except StoreError as error:
        if error.kind == "corrupt":
            raise
        return (_("No copy of the store was made: {error}").format(error=error),)
    return ()
