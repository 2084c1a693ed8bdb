"""Taking steps back and doing them again: always by new entries that say so, so that the history stays whole."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Mapping
from datetime import datetime

from rackview.core.events import Event
from rackview.core.rack import Rack
from rackview.services.change import Change, Step, called_back, renamed
from rackview.services.undo_history import LOOKED_AT, earlier_steps
from rackview.services.validation import Row, RowKey, withdrawal
from rackview.store import Store


class Undoing(ABC):
    """The steps of a session, and those of an earlier window that can still be undone."""

    rack: Rack
    read_only: str | None
    pc: str
    _store: Store
    _undo: list[Step]
    _redo: list[Step]

    @abstractmethod
    def now(self) -> datetime: ...

    @abstractmethod
    def _commit(
        self, words: str, events: Iterable[Event], rows: Mapping[RowKey, Row | None]
    ) -> tuple[Change, Step]: ...

    @abstractmethod
    def _refuse_used(self, name: str, but: Iterable[str]) -> None: ...

    @abstractmethod
    def _tell(self, change: Change) -> Change: ...

    @property
    def undo_words(self) -> str | None:
        """What undo would take back; None if there is nothing."""
        return self._undo[-1].words if self._undo else None

    @property
    def redo_words(self) -> str | None:
        """What redo would do again; None if there is nothing."""
        return self._redo[-1].words if self._redo else None

    def _steps_before(self) -> list[Step]:
        """What was entered in an earlier window and can still be undone."""
        if self.read_only is not None:
            return []
        newest = self._store.newest_events(LOOKED_AT)
        whole = len(newest) < LOOKED_AT
        return earlier_steps(newest, self.pc, self.now().astimezone(), self._store.history, whole=whole)

    def undo(self) -> Change | None:
        """Take back the last step by new entries that say so; None if there is nothing to undo."""
        return self._turn(self._undo, self._redo)

    def redo(self) -> Change | None:
        """Do again what was undone last; None if there is nothing."""
        return self._turn(self._redo, self._undo)

    def forget_steps(self) -> None:
        """Start anew with nothing to undo, as after filling a demo rack."""
        self._undo.clear()
        self._redo.clear()

    def _turn(self, source: list[Step], target: list[Step]) -> Change | None:
        if not source:
            return None
        step = source[-1]
        done = [e for i in reversed(step.events) if (e := self._store.event(i)) is not None]
        back = [withdrawal(self._store, e, self.now()) for e in done]
        for row, before in zip(step.rows, step.before, strict=True):
            if row.table == "vessel" and before is None and row.key in self.rack.vessels and not renamed(step):
                self._refuse_used(row.key, step.events)
        rows = {(r.table, r.key): b for r, b in zip(step.rows, step.before, strict=True)}
        if renamed(step):
            rows = called_back(rows)
        change, turned = self._commit(step.words, back, rows)
        source.pop()
        target.append(turned)
        return self._tell(change)
