"""Recorded events as a table, newest first, with the keys to correct a row or take it back."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import (
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QHeaderView, QPushButton, QVBoxLayout, QWidget

from rackview.core.events import Count, Event
from rackview.core.rack import Rack
from rackview.language import _
from rackview.ui.widgets import sample_picture
from rackview.ui.widgets.fields import tall
from rackview.ui.widgets.table import DataTable
from rackview.ui.words import event_words, formats

Index = QModelIndex | QPersistentModelIndex
NARROW = 480
"""A list narrower than this has no room for the details, px."""
PAGE = 200
"""Rows fetched at a time, so that years of history open at once."""
NOWHERE = QModelIndex()


def newest_first(
    rack: Rack, vessel: str = "", kind: str = "", *, incoming: bool = False, since: float = float("-inf")
) -> Iterator[Event]:
    """Events in force, newest first, of one vessel or all, of one kind or all; `incoming` also those that touch it.

    `since` is the first day that counts (as `Event.day`); what is older is not even looked at.
    """
    names = [vessel] if vessel else list(rack.known_vessels)
    logs = (
        (n.event for n in rack.logs[name].back(since) if n.event is not None and (incoming or not n.incoming))
        for name in names
    )
    merged = heapq.merge(*logs, key=Event.order, reverse=True)
    return (e for e in merged if not kind or e.kind == kind)


class EventModel(QAbstractTableModel):
    """Events as rows: when, vessel, what, details."""

    def __init__(self, parent: QWidget | None = None, *, with_vessel: bool = True) -> None:
        super().__init__(parent)
        self.with_vessel = with_vessel
        self._source: Iterator[Event] = iter(())
        self._rows: list[Event] = []
        self._ended = True
        self._rack: Rack | None = None
        self._now: datetime | None = None
        self.find_picture: Callable[[str], Path | None] = lambda _: None

    def load(self, events: Iterable[Event], rack: Rack, now: datetime) -> None:
        """Show these events; `now` is in the keeper's zone."""
        self.beginResetModel()
        self._source, self._rack, self._now = iter(events), rack, now
        self._rows = list(islice(self._source, PAGE))
        self._ended = len(self._rows) < PAGE
        self.endResetModel()

    def headers(self) -> list[str]:
        """Titles of the columns."""
        vessel = [_("Vessel")] if self.with_vessel else []
        return [_("When"), *vessel, _("What"), _("Details")]

    def line_at(self, row: int) -> list[str]:
        """The cells of a row."""
        return [str(self.data(self.index(row, column)) or "") for column in range(self.columnCount())]

    def event_at(self, row: int) -> Event | None:
        """The event of a row."""
        return self._rows[row] if 0 <= row < len(self._rows) else None

    def rowCount(self, parent: Index = NOWHERE) -> int:
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = NOWHERE) -> int:
        return 0 if parent.isValid() else 3 + self.with_vessel

    def canFetchMore(self, parent: Index) -> bool:
        return not parent.isValid() and not self._ended

    def fetchMore(self, parent: Index) -> None:
        more = list(islice(self._source, PAGE))
        self._ended = len(more) < PAGE
        if more:
            self.beginInsertRows(QModelIndex(), len(self._rows), len(self._rows) + len(more) - 1)
            self._rows += more
            self.endInsertRows()

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self.headers()[section]
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        event = self.event_at(index.row())
        if event is None or self._rack is None or self._now is None:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._cells(event, self._rack, self._now)[index.column()]
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return ", ".join(c for c in self._cells(event, self._rack, self._now) if c)
        if role == Qt.ItemDataRole.DecorationRole and index.column() == self.columnCount() - 2:
            place = self.picture_of(event)
            return None if place is None else sample_picture.thumbnail(place)
        if role == Qt.ItemDataRole.ToolTipRole:
            return self._cells(event, self._rack, self._now)[-1] or None
        return None

    def picture_of(self, event: Event | None) -> Path | None:
        """Where the picture beside a count lies; None where there is none."""
        name = event.picture if isinstance(event, Count) else None
        return self.find_picture(name) if name else None

    def _cells(self, event: Event, rack: Rack, now: datetime) -> list[str]:
        at = event.at.astimezone(now.tzinfo)
        vessel = []
        if self.with_vessel:
            known = rack.known_vessels.get(event.vessel)
            vessel = [f"{known.place} {event.vessel}" if known else event.vessel]
        more = event_words.details(event, rack.settings)
        if event.replaces is not None:
            more = ", ".join(w for w in (more, _("corrected")) if w)
        when = f"{formats.short_date(at.date(), now.date())} {formats.clock(at)}"
        return [when, *vessel, event_words.summary(event, rack.settings), more]


