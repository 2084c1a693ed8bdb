"""The window in place of the main one when the store can't be opened: what is wrong, and what can be done."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QAbstractButton, QMessageBox, QVBoxLayout, QWidget

from rackview.language import _
from rackview.services import copies, rescue
from rackview.services.copies import Copy
from rackview.services.faults import StoreError
from rackview.services.rescue import Trouble
from rackview.ui.store import words
from rackview.ui.store.choice import RestorePart, choose_store
from rackview.ui.store.parts import WIDEST, WorkLine, button, row
from rackview.ui.store.parts import selectable_words as label
from rackview.ui.store.plain_window import PlainWindow
from rackview.ui.store.working import restoring
from rackview.ui.widgets.fields import scrolled

AGAIN_MS = 3000
"""How often a store that is away or busy is looked for."""
SIZE = QSize(940, 640)


class OpeningWindow(PlainWindow):
    """What is wrong with a store, and the ways on.

    Signals
    -------
    opened(Path) : try to open the store at this place
    job_wanted(Job) : do this to the store
    """

    opened = Signal(object)
    job_wanted = Signal(object)

    def __init__(self, trouble: Trouble, clock: Callable[[], datetime]) -> None:
        super().__init__(SIZE)
        self.trouble = trouble
        self._clock = clock
        self.setWindowTitle(words.trouble_title(trouble))
        inner = QWidget(self)
        self.restore_part = RestorePart(inner)
        self.restore_part.source_wanted.connect(self._restore)
        self.restore_part.hide()
        self.work = WorkLine(inner)
        self.work.done.connect(self._offer)
        self.buttons: dict[str, QAbstractButton] = {}
        column = QVBoxLayout(inner)
        column.setContentsMargins(36, 26, 36, 24)
        column.setSpacing(12)
        column.addWidget(label(words.trouble_title(trouble), inner, px=24, bold=True))
        column.addWidget(label(words.trouble_sentence(trouble), inner, px=16))
        column.addSpacing(4)
        column.addWidget(self.restore_part)
        column.addWidget(self.work)
        column.addWidget(self._other_ways(inner))
        column.addStretch(1)
        column.addWidget(label(self._details(), inner, voice="soft", px=13))
        self.setCentralWidget(scrolled(inner, self))
        self._again = QTimer(self)
        self._again.setInterval(AGAIN_MS)
        self._again.timeout.connect(lambda: self.opened.emit(trouble.path))
        if trouble.what in {"away", "busy"}:
            self._again.start()
        if rescue.RESTORE in trouble.choices:
            self.work.run(lambda _: copies.sources(trouble.path), _("Looking for copies…"), stoppable=False)

    def _details(self) -> str:
        return _("The store: {path}").format(path=self.trouble.path) + "\n" + words.finding_text(self.trouble.details)

    def _other_ways(self, parent: QWidget) -> QWidget:
        part = QWidget(parent)
        column = QVBoxLayout(part)
        column.setContentsMargins(0, 8, 0, 8)
        column.setSpacing(10)
        for name, text, meaning, press in (
            (
                rescue.RETRY,
                _("&Try again"),
                _("Look for the store in its place once more."),
                lambda: self.opened.emit(self.trouble.path),
            ),
            (
                rescue.OTHER,
                _("Open &another store…"),
                _("One in another folder, or a copy on a stick. This one stays as it is."),
                self._choose_other,
            ),
            (rescue.AFRESH, _("&Start an empty rack…"), self._afresh_words(), self._ask_afresh),
        ):
            if name in self.trouble.choices:
                made = self.buttons[name] = button(text, press, part, primary=name == self.trouble.choices[0])
                made.setFixedWidth(220)
                line = row(made)
                line.insertWidget(1, label(meaning, part, voice="soft"), 100)
                column.addLayout(line)
        part.setMaximumWidth(WIDEST)
        return part

    def _afresh_words(self) -> str:
        return _(
            "Nothing is deleted: {file} is moved to a folder beside it, with its day book and copies, and can be put "
            "back from the menu."
        ).format(file=self.trouble.path.name)

    def _offer(self, found: object) -> None:
        """Show what there is to restore from."""
        listed = [c for c in found if isinstance(c, Copy)] if isinstance(found, list) else []
        self.restore_part.load(listed, self._clock().astimezone())
        self.restore_part.show()
        if self.restore_part.list.copy() is not None:
            self.restore_part.button.setFocus(Qt.FocusReason.OtherFocusReason)

    def _restore(self, source: Path | None) -> None:
        self.job_wanted.emit(restoring(self.trouble.path, source, self._clock()))

    def _choose_other(self) -> None:
        choose_store(self, _("Open another store"), self.trouble.path.parent, self.opened.emit)

    def _ask_afresh(self) -> None:
        best = self.restore_part.list.copy()
        there = ""
        if best is not None and best.entries is not None:
            there = _("There is a copy with {entries} to restore from. ").format(entries=words.number_of(best.entries))
        box = QMessageBox(QMessageBox.Icon.NoIcon, "rackview", _("Start with an empty rack?"), parent=self)
        box.setInformativeText(there + self._afresh_words())
        afresh = box.addButton(_("Start an empty rack"), QMessageBox.ButtonRole.AcceptRole)
        back = box.addButton(_("Back"), QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(back)
        box.setEscapeButton(back)
        box.finished.connect(lambda _: self.start_afresh() if box.clickedButton() is afresh else None)
        box.open()

    def start_afresh(self) -> None:
        """Set the store aside and open an empty one in its place."""
        try:
            rescue.set_aside(self.trouble.path, self._clock())
        except StoreError as error:
            self.say(str(error))
            return
        self.opened.emit(self.trouble.path)

    def say(self, sentence: str) -> None:
        """Tell what came of another try."""
        if not self.work.running:
            self.work.say(sentence, wrong=True)

    def closeEvent(self, event: QCloseEvent) -> None:
        self._again.stop()
        self.work.wait()
        super().closeEvent(event)
