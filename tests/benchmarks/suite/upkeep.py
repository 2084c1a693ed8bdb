"""Checking, copying, putting back and merging a store of a million events."""

from __future__ import annotations

import os
import shutil
import time
from pathlib import Path

from suite.row import Found, Row, Size, medians, program, run
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


def _backup(size: Size) -> Found:
    store = store_of(size)

    def ours() -> float:
        target = size.scratch() / "backup.db"
        target.unlink(missing_ok=True)
        return program(store, "backup", target).wall

    return Found(*medians(_rounds(size), ours, lambda: _copied_plainly(size, store)))


def _restore(size: Size) -> Found:
    store = store_of(size)
    backup = size.scratch() / "to-restore.db"
    backup.unlink(missing_ok=True)
    program(store, "backup", backup)

    def ours() -> float:
        return program(copied(store, size.scratch()), "restore", backup).wall

    found = medians(_rounds(size), ours, lambda: _copied_plainly(size, store))
    backup.unlink()
    return Found(*found)


def _merge(size: Size) -> Found:
    store = store_of(size)

    def ours() -> float:
        target = copied(store, size.scratch())
        return program(target, "merge", store).wall

    return Found(*medians(_rounds(size), ours, lambda: _copied_plainly(size, store)))


CHECK = (
    "besides SQLite's own check every entry is read, kept to the rules and compared with its line of the day book, "
    "told from its row, in Python; it tells how far it is, and in the window it can be stopped."
)
BACKUP = (
    "two thirds of it compare the day book with every row of the store, each line told from its row (twice the time "
    "when entries and lines were made of them again), a fifth verifies the copy; the reference only copies."
)
RESTORE = (
    "every entry of the copy goes through the parser as if it were typed, and is written into a new store; lines of "
    "the day book and rows of the old store that say the same letter by letter are not parsed again, as they were."
)
MERGE = (
    "the rows of both are compared letter by letter, and only those that differ are parsed and checked, where all were "
    "(seven times the processor time)."
)
ROWS = (
    Row("check", "`check` of 1,000,000 events", "sqlite3 integrity_check", 3.0, _check, CHECK),
    Row("backup", "`backup` of 1,000,000 events", "file copy, synced", 3.0, _backup, BACKUP),
    Row("restore", "`restore` of 1,000,000 events", "file copy, synced", 3.0, _restore, RESTORE),
    Row("merge", "`merge` with a store of the same 1,000,000 events", "file copy, synced", 3.0, _merge, MERGE),
)
