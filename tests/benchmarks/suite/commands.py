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
    "Python with numpy is half of the target. Profiles are no longer TOML, dataclasses compile a method when it is "
    "first called, and no garbage is searched for, least of all at the end: these two and a quicker reading of what "
    "is kept took a third off (156 ms of 490 on a busy machine, standard error 12). Of 234 ms on a quieter one "
    "Python and numpy take 100, the modules of store and rack 33, those of estimate and rules 24, reading back what "
    "is kept and looking at it 52, the choice of language 13 (most of it platformdirs, which loads what makes "
    "temporary files) and the command line 7, as each of twenty subcommands is built."
)
PLANNED = (
    "as `status`, and 130 ms more for what to do: two thirds of that plays ways to act on sampled futures, which make "
    "the answer, a fifth loads the modules for it and numpy's random numbers. That alone is more than what the target "
    "leaves after Python, numpy and the estimate."
)

ROWS = (
    Row("status", "`status` of the demo rack", "`import numpy`", 2.0, _status, SHORT),
    Row("advise", "`advise` of the demo rack", "`import numpy`", 2.0, _advise, PLANNED),
)
