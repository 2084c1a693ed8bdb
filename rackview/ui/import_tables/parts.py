"""The parts of the import page: the questions, the columns over the first lines, and what each line becomes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QGridLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from rackview.language import _
from rackview.ui.forms.choose import Choose
from rackview.ui.import_tables.model import PREVIEW
from rackview.ui.words.choices import answer_word

if TYPE_CHECKING:
    from rackview.services.files import LineVerdict, Question, Understanding

ROW = 34
BOXES = 48
"""Height of the row of choices."""
MOST_HEIGHT = 420
COLUMN = 170
START = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
COLUMN_KEY = "column "


def _combo(table: Understanding, question: Question, parent: QWidget, *, given: bool) -> Choose:
    """The choices of a question; an open one shows none of them as chosen yet."""
    box = Choose(parent)
    box.setAccessibleName(question.text)
    if not given:
        box.addItem(_("choose…"), "")
    for option in question.options:
        likely = not given and option == question.guess
        word = answer_word(question.key, option)
        box.addItem(_("{answer} (likely)").format(answer=word) if likely else word, option)
    if given:
        box.setCurrentIndex(max(0, box.findData(table.answer(question.key))))
    return box


class Questions(QWidget):
    """What must be said before anything can be taken, each answered once."""

    answered = Signal(object, str, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(8)
        self._grid.setColumnStretch(0, 3)
        self._grid.setColumnStretch(1, 2)
        self.fields: dict[str, QWidget] = {}
        self._open: list[str] = []

    def load(self, asked: Sequence[tuple[Understanding, Question]]) -> None:
        """Show these questions."""
        while (item := self._grid.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self.fields = {}
        self._open = [q.key for t, q in asked if q.key not in t.answers]
        for row, (table, question) in enumerate(asked):
            label = QLabel(question.text, self)
            label.setWordWrap(True)
            field = self._field(table, question)
            label.setBuddy(field)
            self._grid.addWidget(label, row, 0)
            self._grid.addWidget(field, row, 1)
            self.fields[question.key] = field
        self.setVisible(bool(asked))

    def _field(self, table: Understanding, question: Question) -> QWidget:
        if question.options:
            box = _combo(table, question, self, given=question.key in table.answers)
            box.activated.connect(lambda _: self._say(table, question.key, str(box.currentData() or "")))
            return box
        line = QLineEdit(table.answers.get(question.key, question.guess), self)
        line.setAccessibleName(question.text)
        line.editingFinished.connect(lambda: self._typed(table, question.key, line))
        return line

    def _typed(self, table: Understanding, key: str, line: QLineEdit) -> None:
        text = line.text().strip()
        if text and text != table.answers.get(key):
            self._say(table, key, text)

    def _say(self, table: Understanding, key: str, value: str) -> None:
        if value:
            self.answered.emit(table, key, value)

    def first(self) -> QWidget | None:
        """Where the keyboard begins: the first open question."""
        return next((self.fields[k] for k in self._open if k in self.fields), None)


class ColumnTable(QWidget):
    """The first lines of a table under the names of its columns, with what each column is taken for."""

    answered = Signal(object, str, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.which = Choose(self)
        self.which.setAccessibleName(_("Table"))
        self.which.activated.connect(self._fill)
        self.grid = QTableWidget(self)
        self.grid.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.grid.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.grid.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.grid.setTabKeyNavigation(False)
        self.grid.setAccessibleName(_("The first lines, and what each column is"))
        self.grid.verticalHeader().setDefaultSectionSize(ROW)
        self.grid.setCornerButtonEnabled(False)
        self.grid.setStyleSheet("QTableWidget::item { padding: 0 7px; } QTableCornerButton::section { border: 0; }")
        self.grid.horizontalHeader().setDefaultAlignment(START)
        self.grid.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.which)
        column.addWidget(self.grid)
        self._tables: Sequence[Understanding] = ()

    def load(self, tables: Sequence[Understanding]) -> None:
        """Show these tables, one at a time."""
        chosen = self.which.currentIndex()
        self._tables = tables
        self.which.clear()
        self.which.addItems([t.label for t in tables])
        self.which.setCurrentIndex(min(max(chosen, 0), len(tables) - 1))
        self.which.setVisible(len(tables) > 1)
        self.setVisible(bool(tables))
        self._fill()

    def _fill(self) -> None:
        self.grid.clear()
        if not self._tables:
            return
        table = self._tables[max(self.which.currentIndex(), 0)]
        questions = {q.key.removeprefix(COLUMN_KEY): q for q in table.questions if q.key.startswith(COLUMN_KEY)}
        shown = [(n, h) for n, h in enumerate(table.table.header) if h in questions]
        rows = table.table.rows[:PREVIEW]
        self.grid.setRowCount(1 + len(rows))
        self.grid.setColumnCount(len(shown))
        self.grid.setHorizontalHeaderLabels([h or _("without a name") for _unused, h in shown])
        self.grid.setVerticalHeaderLabels([_("is"), *(str(line) for line, _ in rows)])
        for place, (at, header) in enumerate(shown):
            self._offer(table, questions[header], place)
            for row, (_unused, cells) in enumerate(rows, 1):
                self.grid.setItem(row, place, QTableWidgetItem(_text(cells[at]) if at < len(cells) else ""))
            self.grid.setColumnWidth(place, COLUMN)
        self.grid.setRowHeight(0, BOXES)
        bar = self.grid.horizontalScrollBar().sizeHint().height()
        self.grid.setFixedHeight(self.grid.horizontalHeader().sizeHint().height() + BOXES + ROW * len(rows) + bar + 6)

    def _offer(self, table: Understanding, question: Question, place: int) -> None:
        given = question.plain or question.key in table.answers
        box = _combo(table, question, self.grid, given=given)
        box.activated.connect(lambda _: self._chosen(table, question.key, str(box.currentData() or "")))
        self.grid.setCellWidget(0, place, box)

    def _chosen(self, table: Understanding, key: str, value: str) -> None:
        if value and value != (table.answer(key) if key in table.answers else None):
            self.answered.emit(table, key, value)


class LineTable(QTableWidget):
    """What each line becomes, or why it can't be taken."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(0, 3, parent)
        self.setHorizontalHeaderLabels([_("Line"), _("Becomes"), _("What")])
        self.setAccessibleName(_("What each line becomes"))
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        self.setWordWrap(True)
        header = self.horizontalHeader()
        for place in (0, 1):
            header.setSectionResizeMode(place, QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)
        header.setDefaultAlignment(START)
        self.setStyleSheet("QTableWidget::item { padding: 0 7px; }")

    def load(self, lines: Iterable[LineVerdict], number: int) -> None:
        """Show these of `number` lines."""
        words = {"taken": _("an entry"), "known": _("is there already"), "refused": _("stays out")}
        listed = list(lines)
        more = number - len(listed)
        self.setRowCount(len(listed) + (more > 0))
        for row, line in enumerate(listed):
            texts = (str(line.line or ""), words[line.verdict], line.sentence)
            for place, text in enumerate(texts):
                self.setItem(row, place, QTableWidgetItem(text))
        if more > 0:
            self.setItem(len(listed), 2, QTableWidgetItem(_("and {n} more lines").format(n=more)))
        self.resizeRowsToContents()
        rows = sum(self.rowHeight(n) for n in range(min(self.rowCount(), 40)))
        self.setFixedHeight(min(self.horizontalHeader().sizeHint().height() + rows + 6, MOST_HEIGHT))


def _text(cell: object) -> str:
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return " ".join(str(cell).split())
