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
    "is kept took a third off (156 ms of 490 on a busy machine, standard error 12). Then another tenth (30 ms of 272, "
    "standard error 6): the search was made up for right behind the answer (12 ms), all sixteen subcommands were built "
    "for one, platformdirs was asked where the language is kept, and numpy made its docstrings. Counted in "
    "instructions, which a busy machine does not change, it is 768 million beside 397 million of `import numpy`: the "
    "modules of store, rack, estimate and rules take 200 of them, those of the command line and the language 45, "
    "reading back what is kept and looking at it some 170."
)
PLANNED = (
    "as `status`, and 130 ms more for what to do, of which 100 play ways to act on sampled futures: each is sampled "
    "once and each list of ways played in one, and ways are sifted on a part of the futures before all are "
    "played, so that what is left are numpy's operations themselves. 25 draw the futures and load numpy's random "
    "numbers, 10 load the modules for it. What `status` was spared it is spared too (73 ms of 505 on a busy machine, "
    "standard error 14). Playing alone is more than what the target leaves after Python, numpy and the estimate."
)

ROWS = (
    Row("status", "`status` of the demo rack", "`import numpy`", 2.0, _status, SHORT),
    Row("advise", "`advise` of the demo rack", "`import numpy`", 2.0, _advise, PLANNED),
)
