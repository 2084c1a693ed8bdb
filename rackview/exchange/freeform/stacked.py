"""Sheets on which several tables stand one under the other, cut into a sheet for each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rackview.exchange.freeform.dates import looks_like_day
from rackview.exchange.freeform.numbers import is_missing_value
from rackview.exchange.freeform.targets import role_of
from rackview.exchange.sheets import Sheet
from rackview.language import _

Row = tuple[int, tuple[object, ...]]


def tables_in(sheet: Sheet) -> list[Sheet]:
    """The sheet itself, or one for each table where other names of columns stand under days; titles go with them."""
    cuts, names = [0], ""
    for place, (_line, cells) in enumerate(sheet.rows):
        header = _names(cells)
        if header and header != names:
            if names or any(_has_day(row) for row in sheet.rows[:place]):
                cuts.append(place - _titles(sheet.rows[cuts[-1] + 1 : place]))
            names = header
    if len(cuts) == 1:
        return [sheet]
    ends = [*cuts[1:], len(sheet.rows)]
    pieces = [sheet.rows[a:b] for a, b in zip(cuts, ends, strict=True)]
    return [
        replace(sheet, rows=rows, label=_("{name}, from line {line}").format(name=sheet.label, line=rows[0][0]))
        for rows in pieces
    ]


def _names(cells: Sequence[object]) -> str:
    """A row that names columns, one of them the day, as one text to compare; blank for any other row."""
    if not all(isinstance(c, str) for c in cells[:3]):
        return ""
    filled = [str(c).strip() for c in cells if not is_missing_value(c)]
    if len(filled) < 2 or filled[0][:1].isdigit() or any(looks_like_day(c) for c in filled):
        return ""
    roles = [role_of(c) for c in filled]
    named = sum(map(bool, roles))
    return "\x1f".join(filled).lower() if "date" in roles and 2 * named >= len(filled) else ""


def _has_day(row: Row) -> bool:
    return any(looks_like_day(c) for c in row[1])


def _titles(rows: Sequence[Row]) -> int:
    """How many rows of one cell, which are no days, end these rows."""
    found = 0
    for _line, cells in reversed(rows):
        filled = [c for c in cells if not is_missing_value(c)]
        if len(filled) != 1 or looks_like_day(filled[0]):
            break
        found += 1
    return found
