"""Work for which the store must be closed: restoring it, undoing that, putting an older one back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.services import rescue
from rackview.services.faults import Tell
from rackview.services.maintenance import telling
from rackview.ui.store import words
from rackview.ui.store.parts import WorkLine, button, row
from rackview.ui.store.parts import selectable_words as label
from rackview.ui.store.plain_window import PlainWindow
from rackview.ui.widgets.fields import scrolled

SIZE = QSize(820, 420)


@dataclass(frozen=True, slots=True)
class Job:
    """What is done to the store at `path`: its title, what is said meanwhile, what it ends with, and the deed itself.

    `call` returns a sentence of what came of it. What is `stoppable` leaves all as it was before, or is done whole.
    """

    path: Path
    title: str
    meanwhile: str
    done: str
    call: Callable[[Tell], str]
    stoppable: bool = False


def restoring(path: Path, source: Path | None, now: datetime) -> Job:
    """Restore the store from a copy, or from its day book alone."""
    return Job(
        path,
        _("Restoring the store"),
        _("Putting the entries together. What is there now is kept."),
        _("The store is restored"),
        lambda tell: words.restored(rescue.undoable_restore(path, source, now, telling(tell)), path),
        stoppable=True,
    )


def undoing(path: Path, now: datetime) -> Job:
    """Undo the last restore or merge."""
    return Job(
        path,
        _("Going one step back"),
        _("Putting back the store that was there before. The one that is there now is kept."),
        _("One step back"),
        lambda _: words.undone(rescue.undo(path, now)),
    )


def taking_back(path: Path, aside: Path, now: datetime) -> Job:
    """Put a store that was set aside back in its place."""
    return Job(
        path,
        _("Putting the earlier store back"),
        _("The one in its place now is set aside in its turn."),
        _("The earlier store is back"),
        lambda _: words.taken_back(rescue.take_aside_back(path, aside, now)),
    )


class WorkingWindow(PlainWindow):
    """What is being done, and then the way back to the rack.

    Signals
    -------
    opened(Path) : open the store at this place
    """

    opened = Signal(object)

    def __init__(self, job: Job) -> None:
        super().__init__(SIZE)
        self.job = job
        inner = QWidget(self)
        self.heading = label(job.title, inner, px=24, bold=True)
        self.work = WorkLine(self)
        self.work.said.setFont(label("", inner, px=16).font())
        self.work.done.connect(self._done)
        self.work.stopped.connect(self._stopped)
        self.work.ended.connect(self._ended)
        self.go_on = button(_("&Open the rack"), lambda: self.opened.emit(job.path), self, primary=True)
        self.go_on.hide()
        column = QVBoxLayout(inner)
        column.setContentsMargins(36, 26, 36, 24)
        column.setSpacing(14)
        column.addWidget(self.heading)
        column.addWidget(self.work)
        column.addLayout(row(self.go_on))
        column.addStretch(1)
        self.setCentralWidget(scrolled(inner, self))
        self.setWindowTitle(job.title)
        self.work.run(job.call, job.meanwhile, stoppable=job.stoppable, changes=True)

    def _done(self, said: object) -> None:
        self.heading.setText(self.job.done)
        self.setWindowTitle(self.job.done)
        self.work.say(str(said))

    def _stopped(self) -> None:
        self.heading.setText(_("Stopped"))
        self.setWindowTitle(_("Stopped"))

    def _ended(self) -> None:
        self.go_on.show()
        self.go_on.setFocus(Qt.FocusReason.OtherFocusReason)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.work.wait()  # stopped where that can be, else done: never broken off in the middle
        super().closeEvent(event)
