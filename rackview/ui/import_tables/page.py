"""The page on which tables are taken in."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QFileDialog,
    QFrame,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from rackview.core.errors import InputError
from rackview.language import _
from rackview.services import files, mappings
from rackview.services.faults import StoreError
from rackview.ui.base import SubPage
from rackview.ui.import_tables.model import ImportModel
from rackview.ui.import_tables.parts import ColumnTable, LineTable, Questions
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import scrolled, tall

if TYPE_CHECKING:
    from rackview.services.files import ImportDraft
    from rackview.services.rack_session import RackSession

KINDS = _("*.csv *.tsv *.txt *.xlsx *.ods")


def entries(number: int) -> str:
    """So many entries."""
    return _("1 entry") if number == 1 else _("{n} entries").format(n=number)


class ImportPage(SubPage):
    """Choose or drop a file, answer what is asked, look at what each line becomes, take it in.

    Reading happens beside the window; how far it is comes by `_looked`, what was read by `_read`, and only the newest
    counts.
    """

    _read = Signal(object, int)
    _looked = Signal(int, int)

    def __init__(self, session: RackSession, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.model = ImportModel()
        self._turn = 0
        self._answering = False
        self._read.connect(self._show)
        self._looked.connect(self._show_share)
        self.lead = QLabel(self)
        self.lead.setProperty("voice", "soft")
        self.lead.setWordWrap(True)
        self.message = QLabel(self)
        self.message.setProperty("voice", "error")
        self.message.setWordWrap(True)
        self.busy = QProgressBar(self)
        self.busy.setRange(0, 0)
        self.busy.setTextVisible(False)
        self.busy.setAccessibleName(_("Reading"))
        self.choose = QPushButton(_("&Choose files…"), self)
        self.save_refused = QPushButton(_("&Save the refused lines…"), self)
        self.take = QPushButton(_("&Take in"), self)
        self.take.setProperty("role", "primary")
        for button in (self.choose, self.save_refused, self.take):
            tall(button, 44)
        self.drop = QLabel(_("Drop a table here: CSV, XLSX or ODS, as you happen to keep it."), self)
        self.drop.setProperty("voice", "soft")
        self.drop.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.drop.setWordWrap(True)
        self.drop.setMinimumHeight(200)
        self.drop.setFrameShape(QFrame.Shape.StyledPanel)
        self.drop.setStyleSheet("QLabel { border: 2px dashed palette(mid); border-radius: 8px; }")
        self.questions = Questions(self)
        self.columns = ColumnTable(self)
        self.remarks = QLabel(self)
        self.remarks.setProperty("voice", "soft")
        self.remarks.setWordWrap(True)
        self.lines = LineTable(self)
        self.choose.clicked.connect(self._choose)
        self.take.clicked.connect(self._take)
        self.save_refused.clicked.connect(self._save_refused)
        self.questions.answered.connect(self._answer)
        self.columns.answered.connect(self._answer)
        self._lay_out()
        self._show_empty()

    def _lay_out(self) -> None:
        title = QLabel(_("Take in tables"), self)
        title.setFont(fonts.font(26, fonts.BOLD))
        head = QHBoxLayout()
        head.addWidget(title)
        head.addStretch(1)
        head.addWidget(self.choose)
        inner = QWidget(self)
        body = QVBoxLayout(inner)
        body.setContentsMargins(0, 0, 8, 0)
        body.setSpacing(12)
        for part in (self.drop, self.questions, self.columns, self.remarks, self.lines):
            body.addWidget(part)
        body.addStretch(1)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(self.save_refused)
        foot.addWidget(self.take)
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 10, 24, 14)
        column.setSpacing(10)
        column.addLayout(head)
        for above in (self.lead, self.busy, self.message):
            column.addWidget(above)
        column.addWidget(scrolled(inner, self), 1)
        column.addLayout(foot)
        self.remarks.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)

    # --- reading --------------------------------------------------------------------------------------------------

    def open(self, argument: str | None = None) -> None:
        """Show what is being taken in, or how to begin."""
        if self.model.draft is None and not self.busy.isVisibleTo(self):
            self._show_empty()

    def read(self, paths: Sequence[Path]) -> None:
        """Begin anew with these files."""
        self.model = ImportModel(tuple(paths))
        names = ", ".join(p.name for p in paths)
        self.lead.setText(_("Reading {names}…").format(names=names))
        self._again()

    def _again(self) -> None:
        self._turn += 1
        turn = self._turn
        self.message.hide()
        self.drop.hide()
        self.busy.setRange(0, 0)
        self.busy.show()
        self.take.setEnabled(False)

        def tell(share: float) -> None:
            self._looked.emit(round(100 * share), turn)

        try:
            work = self.model.reader(self.session.whole(), self.session.now(), tell)
        except StoreError as error:
            self._fail(str(error))
            return

        def run() -> None:
            try:
                found: object = work()
            except Exception as error:  # noqa: BLE001 - shown by the window, not lost in a thread
                found = error
            self._read.emit(found, turn)

        threading.Thread(target=run, daemon=True).start()

    def _show_share(self, percent: int, turn: int) -> None:
        if turn == self._turn:
            self.busy.setRange(0, 100)
            self.busy.setValue(percent)

    def _show(self, found: ImportDraft | Exception, turn: int) -> None:
        if turn != self._turn:
            return
        self.busy.hide()
        if isinstance(found, Exception):
            raise found
        self.model.take(found)
        intake = found.intake
        asked = self.model.asked()
        self.questions.load(asked)
        self.columns.load(found.foreign)
        self.remarks.setText(" ".join(f"{t[:1].upper()}{t[1:]}." for t in found.remarks))
        self.remarks.setVisible(bool(found.remarks))
        self.lines.load(self.model.lines(), len(intake.lines))
        self.lines.setVisible(not found.open)
        self.lead.setText(self._summary(found))
        ready = self.model.ready
        self.take.setEnabled(ready > 0 and self.session.read_only is None)
        self.take.setText(_("&Take in {lines}").format(lines=entries(ready)) if ready else _("&Take in"))
        tall(self.take, 44)
        self.save_refused.setVisible(bool(intake.refused))
        self.take.show()
        if self._answering:  # the field that had the keyboard is gone: on to the next question
            self._answering = False
            QTimer.singleShot(0, self, self.take_keyboard)  # when the new ones are there

    def _summary(self, found: ImportDraft) -> str:
        names = ", ".join(dict.fromkeys(found.names))
        if found.open:
            one = self.model.unanswered == 1
            asked = _("one thing must be said first.") if one else _("{n} things must be said first.")
            return f"{names}: {asked.format(n=self.model.unanswered)}"
        intake = found.intake
        parts = [_("{lines} can be taken in").format(lines=entries(intake.count("taken")))]
        if intake.count("known"):
            parts.append(_("{n} are there already").format(n=intake.count("known")))
        if intake.refused:
            parts.append(_("{n} can't be and will stay out").format(n=len(intake.refused)))
        return f"{names}: {', '.join(parts)}."

    def _show_empty(self) -> None:
        self.lead.setText(
            _("Nothing is recorded before you have seen what each line becomes, and one undo takes it all back.")
        )
        self.drop.show()
        for part in (
            self.busy,
            self.message,
            self.questions,
            self.columns,
            self.remarks,
            self.lines,
            self.save_refused,
            self.take,
        ):
            part.hide()

    def _fail(self, sentence: str) -> None:
        self.busy.hide()
        self.message.setText(sentence)
        self.message.show()

    # --- what the keeper does -------------------------------------------------------------------------------------

    def _choose(self) -> None:
        chosen, _unused = QFileDialog.getOpenFileNames(
            self, _("Take in tables"), "", _("Tables ({kinds});;All files (*)").format(kinds=KINDS)
        )
        if chosen:
            self.read([Path(c) for c in chosen])

    def _answer(self, table: object, key: str, value: str) -> None:
        self._answering = True
        self.model.answer(table, key, value)  # type: ignore[arg-type]
        self._again()

    def _take(self) -> None:
        draft = self.model.draft
        if draft is None or not self.model.ready:
            return
        number = self.model.ready
        words = _("Take in {lines}").format(lines=entries(number))
        try:
            files.record_intake(self.session, draft.intake, words)
        except (InputError, StoreError) as error:
            self._fail(str(error))
            return
        mappings.keep_answers(draft)
        try:
            files.keep_raw(draft, self.model.paths, self.session.place)
        except OSError as error:
            self._fail(f"{error.filename}: {error.strerror}.")
        refused = draft.intake.refused
        self.said.emit(_("Taken in: {lines}").format(lines=entries(number)))
        if refused:
            self._again()
        else:
            self.model = ImportModel()
            self._show_empty()
            self.leave.emit()

    def _save_refused(self) -> None:
        draft = self.model.draft
        chosen, _unused = QFileDialog.getSaveFileName(self, _("Save the refused lines"), "refused.csv", "CSV (*.csv)")
        if draft is not None and chosen:
            try:
                files.write_refused(draft, Path(chosen))
            except OSError as error:
                self._fail(f"{chosen}: {error.strerror}.")
                return
            self.said.emit(_("The refused lines are in {place}.").format(place=chosen))

    def take_keyboard(self) -> None:
        first = self.questions.first()
        (first or (self.take if self.take.isEnabled() and self.take.isVisible() else self.choose)).setFocus(
            Qt.FocusReason.OtherFocusReason
        )
