"""A page for one of the small tables: rows on the left, the form of the chosen row on the right."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.ids import content_id
from rackview.language import _
from rackview.services.faults import StoreError
from rackview.ui.forms.ask import Ask
from rackview.ui.forms.form import Form
from rackview.ui.forms.kept import keep_draft, settle, take_away
from rackview.ui.records.event_list import NOWHERE
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import bring_to_sight, scrolled, tall
from rackview.ui.widgets.table import DataTable

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession

UNBOUND = 16_777_215
"""The greatest height of a widget of Qt, px."""
FORM_MOST = 408
"""So high is a page with a form at most, px, that all of it is seen in the lowest window; a longer form scrolls."""

Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class TableLine:
    """One row of the table: its cells, the record behind it, and whether a cell wants attention."""

    cells: tuple[str, ...]
    record: Any
    wanting: bool = False


class TableLines(QAbstractTableModel):
    """Lines as a Qt table."""

    def __init__(self, headers: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._headers = tuple(headers)
        self.lines: tuple[TableLine, ...] = ()

    def load(self, lines: Sequence[TableLine]) -> None:
        """Show these lines."""
        self.beginResetModel()
        self.lines = tuple(lines)
        self.endResetModel()

    def rowCount(self, parent: Index = NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = NOWHERE) -> int:
        return 0 if parent.isValid() else len(self._headers)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self._headers[section]
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        line = self.lines[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return line.cells[index.column()]
        if role == Qt.ItemDataRole.FontRole and line.wanting:
            return fonts.font(14, fonts.SEMIBOLD)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return ", ".join(c for c in line.cells if c)
        return None


class TablePage(QWidget):
    """Rows with buttons to add, change and remove; the form beside them.

    `name` is the name under which a draft of a new row is kept. `save(row, old)` and `remove(record)` do the work and
    may raise `InputError` or `StoreError`.

    Signals
    -------
    said(str) : words of what was done
    form_shown(int) : a form came (1) or went (0)
    """

    said = Signal(str)
    form_shown = Signal(int)

    def __init__(
        self,
        session: RackSession,
        name: str,
        title: str,
        headers: Sequence[str],
        *,
        asks: Callable[[], tuple[Ask, ...]],
        save: Callable[[dict[str, object], Any], str],
        remove: Callable[[Any], str],
        add_words: str,
        empty: str,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.session = session
        self._name = f"{name}:new"
        self._asks, self._save_row, self._remove_row = asks, save, remove
        self._add_words = add_words
        self._old: Any = None
        self.least = 0
        """Height to keep for rows and form, px."""
        self.form: Form | None = None
        self.model = TableLines(headers, self)
        self.table = DataTable(self)
        self.table.setModel(self.model)
        self.table.setAccessibleName(title)
        self.table.correct_wanted.connect(self.change)
        self.table.withdraw_wanted.connect(self.remove)
        self.table.selectionModel().selectionChanged.connect(lambda *_: self._enable())
        heading = QLabel(title, self)
        heading.setFont(fonts.font(18, fonts.BOLD))
        self._empty = QLabel(empty, self)
        self._empty.setProperty("voice", "soft")
        self._empty.setWordWrap(True)
        self._message = QLabel(self)
        self._message.setProperty("voice", "error")
        self._message.setWordWrap(True)
        self._message.hide()
        self._left = left = QVBoxLayout()
        left.setSpacing(8)
        for part in (heading, self._empty, self.table, self._message):
            left.addWidget(part, 1 if part is self.table else 0)
        left.addLayout(self._buttons())
        left.addStretch(0)
        self._place = QWidget(self)
        self._form_column = QVBoxLayout(self._place)
        self._form_column.setContentsMargins(0, 0, 12, 0)
        self._form_column.addStretch(1)
        self._side = QWidget(self)
        self._right = QVBoxLayout(self._side)
        self._right.setContentsMargins(0, 0, 0, 0)
        self._right.addWidget(scrolled(self._place, self._side), 1)
        self._side.hide()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(24)
        row.addLayout(left, 5)
        row.addWidget(self._side, 4)

    def _buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        self._add = QPushButton(self._add_words, self)
        self._change = QPushButton(_("Change"), self)
        self._remove = QPushButton(_("Remove"), self)
        for button, call in ((self._add, self.add), (self._change, self.change), (self._remove, self.remove)):
            button.clicked.connect(call)
            tall(button, 40)
            row.addWidget(button)
        row.addStretch(1)
        return row

    def _keep_room(self) -> None:
        """Keep the least height for rows or the form; without either the page is as high as its words."""
        needed = bool(self.model.lines) or not self._side.isHidden()
        form = 0 if self.form is None else self.form.sizeHint().height() + self.form.foot.sizeHint().height() + 24
        self.setMinimumHeight(max(self.least, min(form, FORM_MOST)) if needed else 0)
        self.setMaximumHeight(max(self.least, FORM_MOST) if form else UNBOUND)
        policy = QSizePolicy.Policy.Preferred if needed else QSizePolicy.Policy.Maximum
        self.setSizePolicy(QSizePolicy.Policy.Preferred, policy)

    def load(self, lines: Sequence[TableLine]) -> None:
        """Show these rows; the form stays as typed."""
        here, kept = self.table.currentIndex().row(), self.chosen()
        self.model.load(lines)
        self._empty.setVisible(not lines)
        self.table.setVisible(bool(lines))
        self._keep_room()
        self._left.setStretch(self._left.count() - 1, 0 if lines else 1)  # without rows all stands together at the top
        header = self.table.horizontalHeader()
        for column in range(self.model.columnCount()):
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(self.model.columnCount() - 1, QHeaderView.ResizeMode.Stretch)
        here = next((n for n, line in enumerate(lines) if line.record == kept), here)
        if 0 <= here < len(lines):
            self.table.selectRow(here)
        self._enable()

    def _enable(self) -> None:
        able = self.session.read_only is None
        chosen = able and self.chosen() is not None
        self._add.setEnabled(able)
        self._change.setEnabled(chosen)
        self._remove.setEnabled(chosen)

    def chosen(self) -> Any:
        """The record of the chosen row, None for none."""
        n = self.table.currentIndex().row()
        return self.model.lines[n].record if 0 <= n < len(self.model.lines) else None

    # --- the form ---------------------------------------------------------------------------------------------------

    def add(self) -> None:
        """Ask for a new row."""
        self._old = None
        form = self._start(self._add_words)
        self._take_up(form)
        form.begin()

    def change(self) -> None:
        """Change the chosen row."""
        record = self.chosen()
        if record is None or self.session.read_only is not None:
            return
        self._old = record
        form = self._start(_("Save"))
        form.fill(record.row())
        self._take_up(form)
        form.begin()

    def _draft_name(self) -> str:
        """Of a row that changed elsewhere meanwhile, an old draft no longer bears the name."""
        return self._name if self._old is None else f"{self._name}:{content_id(*sorted(self._old.row().items()))}"

    def _take_up(self, form: Form) -> None:
        draft = self.session.draft(self._draft_name())
        if draft is not None:
            form.restore(draft)

    def _forget(self) -> None:
        """Throw the draft away and begin anew."""
        self.session.drop_draft(self._draft_name())
        if self._old is None:
            self.add()
        else:
            self.change()

    def _start(self, save: str) -> Form:
        self.close_form()
        self.form = Form(
            self._asks(),
            self.session.rack.settings,
            save=save,
            cancel=_("Back"),
            now=self.session.now,
            parent=self._place,
        )
        self.form.forgotten.connect(self._forget)
        self.form.submitted.connect(self._submitted)
        self.form.cancelled.connect(self.close_form)
        self.form.changed.connect(self.save)
        self._form_column.insertWidget(0, self.form)
        self._right.addWidget(self.form.foot)  # below what scrolls, where it stays in sight
        self._side.show()
        self._keep_room()
        self.form_shown.emit(1)
        QTimer.singleShot(0, self, self._to_sight)
        return self.form

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._to_sight()  # a form makes the page grow, and only then there is a way to scroll to it

    def _to_sight(self) -> None:
        """Scroll to the whole page while a form is open."""
        if self.form is not None:
            bring_to_sight(self, 6)

    def take_keyboard(self) -> None:
        """Put the keyboard on the rows, or where the first one is added."""
        (self.table if self.model.lines else self._add).setFocus(Qt.FocusReason.OtherFocusReason)

    def close_form(self) -> None:
        """Take the form away; the keyboard goes from it back to the rows."""
        if self.form is not None:
            if self.form.isAncestorOf(QApplication.focusWidget() or self):
                self.take_keyboard()
            take_away(self.form, self._form_column)
            self.form = None
        self._side.hide()
        self._keep_room()
        self.form_shown.emit(0)

    def save(self) -> None:
        """Keep a row as typed so far."""
        if self.form is not None:
            keep_draft(self.form, self.session, self._draft_name())

    def _submitted(self, row: dict[str, object]) -> None:
        if self.form is None:
            return
        words: list[str] = []
        draft = self._draft_name()
        if settle(self.form, self.session, draft, lambda: words.append(self._save_row(row, self._old))):
            self.close_form()
            self.said.emit(words[0])

    def remove(self) -> None:
        """Take the chosen row off; undo brings it back."""
        record = self.chosen()
        if record is None or self.session.read_only is not None:
            return
        try:
            words = self._remove_row(record)
        except (InputError, StoreError) as error:
            self._message.setText(str(error))
            self._message.show()
            return
        self._message.hide()
        self.said.emit(words)
