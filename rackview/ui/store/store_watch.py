"""Says when the store is to be looked at: another program may have written, or a disk has gone.

The system tells at once of what is written, so a window that is left alone need not ask. It is never relied on: a slow
look comes in any case, and where the system did not even tell of this window's own entries the looks come as quickly
as if there were nothing that could tell.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QFileSystemWatcher, QObject, Qt, QTimer, Signal

if TYPE_CHECKING:
    from rackview.services.rack_session import Change, RackSession

SOON_MS = 200
"""How long after the system told the store is looked at: an entry is written in more than one piece."""
LATE_MS = 2_000
"""How long after the system last told it is looked at once more: a slow disk may have taken the first look's time."""
SLOW_MS = 30_000
"""How often it is looked at where nothing is told."""
QUICK_MS = 1_500
"""How often where the system tells nothing, or while the store is away or something is worked in behind."""


class StoreWatch(QObject):
    """Watches the store of a session.

    Signals
    -------
    due() : look at the store
    """

    due = Signal()

    def __init__(self, session: RackSession, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._told = self._deaf = False
        self._system = QFileSystemWatcher(self)
        self._system.fileChanged.connect(self._wake)
        self._system.directoryChanged.connect(self._wake)
        self._soon = QTimer(self, singleShot=True, interval=SOON_MS)
        self._soon.timeout.connect(self.look)
        self._late = QTimer(self, singleShot=True, interval=LATE_MS)
        self._late.timeout.connect(self._hear)
        self._slow = QTimer(self, interval=SLOW_MS, timerType=Qt.TimerType.VeryCoarseTimer)
        self._slow.timeout.connect(self.look)
        session.subscribe(self._changed)

    def start(self) -> None:
        """Begin to watch."""
        self._slow.start()
        self._attend()

    def stop(self) -> None:
        """Watch no more."""
        for timer in (self._soon, self._late, self._slow):
            timer.stop()
        if watched := [*self._system.files(), *self._system.directories()]:
            self._system.removePaths(watched)

    def look(self) -> None:
        """Have the store looked at now, and from now on as often as it needs."""
        if not self._slow.isActive():
            return
        self.due.emit()
        if self._slow.isActive():  # whoever looked may have left the store
            self._attend()
            quick = self._deaf or self._session.fault is not None or self._session.recounting
            self._slow.start(QUICK_MS if quick else SLOW_MS)

    def _wake(self) -> None:
        self._told = True
        if not self._soon.isActive():
            self._soon.start()
        self._late.start()

    def _changed(self, change: Change) -> None:
        if change.words and self._slow.isActive():  # entered here, so the system should tell of it
            self._late.start()

    def _hear(self) -> None:
        self._deaf, self._told = not self._told, False
        self.look()

    def _attend(self) -> None:
        """Watch the store, its log, its folder and where that lies, as a stick goes; each may have come or gone."""
        store = self._session.place
        wanted = [store, store.with_name(store.name + "-wal"), store.parent, store.parent.parent]
        watched = {*self._system.files(), *self._system.directories()}
        if new := [str(path) for path in wanted if str(path) not in watched and path.exists()]:
            self._system.addPaths(new)
