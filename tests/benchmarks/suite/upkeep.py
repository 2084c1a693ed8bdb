"""Checking, copying, putting back and merging a store of a million events."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from suite.row import Found, Row, Size, Used, medians, program, run
from suite.stores import copied
from suite.tables import store_of

INTEGRITY = "import sqlite3, sys; print(sqlite3.connect(sys.argv[1]).execute('PRAGMA integrity_check').fetchone())"


def _rounds(size: Size) -> int:
    return 1 if size.name == "full" else size.rounds


def _copied_plainly(size: Size, path: Path) -> float:
    target = size.scratch() / "plain-copy"
    begun = time.perf_counter()
    shutil.copyfile(path, target)
    with target.open("rb+") as file:
        os.fsync(file.fileno())
    taken = time.perf_counter() - begun
    target.unlink()
    return taken


def _check(size: Size) -> Found:
    store = store_of(size)
    return Found(*medians(_rounds(size), lambda: program(store, "check").cpu, lambda: run("-c", INTEGRITY, store).cpu))


def _clocked(size: Size, reference: Path, ours: Callable[[], Used]) -> Found:
    """The clock of our work against that of a synced copy; beside it processor time, which a busy machine spares."""
    used: list[float] = []

    def clock() -> float:
        taken = ours()
        used.append(taken.cpu)
        return taken.wall

    found = medians(_rounds(size), clock, lambda: _copied_plainly(size, reference))
    return Found(*found, "s", f"processor time {median(used[1:]):.2g} s")


def _backup(size: Size) -> Found:
    store = store_of(size)

    def ours() -> Used:
        target = size.scratch() / "backup.db"
        target.unlink(missing_ok=True)
        return program(store, "backup", target)

    return _clocked(size, store, ours)


def _restore(size: Size) -> Found:
    store = store_of(size)
    backup = size.scratch() / "to-restore.db"
    backup.unlink(missing_ok=True)
    program(store, "backup", backup)
    found = _clocked(size, store, lambda: program(copied(store, size.scratch()), "restore", backup))
    backup.unlink()
    return found


def _merge(size: Size) -> Found:
    store = store_of(size)
    return _clocked(size, store, lambda: program(copied(store, size.scratch()), "merge", store))


CHECK = (
    "besides SQLite's own check every entry is read, kept to the rules and compared with its line of the day book, "
    "told from its row, in Python, store and book side by side in pieces. What lines share is put together once, and "
    "SQLite does not evaluate the CHECKs of events again, as the reference does for 3 s of its time at a million: "
    "Python asks for the same anyway. Together that took a sixth off. It was half as much again when entries were "
    "made of all rows, and five times the memory. It tells how far it is, and in the window it can be stopped. What "
    "of the book was compared before is compared again all the same: a check rests on nothing that was remembered."
)
BACKUP = (
    "the day book is compared with the store only from where it was compared last, as long as its digest holds; the "
    "first round, which is left out, compares all of it and takes longer. Of a million events half of the rest is the "
    "checksum of every row, reckoned inside SQLite, a fifth SQLite's copy page by page, a sixth the digests of book "
    "and copy, a seventh the look at the copy's pages. That look evaluated the CHECKs of every event again, which "
    "took more than all else: 6.2 s of processor time, and 2.8 without. The reference only copies."
)
RESTORE = (
    "the copy is one that the program made of this store, so it goes back as it is: what is left are digests of the "
    "copy and of the day book, SQLite's look at every index, and the ids of the file that is replaced. That look no "
    "longer evaluates the CHECKs of events, for which the copy's checksums vouch: at a million it took 4.4 s of "
    "processor time, and 1.2 without. A copy of which nothing is known is read entry by entry and takes ten times as "
    "much, of which a third are SQLite's inserts."
)
MERGE = (
    "of what both stores begin with the ids and checksums are compared inside SQLite, 2,000 running numbers at a time "
    "as one text, and of the rest in Python; only rows that differ are read, parsed and checked. With all of them in "
    "Python a million took 2.4 s of processor time, and 1.6 so; what is left reads the rows of both."
)
ROWS = (
    Row("check", "`check` of 1,000,000 events", "sqlite3 integrity_check", 3.0, _check, CHECK),
    Row("backup", "`backup` of 1,000,000 events", "file copy, synced", 3.0, _backup, BACKUP),
    Row("restore", "`restore` of 1,000,000 events", "file copy, synced", 3.0, _restore, RESTORE),
    Row("merge", "`merge` with a store of the same 1,000,000 events", "file copy, synced", 3.0, _merge, MERGE),
)
