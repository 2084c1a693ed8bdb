"""Which table a sheet is, told by its header, and its rows by column."""

from __future__ import annotations

import difflib
import re
from contextlib import suppress
from dataclasses import replace
from datetime import date, datetime

from rackview.exchange.dictionary import AT_EXACT, TableSpec, table_by_header
from rackview.exchange.intake import Report, SourceRow, clear
from rackview.exchange.sheets import Sheet
from rackview.language import _

MOST_CHARACTERS = 100_000
MOST_COLUMNS = 200
WHY = "why_not_taken"
"""The column of reasons in a file of refused lines; passed over when the file comes back."""


def recognised_rows(sheet: Sheet, part: int, report: Report) -> tuple[TableSpec, list[SourceRow]] | None:
    """The table and its rows; None if the header is refused. Rows that are refused for their shape are left out."""
    if not sheet.rows:
        report.refused(
            SourceRow(part, sheet.label, 0, {}), _("It holds no rows; the first one should name the columns.")
        )
        return None
    line, head = sheet.rows[0]
    header = tuple(column_name(c) for c in head)
    at = SourceRow(part, sheet.label, line, {})
    if sum(map(bool, header)) > MOST_COLUMNS:
        report.refused(
            at,
            _("It names more than {most_columns} columns, and no table has so many.").format(most_columns=MOST_COLUMNS),
        )
        return None
    table = table_by_header(header)
    if table is None:  # not ours: what its columns mean is asked instead
        return None
    twice = sorted({c for c in header if c and header.count(c) > 1})
    if twice:
        report.refused(
            at, _("The column {twice} stands there twice; keep one of the two.").format(twice=clear(twice[0]))
        )
        return None
    rows, filled = _cut(sheet, header, part, report)
    strange = sorted(c for c in filled if c not in table.names)
    for column in strange:
        near = difflib.get_close_matches(column, table.names, 1)
        hint = (
            _("; is {near} meant?").format(near=near[0])
            if near
            else _("; it has {names}.").format(names=", ".join(table.names))
        )
        name = _("column {column}").format(column=clear(column)) if column else _("column without a name")
        report.refused(
            at, _("The table of {name} has no {name_2}{hint}").format(name=table.name, name_2=name, hint=hint)
        )
    return None if strange else (table, rows)


def column_name(cell: object) -> str:
    """A header cell as the name of a column: lower case, underscores for spaces and hyphens."""
    return re.sub(r"[\s\-]+", "_", str(cell).strip()).lower()


def _cut(sheet: Sheet, header: tuple[str, ...], part: int, report: Report) -> tuple[list[SourceRow], set[str]]:
    rows: list[SourceRow] = []
    filled: set[str] = set()
    for line, cells in sheet.rows[1:]:
        row = SourceRow(
            part, sheet.label, line, {c: v for c, v in zip(header, cells, strict=False) if _filled(v) and c != WHY}
        )
        if AT_EXACT in row.cells:
            row = replace(row, cells=_exact(dict(row.cells)))
        if len(cells) > len(header) and any(_filled(v) for v in cells[len(header) :]):
            report.refused(
                row,
                _("It has {cells} cells, but the header names {header} columns.").format(
                    cells=len(cells), header=len(header)
                ),
            )
            continue
        long = next((c for c, v in row.cells.items() if isinstance(v, str) and len(v) > MOST_CHARACTERS), None)
        if long is not None:
            report.refused(
                row,
                _("{long}: found {cells} characters, but needs at most {most_characters}.").format(
                    long=long, cells=len(str(row.cells[long])), most_characters=MOST_CHARACTERS
                ),
            )
            continue
        filled.update(row.cells)
        rows.append(row)
    return rows, filled


def _filled(cell: object) -> bool:
    return not isinstance(cell, str) or bool(cell.strip())


def _exact(cells: dict[str, object]) -> dict[str, object]:
    """Cells with the exact moment for the one that a workbook shows, unless that one was changed since."""
    said = cells.pop(AT_EXACT)
    shown = cells.get("at")
    with suppress(ValueError):
        moment = datetime.fromisoformat(str(said)).replace(tzinfo=None, microsecond=0)
        if isinstance(shown, date) and shown in {moment, moment.date()}:
            cells["at"] = said
    return cells
