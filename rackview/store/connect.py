"""Opening the file: who it belongs to, how it is kept safe, and what is refused.

Opening uses the standard library alone; reading never makes a file.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from rackview.language import _
from rackview.store import errors, files, shape
from rackview.store.beside import short
from rackview.store.daybook import LONGEST, DayBook

APPLICATION_ID = 0x72766965
"""“rvie” in the file's header says that it is ours (SQLite file format, section 1.3.12)."""

VERSION = 3
"""The data format that this program writes: PRAGMA user_version."""

BUSY_MS = 5_000
STEPS = 50_000
"""Instructions of SQLite's machine between two looks whether Ctrl+C was pressed: some milliseconds."""
NETWORK_TYPES = frozenset({"nfs", "nfs4", "cifs", "smb3", "smbfs", "ncpfs", "9p", "afs", "fuse.sshfs", "davfs", "ceph"})

MOUNTED = Path("/proc/mounts")
"""What Linux says lies where; other systems have no such file."""

NETWORK = _(
    "This folder is on a network drive: use this store from one PC at a time; “rackview merge” lets two PCs meet."
)
Stop = Callable[[], bool]
"""Whether to stop is asked for."""

BESIDE = ("-wal", "-shm", "-journal")
"""What SQLite adds to a store's name for the files that it lays beside it."""


def open_reader(path: Path) -> sqlite3.Connection:
    """A read-only connection to an existing store; raises `StoreError`."""
    identify(path)
    with errors.spoken(path):
        # opened for writing where that can be, though nothing is written: only then does SQLite clear away the two
        # files that it lays beside a store while it is open
        ways = ["mode=rw"] if os.access(path, os.W_OK) and os.access(path.parent, os.W_OK) else []
        ways.append("mode=ro")
        log = Path(f"{path}-wal")
        if not log.exists() or not log.stat().st_size:
            ways.append("mode=ro&immutable=1")  # there is no room for them, or the folder can't be written to
        connection = _first_that_opens(path, ways)
        try:
            if not _admitted(connection, path):
                raise errors.unfinished(path)
        except BaseException:
            connection.close()
            raise
        return connection


def _first_that_opens(path: Path, ways: list[str]) -> sqlite3.Connection:
    for way in ways:
        connection = None
        try:
            connection = _connect(path, way)
            connection.execute("PRAGMA query_only = ON")
            connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone()
        except (sqlite3.Error, UnicodeDecodeError) as error:
            if connection is not None:
                connection.close()
            code = getattr(error, "sqlite_errorcode", 0) & 0xFF
            if way == ways[-1] or code not in {sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_IOERR}:
                raise
        else:
            return connection
    raise AssertionError("there is always one way")


def open_writer(path: Path) -> tuple[sqlite3.Connection, tuple[str, ...]]:
    """A connection for writing, with the sentences the keeper should see; makes the file if there is none."""
    made = not path.exists()
    fresh = made or path.stat().st_size == 0
    if fresh:
        if (book := DayBook.of(path)).owner() is not None:
            raise errors.lost(path, short(book.owner()))
        with errors.spoken(path):
            files.make_folder(path.parent)
            files.make_file(path)
    else:
        identify(path)
    with errors.spoken(path):
        if not fresh and not os.access(path, os.W_OK):
            raise errors.read_only(path)
        connection = _connect(path, "mode=rwc")
        try:
            if fresh:
                connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            _admitted(connection, path)
            notices = _kept_safe(connection, path)
        except BaseException:
            connection.close()
            if made and path.exists() and not path.stat().st_size:
                path.unlink()  # nothing was written, so nothing is left to stand in the way of the next try
            raise
        return connection, notices


def _kept_safe(connection: sqlite3.Connection, path: Path) -> tuple[str, ...]:
    """Set how writing is made durable; return what the keeper should know of it."""
    wanted = "delete" if on_network(path) else "wal"
    got = connection.execute(f"PRAGMA journal_mode = {wanted}").fetchone()[0]
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")
    if got == "wal":
        return ()
    return (NETWORK,)


def identify(path: Path) -> None:
    """Raise `StoreError` if there is no file, it is not ours, or it was written by a newer program.

    SQLite reads the header, without taking a lock or leaving anything beside the file. We must never open the file by
    ourselves: where locks are POSIX's, closing it again would drop every lock that this program holds on it.
    """
    if not path.exists():
        owner = DayBook.of(path).owner()
        raise errors.missing(path) if owner is None else errors.lost(path, short(owner))
    if not path.is_file():
        raise errors.not_ours(path)
    with errors.spoken(path):
        try:
            with closing(_connect(path, "mode=ro&immutable=1")) as connection:
                _ours(connection, path)
        except sqlite3.DatabaseError as error:
            code = getattr(error, "sqlite_errorcode", 0) & 0xFF
            if code == sqlite3.SQLITE_NOTADB:
                raise _unlike_ours(path) from error
            if code == sqlite3.SQLITE_CANTOPEN and not os.access(path, os.R_OK):
                raise errors.unreadable(path) from error
            if code != sqlite3.SQLITE_CORRUPT:  # another program may be just adding to it: whoever opens it sees
                raise


