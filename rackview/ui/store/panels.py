"""The parts of the store's page: where it is, a look through it, restoring it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from rackview.language import _
from rackview.services import copies, maintenance, rescue
from rackview.services.copies import Copy
from rackview.services.faults import StoreError
from rackview.services.folders import SECOND
from rackview.services.maintenance import StoreFinding
from rackview.services.rescue import StepBack, StoreStatus
from rackview.ui.store import words, working
from rackview.ui.store.choice import RestorePart, choose_store
from rackview.ui.store.parts import WIDEST, WorkLine, button, lines_anew, row
from rackview.ui.store.parts import selectable_words as label

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession


class Panel(QWidget):
    """One part of the page: a heading, sentences, buttons, and what came of the last work.

    Signals
    -------
    said(str) : words for the window's line of what was done
    job(Job) : do this to the store, for which the window must close
    other(Path) : open another store
    part(str) : show another part of the page
    """

    said = Signal(str)
    job = Signal(object)
    other = Signal(object)
    part = Signal(str)

    def __init__(self, session: RackSession, title: str, about: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(12)
        self.column.addWidget(label(title, self, px=20, bold=True))
        self.column.addWidget(label(about, self))
        self.work = WorkLine(self)
        self.work.done.connect(self.done)
        self.work.ended.connect(self.refresh)
        self.setMaximumWidth(WIDEST)

    def begin(self) -> None:
        """The part is shown."""
        self.refresh()

    def refresh(self) -> None:
        """Show the store as it is now."""

    def done(self, what: object) -> None:
        """Show what came of the work."""


class PlacePanel(Panel):
    """Where the store is, one step back, stores set aside."""

    def __init__(self, session: RackSession, parent: QWidget | None = None) -> None:
        super().__init__(
            session,
            _("Where the store is"),
            _(
                "Everything you record is in one file. The day book beside it holds every entry once more as plain "
                "text, and a copy is made each day; both are named after the file."
            ),
            parent,
        )
        self.where = label("", self)
        self.where.setProperty("voice", "soft")
        self.backup = button(_("&Back up now"), self._back_up, self)
        self.open = button(_("Open another &store…"), self._choose, self)
        self.step = label("", self)
        self.undo = button(_("&Undo that"), self._undo, self)
        self.column.addWidget(self.where)
        self.column.addLayout(row(self.backup, self.open))
        self.column.addWidget(self.work)
        self.column.addSpacing(8)
        self.column.addWidget(self.step)
        self.column.addLayout(row(self.undo))
        self._asides = QVBoxLayout()
        self.column.addLayout(self._asides)
        self.column.addStretch(1)
        self.back: StepBack | None = None

    def begin(self) -> None:
        path = self.session.place
        self.where.setText(words.store_place(path, passing=self.session.passing))
        self._show(None)
        if not self.session.passing:
            self.work.run(lambda _: rescue.store_status(path), "", quiet=True)

    def done(self, what: object) -> None:
        if isinstance(what, StoreStatus):
            self._show(what)

    def _show(self, found: StoreStatus | None) -> None:
        now = self.session.now().astimezone()
        self.back = None if found is None or self.session.read_only else found.back
        if found is not None:
            self.where.setText(words.stands(self.session.place, found, now))
        self.step.setVisible(self.back is not None)
        self.undo.setVisible(self.back is not None)
        if self.back is not None:
            self.step.setText(words.undoable_step(self.back, now))
        put_back = _("Put it back")
        lines_anew(
            self._asides,
            [(words.aside(f), put_back, partial(self._take_back, f)) for f in (found.asides if found else ())],
            self,
        )

    def _back_up(self) -> None:
        try:
            self.said.emit(_("A verified copy lies at {place}.").format(place=self.session.backup()))
            self.begin()
        except StoreError as error:
            self.work.say(words.finding_text(str(error)), wrong=True)

    def _choose(self) -> None:
        choose_store(self, _("Open another store"), self.session.place.parent, self.other.emit)

    def _undo(self) -> None:
        self.job.emit(working.undoing(self.session.place, self.session.now()))

    def _take_back(self, folder: Path) -> None:
        self.job.emit(working.taking_back(self.session.place, folder, self.session.now()))


class CheckPanel(Panel):
    """A look through the store."""

    def __init__(self, session: RackSession, parent: QWidget | None = None) -> None:
        super().__init__(
            session,
            _("Check the store"),
            _(
                "Reads the file, every entry and the day book, and compares them. Nothing is changed. It may take a "
                "while with years of entries; you can go on working meanwhile."
            ),
            parent,
        )
        self.go = button(_("&Look through it now"), self._go, self, primary=True)
        self.restore = button(_("&Restore…"), lambda: self.part.emit("restore"), self, primary=True)
        self.restore.hide()
        self.column.addLayout(row(self.go))
        self.column.addWidget(self.work)
        self.findings = label("", self)
        self.column.addWidget(self.findings)
        self.column.addLayout(row(self.restore))
        self.column.addStretch(1)

    def _go(self) -> None:
        path = self.session.place
        self.findings.clear()
        self.restore.hide()
        self.go.setEnabled(False)
        self.work.run(lambda tell: maintenance.look_through(path, tell), _("Looking through the store…"))

    def refresh(self) -> None:
        self.go.setEnabled(not self.work.running)

    def done(self, what: object) -> None:
        found = [f for f in what if isinstance(f, StoreFinding)] if isinstance(what, Sequence) else []
        self.work.say(words.found(found), wrong=any(f.damage for f in found))
        self.findings.setText("\n".join(f"•  {words.finding_text(f.sentence)}" for f in found))
        self.restore.setVisible(any(f.damage for f in found) and not self.session.passing)


class RestorePanel(Panel):
    """Restoring the store though nothing is known to be wrong with it."""

    def __init__(self, session: RackSession, parent: QWidget | None = None) -> None:
        super().__init__(
            session,
            _("Restore the store"),
            _(
                "Makes the file anew from a copy, the day book and what is in it now. Use it when a check found "
                "damage, or when entries are missing. It does not go back in time: to take back what was recorded "
                "by mistake, use Undo or Records."
            ),
            parent,
        )
        self.restore = RestorePart(self)
        self.restore.source_wanted.connect(self._restore)
        self.column.addWidget(self.restore)
        self.column.addWidget(self.work)
        self.column.addStretch(1)

    def begin(self) -> None:
        path = self.session.place
        second = self.session.folders.place(SECOND)
        self.restore.setEnabled(not self.session.passing and self.session.read_only is None)
        if self.session.passing:
            self.work.say(_("This is the demo rack; its store goes when its window closes."))
            return
        self.work.run(lambda _: copies.sources(path, second), _("Looking for copies…"))

    def done(self, what: object) -> None:
        found = [c for c in what if isinstance(c, Copy)] if isinstance(what, list) else []
        self.restore.load(found, self.session.now().astimezone())

    def _restore(self, source: Path | None) -> None:
        self.job.emit(working.restoring(self.session.place, source, self.session.now()))
