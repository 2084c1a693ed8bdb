"""Opening the file: who it belongs to, how it is kept safe, and what is refused.

Reading uses the standard library alone and never makes a file; writing goes through sqlite-utils.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from rackview.store import errors
from rackview.store.daybook import DayBook

if TYPE_CHECKING:
    from sqlite_utils import Database

APPLICATION_ID = 0x72766965
"""“rvie” in the file's header says that it is ours (SQLite file format, section 1.3.12)."""

VERSION = 2
"""The data format that this program writes: PRAGMA user_version."""

BUSY_MS = 5_000
NETWORK_TYPES = frozenset({"nfs", "nfs4", "cifs", "smb3", "smbfs", "ncpfs", "9p", "afs", "fuse.sshfs", "davfs", "ceph"})
MAGIC = b"SQLite format 3\x00"


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
        return _first_that_opens(path, ways)


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


def open_writer(path: Path) -> tuple[Database, tuple[str, ...]]:
    """A connection for writing, with the sentences the keeper should see; makes the file if there is none."""
    notices: list[str] = []
    made = not path.exists()
    fresh = made or path.stat().st_size == 0
    if fresh:
        if DayBook.of(path).owner() is not None:
            raise errors.lost(path)
        with errors.spoken(path):
            path.parent.mkdir(parents=True, exist_ok=True)
    else:
        identify(path)
    from sqlite_utils import Database

    with errors.spoken(path):
        if not fresh and not os.access(path, os.W_OK):
            raise errors.read_only(path)
        connection = _connect(path, "mode=rwc")
        try:
            if fresh:
                connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            wanted = "delete" if on_network(path) else "wal"
            got = connection.execute(f"PRAGMA journal_mode = {wanted}").fetchone()[0]
            if got != "wal":
                notices.append(
                    "This folder is on a network drive: use this store from one PC at a time, and let two PCs meet "
                    "with “rackview merge”."
                )
            connection.execute("PRAGMA synchronous = FULL")
            connection.execute("PRAGMA foreign_keys = ON")
        except BaseException:
            connection.close()
            if made and path.exists() and not path.stat().st_size:
                path.unlink()  # nothing was written, so nothing is left to stand in the way of the next try
            raise
        return Database(connection), tuple(notices)


def identify(path: Path) -> tuple[int, int]:
    """The application id and data format in the file's first 100 bytes, read without opening it as a database.

    Raises `StoreError` if there is no file, it is not ours, or it was written by a newer program.
    """
    if not path.exists():
        raise errors.missing(path) if DayBook.of(path).owner() is None else errors.lost(path)
    with errors.spoken(path), path.open("rb") as file:
        head = file.read(100)
    version, application = int.from_bytes(head[60:64], "big"), int.from_bytes(head[68:72], "big")
    if len(head) < 100 or not head.startswith(MAGIC) or application != APPLICATION_ID:
        if DayBook.of(path).owner() is not None:
            raise errors.corrupt(path, "its first page is not as it was written")
        raise errors.not_ours(path)
    if version > VERSION:
        raise errors.newer(path, version, VERSION)
    return application, version


def on_network(path: Path, mounts: str | None = None) -> bool:
    """Whether the file lies on a drive that another PC serves, where SQLite's write-ahead log is not safe."""
    if sys.platform == "win32":
        import ctypes

        drive = path.resolve().drive
        return drive.startswith("\\\\") or ctypes.windll.kernel32.GetDriveTypeW(f"{drive}\\") == 4
    if mounts is None:
        table = Path("/proc/mounts")
        if not table.exists():
            return False
        mounts = table.read_text(encoding="utf-8", errors="replace")
    best, kind = "", ""
    here = str(path.resolve())
    for line in mounts.splitlines():
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
        f"{path.resolve().as_uri()}?{how}", uri=True, isolation_level=None, timeout=BUSY_MS / 1000
    )
    connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
    return connection