def is_store(path: Path) -> bool:
    """Whether a file is a store of ours, of whatever format, or one of those that SQLite lays beside an open one."""
    here = path.resolve()
    beside = (Path(str(here).removesuffix(end)) for end in BESIDE if here.name.endswith(end))
    whole = next((p for p in beside if p.is_file()), here)  # what lies beside it must not be opened at all
    if whole.is_file():
        with suppress(sqlite3.Error), closing(_connect(whole, "mode=ro&immutable=1")) as connection:
            return _number(connection, "application_id") == APPLICATION_ID
    return False


def _number(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


def _ours(connection: sqlite3.Connection, path: Path) -> int:
    """The data format of an open file; raises `StoreError` if it is not ours or a newer one."""
    if _number(connection, "application_id") != APPLICATION_ID:
        raise _unlike_ours(path)
    version = _number(connection, "user_version")
    if version > VERSION:
        raise errors.newer(path, version, VERSION)
    return version


def _admitted(connection: sqlite3.Connection, path: Path) -> bool:
    """Whether the tables of an open store are there; raises `StoreError` if it is not ours, or not as we make it."""
    version = _ours(connection, path)
    what = shape.odd(connection)
    if what is not None:
        raise errors.strange(path, what)
    return version > 0


def _unlike_ours(path: Path) -> errors.StoreError:
    if DayBook.of(path).owner() is not None:
        return errors.corrupt(path, _("its first page is not as it was written"))
    return errors.not_ours(path)


def on_network(path: Path) -> bool:
    """Whether the file lies on a drive that another PC serves, where SQLite's write-ahead log is not safe."""
    if sys.platform == "win32":
        import ctypes

        drive = path.resolve().drive
        return drive.startswith("\\\\") or ctypes.windll.kernel32.GetDriveTypeW(f"{drive}\\") == 4
    if not MOUNTED.exists():
        return False
    best, kind = "", ""
    here = str(path.resolve())
    for line in MOUNTED.read_text(encoding="utf-8", errors="replace").splitlines():
        parts = line.split(" ")
        if len(parts) < 3:
            continue
        point = parts[1].replace("\\040", " ")
        inside = here == point or here.startswith(point.rstrip("/") + "/")
        if inside and len(point) >= len(best):
            best, kind = point, parts[2]
    return kind in NETWORK_TYPES


def _connect(path: Path, how: str) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{files.real(path).as_uri()}?{how}", uri=True, isolation_level=None, timeout=BUSY_MS / 1000
    )
    connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
    guard(connection)
    return connection


def guard(connection: sqlite3.Connection) -> None:
    """Keep a row to a size, and let Ctrl+C end what takes long."""
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, LONGEST)
    connection.set_progress_handler(_go_on, STEPS)


@contextmanager
def stoppable(connection: sqlite3.Connection, stop: Stop) -> Iterator[None]:
    """End what the connection does as soon as `stop` says so; raises `Stopped` then."""
    connection.set_progress_handler(lambda: int(stop()), STEPS)
    try:
        yield
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode == sqlite3.SQLITE_INTERRUPT and stop():
            raise errors.Stopped from error
        raise
    finally:
        connection.set_progress_handler(_go_on, STEPS)


@contextmanager
def watched(connection: sqlite3.Connection, look: Callable[[], None]) -> Iterator[None]:
    """Call `look` again and again while the connection is in a transaction; what it raises ends that, and is raised.

    What was committed can't be ended any more, so nobody is asked behind that.
    """
    raised: list[Exception] = []

    def ended() -> int:
        try:
            if connection.in_transaction:
                look()
        except Exception as error:  # noqa: BLE001 - it can't pass through SQLite
            raised.append(error)
        return len(raised)

    connection.set_progress_handler(ended, STEPS)
    try:
        yield
    except BaseException:
        if raised:
            raise raised[0] from None
        raise
    finally:
        connection.set_progress_handler(_go_on, STEPS)


def _go_on() -> int:
    """Python looks whether Ctrl+C was pressed whenever it runs; SQLite alone never does."""
    return 0
