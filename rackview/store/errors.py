"""What can go wrong with the place where entries are kept, each said in one sentence with what to do."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from rackview.core.errors import InputError
from rackview.language import _

KINDS = ("missing", "not_ours", "newer", "locked", "full", "read_only", "corrupt", "gone", "refused", "clock")

LEAST_ROOM = 64 * 1024
"""Bytes that a disk must have free for the files that SQLite lays beside an open store."""


class StoreError(Exception):
    """The store can't be read or written; `kind` is one of KINDS and the text is one sentence for the keeper.

    `what` says what is damaged, where anything is.
    """

    def __init__(self, kind: str, sentence: str, what: str = "") -> None:
        self.kind = kind
        self.what = what
        super().__init__(sentence)

    @property
    def still_read(self) -> bool:
        """Whether a store that can't be opened for writing for this reason can be opened for reading."""
        return self.kind in {"read_only", "full"}

    def __reduce__(self) -> tuple[type[StoreError], tuple[str, str, str]]:
        return type(self), (self.kind, str(self), self.what)


class Stopped(Exception):  # noqa: N818 - it is no error
    """Whoever asked for it stopped it; nothing came of it."""


class StrangeStoreError(StoreError):
    """A file that has our mark, but tables that we never make."""


def missing(path: Path) -> StoreError:
    return StoreError(
        "missing", _("There is no store at {path}; start the window or import a table to make one.").format(path=path)
    )


def unfinished(path: Path) -> StoreError:
    return StoreError(
        "missing", _("There is nothing in the store {path} yet; start the window or import a table.").format(path=path)
    )


def lost(path: Path, whose: str) -> StoreError:
    return StoreError(
        "missing",
        _(
            "The store {path} is gone, but the day book of the store {whose} is there; “rackview "
            "restore” brings every entry back."
        ).format(path=path, whose=whose),
    )


def not_ours(path: Path) -> StoreError:
    return StoreError(
        "not_ours", _("{path} is not a rackview store and was left as it is; choose another file.").format(path=path)
    )


def newer(path: Path, version: int, ours: int) -> StoreError:
    return StoreError(
        "newer",
        _(
            "{path} was written by a newer rackview (data format {version}, this one knows up to "
            "{ours}); update rackview to open it."
        ).format(path=path, version=version, ours=ours),
    )


def corrupt(path: Path, what: str = "") -> StoreError:
    what = " ".join(what.split())
    return StoreError("corrupt", _damaged(path, what), what)


def strange(path: Path, what: str) -> StoreError:
    return StrangeStoreError("corrupt", _damaged(path, what), what)


def _damaged(path: Path, what: str) -> str:
    detail = f" ({what})" if what else ""
    return _("The store {path} is damaged{detail}; run “rackview check” to see what, then “rackview restore”.").format(
        path=path, detail=detail
    )


def full(path: Path) -> StoreError:
    return StoreError(
        "full",
        _("The disk that holds {path} is full, so nothing was written; free some space and save again.").format(
            path=path
        ),
    )


def read_only(path: Path) -> StoreError:
    return StoreError(
        "read_only",
        _("{path} can't be written to, so nothing was saved; check the permissions of the file and folder.").format(
            path=path
        ),
    )


def unreadable(path: Path) -> StoreError:
    return StoreError(
        "gone", _("{path} can't be read; check the permissions of the file and folder.").format(path=path)
    )


def locked(path: Path) -> StoreError:
    return StoreError(
        "locked",
        _("Another program is busy writing to {path}; nothing was saved, try again in a moment.").format(path=path),
    )


def gone(path: Path) -> StoreError:
    """The store can't be reached, unless its folder is there and says by itself what stands in the way."""
    with suppress(OSError):
        if path.parent.is_dir() and not os.access(path.parent, os.W_OK):
            return read_only(path)
        if shutil.disk_usage(path.parent).free < LEAST_ROOM:
            return full(path)
    return StoreError(
        "gone",
        _("The store {path} can't be reached; check that its disk and folder are there, then try again.").format(
            path=path
        ),
    )


def replaced(path: Path) -> StoreError:
    return StoreError(
        "gone", _("The store {path} was replaced by another file; it is opened anew, then try again.").format(path=path)
    )


def open_elsewhere(path: Path) -> StoreError:
    return StoreError(
        "locked", _("{path} is open in another window; close it there first, then try again.").format(path=path)
    )


