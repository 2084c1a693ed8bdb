"""Copies of the store: made online, verified, renamed into place whole, and thinned out with age."""

from __future__ import annotations

import os
import re
import sqlite3
import threading
from collections.abc import Iterable
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

from rackview.store import connect, errors
from rackview.store.daybook import sync_folder

DAILY, WEEKLY, MONTHLY = 7, 4, 12
ID = "SELECT value FROM meta WHERE name = 'id'"
NAME = re.compile(r"day-(\d{4}-\d{2}-\d{2})\.db\Z")


def folder_of(store: Path) -> Path:
    """The folder of the copies that are made by themselves: the store's name with .backups after it."""
    return Path(f"{store}.backups")


def copy_to(connection: sqlite3.Connection, target: Path) -> Path:
    """Copy an open store to `target` while others may write; the copy is whole and sound, or not there at all.

    An older copy of the same store is replaced, and nothing else is: raises `StoreError` if anything other stands
    there, if the copy can't be written or if it would be damaged.
    """
    _free(connection, target)
    with errors.spoken(target):
        target.parent.mkdir(parents=True, exist_ok=True)
        part = target.with_name(f".{target.name}.{os.getpid()}-{threading.get_native_id()}.part")
        try:
            with closing(sqlite3.connect(part, isolation_level=None)) as copy:
                connection.backup(copy)
                copy.execute("PRAGMA journal_mode = DELETE")
                found = copy.execute("PRAGMA quick_check(1)").fetchone()[0]
            if found != "ok":
                raise errors.corrupt(target, found)
            with part.open("rb+") as file:
                os.fsync(file.fileno())
            part.replace(target)
            sync_folder(target.parent)
        finally:
            for rest in (part, Path(f"{part}-journal"), Path(f"{part}-wal"), Path(f"{part}-shm")):
                rest.unlink(missing_ok=True)
    return target


def _free(connection: sqlite3.Connection, target: Path) -> None:
    """Raise `StoreError` if a copy written to `target` would take the place of what is no copy of this store."""
    if not target.exists() or target.is_dir():  # a folder is refused when it is written to
        return
    own = connection.execute("PRAGMA database_list").fetchone()[2]
    if own and target.samefile(own):
        raise errors.StoreError("refused", f"{target} is the store itself; name another file for the copy.")
    left = "so it was left as it is; name another file for the copy."
    try:
        with closing(connect.open_reader(target)) as there:
            theirs = there.execute(ID).fetchone()
    except errors.StoreError as error:
        if error.kind != "corrupt":
            raise errors.StoreError("refused", f"{target} is no copy of this store, {left}") from error
        return
    if theirs != connection.execute(ID).fetchone():
        raise errors.StoreError("refused", f"{target} is another store and no copy of this one, {left}")


def daily(connection: sqlite3.Connection, store: Path, today: date, second: Path | None = None) -> tuple[str, ...]:
    """Make today's copy if there is none, thin out the old ones, and do the same in a second folder if one is set.

    Returns sentences for the keeper: a second folder that is not there is no fault. Raises `StoreError` if the copy
    beside the store can't be made.
    """
    keep(connection, folder_of(store), today)
    if second is None:
        return ()
    if not second.is_dir():
        return (f"The second backup folder {second} is not there today; today's copy is only beside the store.",)
    try:
        keep(connection, second / f"{store.stem}-backups", today)
    except errors.StoreError as error:
        return (f"No copy was made in the second backup folder: {error}",)
    return ()


def keep(connection: sqlite3.Connection, folder: Path, today: date) -> Path:
    """Today's copy in a folder, made if it is not there; older ones are thinned out."""
    target = folder / f"day-{today.isoformat()}.db"
    if not target.exists():
        copy_to(connection, target)
        by_day = {date.fromisoformat(found[1]): p for p in folder.iterdir() if (found := NAME.match(p.name))}
        kept = kept_days(by_day)
        for day, path in by_day.items():
            if day not in kept:
                path.unlink()
    return target


def kept_days(days: Iterable[date]) -> set[date]:
    """Of the days of copies, those to keep: the newest of each of the last 7 days, 4 weeks and 12 months that have one.

    Weeks are ISO 8601 weeks. Days after the newest but one year do not exist for a clock that was set back.
    """
    listed = sorted(set(days), reverse=True)
    kept = set(listed[:DAILY])
    for most, group in ((WEEKLY, _week), (MONTHLY, _month)):
        newest: dict[date, date] = {}
        for day in listed:
            newest.setdefault(group(day), day)
        kept.update(list(newest.values())[:most])
    return kept


def _week(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _month(day: date) -> date:
    return day.replace(day=1)
