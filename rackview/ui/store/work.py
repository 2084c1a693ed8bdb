"""Work beside the window: what takes long runs in a thread of its own, says how far it is, and can be stopped."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from contextlib import suppress

from PySide6.QtCore import QObject, Signal

from rackview.core.errors import InputError
from rackview.language import _
from rackview.services import logbook
from rackview.services.faults import Stopped, StoreError, Tell

log = logging.getLogger("rackview.work")


class Work(QObject):
    """One piece of work; the signals arrive in the window's thread.

    Signals
    -------
    told(str) : what it is at
    done(object) : it has ended; what came of it
    failed(str) : it could not be done, in a sentence
    stopped() : it was stopped; nothing came of it
    """

    told = Signal(str)
    done = Signal(object)
    failed = Signal(str)
    stopped = Signal()

    def __init__(self, call: Callable[[Tell], object], parent: QObject | None = None) -> None:
        """`call` is handed a function to say what it is at, which raises `Stopped` once stopping was asked for."""
        super().__init__(parent)
        self._call = call
        self._stop = threading.Event()
        self._told = ""
        self._thread = threading.Thread(target=self._run, name="store work")

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """Ask it to stop at the next point where that can be."""
        self._stop.set()

    def wait(self, at_most: float | None = None) -> None:
        """Wait until it has ended, or so many seconds."""
        if self._thread.is_alive():
            self._thread.join(at_most)

    @property
    def running(self) -> bool:
        """Whether it has not ended yet."""
        return self._thread.is_alive()

    def _tell(self, words: str = "") -> None:
        if self._stop.is_set():
            raise Stopped
        if words and words != self._told:
            self._told = words
            self._send(self.told, words)

    def _run(self) -> None:
        try:
            found = self._call(self._tell)
        except Stopped:
            self._send(self.stopped)
        except (StoreError, InputError) as error:
            self._send(self.failed, str(error))
        except OSError as error:
            self._send(self.failed, f"{error.filename or ''}: {error.strerror or error}".removeprefix(": "))
        except Exception as error:  # whatever happens, the keeper gets a sentence
            log.exception("work failed")
            place = logbook.write_down(error, "store work")
            self._send(
                self.failed,
                _("Something went wrong inside rackview ({name}); see {place}.").format(
                    name=type(error).__name__, place=place
                ),
            )
        else:
            self._send(self.done, found)

    def _send(self, signal: object, *what: object) -> None:
        with suppress(RuntimeError):  # the page it was for is closed
            signal.emit(*what)  # type: ignore[attr-defined]
