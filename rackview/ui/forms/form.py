"""Forms made from a table of what to ask: label above, box, and the sentence of what is wrong right beneath.

A form judges nothing itself. It hands its row to whoever saves it; an `InputError` that comes back is shown at the
field it names, and nothing that was typed is erased.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import (
    QComboBox,
    QCompleter,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QStyle,
    QStyleOptionComboBox,
    QStylePainter,
    QVBoxLayout,
    QWidget,
)

from rackview.core import read
from rackview.core.errors import InputError
from rackview.core.tables import Settings
from rackview.ui import fonts
from rackview.ui import keeper_units as ku
from rackview.ui.fields import tall
from rackview.ui.paint.ink import pen, saved

SAVE_MS = 300
TYPED_IN = "volumes typed in"
"""Under this a draft holds the unit of its volumes."""


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing to ask.

    `column` is the name in the row; `choices` pairs a value with its word; `known` are words offered while typing.
    `quantity` "volume" shows litres in the keeper's unit. `hint` stands beneath while nothing is wrong. `wide` takes
    the whole width.
    """

    column: str
    label: str
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    known: tuple[str, ...] = ()
    quantity: str = ""
    hint: str = ""
    wide: bool = False
    yes: bool = False


ARROW = 32
"""Room that the arrow of a combo box takes at its right, px."""


