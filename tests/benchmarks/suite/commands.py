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
    "numpy itself is half of the target. Profiles are no longer TOML, and garbage is not searched for, which took 5 % "
    "off (19 ms of 421, standard error 9). Of our own modules' processor time more than half (70 of 122 ms) goes into "
    "making 76 dataclasses on Python 3.11, nearly a millisecond each; records that share equality and words in place "
    "of having them generated would save a quarter of a millisecond each, and take twice the time to be compared."
)

ROWS = (
    Row("status", "`status` of the demo rack", "`import numpy`", 2.0, _status, SHORT),
    Row("advise", "`advise` of the demo rack", "`import numpy`", 2.0, _advise, SHORT),
)
