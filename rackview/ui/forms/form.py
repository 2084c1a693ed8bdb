"""Forms made from a table of what to ask: label above, box, and the sentence of what is wrong right beneath.

A form judges nothing itself. It hands its row to whoever saves it; an `InputError` that comes back is shown at the
field it names, and nothing that was typed is erased.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from rackview.core import read
from rackview.core.errors import InputError
from rackview.core.tables import Settings
from rackview.language import _
from rackview.ui.forms import date_box
from rackview.ui.forms.ask import DATES, LONG_AGO, TYPED_AT, TYPED_IN, Ask, box, mark, unit_key
from rackview.ui.forms.foot import FormFoot
from rackview.ui.theme import fonts
from rackview.ui.widgets import sample_picture
from rackview.ui.widgets.fields import bring_to_sight, focus_and_select, tall, with_button
from rackview.ui.widgets.wrapped import Wrapped
from rackview.ui.words import formats
from rackview.ui.words import keeper_units as ku

SAVE_MS = 300


class Form(QWidget):
    """Fields in columns with a button to save and one to leave.

    Signals
    -------
    submitted(dict) : the row as typed, volumes in litres
    cancelled() : the keeper leaves; what is typed is kept as a draft
    changed() : something was typed and 300 ms have passed, or the keyboard left a field
    forgotten() : the draft that is shown is to be thrown away
    """

    submitted = Signal(dict)
    cancelled = Signal()
    changed = Signal()
    forgotten = Signal()

    def __init__(
        self,
        asks: Sequence[Ask],
        settings: Settings,
        *,
        save: str,
        columns: int = 2,
        cancel: str = "",
        now: Callable[[], datetime] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        """`now` tells the moment by which days are understood, in any zone; without it none are asked for."""
        super().__init__(parent)
        self._now = now
        self.asks = tuple(asks)
        self._settings = settings
        self._inputs: dict[str, QLineEdit | QComboBox] = {}
        self._errors: dict[str, QLabel] = {}
        self._cells: dict[str, QWidget] = {}
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SAVE_MS)
        self._timer.timeout.connect(self.changed)
        self._given: dict[str, object] = {}
        self._led: tuple[str, str, str] | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        self.draft_line = QPushButton(self)
        self.draft_line.setProperty("role", "quiet")
        self.draft_line.clicked.connect(self.forgotten)
        tall(self.draft_line, 28, 0)
        self.draft_line.hide()
        column.addWidget(self.draft_line, 0, Qt.AlignmentFlag.AlignLeft)
        column.addLayout(self._fields(columns))
        self.foot = FormFoot(save, cancel or _("Cancel"), self)
        self.foot.button.clicked.connect(self.submit)
        self.foot.cancelled.connect(self.cancelled)
        self.button = self.foot.button
        column.addWidget(self.foot)
        self._shown = self.typed()
        self._ask_only()

    def _ask_only(self) -> None:
        """Show what is asked for with the values chosen elsewhere, and nothing else."""
        typed = self.typed()
        for ask in self.asks:
            if ask.only is not None:
                self._cells[ask.column].setVisible(typed[ask.only[0]] == ask.only[1])

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
        made = box(ask, cell, lambda: self._edited(ask))
        made.setAccessibleName(f"{ask.label}, {unit}" if unit else ask.label)
        made.installEventFilter(self)
        label = QLabel(f"{ask.label}, {unit}" if unit else ask.label, cell)
        label.setFont(fonts.font(14, fonts.MEDIUM))
        label.setBuddy(made)
        label.setWordWrap(True)
        if ask.quantity in DATES and isinstance(made, QLineEdit):
            column.addLayout(date_box.with_calendar(label, cell, lambda: self._open_calendar(ask, made)))
        elif ask.quantity == "file" and isinstance(made, QLineEdit):
            column.addLayout(with_button(label, _("Choose…"), cell, lambda: self._choose_file(ask, made)))
        else:
            column.addWidget(label)
        made.setStyleSheet("min-height: 32px;")
        column.addWidget(made)
        words = Wrapped(ask.hint, cell, least=17)  # its room is kept, so that nothing moves when it says something
        words.setFont(fonts.font(13))
        words.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        words.setProperty("voice", "soft")
        column.addWidget(words)
        self._inputs[ask.column] = made
        self._errors[ask.column] = words
        self._cells[ask.column] = cell
        return cell

    def _choose_file(self, ask: Ask, made: QLineEdit) -> None:
        chosen = sample_picture.ask(self)
        if chosen:
            made.setText(chosen)
            self._edited(ask)

    def _open_calendar(self, ask: Ask, made: QLineEdit) -> None:
        if self._now is not None:
            date_box.open_calendar(ask, made, self._now().astimezone(), lambda: self._edited(ask))

    def _say_date(self, ask: Ask) -> None:
        """Say beneath a date field how it is understood."""
        made = self._inputs[ask.column]
        if self._now is not None and isinstance(made, QLineEdit):
            self._hint(ask.column, date_box.understood_words(ask, made.text(), self._now().astimezone()), wrong=False)

    def _edited(self, ask: Ask) -> None:
        """Something was typed there: what was wrong with it before may hold no more."""
        self._timer.start()
        self._ask_only()
        if self._led is not None and self._led[0] == ask.column:
            self._lead(*self._led)
        if ask.quantity in DATES:
            self._say_date(ask)
        elif self.error_of(ask.column):
            self._hint(ask.column, ask.hint, wrong=False)

    def lead(self, leader: str, follower: str) -> None:
        """Let one field say what another does, from now on and as long as nothing else is typed there."""
        self._led = (leader, follower, self.typed()[leader])

    def _lead(self, leader: str, follower: str, before: str) -> None:
        behind, text = self._inputs[follower], self.typed()[leader]
        if isinstance(behind, QLineEdit) and behind.text() == before:
            behind.setText(text)
        self._led = (leader, follower, text)

    # --- text -----------------------------------------------------------------------------------------------------

    def fill(self, row: Mapping[str, object]) -> None:
        """Show a row (volumes in litres); columns that are not asked for are handed back unchanged by `row`."""
        self._given = {k: v for k, v in row.items() if k not in self._inputs}
        for ask in self.asks:
            self._put(ask, row.get(ask.column))
            if ask.quantity in DATES:
                self._say_date(ask)
        self.clear_errors()
        self._ask_only()
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

    def settled(self) -> None:
        """What stands in it is saved: it is no draft any more, whoever asks for one when the page is left."""
        self._timer.stop()
        self._shown = self.typed()

    def draft(self) -> dict[str, str]:
        """What must survive a closed window: what is typed, the unit of its volumes, and when it was typed."""
        when = {} if self._now is None else {TYPED_AT: self._now().isoformat(timespec="seconds")}
        return self.typed() | {TYPED_IN: self._settings.volume_unit} | when

    def restore(self, draft: Mapping[str, object]) -> None:
        """Show a draft as it was typed, a volume in the keeper's unit of today; it is marked as a draft.

        What was typed for “now” long ago is for then.
        """
        unit = str(draft.get(TYPED_IN, self._settings.volume_unit))
        for ask in self.asks:
            if ask.column in draft:
                made = self._inputs[ask.column]
                if isinstance(made, QLineEdit):
                    text = str(draft[ask.column])
                    made.setText(ku.retold(text, unit, self._settings) if ask.quantity == "volume" else text)
                else:
                    self._put(ask, draft[ask.column])
        self._ask_only()
        self._mark_draft(str(draft.get(TYPED_AT, "")))

    def _mark_draft(self, typed: str) -> None:
        if self._now is None or not typed:
            return
        now, then = self._now().astimezone(), datetime.fromisoformat(typed).astimezone()
        for ask in self.asks:
            made = self._inputs[ask.column]
            if ask.quantity == "moment" and isinstance(made, QLineEdit) and made.text().strip().lower() in {"", "now"}:
                if now - then > LONG_AGO:
                    made.setText(f"{then:%Y-%m-%d %H:%M}")
                self._say_date(ask)
        words = _("Draft of {when}, not recorded. Forget the draft")
        self.draft_line.setText(words.format(when=formats.moment(then, now)))
        tall(self.draft_line, 28, 0)
        self.draft_line.show()

    def row(self) -> dict[str, object]:
        """The row as typed; a volume that is a number comes in litres, one that is not as it stands."""
        found: dict[str, object] = {**self._given, **self.typed()}
        for ask in self.asks:
            if ask.quantity == "volume":
                try:
                    value = read.number_in(found, ask.column, _("a number"))
                except InputError:
                    continue
                found[ask.column] = None if value is None else ku.to_litres(value, self._settings)
            elif ask.quantity in DATES and self._now is not None:
                try:
                    when = date_box.typed_date(ask, str(found[ask.column]), self._now().astimezone())
                except InputError:
                    continue
                found[ask.column] = "" if when is None else when.isoformat()
        return found

    def check(self) -> None:
        """Raise `InputError` for what only the form can ask about: a date that can be two, 1.500 that can be 1500."""
        for ask in self.asks:
            text = self.typed()[ask.column]
            if ask.quantity in DATES and self._now is not None:
                date_box.typed_date(ask, text, self._now().astimezone())
            elif ask.large and text != self._shown[ask.column]:
                both = read.two_ways(text)
                if both is not None:
                    raise read.ask_which(ask.column, text, both)

    def put_hint(self, column: str, text: str) -> None:
        """Change the words beneath a field."""
        self._hint(column, text, wrong=False)

    def put_beneath(self, column: str, widget: QWidget) -> None:
        """Put a widget between a field and the words beneath it."""
        column_of = self._cells[column].layout()
        if isinstance(column_of, QVBoxLayout) and column_of.indexOf(widget) < 0:
            column_of.insertWidget(column_of.indexOf(self._errors[column]), widget)

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
        sentence = str(InputError(ask.label, found, ku.wanted(unit_key(ask), error.wanted, self._settings)))
        self._hint(ask.column, sentence, wrong=True)
        focus_and_select(made)

    def show_trouble(self, sentence: str) -> None:
        """Show a sentence that belongs to no single field."""
        self.foot.say(sentence)

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
        try:
            self.check()
        except InputError as error:
            self.show_error(error)
            return
        self.submitted.emit(self.row())

    def begin(self) -> None:
        """Put the keyboard into the first field."""
        focus_and_select(next(iter(self._inputs.values())))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.FocusOut and self._timer.isActive():
            self._timer.stop()
            self.changed.emit()
        if event.type() == QEvent.Type.FocusIn and isinstance(watched, QWidget):
            bring_to_sight(watched)
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
                if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                    self.submit()
                else:
                    self._next(watched)
                return True
            dated = next((a for a in self.asks if a.quantity in DATES and self._inputs[a.column] is watched), None)
            if event.key() == Qt.Key.Key_Down and dated is not None and isinstance(watched, QLineEdit):
                self._open_calendar(dated, watched)
                return True
            if event.key() == Qt.Key.Key_Escape:
                self.changed.emit()
                self.cancelled.emit()
                return True
        return super().eventFilter(watched, event)

    def _next(self, watched: QObject) -> None:
        inputs: list[QObject] = [made for column, made in self._inputs.items() if not self._cells[column].isHidden()]
        after = inputs.index(watched) + 1
        if after < len(inputs):
            following = inputs[after]
            if isinstance(following, QWidget):
                following.setFocus(Qt.FocusReason.TabFocusReason)
        else:
            self.submit()