class Choose(QComboBox):
    """A combo box that shows it is one; a choice longer than the box ends in an ellipsis and is told in a tooltip."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumContentsLength(6)
        self.setStyleSheet("min-height: 32px;")
        self.currentTextChanged.connect(self._tell)

    def shown(self) -> str:
        """As much of the choice as there is room for."""
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        place = QStyle.SubControl.SC_ComboBoxEditField
        box = self.style().subControlRect(QStyle.ComplexControl.CC_ComboBox, option, place, self)
        room = min(box.right(), self.width() - ARROW) - box.left()
        return self.fontMetrics().elidedText(self.currentText(), Qt.TextElideMode.ElideRight, room)

    def _tell(self) -> None:
        self.setToolTip(self.currentText() if self.shown() != self.currentText() else "")

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._tell()

    def list_width(self) -> int:
        """How wide the open list must be to show its longest choice whole, px."""
        words = self.view().fontMetrics()
        return ARROW + max((words.horizontalAdvance(self.itemText(n)) for n in range(self.count())), default=0)

    def showPopup(self) -> None:
        """Open the list."""
        self.view().setMinimumWidth(self.list_width())
        super().showPopup()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QStylePainter(self)
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        option.currentText = self.shown()
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)
        x, y = self.width() - 20.0, self.height() / 2
        with saved(painter):
            painter.setPen(pen(self.palette().color(QPalette.ColorRole.Text), 1.6))
            painter.drawPolyline([QPointF(x - 5, y - 2.5), QPointF(x, y + 2.5), QPointF(x + 5, y - 2.5)])


def mark(made: QWidget, words: QLabel, text: str, *, wrong: bool) -> None:
    """Put words beneath an input, as a hint or as what is wrong with it; a screen reader gets them with the input."""
    words.setText(text)
    words.setVisible(bool(text))
    words.setProperty("voice", "error" if wrong else "soft")
    made.setProperty("wrong", "true" if wrong else "")
    made.setAccessibleDescription(text)
    for widget in (words, made):
        widget.style().unpolish(widget)
        widget.style().polish(widget)


class Form(QWidget):
    """Fields in columns with a button to save and one to leave.

    Signals
    -------
    submitted(dict) : the row as typed, volumes in litres
    cancelled() : the keeper leaves; what is typed is kept as a draft
    changed() : something was typed and 300 ms have passed, or the keyboard left a field
    """

    submitted = Signal(dict)
    cancelled = Signal()
    changed = Signal()

    def __init__(
        self,
        asks: Sequence[Ask],
        settings: Settings,
        *,
        save: str,
        columns: int = 2,
        cancel: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.asks = tuple(asks)
        self._settings = settings
        self._inputs: dict[str, QLineEdit | QComboBox] = {}
        self._errors: dict[str, QLabel] = {}
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SAVE_MS)
        self._timer.timeout.connect(self.changed)
        self._given: dict[str, object] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addLayout(self._fields(columns))
        self._whole = QLabel(self)
        self._whole.setProperty("voice", "error")
        self._whole.setWordWrap(True)
        self._whole.hide()
        column.addWidget(self._whole)
        row = QHBoxLayout()
        self.button = QPushButton(save, self)
        self.button.setProperty("role", "primary")
        self.button.clicked.connect(self.submit)
        tall(self.button, 44, 20)
        row.addWidget(self.button)
        leave = QPushButton(cancel or self.tr("Cancel"), self)
        leave.setProperty("role", "quiet")
        leave.clicked.connect(self.cancelled)
        tall(leave, 44)
        row.addWidget(leave)
        row.addStretch(1)
        column.addLayout(row)
        self._shown = self.typed()

    def _fields(self, columns: int) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(16)
        grid.setVerticalSpacing(8)
        line = place = 0
        for ask in self.asks:
            if ask.wide and place:
                line, place = line + 1, 0
            grid.addWidget(self._cell(ask), line, place, 1, columns if ask.wide else 1, Qt.AlignmentFlag.AlignTop)
            place = columns if ask.wide else place + 1
            if place >= columns:
                line, place = line + 1, 0
        for n in range(columns):
            grid.setColumnStretch(n, 1)
        return grid

    def _cell(self, ask: Ask) -> QWidget:
        cell = QWidget(self)
        column = QVBoxLayout(cell)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        unit = self._settings.volume_unit if ask.quantity == "volume" else ask.unit
        made = self._input(ask, cell)
        made.setAccessibleName(f"{ask.label}, {unit}" if unit else ask.label)
        made.installEventFilter(self)
        label = QLabel(f"{ask.label}, {unit}" if unit else ask.label, cell)
        label.setFont(fonts.font(14, fonts.MEDIUM))
        label.setBuddy(made)
        column.addWidget(label)
        made.setStyleSheet("min-height: 32px;")
        column.addWidget(made)
        words = QLabel(ask.hint, cell)
        words.setFont(fonts.font(13))
        words.setWordWrap(True)
        words.setProperty("voice", "soft")
        words.setVisible(bool(ask.hint))
        column.addWidget(words)
        self._inputs[ask.column] = made
        self._errors[ask.column] = words
        return cell

    def _input(self, ask: Ask, parent: QWidget) -> QLineEdit | QComboBox:
        choices = (("", self.tr("no")), ("yes", self.tr("yes"))) if ask.yes else ask.choices
        if choices:
            combo = Choose(parent)
            for value, word in choices:
                combo.addItem(word, value)
            combo.activated.connect(lambda: self._edited(ask))
            return combo
        line = QLineEdit(parent)
        line.textEdited.connect(lambda: self._edited(ask))
        if ask.known:
            completer = QCompleter(list(ask.known), line)
            completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
            line.setCompleter(completer)
        return line

    def _edited(self, ask: Ask) -> None:
        """Something was typed there: what was wrong with it before may hold no more."""
        self._timer.start()
        if self.error_of(ask.column):
            self._hint(ask.column, ask.hint, wrong=False)

    # --- text -----------------------------------------------------------------------------------------------------

    def fill(self, row: Mapping[str, object]) -> None:
        """Show a row (volumes in litres); columns that are not asked for are handed back unchanged by `row`."""
        self._given = {k: v for k, v in row.items() if k not in self._inputs}
        for ask in self.asks:
            self._put(ask, row.get(ask.column))
        self.clear_errors()
        self._shown = self.typed()

    def _put(self, ask: Ask, value: object) -> None:
        made = self._inputs[ask.column]
        if isinstance(made, QComboBox):
            wanted = ("yes" if str(value).lower() in read.YES else "") if ask.yes else str(value or "")
            index = made.findData(wanted)
            made.setCurrentIndex(max(0, index))
        elif value is None or value == "":
            made.clear()
        elif ask.quantity == "volume" and isinstance(value, int | float):
            made.setText(ku.plain(ku.volume(float(value), self._settings)))
        else:
            made.setText(ku.plain(value) if isinstance(value, float) else str(value))

    def typed(self) -> dict[str, str]:
        """The text of every field."""
        found = {}
        for column, made in self._inputs.items():
            if isinstance(made, QComboBox):
                found[column] = str(made.currentData())
            else:
                found[column] = made.text()
        return found

    @property
    def touched(self) -> bool:
        """Whether anything stands in it that was not filled in for the keeper."""
        return self.typed() != self._shown

    def draft(self) -> dict[str, str]:
        """What must survive a closed window: what is typed, and the unit of its volumes."""
        return self.typed() | {TYPED_IN: self._settings.volume_unit}

    def restore(self, draft: Mapping[str, object]) -> None:
        """Show a draft as it was typed, a volume in the keeper's unit of today."""
        unit = str(draft.get(TYPED_IN, self._settings.volume_unit))
        for ask in self.asks:
            if ask.column in draft:
                made = self._inputs[ask.column]
                if isinstance(made, QLineEdit):
                    text = str(draft[ask.column])
                    made.setText(ku.retold(text, unit, self._settings) if ask.quantity == "volume" else text)
                else:
                    self._put(ask, draft[ask.column])

    def row(self) -> dict[str, object]:
        """The row as typed; a volume that is a number comes in litres, one that is not as it stands."""
        found: dict[str, object] = {**self._given, **self.typed()}
        for ask in self.asks:
            if ask.quantity == "volume":
                try:
                    value = read.number(found, ask.column, "a number")
                except InputError:
                    continue
                found[ask.column] = None if value is None else ku.litres(value, self._settings)
        return found

    def put_hint(self, column: str, text: str) -> None:
        """Change the words beneath a field."""
        self._hint(column, text, wrong=False)

    # --- what is wrong --------------------------------------------------------------------------------------------

    def show_error(self, error: InputError) -> None:
        """Show what is wrong beside the field it names, or at the foot of the form."""
        self.clear_errors()
        ask = next((a for a in self.asks if a.column == error.field), None)
        if ask is None:
            self.show_trouble(str(error))
            return
        made = self._inputs[ask.column]
        found = made.text() if isinstance(made, QLineEdit) else error.found
        sentence = str(InputError(ask.label, found, ku.wanted(_key(ask), error.wanted, self._settings)))
        self._hint(ask.column, sentence, wrong=True)
        _enter(made)

    def show_trouble(self, sentence: str) -> None:
        """Show a sentence that belongs to no single field."""
        self._whole.setText(sentence)
        self._whole.setVisible(bool(sentence))

    def clear_errors(self) -> None:
        """Take all sentences of what is wrong away."""
        self.show_trouble("")
        for ask in self.asks:
            if self._inputs[ask.column].property("wrong") == "true":
                self._hint(ask.column, ask.hint, wrong=False)

    def _hint(self, column: str, text: str, *, wrong: bool) -> None:
        mark(self._inputs[column], self._errors[column], text, wrong=wrong)

    def error_of(self, column: str) -> str:
        """The sentence shown as wrong beneath a field, "" for none."""
        wrong = self._inputs[column].property("wrong") == "true"
        return self._errors[column].text() if wrong else ""

    # --- keys -------------------------------------------------------------------------------------------------------

    def input(self, column: str) -> QLineEdit | QComboBox:
        """The widget to type in for a column."""
        return self._inputs[column]

    def submit(self) -> None:
        """Hand the row over to be saved."""
        self._timer.stop()
        self.submitted.emit(self.row())

    def begin(self) -> None:
        """Put the keyboard into the first field."""
        _enter(next(iter(self._inputs.values())))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.FocusOut and self._timer.isActive():
            self._timer.stop()
            self.changed.emit()
        if event.type() == QEvent.Type.FocusIn and isinstance(watched, QWidget):
            self._bring_to_sight(watched)
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
                self._next(watched)
                return True
            if event.key() == Qt.Key.Key_Escape:
                self.changed.emit()
                self.cancelled.emit()
                return True
        return super().eventFilter(watched, event)

    def _bring_to_sight(self, made: QWidget) -> None:
        """Scroll to the field that has the keyboard, in whatever the form scrolls in."""
        above = self.parentWidget()
        while above is not None and not isinstance(above, QScrollArea):
            above = above.parentWidget()
        if above is not None:
            above.ensureWidgetVisible(made)

    def _next(self, watched: QObject) -> None:
        inputs: list[QObject] = list(self._inputs.values())
        after = inputs.index(watched) + 1
        if after < len(inputs):
            following = inputs[after]
            if isinstance(following, QWidget):
                following.setFocus(Qt.FocusReason.TabFocusReason)
        else:
            self.submit()


def _enter(made: QLineEdit | QComboBox) -> None:
    """Put the keyboard into a field with its text selected, so that typing replaces it and never adds to it."""
    made.setFocus(Qt.FocusReason.OtherFocusReason)
    if isinstance(made, QLineEdit):
        made.selectAll()


def _key(ask: Ask) -> str:
    return "harvest" if ask.quantity == "volume" else ask.column
