"""What to restore from: every copy with what it holds and how old it is, the best one chosen already."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QAbstractItemView, QFileDialog, QHeaderView, QSizePolicy, QVBoxLayout, QWidget

from rackview.language import _
from rackview.services.copies import Copy
from rackview.ui.forms.table_page import TableLine, TableLines
from rackview.ui.store import words
from rackview.ui.store.parts import WIDEST, button, row
from rackview.ui.store.parts import selectable_words as label
from rackview.ui.widgets.table import DataTable

COLUMNS = (210, 130, 210)
STORES = _("rackview stores (*.db);;All files (*)")
ROWS = 6
"""Rows shown before it scrolls."""


class CopyList(QWidget):
    """The copies as a table.

    Signals
    -------
    chosen() : another row was chosen
    wanted() : Enter or a double click on a row
    """

    chosen = Signal()
    wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        headers = (_("Written"), _("Holds"), _("Newest entry"), _("Where"))
        self.lines = TableLines(headers, self)
        self.table = DataTable(self)
        self.table.setModel(self.lines)
        self.table.setAccessibleName(_("Copies to restore from"))
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.empty = _("No copy was found beside the store.")
        for column, width in enumerate(COLUMNS):
            self.table.setColumnWidth(column, width)
        self.table.horizontalHeader().setSectionResizeMode(len(COLUMNS), QHeaderView.ResizeMode.Stretch)
        self.table.selectionModel().selectionChanged.connect(lambda *_: self.chosen.emit())
        self.table.correct_wanted.connect(self.wanted)
        column_box = QVBoxLayout(self)
        column_box.setContentsMargins(0, 0, 0, 0)
        column_box.addWidget(self.table)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def load(self, copies: Sequence[Copy], now: datetime) -> None:
        """Show these, the best first and chosen."""
        self.lines.load([TableLine(words.copy_cells(c, now), c, wanting=not c.usable) for c in copies])
        if copies:
            self.table.selectRow(0)
        self.updateGeometry()
        self.chosen.emit()

    def copy(self) -> Copy | None:
        """The copy that is chosen, if it can be used."""
        at = self.table.currentIndex().row()
        found = self.lines.lines[at].record if 0 <= at < len(self.lines.lines) else None
        return found if isinstance(found, Copy) and found.usable else None

    def sizeHint(self) -> QSize:
        rows = max(2, min(ROWS, len(self.lines.lines)))
        return QSize(600, self.table.horizontalHeader().sizeHint().height() + rows * 32 + 6)


class RestorePart(QWidget):
    """The copies, and the button to restore from the one that is chosen.

    Signals
    -------
    source_wanted(object) : restore from this file, or from this folder of a day book alone
    """

    source_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._said = label("", self)
        self.list = CopyList(self)
        self.button = button(_("&Restore from the chosen copy"), self._press, self, primary=True)
        self.file = button(_("From another &file…"), self._choose, self)
        self.list.chosen.connect(lambda: self.button.setEnabled(self.list.copy() is not None))
        self.list.wanted.connect(self._press)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        for part in (self._said, self.list):
            column.addWidget(part)
        column.addLayout(row(self.button, self.file))
        self.setMaximumWidth(WIDEST)

    def load(self, found: list[Copy], now: datetime) -> None:
        """Show what there is to restore from, the best chosen."""
        self.list.load(found, now)
        best = self.list.copy()
        self.button.setEnabled(best is not None)
        self._said.setText(
            _(
                "The best copy is chosen. Whatever the day book holds beyond it is added, and what can still be read "
                "of the store itself, so nothing that was recorded is left out. What is there now is kept."
            )
            if best is not None
            else _("No copy that can be read was found beside it. If you have one on a stick, restore from that.")
        )

    def _press(self) -> None:
        copy = self.list.copy()
        if copy is not None:
            self.source_wanted.emit(copy.path)

    def _choose(self) -> None:
        choose_store(self, _("Restore from a copy"), None, self.source_wanted.emit)


def choose_store(parent: QWidget, title: str, folder: Path | None, take: Callable[[Path], object]) -> None:
    """Let the keeper choose a store's file, and hand it on."""
    chosen, _ = QFileDialog.getOpenFileName(parent, title, str(folder or ""), STORES)
    if chosen:
        take(Path(chosen))
