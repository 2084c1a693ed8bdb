"""The parts of the store's page about elsewhere: other PCs, the shared folder, the second folder for copies."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog, QVBoxLayout, QWidget

from rackview.language import _
from rackview.services import rescue
from rackview.services.faults import StoreError
from rackview.services.folders import SECOND, SHARED
from rackview.services.maintenance import Merged, telling
from rackview.ui.store import words
from rackview.ui.store.choice import choose_store
from rackview.ui.store.panels import Panel
from rackview.ui.store.parts import button, lines_anew, row
from rackview.ui.store.parts import selectable_words as label
from rackview.ui.store.watch import FolderWatch

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession


class MergePanel(Panel):
    """Taking another PC's entries in, once."""

    def __init__(self, session: RackSession, parent: QWidget | None = None) -> None:
        super().__init__(
            session,
            _("Merge another PC's entries"),
            _(
                "Takes in what was recorded on another PC for the same rack, from its store or a copy of it on a "
                "stick. Nothing is doubled, however often you do it, and the other file is only read."
            ),
            parent,
        )
        self.go = button(_("&Choose the other store…"), self._choose, self, primary=True)
        self.conflicts = label("", self)
        self.undo = button(_("&Undo the merge…"), lambda: self.part.emit("place"), self)
        self.undo.hide()
        self._other = Path()
        self.column.addLayout(row(self.go))
        self.column.addWidget(self.work)
        self.column.addWidget(self.conflicts)
        self.column.addLayout(row(self.undo))
        self.column.addStretch(1)

    def _choose(self) -> None:
        choose_store(self, _("Merge another PC's store"), None, self.merge)

    def merge(self, other: Path) -> None:
        """Take the entries of the store at `other` in."""
        path, now = self.session.place, self.session.now()
        self._other = other
        self.conflicts.clear()
        self.undo.hide()
        self.go.setEnabled(False)
        self.work.run(
            lambda tell: rescue.undoable_merge(path, other, now, telling(tell)),
            _("Taking in what {file} holds…").format(file=other.name),
            changes=True,
        )

    def refresh(self) -> None:
        self.go.setEnabled(not self.work.running and self.session.read_only is None)

    def done(self, what: object) -> None:
        if isinstance(what, Merged):
            self.work.say(words.merged(what, self._other.name))
            self.conflicts.setText(words.conflicts(what.conflicts))
            self.undo.setVisible(bool(what.written.events or what.written.rows) and not self.session.passing)
            self.session.poll()


class FolderPanel(Panel):
    """A folder that is set for this PC: which, whether it is there, when it was seen last."""

    which = ""

    def __init__(
        self, session: RackSession, watch: FolderWatch, title: str, about: str, parent: QWidget | None = None
    ) -> None:
        super().__init__(session, title, about, parent)
        self.watch = watch
        watch.met.connect(self.refresh)
        self.state = label("", self)
        self.choose = button(_("&Choose a folder…"), self._choose, self, primary=True)
        self.look = button(_("&Look now"), watch.look, self)
        self.forget = button(_("&Go without it"), lambda: self.put(None), self)
        self.column.addWidget(self.state)
        self.column.addLayout(row(self.choose, self.look, self.forget))
        self.column.addWidget(self.work)

    def _choose(self) -> None:
        chosen = QFileDialog.getExistingDirectory(self, self.choose.text().replace("&", ""))
        if chosen:
            self.put(Path(chosen))

    def put(self, folder: Path | None) -> None:
        """Set the folder and look into it at once."""
        try:
            if folder is not None:
                words.refuse_folder(folder, self.session.place)
            self.session.folders.put(self.which, folder)
        except (StoreError, ValueError) as error:
            self.work.say(str(error), wrong=True)
            return
        self.work.say("")
        self.watch.look()
        self.refresh()

    def refresh(self) -> None:
        place = self.session.folders.place(self.which)
        there = place is not None and self.session.folders.look(self.which)
        self.state.setText(
            words.folder(
                place, self.session.folders.last_seen(self.which), self.session.now().astimezone(), there=there
            )
        )
        able = self.session.read_only is None and not self.session.passing
        self.choose.setEnabled(able)
        for made in (self.look, self.forget):
            made.setVisible(place is not None)
            made.setEnabled(able)


class SecondPanel(FolderPanel):
    """The second folder for copies."""

    which = SECOND

    def __init__(self, session: RackSession, watch: FolderWatch, parent: QWidget | None = None) -> None:
        super().__init__(
            session,
            watch,
            _("Second backup folder"),
            _(
                "A place on another disk, such as a stick, that gets a copy each day as well. It need not always be "
                "there: the copy is made when it is."
            ),
            parent,
        )
        self.copies = label("", self, voice="soft")
        self.column.addWidget(self.copies)
        self.column.addStretch(1)

    def refresh(self) -> None:
        super().refresh()
        self.copies.setText(
            words.second(self.session.place, self.session.folders.place(SECOND), self.session.now().astimezone())
        )


class SharedPanel(FolderPanel):
    """The folder that PCs share."""

    which = SHARED

    def __init__(self, session: RackSession, watch: FolderWatch, parent: QWidget | None = None) -> None:
        super().__init__(
            session,
            watch,
            _("Shared folder"),
            _(
                "Set the same folder on each PC of this rack: a network drive, or one that a program keeps the same on "
                "all of them. Each lays a copy of its entries there and takes in the others' by itself."
            ),
            parent,
        )
        self._strangers = QVBoxLayout()
        self.column.addLayout(self._strangers)
        self.arrived = label("", self)
        self.column.addWidget(self.arrived)
        self.column.addStretch(1)

    def refresh(self) -> None:
        super().refresh()
        now = self.session.now().astimezone()
        lines = [words.arrival(a, now) for a in reversed(self.watch.arrivals)]
        lines += [t for t in self.watch.troubles if t]
        self.arrived.setText("\n".join(lines))
        same = _("Same rack: take it in")
        lines_anew(
            self._strangers,
            [(words.stranger(s), same, partial(self.watch.welcome, s)) for s in self.watch.strangers],
            self,
        )
