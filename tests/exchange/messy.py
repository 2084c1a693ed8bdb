"""Tables as keepers keep them, of our own making: what may be answered about each, and what each says.

Those of messy_layouts.py differ in where things stand, those of messy_values.py in how they are written.

An event is written as `month-day hour:minute vessel kind column=value ...`; the rack is `RACK`, today is `NOW`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import openpyxl

from rackview.core.rack import Rack
from rackview.core.tables import Settings, Stock
from rackview.core.vessel import Vessel

NOW = datetime(2026, 4, 10, 8, tzinfo=UTC)
RACK = Rack.build(
    [
        *(Vessel(f"A{n}", "rotifer-L", "A", n, 20.0) for n in (1, 2, 3)),
        Vessel("Blue", "copepod-benthic", "B", 1, 60.0),
    ],
    stock=[Stock("paste", dry_g_per_ml=0.08)],
    settings=Settings(volume_unit="L"),
)
DAY, MONTH, DECIMAL_COMMA, DECIMAL_POINT = (
    {"date order": "day first"}, {"date order": "month first"}, {"separator": "“,” is the decimal sign"},
    {"separator": "“.” is the decimal sign"},
)  # fmt: skip


@dataclass(frozen=True)
class Messy:
    """One table: what is in the file, the answers that it takes, the events that it says, lines that can't be taken."""

    content: str | bytes | Callable[[Path], None]
    says: str
    answers: dict[str, str] = field(default_factory=dict)
    refused: str = ""
    ending: str = "csv"
    vessels: str = ""

    def write(self, folder: Path, name: str) -> Path:
        """The table as a file."""
        path = folder / f"{name.replace(' ', '-').replace('/', '')}.{self.ending}"
        if callable(self.content):
            self.content(path)
        else:
            path.write_bytes(self.content if isinstance(self.content, bytes) else self.content.encode())
        return path


def book(*sheets: tuple[str, list[list[object]]], merge: str = "") -> Callable[[Path], None]:
    """Write an XLSX workbook with these sheets."""

    def write(path: Path) -> None:
        made = openpyxl.Workbook()
        made.remove(made.active)
        for title, rows in sheets:
            sheet = made.create_sheet(title)
            for row in rows:
                sheet.append(row)
            if merge:
                sheet.merge_cells(merge)
        made.save(path)

    return write


def stamp(*parts: int) -> datetime:
    """A cell with day and time; spreadsheets know no zones."""
    return datetime(*parts, tzinfo=UTC).replace(tzinfo=None)
