"""docs/speed.md: written from a run, read back to compare with the next."""

from __future__ import annotations

import os
import platform
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from suite.row import Found, Row
from suite.rows import ROWS

PAGE = Path(__file__).parents[3] / "docs" / "speed.md"
HEAD = """# Speed

How fast the program is, each figure beside a reference that was measured in the same run, so that it says the same on
another machine. Written by `python tests/benchmarks/run.py`; with `--check` it compares a machine with this page.

Processor time where a process is measured, time on the clock where a disk or a keeper waits; medians unless a row says
otherwise.

| row | what | median | reference | its median | ratio | target | met | measured |
|---|---|---|---|---|---|---|---|---|
"""
UNMEASURED = "not measured"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the page."""

    cells: tuple[str, ...]

    @property
    def ratio(self) -> float | None:
        return None if self.cells[5] == UNMEASURED else float(self.cells[5])


def target(row: Row) -> str:
    """The greatest ratio in words."""
    return f"at most {row.most:.3g}"


def line(row: Row, found: Found | None, size: str = "") -> Line:
    """The line of a row that was measured, or was not yet; `size` says where it was less than the row names."""
    if found is None:
        return Line((row.name, row.what, UNMEASURED, row.reference, "", UNMEASURED, target(row), "", ""))
    return Line(
        (
            row.name, row.what, f"{found.ours:.3g} {found.unit}", row.reference, f"{found.reference:.3g} {found.unit}",
            f"{found.ratio:.3g}", target(row), "yes" if found.ratio <= row.most else "no",
            "; ".join(filter(None, (f"{datetime.now(UTC).date().isoformat()}, {machine()}", size, found.said))),
        )
    )  # fmt: skip


def machine() -> str:
    """What kind of machine this is, without its name, and how busy where it was too busy for times on the clock."""
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    version = ".".join(platform.python_version_tuple()[:2])
    kind = f"{os.cpu_count()} cores {platform.machine()}, {memory:.0f} GB, {platform.system()}, Python {version}"
    waiting = os.getloadavg()[0] if hasattr(os, "getloadavg") else 0.0
    return f"{kind}, {waiting:.0f} processes at work" if waiting > 1.5 * (os.cpu_count() or 1) else kind


def read() -> dict[str, Line]:
    """The lines of the page by the name of their row."""
    if not PAGE.exists():
        return {}
    found = {}
    for text in PAGE.read_text(encoding="utf-8").splitlines():
        cells = tuple(cell.strip() for cell in text.strip("|").split("|"))
        if len(cells) == 9 and cells[0] not in {"row", "---"}:
            found[cells[0]] = Line(cells)
    return found


def text(lines: Mapping[str, Line]) -> str:
    """The whole page: every row, with what was measured of it, and why some fall short."""
    table = [lines.get(row.name) or line(row, None) for row in ROWS]
    short = [f"* {row.what}: {row.short}\n" for row in ROWS if row.short]
    tail = "\n## Where a target is missed, and the bound\n\n" + "".join(short) if short else ""
    return HEAD + "".join(f"| {' | '.join(one.cells)} |\n" for one in table) + tail


def write(lines: Mapping[str, Line]) -> None:
    """Write the page anew."""
    PAGE.write_text(text(lines), encoding="utf-8")
