"""Working something out for a page: in a thread of its own where the window advises behind, else at once."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from contextlib import suppress

from PySide6.QtCore import QObject, Signal

log = logging.getLogger("rackview.work")


class Aside(QObject):
    """One page's work; what was asked for before and is not there yet is dropped.

    Signals
    -------
    found(object) : what was worked out last
    failed() : it could not be worked out; the log says why
    """

    found = Signal(object)
    failed = Signal()
    _ended = Signal(int, bool, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._asked = 0
        self._ended.connect(self._take)

    def work(self, call: Callable[[], object], *, behind: bool) -> None:
        """Work it out; `found` comes in the window's thread, before this returns unless `behind`."""
        self._asked += 1
        if not behind:
            self.found.emit(call())
            return
        threading.Thread(target=self._run, args=(self._asked, call), name="aside", daemon=True).start()

    def drop(self) -> None:
        """Forget what was asked for; what is still worked out comes to nothing."""
        self._asked += 1

    def _run(self, asked: int, call: Callable[[], object]) -> None:
        try:
            done, result = True, call()
        except Exception:
            log.exception("a page could not be worked out")
            done, result = False, None
        with suppress(RuntimeError):  # the page is gone
            self._ended.emit(asked, done, result)

    def _take(self, asked: int, done: bool, result: object) -> None:
        if asked != self._asked:
            return
        if done:
            self.found.emit(result)
        else:
            self.failed.emit()