class EventList(QWidget):
    """The table with its two buttons.

    Signals
    -------
    correct(object) : the event to be corrected
    withdraw(object) : the event to be taken back
    withdraw_all(list) : the events to be taken back in one step, where several can be chosen
    copied(int) : how many rows were copied

    Attributes
    ----------
    find_picture : gives the place of a kept picture by its name, None where it is away
    """

    correct = Signal(object)
    withdraw = Signal(object)
    withdraw_all = Signal(list)
    copied = Signal(int)

    def __init__(self, *, with_vessel: bool = True, several: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.model = EventModel(self, with_vessel=with_vessel)
        self.table = DataTable(self)
        self.table.setModel(self.model)
        self.table.setAccessibleName(_("Recorded events, newest first"))
        self.table.empty = _("Nothing recorded yet.")
        if several:
            self.table.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        widths = (150, 150, 220) if with_vessel else (128, 200)
        for column, width in enumerate(widths):
            self.table.setColumnWidth(column, width)
        self.table.horizontalHeader().setSectionResizeMode(len(widths), QHeaderView.ResizeMode.Stretch)
        self._correct = QPushButton(_("Correct"), self)
        self._withdraw = QPushButton(_("Take back"), self)
        self._copy = QPushButton(_("Copy"), self)
        self._copy.clicked.connect(lambda: self.copied.emit(self.table.copy_rows()))
        self._copy.setVisible(several)
        self._picture = QPushButton(_("Picture"), self)
        self._picture.setToolTip(_("The picture of the sample that is kept beside this count"))
        self._picture.clicked.connect(self._show_picture)
        self._picture.hide()
        self._correct.clicked.connect(lambda: self._ask(self.correct))
        self._withdraw.clicked.connect(self._ask_withdraw)
        self.table.correct_wanted.connect(lambda: self._ask(self.correct))
        self.table.withdraw_wanted.connect(self._ask_withdraw)
        self.table.selectionModel().selectionChanged.connect(lambda *_: self._enable())
        column_box = QVBoxLayout(self)
        column_box.setContentsMargins(0, 0, 0, 0)
        column_box.setSpacing(8)
        column_box.addWidget(self.table, 1)
        self.buttons = QHBoxLayout()
        for button in (self._correct, self._withdraw, self._copy, self._picture):
            tall(button, 40)
            self.buttons.addWidget(button)
        self.buttons.addStretch(1)
        column_box.addLayout(self.buttons)
        self.read_only = False
        self._shown: tuple[Any, ...] | None = None
        self._enable()

    @property
    def find_picture(self) -> Callable[[str], Path | None]:
        """How a picture is found."""
        return self.model.find_picture

    @find_picture.setter
    def find_picture(self, find: Callable[[str], Path | None]) -> None:
        self.model.find_picture = find
        self.table.setIconSize(sample_picture.SMALL)

    def _show_picture(self) -> None:
        place = self.model.picture_of(self.chosen())
        if place is not None:
            title = ", ".join(self.model.line_at(self.table.currentIndex().row())[:-1])
            sample_picture.show_picture(place, title, self)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A narrow list leaves the details to the tooltip."""
        super().resizeEvent(event)
        if not self.model.with_vessel:
            narrow = self.width() < NARROW
            self.table.setColumnHidden(2, narrow)
            self.table.setColumnWidth(1, self.width() - 128 - 24 if narrow else 200)

    def chosen(self) -> Event | None:
        """The event of the selected row."""
        return self.model.event_at(self.table.currentIndex().row())

    def show_event(self, event_id: str) -> None:
        """Go to the row of an event, fetching older rows until it is there."""
        row = 0
        while True:
            event = self.model.event_at(row)
            if event is None:
                if not self.model.canFetchMore(NOWHERE):
                    return
                self.model.fetchMore(NOWHERE)
            elif event.id == event_id:
                break
            else:
                row += 1
        self.table.selectRow(row)
        self.table.scrollTo(self.model.index(row, 0), QAbstractItemView.ScrollHint.PositionAtCenter)

    def load(self, events: Iterable[Event], rack: Rack, now: datetime, *key: str) -> None:
        """Show these events, keeping the chosen row where it still stands; the same rack and day change nothing."""
        shown = (rack, now.date(), *key)
        if self._shown is not None and shown[0] is self._shown[0] and shown[1:] == self._shown[1:]:
            return
        self._shown = shown
        kept = self.chosen()
        self.model.load(events, rack, now)
        if kept is not None:
            for row in range(self.model.rowCount()):
                event = self.model.event_at(row)
                if event is not None and event.id == kept.id:
                    self.table.selectRow(row)
                    break
        self._enable()

    def _enable(self) -> None:
        rows = len(self.table.chosen_rows()) if self.chosen() is not None else 0
        self._correct.setEnabled(rows == 1 and not self.read_only)
        self._withdraw.setEnabled(rows > 0 and not self.read_only)
        self._withdraw.setText(_("Take back") if rows < 2 else _("Take {n} back").format(n=rows))
        self._copy.setEnabled(rows > 0)
        self._picture.setVisible(rows == 1 and self.model.picture_of(self.chosen()) is not None)

    def several(self) -> list[Event]:
        """The events of all selected rows."""
        return [e for row in self.table.chosen_rows() if (e := self.model.event_at(row)) is not None]

    def _ask(self, signal: Any) -> None:
        event = self.chosen()
        if event is not None and not self.read_only and len(self.table.chosen_rows()) < 2:
            signal.emit(event)

    def _ask_withdraw(self) -> None:
        events = self.several()
        if len(events) < 2:
            self._ask(self.withdraw)
        elif not self.read_only:
            self.withdraw_all.emit(events)
