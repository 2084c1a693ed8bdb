"""Keeping what is typed as a draft: a moment after the last key, and whenever the keeper goes elsewhere."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

from rackview.services.faults import StoreError
from rackview.ui.round.drafts import RoundDrafts
from rackview.ui.round.entry.model import Entry

SAVE_MS = 300
"""Milliseconds without a key after which a draft is kept."""


class Saving(QObject):
    """Knows whether anything is typed that is not kept yet.

    Signals
    -------
    due() : the keeper has stopped typing
    saved() : a draft was kept
    failed(str) : why it was not
    """

    due = Signal()
    saved = Signal()
    failed = Signal(str)

    def __init__(self, drafts: RoundDrafts, parent: QObject) -> None:
        super().__init__(parent)
        self._drafts = drafts
        self._unkept = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SAVE_MS)
        self._timer.timeout.connect(self.due)

    def typed(self) -> None:
        """Something was typed."""
        self._unkept = True
        self._timer.start()

    def hold(self) -> None:
        """Wait with what is typed: it is about to be recorded."""
        self._timer.stop()

    def settled(self) -> None:
        """What was typed is recorded or forgotten; there is nothing to keep."""
        self._unkept = False
        self._timer.stop()

    def save(self, entry: Entry | None) -> None:
        """Keep what is typed in an entry, now."""
        self._timer.stop()
        if entry is None or not self._unkept:
            return
        try:
            self._drafts.keep(entry)
        except StoreError as error:
            self.failed.emit(str(error))
            return
        self._unkept = False
        self.saved.emit()
