"""The locks that SQLite holds on an open store stay, whatever else this program does with the file.

Where locks are POSIX's, closing any handle on a file drops every lock that the program holds on it (IEEE Std 1003.1,
fcntl): so nothing but SQLite may open a store, which an audit hook watches at every system.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import date, timedelta
from pathlib import Path

import pytest

from rackview.core.rack import Rack
from rackview.services import files, maintenance
from rackview.services.memory import remember
from rackview.services.sessions import open_session
from rackview.store import Store, StoreError, backup, connect, snapshot
from rackview.store.merge import merge
from rackview.store.restore import restore
from rackview.store.salvage import salvage
from rackview.store.verify import check

opened: list[str] = []
watched: list[str] = []


def hook(event: str, arguments: tuple[object, ...]) -> None:
    """Note when Python itself opens a watched file; a hook can't be taken away again, so the list says what counts."""
    if event == "open" and watched and str(arguments[0]) in watched:
        opened.append(str(arguments[0]))


sys.addaudithook(hook)


@contextmanager
def untouched(path: Path) -> Iterator[None]:
    """Within the block nothing but SQLite may open the store."""
    opened.clear()
    watched.extend(f"{path}{end}" for end in ("", "-wal", "-shm", "-journal"))
    try:
        yield
    finally:
        watched.clear()
    assert opened == []


def locks(path: Path) -> list[tuple[str, ...]]:
    """This program's locks on a store as the kernel lists them, or as another program runs into them."""
    table = Path("/proc/locks")
    if table.exists():
        inodes = {f.stat().st_ino for f in (path, Path(f"{path}-shm")) if f.exists()}
        lines = [line.split() for line in table.read_text(encoding="utf-8").splitlines()]
        ours = [w for w in lines if w[1] == "POSIX" and int(w[4]) == os.getpid()]
        return sorted(tuple(w[3:]) for w in ours if int(w[5].rpartition(":")[2]) in inodes)
    return [("another program is refused",)] if refused_elsewhere(path) else []


def refused_elsewhere(path: Path) -> bool:
    """Whether another program that wants the store for itself alone is told that it is in use."""
    alone = "import sqlite3, sys; sqlite3.connect(sys.argv[1], timeout=0).execute('PRAGMA journal_mode = DELETE')"
    done = subprocess.run([sys.executable, "-c", alone, str(path)], capture_output=True, text=True, check=False)
    assert done.returncode == 0 or "locked" in done.stderr
    return done.returncode != 0


def tables(path: Path, clock: Callable) -> None:
    files.preview([path, f"{path}-wal", f"{path}-shm"], Rack.build(()), clock())
    files.import_files([path], path, clock)


def windows(path: Path, clock: Callable) -> None:
    open_session(path, clock, recent=True).close()


def older(path: Path, _: Callable) -> None:
    with Store.open(path) as reader:
        rack, _last = reader.read(remember)
        assert len(rack.log("V1").events()) > 5


def copies(path: Path, clock: Callable) -> None:
    with Store.open(path) as reader:
        backup.daily(reader.connection, path, date(2026, 3, 1), path.parent)
        reader.backup(path.with_name("copy.db"))
        reader.backup(path.with_name("copy.db"))
        with suppress(StoreError):
            reader.backup(path)
    maintenance.upkeep(path, clock)
    maintenance.back_up(path, None, clock())


def meetings(path: Path, _: Callable) -> None:
    other = path.with_name("other.db")
    with Store.open(other, "write") as theirs:
        merge(theirs, path)
    maintenance.merge_in(path, other)


def puts_back(path: Path, clock: Callable) -> None:
    with pytest.raises(StoreError, match="open in another window"):
        restore(path, None, clock())
    with Store.open(path.with_name("empty.db"), "write") as empty:
        salvage(path, empty)


def looks(path: Path, _: Callable) -> None:
    connect.identify(path)
    assert check(path) == []
    Store.open(path).close()
    Store.open(path, "write").close()


@pytest.mark.parametrize("act", [looks, older, tables, windows, copies, meetings, puts_back])
@pytest.mark.parametrize("elsewhere", [False, True], ids=["here", "in another thread"])
def test_locks_stay(store, path, tally, morning, act, elsewhere):
    store.append([tally(i) for i in range(40)])
    rack, last = store.read_whole()
    store.keep(snapshot.snapshots_of(rack, last, None), [])
    held = locks(path)
    assert held
    assert refused_elsewhere(path)
    with untouched(path):
        if elsewhere:
            failed: list[BaseException] = []
            running = threading.Thread(target=lambda: _noted(failed, act, path, lambda: morning + timedelta(days=1)))
            running.start()
            running.join()
            assert not failed, failed
        else:
            act(path, lambda: morning + timedelta(days=1))
    assert set(held) <= set(locks(path))
    assert refused_elsewhere(path)
    store.append([tally(900)])
    assert check(path) == []


def _noted(failed: list[BaseException], act: Callable, *more: object) -> None:
    try:
        act(*more)
    except BaseException as error:  # noqa: BLE001 - told in the thread that waits
        failed.append(error)


def test_the_watch_would_notice(store, path):
    """A handle of our own, closed again, is seen and drops the locks where they are POSIX's."""
    held = locks(path)
    with pytest.raises(AssertionError), untouched(path):
        path.read_bytes()
    assert (locks(path) == held) is not sys.platform.startswith("linux")


def test_what_is_replaced_by_a_restore_is_not_opened_either(store, path, tally, morning):
    store.append([tally(1)])
    store.close()
    with untouched(path):
        done = restore(path, None, morning)
        again = restore(path, None, morning)
    assert done.kept != again.kept
    with Store.open(done.kept) as kept:
        assert len(kept.since(0).events) == 1
