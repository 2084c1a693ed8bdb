"""What a row of the suite is, and how the time and memory of a process are taken."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

CHILDREN = Path(__file__).with_name("children")
FRAME_S = 1 / 60
"""One picture of a screen that shows sixty a second."""


@dataclass(frozen=True, slots=True)
class Size:
    """How much work a run is."""

    name: str
    vessels: int
    years: float
    many_vessels: int
    long_years: float
    events: int
    entries: int
    idle_s: float
    rounds: int
    folder: Path
    """Where made stores are kept from one run to the next."""

    def scratch(self) -> Path:
        """A folder for what a run writes and throws away."""
        made = self.folder / "scratch"
        made.mkdir(parents=True, exist_ok=True)
        return made


def sized(name: str, folder: Path) -> Size:
    """The sizes that a run can be asked for: that of the targets, or one for a quick look."""
    if name == "full":
        return Size(name, 48, 3, 1000, 10, 1_000_000, 10_000, 60.0, 5, folder)
    if name == "tenth":
        return Size(name, 48, 3, 1000, 1, 100_000, 10_000, 60.0, 3, folder)
    return Size(name, 12, 1, 96, 2, 20_000, 400, 5.0, 3, folder)


@dataclass(frozen=True, slots=True)
class Found:
    """What was measured, ours and the reference in one unit: s, ms or MB."""

    ours: float
    reference: float
    unit: str = "s"
    said: str = ""

    @property
    def ratio(self) -> float:
        return self.ours / self.reference


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: what is measured, against what, and how large the ratio may be.

    `short` says, where the target is missed, why and where the bound lies.
    """

    name: str
    what: str
    reference: str
    most: float
    measure: Callable[[Size], Found]
    short: str = ""


@dataclass(frozen=True, slots=True)
class Used:
    """What a process took: processor and clock time, s, and peak memory, MB; and what it printed."""

    cpu: float
    wall: float
    peak_mb: float
    said: str


def run(*words: str | Path, **more: str) -> Used:
    """Run a Python process to its end; compiled modules are kept, as an installed program has them."""
    compiled = os.environ.get("PYTHONPYCACHEPREFIX") or str(CHILDREN.parents[3] / ".venv" / "compiled")
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    offscreen = {"QT_QPA_PLATFORM": "offscreen", "PYTHONPYCACHEPREFIX": compiled, "OMP_NUM_THREADS": "1"}
    begun = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *map(str, words)], env={**kept, **offscreen, **more}, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    said = process.stdout.read()
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    process.stdout.close()
    if process.returncode not in {0, -9}:
        raise RuntimeError(f"{words} ended with {process.returncode}")
    wall = time.perf_counter() - begun
    return Used(used.ru_utime + used.ru_stime, wall, used.ru_maxrss / 1024, said)


def child(name: str, *words: str | Path, **more: str) -> Used:
    """Run one of the small programs beside this module."""
    return run(CHILDREN / f"{name}.py", *words, **more)


def program(store: Path, *words: str | Path) -> Used:
    """Run a subcommand of the program on a store."""
    return run("-m", "rackview", "--store", store, *words)


def medians(rounds: int, *works: Callable[[], float]) -> list[float]:
    """The median of each work over some rounds, taken in turn so that a busy spell falls on all; one goes before."""
    found: list[list[float]] = [[] for _ in works]
    for n in range(rounds + 1):
        for work, times in zip(works, found, strict=True):
            taken = work()
            if n:
                times.append(taken)
    return [statistics.median(times) for times in found]


def share(values: list[float], part: float) -> float:
    """The value that so large a part of the values does not pass."""
    return sorted(values)[min(len(values) - 1, int(part * len(values)))]