def no_copy(path: Path) -> StoreError:
    return StoreError(
        "missing", _("There is no file at {path} to restore from; name a copy of the store.").format(path=path)
    )


def no_other(path: Path) -> StoreError:
    return StoreError(
        "missing", _("There is no store at {path} to take entries from; name the other PC's.").format(path=path)
    )


def nothing_to_restore(path: Path) -> StoreError:
    return StoreError(
        "missing", _("There is no day book beside {path} to restore from; name a copy of the store.").format(path=path)
    )


def several_books(path: Path, books: list[Path]) -> StoreError:
    listed = " and ".join(book.name for book in books)
    return StoreError(
        "refused",
        _(
            "There are day books of several stores beside {path} ({listed}), so nothing was restored; "
            "name the one to restore from, or a copy of the store."
        ).format(path=path, listed=listed),
    )


def other_store(copy: Path, theirs: str, path: Path, ours: str) -> StoreError:
    return StoreError(
        "refused",
        _(
            "{copy} belongs to the store {theirs} and {path} is the store {ours}, so nothing was "
            "restored; “rackview merge” takes its entries in, and “rackview --store NEW restore COPY” "
            "makes it a store of its own."
        ).format(copy=copy, theirs=theirs, path=path, ours=ours),
    )


def other_book(path: Path, ours: str, theirs: str) -> StoreError:
    return StoreError(
        "refused",
        _(
            "{path} is the store {ours}, but the day book beside it belongs to the store {theirs}, so "
            "nothing was restored; name a copy of the store {ours} to restore from."
        ).format(path=path, ours=ours, theirs=theirs),
    )


def refused(path: Path, what: str) -> StoreError:
    return StoreError(
        "refused",
        _("The entry breaks a rule of the store {path} ({what}), so nothing was written.").format(path=path, what=what),
    )


_BY_CODE = {
    sqlite3.SQLITE_BUSY: locked,
    sqlite3.SQLITE_LOCKED: locked,
    sqlite3.SQLITE_PROTOCOL: locked,
    sqlite3.SQLITE_FULL: full,
    sqlite3.SQLITE_READONLY: read_only,
    sqlite3.SQLITE_PERM: read_only,
    sqlite3.SQLITE_CANTOPEN: gone,
    sqlite3.SQLITE_IOERR: gone,
    sqlite3.SQLITE_NOTADB: corrupt,
    sqlite3.SQLITE_CORRUPT: corrupt,
}

_BY_ERRNO = {
    errno.ENOSPC: full,
    errno.EDQUOT: full,
    errno.EFBIG: full,
    errno.EROFS: read_only,
    errno.EACCES: read_only,
    errno.EPERM: read_only,
    errno.EISDIR: not_ours,
}


@contextmanager
def spoken(path: Path) -> Iterator[None]:
    """Turn what SQLite and the operating system say into a `StoreError` about `path`."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", None)
        if code == sqlite3.SQLITE_INTERRUPT:
            raise KeyboardInterrupt from error
        if isinstance(error, sqlite3.ProgrammingError):
            raise
        if isinstance(error, sqlite3.IntegrityError):
            raise refused(path, str(error)) from error
        make = _BY_CODE.get(code & 0xFF, corrupt) if isinstance(code, int) else corrupt
        if make is corrupt:
            raise corrupt(path, str(error)) from error
        raise make(path) from error
    except UnicodeDecodeError as error:
        raise corrupt(path, _("some of its text is no text")) from error
    except TimeoutError as error:
        raise locked(path) from error
    except OSError as error:
        raise _BY_ERRNO.get(error.errno or 0, gone)(path) from error


UNREADABLE = (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError, OverflowError, MemoryError)
"""What reading raises where a file holds something else than what was written into it."""


@contextmanager
def read(path: Path) -> Iterator[None]:
    """As `spoken`, and whatever is raised when a file holds something else than what was written into it.

    The one door through which everything is read; writing has none of it, as there such an error is a mistake of ours.
    """
    try:
        with spoken(path):
            yield
    except InputError as error:
        raise corrupt(path, str(error).rstrip(".")) from error
    except UNREADABLE as error:
        where = getattr(error, "where", "an entry")
        raise corrupt(path, _("{where} is not as it was written").format(where=where)) from error
