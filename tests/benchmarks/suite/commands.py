"""The two commands that answer at a glance, on the demo rack."""

from __future__ import annotations

from pathlib import Path

from suite.row import Found, Row, Size, medians, program, run


def _demo(size: Size) -> Path:
    path = size.scratch() / "demo.db"
    if not path.exists():
        run("-m", "rackview", "demo", path)
    return path


def _status(size: Size) -> Found:
    return _command(size, "status")


def _advise(size: Size) -> Found:
    return _command(size, "advise")


def _command(size: Size, name: str) -> Found:
    store = _demo(size)
    return Found(
        *medians(2 * size.rounds, lambda: program(store, name, "--json").cpu, lambda: run("-c", "import numpy").cpu)
    )


ROWS = (
    Row("status", "`status` of the demo rack", "`import numpy`", 2.0, _status),
    Row("advise", "`advise` of the demo rack", "`import numpy`", 2.0, _advise),
)
