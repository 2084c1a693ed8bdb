"""What would be advised if what is typed were recorded already; it may come a moment later."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from rackview.core.events import Count
from rackview.ui.round.entry.model import Entry

if TYPE_CHECKING:
    from rackview.services.advice_cache import AsIf
    from rackview.services.rack_session import RackSession

THINK_MS = 150
"""Milliseconds without a key after which advice is asked for."""


class Thinking(QObject):
    """Asks for advice on an entry and offers it to that entry, unless something was asked since.

    Signals
    -------
    offered() : the entry holds other suggestions than before
    """

    offered = Signal()
    _thought = Signal(int, bool, object)

    def __init__(self, session: RackSession, parent: QObject) -> None:
        super().__init__(parent)
        self._session = session
        self._entry: Entry | None = None
        self._asked = 0
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(THINK_MS)
        self._timer.timeout.connect(self._again)
        self._thought.connect(self._take)

    @property
    def waits(self) -> bool:
        """Whether advice is to be asked for in a moment."""
        return self._timer.isActive()

    def soon(self) -> None:
        """Ask again when the keeper has stopped typing."""
        self._timer.start()

    def stop(self) -> None:
        """Ask no more for what was typed: it is recorded."""
        self._timer.stop()

    def think(self, entry: Entry) -> None:
        """Ask for advice as if what is typed in `entry` were recorded already."""
        self._entry = entry
        now = entry.day or self._session.now()
        seen = entry.observed(now) if entry.begun is not None and entry.moment(now) == now else []
        self._asked += 1
        if seen:
            counted = any(isinstance(e, Count) for e in seen)
            done = partial(self._thought.emit, self._asked, counted)
            self._session.as_if(entry.rack.record(*seen), entry.vessel, now.astimezone(), done)
            return
        entry.doubted, entry.believed = "", entry.assessment.density_per_ml
        if entry.day is None:
            entry.offer(self._session.suggestions())
            done = partial(self._thought.emit, self._asked, False)  # noqa: FBT003 - a signal takes no names
            self._session.as_if(entry.rack, entry.vessel, now.astimezone(), done)
        self.offered.emit()

    def _again(self) -> None:
        if self._entry is not None:
            self.think(self._entry)

    def _take(self, asked: int, counted: bool, found: AsIf) -> None:
        entry = self._entry
        if entry is None or asked != self._asked:
            return
        entry.believed = found.density_per_ml
        entry.doubted = found.doubt if counted else ""
        if entry.day is None:
            entry.counting = found.counting
            entry.offer(found.suggestions)
        self.offered.emit()
