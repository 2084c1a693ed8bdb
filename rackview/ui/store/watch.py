"""Watches the shared and the second folder while the window is open: at once when the system tells, else slowly."""

from __future__ import annotations

import logging
from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from rackview.services.behind import PATIENCE
from rackview.services.faults import StoreError
from rackview.services.folders import SECOND, SHARED
from rackview.ui.store.work import Work

if TYPE_CHECKING:
    from rackview.services.rack_session import Change, RackSession
    from rackview.services.sharing import Arrival, Meeting, Stranger

log = logging.getLogger("rackview.watch")

SLOW_MS = 30_000
"""How often the folders are looked into: network drives tell nobody when another PC has written."""
NONE_MS = 300_000
"""How often it is looked whether another program of this PC set one, where none is set."""
SOON_MS = 2_000
"""How long after a change they are looked into, so that a file which is still being written is read once."""


class FolderWatch(QObject):
    """Looks into the folders of a session, in a thread of its own.

    Signals
    -------
    met() : a look has ended
    came(Arrival) : entries of another PC came in
    """

    met = Signal()
    came = Signal(object)

    def __init__(self, session: RackSession, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._work: Work | None = None
        self.arrivals: list[Arrival] = []
        self.strangers: tuple[Stranger, ...] = ()
        self.troubles: tuple[str, ...] = ()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(SOON_MS)
        self._soon.timeout.connect(self.look)
        self._system = QFileSystemWatcher(self)
        self._system.directoryChanged.connect(lambda _: self._soon.start())
        self._slow = QTimer(self)
        self._slow.setInterval(SLOW_MS)
        self._slow.timeout.connect(self.look)
        session.subscribe(self._changed)

    @cached_property
    def _meeting(self) -> Meeting:
        from rackview.services.sharing import Meeting  # only where a folder is set

        return Meeting(self._session.place, self._session.pc, self._session.now)

    def start(self) -> None:
        """Begin to watch."""
        if self._session.passing or self._session.read_only is not None:
            return
        self._slow.start()
        self._soon.start()

    def stop(self) -> None:
        """Watch no more; the look that is under way stops at the next point where it can."""
        self._slow.stop()
        self._soon.stop()
        if self._work is not None:
            self._work.stop()
            self._work.wait(PATIENCE)
            self._work = None

    def look(self) -> None:
        """Look into the folders now; nothing if that is being done, or none is set."""
        if self._work is not None or self._session.fault is not None:
            return
        try:
            shared, second = self._session.folders.place(SHARED), self._session.folders.place(SECOND)
        except StoreError:
            return
        self._attend(shared if shared is None or self._session.folders.look(SHARED) else None)
        if second is not None:
            self._session.folders.look(SECOND)
        none = shared is None and second is None
        self._slow.setInterval(NONE_MS if none else SLOW_MS)
        if none:
            self.strangers, self.troubles = (), ()
            return
        meeting = self._meeting
        self._work = Work(lambda tell: meeting.look(shared, second, tell), self)
        self._work.done.connect(self._ended)
        self._work.failed.connect(self._failed)
        self._work.start()

    def welcome(self, stranger: Stranger) -> None:
        """Take this store's entries in from now on."""
        try:
            self._meeting.welcome(stranger)
        except StoreError as error:
            self._failed(str(error))
            return
        self.strangers = tuple(s for s in self.strangers if s is not stranger)
        self.met.emit()
        self.look()

    def wait(self) -> None:
        """Wait until the look that is under way has ended."""
        if self._work is not None:
            self._work.wait()

    def _attend(self, shared: object) -> None:
        wanted = [] if shared is None else [str(shared)]
        watched = self._system.directories()
        if watched != wanted:
            if watched:
                self._system.removePaths(watched)
            if wanted:
                self._system.addPaths(wanted)

    def _changed(self, change: Change) -> None:
        if change.words and self._slow.isActive():
            self._soon.start()  # what was recorded here goes to the others soon

    def _ended(self, found: object) -> None:
        from rackview.services.sharing import Met

        self._work = None
        if not isinstance(found, Met):
            return
        self.strangers, self.troubles = found.strangers, found.troubles
        for arrival in found.arrivals:
            log.info("taken in from %s: %d events", arrival.name, len(arrival.merged.written.events))
            self.arrivals = [*self.arrivals, arrival][-20:]
            self.came.emit(arrival)
        self.met.emit()

    def _failed(self, said: str) -> None:
        self._work = None
        self.troubles = (said,)
        self.met.emit()
