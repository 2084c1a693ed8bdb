"""A real window, importers and the command line on one store at the same time.

    python tests/benchmarks/store_together.py [PROGRAMS [ENTRIES]]

One of the programs is a window as a keeper has it, with its upkeep, its polling and its lazy history, that records
entries and keeps drafts; the others import tables. Meanwhile commands read, check and copy. Wherever the kernel lists
locks, the window's are looked at from outside again and again. Nothing may be lost or doubled, no program may hear of a
fault, and the file, its day book and the drafts must be sound after. tests/store/test_together.py runs it small.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from rackview.core.vessel import Vessel
from rackview.store import Store, TableRow
from rackview.store.verify import check

MORNING = datetime(2026, 3, 1, 8, tzinfo=UTC)
FEW, FILES = 40, 50
"""Entries in one file of an importer at least, and files at most."""
COMMANDS = (("status",), ("check",), ("advise", "--json"), ("backup",))
OFFSCREEN = {"QT_QPA_PLATFORM": "offscreen"}


class DoesNotHoldError(AssertionError):
    """A promise of the store was broken."""


def hold(promise: bool, otherwise: object) -> None:
    if not promise:
        raise DoesNotHoldError(otherwise)


# --- the window ------------------------------------------------------------------------------------------------------


def window(path: Path, entries: int) -> int:
    """Open the window as the program does, record entries from inside, and close when told to on the standard input."""
    from PySide6.QtCore import QTimer
    from PySide6.QtWidgets import QApplication

    from rackview import app
    from rackview.ui.window import MainWindow

    app.application()
    chance = random.Random(5)  # noqa: S311 - the same at every run
    done = 0
    beat = QTimer()

    def main_window() -> MainWindow:
        return next(w for w in QApplication.topLevelWidgets() if isinstance(w, MainWindow))

    def step() -> None:
        nonlocal done
        shown = main_window()
        session = shown.session
        if done == 0:
            print("open", flush=True)
        at = MORNING + timedelta(seconds=done)
        session.record({"at": at, "vessel": f"V{done % 4 + 1}", "kind": "note", "text": f"window-{done}"})
        session.save_draft(f"form {done % 7}", {"V1": str(done)})
        if done % 50 == 49:
            session.undo()
            session.redo()
            shown.go("vessel", f"V{chance.randint(1, 4)}")
        if done % 50 == 20:
            shown.go("rack")
        done += 1
        if done == entries:
            beat.stop()
            print("recorded", flush=True)
            QTimer.singleShot(0, wait)

    def wait() -> None:
        """The others have ended when the standard input says so; one more entry then, into the same store."""
        sys.stdin.readline()
        shown = main_window()
        shown.session.poll()
        shown.session.record({"at": MORNING + timedelta(days=1), "vessel": "V1", "kind": "note", "text": "window-last"})
        hold(shown.session.trouble is None, shown.session.trouble)
        shown.close()

    beat.timeout.connect(step)
    beat.start(0)
    return app.run(path)


# --- the importers ---------------------------------------------------------------------------------------------------


def importer(path: Path, tag: str, entries: int) -> int:
    """Import tables, one after another."""
    from rackview.services.files import import_files

    few = max(FEW, -(-entries // FILES))
    for begin in range(0, entries, few):
        table = path.with_name(f"{tag}-{begin}.csv")
        lines = ["at,vessel,kind,text"]
        for i in range(begin, min(begin + few, entries)):
            at = MORNING + timedelta(hours=1, seconds=i)
            lines.append(f"{at.isoformat()},V{i % 4 + 1},note,{tag}-{i}")
        table.write_text("\n".join(lines) + "\n", encoding="utf-8")
        found = import_files([table], path, lambda: datetime.now(UTC))
        hold(not found.open and not found.intake.refused, [*found.open, *found.intake.refused])
        table.unlink()
    return 0


# --- from outside ----------------------------------------------------------------------------------------------------


def make(path: Path) -> None:
    """A new store with four vessels."""
    vessels = [Vessel(f"V{i}", "rotifer-L", "A", i, 20.0) for i in range(1, 5)]
    with Store.open(path, "write") as store:
        store.write(rows=[TableRow("vessel", v.vessel, v.row(), MORNING, id=f"row-{v.vessel}") for v in vessels])


def unlocked(path: Path, program: int) -> str:
    """What is wrong with a program's hold on the store, as the kernel lists it; empty if nothing."""
    table = Path("/proc/locks")
    if not table.exists():
        return ""
    lines = [line.split() for line in table.read_text(encoding="utf-8").splitlines()]
    locked = {int(w[5].rpartition(":")[2]) for w in lines if w[1] == "POSIX" and w[4] == str(program)}
    for file in (path, Path(f"{path}-shm")):
        if file.stat().st_ino not in locked:
            return f"the window has no lock on {file.name}"
    for handle in Path(f"/proc/{program}/fd").iterdir():
        try:
            target = str(handle.readlink())
        except FileNotFoundError:  # closed since it was listed
            continue
        if target.startswith(str(path)) and target.endswith("(deleted)"):
            return f"the window has {target} open"
    return ""


