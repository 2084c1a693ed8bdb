"""The two commands that answer at a glance, on the demo rack."""

from __future__ import annotations

import shutil
from pathlib import Path

from suite.row import Found, Row, Size, medians, program, run


def _demo(size: Size) -> Path:
    """A fresh one: what was remembered by another version of the program would not be used."""
    folder = size.scratch() / "demo"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    run("-m", "rackview", "demo", folder / "rack.db")
    return folder / "rack.db"


def _status(size: Size) -> Found:
    return _command(size, "status")


def _advise(size: Size) -> Found:
    return _command(size, "advise")


def _command(size: Size, name: str) -> Found:
    store = _demo(size)
    return Found(
        *medians(2 * size.rounds, lambda: program(store, name, "--json").cpu, lambda: run("-c", "import numpy").cpu)
    )


SHORT = (
    "numpy itself is half of the target. Of our own modules' processor time more than half (70 of 122 ms) goes into "
    "making 75 dataclasses on Python 3.11, about a millisecond each; without that `status` would take about 2.4 x."
)

ROWS = (
    Row("status", "`status` of the demo rack", "`import numpy`", 2.0, _status, SHORT),
    Row("advise", "`advise` of the demo rack", "`import numpy`", 2.0, _advise, SHORT),
)
