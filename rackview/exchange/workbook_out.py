"""All tables as one workbook: a sheet for each, dates as dates, the header frozen, the dictionary as the last sheet.

A cell of a workbook holds no offset, no microseconds and 16 digits of a number. What does not fit in them stands there
as text, and the moment of an event is given once more, exactly, in `at_exact`; so importing the workbook gives the same
store back.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rackview.core.errors import InputError
from rackview.core.rack import Rack
from rackview.exchange.dictionary import AT_EXACT, TABLES, TableSpec
from rackview.exchange.guard import guarded
from rackview.exchange.writer import plain_number, tables_of
from rackview.language import _

if TYPE_CHECKING:
    from xlsxwriter.worksheet import Worksheet

NAME = "rack.xlsx"
MOST_TEXT = 32_767
"""Characters that a cell of a workbook can hold."""
WIDEST = 60
EARLIEST = date(1900, 3, 1)
"""Before it a workbook counts a day that never was."""
_DAYS = frozenset({"opened", "expires", "spawned", "hatched", "date"})


def export_workbook(
    rack: Rack, folder: str | Path, local: Callable[[datetime], datetime] = datetime.astimezone
) -> Path:
    """Write `rack` to a workbook in `folder` and return it; an older one there is replaced in one step.

    Raises `OSError`, and `InputError` for a text that no cell can hold.
    """
    import xlsxwriter

    place = Path(folder) / NAME
    place.parent.mkdir(parents=True, exist_ok=True)
    rows = {name: [dict(row) for row in table] for name, table in tables_of(rack, local).items()}
    for row in rows["events"]:
        row[AT_EXACT] = row["at"]
    fresh = place.with_name(f".{NAME}.part")
    try:
        with xlsxwriter.Workbook(fresh, {"constant_memory": False, "in_memory": True}) as book:
            styles = {
                "head": book.add_format({"bold": True, "bottom": 1}),
                "day": book.add_format({"num_format": "yyyy-mm-dd"}),
                "moment": book.add_format({"num_format": "yyyy-mm-dd hh:mm"}),
            }
            for table in TABLES:
                _write(book.add_worksheet(table.name), table, rows[table.name], styles)
        fresh.replace(place)
    finally:
        fresh.unlink(missing_ok=True)
    return place


def _write(sheet: Worksheet, table: TableSpec, rows: list[dict[str, Any]], styles: Mapping[str, Any]) -> None:
    """One table; columns that nothing fills are left out, unless the table is known by them."""
    names = [*table.names, AT_EXACT] if table.name == "events" else table.names
    filled = {c for row in rows for c, v in row.items() if v not in (None, "")}
    columns = [c for c in names if c in filled or c in table.needs]
    sheet.freeze_panes(1, 0)
    for place, column in enumerate(columns):
        sheet.write_string(0, place, column, styles["head"])
        longest = max((len(str(row.get(column) or "")) for row in rows), default=0)
        sheet.set_column(place, place, min(max(len(column), longest if column != "at" else 16) + 2, WIDEST))
    if rows:
        sheet.autofilter(0, 0, len(rows), len(columns) - 1)
    for line, row in enumerate(rows, 1):
        for place, column in enumerate(columns):
            _cell(sheet, line, place, column, row.get(column), styles)


def _cell(sheet: Worksheet, line: int, place: int, column: str, value: object, styles: Mapping[str, Any]) -> None:
    value = plain_number(value)
    if value is None or value == "":
        return
    if isinstance(value, int | float) and not isinstance(value, bool):
        if abs(value) < 1e15 and float(f"{value:.16g}") == value:
            sheet.write_number(line, place, value)
        else:
            sheet.write_string(line, place, repr(value))
        return
    text = str(value)
    typed = _typed(column, text)
    if typed is not None:
        sheet.write_datetime(line, place, typed, styles["moment" if isinstance(typed, datetime) else "day"])
        return
    if len(text) >= MOST_TEXT:
        raise InputError(
            column,
            f"{text[:40]}…",
            _("at most {most_text} characters in a workbook; export as CSV instead").format(most_text=MOST_TEXT),
        )
    sheet.write_string(line, place, guarded(text))


def _typed(column: str, text: str) -> date | datetime | None:
    """The day or the moment on the wall that a text says, if it is one that a workbook knows."""
    if column not in _DAYS and column != "at":
        return None
    moment = datetime.fromisoformat(text).replace(tzinfo=None, microsecond=0)
    if moment.date() < EARLIEST:
        return None
    return moment if column == "at" else moment.date()