def start(*words: object, **more: object) -> subprocess.Popen[str]:
    me = [sys.executable, __file__, *map(str, words)]
    return subprocess.Popen(me, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE, **more)


def together(programs: int, entries: int, folder: Path) -> str:
    """Run all of it; see the module's text."""
    path = folder / "rack.db"
    make(path)
    shown = start("window", path, entries, stdin=subprocess.PIPE, env={**os.environ, **OFFSCREEN})
    try:
        return _beside(shown, programs, entries, path)
    finally:
        shown.kill()  # a window that nobody tells to close would wait for ever


def _beside(shown: subprocess.Popen[str], programs: int, entries: int, path: Path) -> str:
    begun = time.perf_counter()
    first = shown.stdout.readline()
    hold(first == "open\n", f"the window did not open: {first or shown.stderr.read()}")
    others = [start("importer", path, f"t{p}", entries) for p in range(1, programs)]
    looks = commands = 0
    while commands < len(COMMANDS) or any(o.poll() is None for o in others):
        words = COMMANDS[commands % len(COMMANDS)]
        command = ["-m", "rackview", "--store", str(path), *words]
        done = subprocess.run([sys.executable, *command], capture_output=True, text=True, check=False)
        commands += 1
        hold(done.returncode == 0 and not done.stderr, f"{words}: {done.returncode} {done.stdout} {done.stderr}")
        fault = unlocked(path, shown.pid)
        looks += 1
        hold(not fault, f"after {commands} commands, {fault}")
    for other in others:
        said, wrong = other.communicate()
        hold(other.returncode == 0, said + wrong)
    hold(shown.stdout.readline() == "recorded\n", "the window stopped recording")
    fault = unlocked(path, shown.pid)
    hold(not fault, f"after all, {fault}")
    said, wrong = shown.communicate("close\n")
    hold(shown.returncode == 0, said + wrong)
    wanted = [f"window-{i}" for i in range(entries)] + ["window-last"]
    wanted += [f"t{p}-{i}" for p in range(1, programs) for i in range(entries)]
    sound(path, wanted, entries)
    seconds = time.perf_counter() - begun
    return (
        f"{programs} programs x {entries} entries, a window among them, and {commands} commands: {len(wanted)} there, "
        f"none twice, the window's locks held at {looks + 1} looks, in {seconds:.0f} s"
    )


def sound(path: Path, wanted: list[str], entries: int) -> None:
    """Every entry once, every draft as it was last typed, and nothing wrong with file or day book."""
    with Store.open(path) as store:
        integrity = store.connection.execute("PRAGMA integrity_check").fetchall()
        hold(integrity == [("ok",)], integrity)
        there = sorted(e.text for e in store.load().events() if e.kind == "note")
        drafts = {f: d["V1"] for f, d in store.drafts().items()}
    lost, more = set(wanted) - set(there), len(there) - len(set(there))
    hold(there == sorted(wanted), f"{len(lost)} lost, {more} doubled")
    typed = {f"form {i % 7}": str(i) for i in range(entries)}
    hold(drafts == typed, f"drafts are {drafts}, typed was {typed}")
    found = check(path)
    hold(not found, [str(f) for f in found])
    left = [p.name for p in path.parent.glob(f"{path.name}-*")]
    hold(not left, f"{left} were left")


ROLES: dict[str, Callable[..., int]] = {
    "window": lambda path, entries: window(Path(path), int(entries)),
    "importer": lambda path, tag, entries: importer(Path(path), tag, int(entries)),
}


def main(words: list[str]) -> int:
    """Run a role, or the whole; see the module's text."""
    if words and words[0] in ROLES:
        return ROLES[words[0]](*words[1:])
    programs, entries = (int(w) for w in (*words, *("4", "5000")[len(words) :]))
    with tempfile.TemporaryDirectory(prefix="rackview-together-") as folder:
        for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
            os.environ[name] = str(Path(folder) / name.lower())
        try:
            print(together(programs, entries, Path(folder)))
        except DoesNotHoldError as error:
            print(f"DOES NOT HOLD: {error}")
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
