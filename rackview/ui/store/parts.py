"""Pieces that the pages of the store are made of: a wrapped sentence, a button with what it does, a line of work."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from rackview.language import _
from rackview.services.faults import Tell
from rackview.ui.store.work import Work
from rackview.ui.theme import fonts
from rackview.ui.widgets.fields import tall

WIDEST = 860
"""No line of words is longer than this, px."""


def selectable_words(text: str, parent: QWidget, *, voice: str = "", px: int = 14, bold: bool = False) -> QLabel:
    """Words that wrap and can be selected, so that a place can be copied."""
    label = QLabel(text, parent)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    label.setFont(fonts.font(px, fonts.BOLD if bold else fonts.REGULAR))
    label.setMaximumWidth(WIDEST)
    wide = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
    wide.setHeightForWidth(True)
    label.setSizePolicy(wide)
    if voice:
        label.setProperty("voice", voice)
    return label


def button(text: str, press: Callable[[], object], parent: QWidget, *, primary: bool = False) -> QPushButton:
    """A button of the usual height."""
    made = QPushButton(text, parent)
    if primary:
        made.setProperty("role", "primary")
    made.clicked.connect(lambda _=False: press())
    tall(made, 40)
    return made


def row(*parts: QWidget) -> QHBoxLayout:
    """Widgets side by side, from the left."""
    made = QHBoxLayout()
    made.setSpacing(10)
    for part in parts:
        made.addWidget(part)
    made.addStretch(1)
    return made


def lines_anew(column: QVBoxLayout, lines: Iterable[tuple[str, str, Callable[[], object]]], parent: QWidget) -> None:
    """Fill a column with lines of words, each with a button at its right, in place of what stood there."""
    while (item := column.takeAt(0)) is not None:
        if (widget := item.widget()) is not None:
            widget.hide()
            widget.deleteLater()
    for text, press_words, press in lines:
        line = QWidget(parent)
        inner = row(button(press_words, press, line))
        inner.insertWidget(0, selectable_words(text, line), 1)
        inner.setContentsMargins(0, 0, 0, 0)
        line.setLayout(inner)
        column.addWidget(line)


class WorkLine(QWidget):
    """What long work is at, a bar that moves, and a button to stop it; then what came of it.

    Signals
    -------
    done(object) : the work has ended; what came of it
    stopped() : it was stopped; nothing came of it
    ended() : it has ended, failed or was stopped
    """

    done = Signal(object)
    stopped = Signal()
    ended = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._work: Work | None = None
        self._changes = False
        self.said = selectable_words("", self)
        self.bar = QProgressBar(self)
        self.bar.setRange(0, 0)
        self.bar.setTextVisible(False)
        self.bar.setFixedWidth(220)
        self.stop = button(_("Stop"), self._stop, self)
        line = row(self.bar, self.stop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.said)
        column.addLayout(line)
        self._show(busy=False)

    @property
    def running(self) -> bool:
        """Whether work is being done."""
        return self._work is not None

    def run(
        self,
        call: Callable[[Tell], object],
        at_first: str,
        *,
        stoppable: bool = True,
        changes: bool = False,
        quiet: bool = False,
    ) -> None:
        """Do work beside the window; nothing if some is being done already. `quiet` shows no bar.

        Work that `changes` the store may be past the point where it can be stopped: what became of it is waited for.
        """
        if self._work is not None:
            return
        self._changes = changes
        work = self._work = Work(call, self)
        work.told.connect(lambda said: self._heard(work, said))
        work.done.connect(lambda what: self._ended(work, what=what))
        work.failed.connect(lambda said: self._ended(work, said, wrong=True))
        work.stopped.connect(lambda: self._was_stopped(work))
        self.say(at_first)
        self._show(busy=not quiet)
        self.stop.setVisible(stoppable and not quiet)
        work.start()

    def say(self, text: str, *, wrong: bool = False) -> None:
        """Show words in place of what stood there."""
        self.said.setProperty("voice", "error" if wrong else "")
        self.said.style().unpolish(self.said)
        self.said.style().polish(self.said)
        self.said.setText(text)
        self.said.setVisible(bool(text))

    def wait(self) -> None:
        """Stop what is being done, and wait for it to end."""
        if self._work is not None:
            self._work.stop()
            self._work.wait()

    def _heard(self, work: Work, said: str) -> None:
        if work is self._work and self.stop.isEnabled():
            self.say(said)

    def _stop(self) -> None:
        if self._work is None:
            return
        self._work.stop()
        if not self._changes:
            self._was_stopped(self._work)
            return
        self.stop.setEnabled(False)
        self.say(_("Stopping…"))

    def _was_stopped(self, work: Work) -> None:
        if work is self._work:
            self._ended(work, _("Stopped; nothing was changed."))
            self.stopped.emit()

    def _ended(self, work: Work, said: str = "", what: object = None, *, wrong: bool = False) -> None:
        if work is not self._work:
            return
        self._work = None
        self._show(busy=False)
        self.say(said, wrong=wrong)
        if not said:
            self.done.emit(what)
        self.ended.emit()

    def _show(self, *, busy: bool) -> None:
        self.bar.setVisible(busy)
        self.stop.setVisible(busy)
        self.stop.setEnabled(True)
