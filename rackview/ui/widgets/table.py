"""A quiet table with its keys, as every list of entries or lines is shown."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QGuiApplication, QKeyEvent, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QAbstractItemView, QTableView, QWidget

from rackview.ui import keys
from rackview.ui.theme import fonts
from rackview.ui.words import spreadsheet


class DataTable(QTableView):
    """A quiet table: rows to choose by arrows, Enter to correct, Delete to take back.

    Signals
    -------
    correct_wanted(), withdraw_wanted() : by key or double click
    """

    correct_wanted = Signal()
    withdraw_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(32)
        self.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        self.horizontalHeader().setHighlightSections(False)
        self.setFont(fonts.font(14))
        self.setStyleSheet("QTableView::item { padding: 0 7px; }")
        self.doubleClicked.connect(lambda _: self.correct_wanted.emit())
        self.empty = ""
        """What stands in the middle while there are no rows."""

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.empty and self.model().rowCount() == 0:
            painter = QPainter(self.viewport())
            painter.setPen(self.palette().color(QPalette.ColorRole.Text))
            painter.drawText(self.viewport().rect(), Qt.AlignmentFlag.AlignCenter, self.empty)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Choose a row when the keyboard comes: keys act on the row that is seen to be chosen, and on no other."""
        super().focusInEvent(event)
        if not self.selectionModel().hasSelection() and self.model().rowCount() > 0:
            self.selectRow(max(0, self.currentIndex().row()))

    def chosen_rows(self) -> list[int]:
        """The rows that are chosen, from the top."""
        return sorted(index.row() for index in self.selectionModel().selectedRows())

    def as_text(self) -> str:
        """The chosen rows where several can be chosen, else all, with the titles of the columns, for a spreadsheet."""
        columns = [c for c in range(self.model().columnCount()) if not self.isColumnHidden(c)]
        several = self.selectionMode() == QAbstractItemView.SelectionMode.ExtendedSelection
        chosen = self.chosen_rows() if several else []
        rows = chosen or list(range(self.model().rowCount()))
        return spreadsheet.table(self.model(), rows, columns) if rows else ""

    def copy_rows(self) -> int:
        """Copy the chosen rows, or all; return how many."""
        text = self.as_text()
        if text:
            QGuiApplication.clipboard().setText(text)
        return max(0, text.count("\n") - 1)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        command = keys.command("Entries", event.key())
        if command == "correct":
            self.correct_wanted.emit()
        elif command == "withdraw":
            self.withdraw_wanted.emit()
        else:
            super().keyPressEvent(event)
