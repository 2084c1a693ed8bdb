"""Rows as text that a spreadsheet takes: a line each, tabs between the cells."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta

from PySide6.QtCore import QAbstractItemModel, QModelIndex, Qt

from rackview.language import _

SERIES = (_("When"), _("What"), _("Value"), _("Low"), _("High"))
"""The titles of a table of values in time."""


def tab_lines(rows: Iterable[Sequence[object]]) -> str:
    """The rows as text; what would break a cell becomes a space."""
    return "".join("\t".join(" ".join(str(c if c is not None else "").split()) for c in row) + "\n" for row in rows)


def table(model: QAbstractItemModel, rows: Iterable[int], columns: Sequence[int]) -> str:
    """Rows of a table with the titles of their columns."""
    titles = [model.headerData(c, Qt.Orientation.Horizontal, Qt.ItemDataRole.DisplayRole) for c in columns]
    return tab_lines([titles, *([cell(model.index(row, c)) for c in columns] for row in rows)])


def cell(index: QModelIndex) -> object:
    """What stands in a place of a table, or what a screen reader is told of it where it is only drawn."""
    return index.data(Qt.ItemDataRole.DisplayRole) or index.data(Qt.ItemDataRole.AccessibleTextRole)


def cell_time(day: float, offset: timedelta) -> str:
    """Days since 1970 as a date and time on the keeper's clock, as every spreadsheet reads it."""
    at = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(days=day) + offset
    return f"{at:%Y-%m-%d %H:%M}"
