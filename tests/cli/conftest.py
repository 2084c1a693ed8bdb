"""What the tests of the command line share: calling it in this process, and a small store to ask."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from rackview.cli import main

VESSELS = "vessel,strain,shelf,position,volume_l\nA1,rotifer-L,A,1,20\nA2,rotifer-S,A,2,15\n"
EVENTS = """at,vessel,kind,tallies,aliquot_ml,volume_l,refill_l,what
2026-03-01T08:00+00:00,A1,count,98 104 101 97,1,,,
2026-03-01T08:30+00:00,A1,harvest,,,6,6,
2026-03-03T08:00+00:00,A1,count,131 128 133 129,1,,,
2026-03-03T08:20+00:00,A1,clean,,,,,floss
2026-03-03T08:30+00:00,A2,count,0 0 1,1,,,
"""


class Said(NamedTuple):
    """How a call of the command line ended, and what it printed."""

    status: int
    out: str
    err: str


Run = Callable[..., Said]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command line in this process."""

    def call(*words: object) -> Said:
        capsys.readouterr()
        try:
            status = main([str(w) for w in words])
        except SystemExit as end:
            status = int(end.code or 0)
        return Said(status, *capsys.readouterr())

    return call


@pytest.fixture
def tables(tmp_path: Path) -> tuple[Path, Path]:
    """A vessel table and an event table."""
    for name, text in (("vessels.csv", VESSELS), ("events.csv", EVENTS)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path / "vessels.csv", tmp_path / "events.csv"


@pytest.fixture
def store(run: Run, tables: tuple[Path, Path], tmp_path: Path) -> Path:
    """A store of two vessels and five events."""
    assert run("--store", tmp_path / "rack.db", "import", *tables).status == 0
    return tmp_path / "rack.db"
