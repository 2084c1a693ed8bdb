"""What takes long is done behind the window: working an old entry into what is believed, and noting beliefs.

An entry of years ago changes every belief after it. The window goes on with the rack as it was, and takes over the one
with that entry in it when it has been thought through. Nothing here is needed for an entry to be kept: that was done
before, and whatever is left undone when the window closes is begun again at the next start.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from rackview.core.rack import Rack
from rackview.language import _
from rackview.services.memory import due, linked_by, memos_of, remember
from rackview.store import Store, StoreError

BEHIND = _("an entry this old takes a while to be worked into what is believed")

RESTED = 12
"""Looks at a store, some 18 s of a window's, during which nothing came in before what is believed is noted: that takes
the processor for a second, which a keeper who types count after count would feel."""

PATIENCE = 0.08
"""Seconds that closing waits for a thread which may just be writing; it ends by itself soon after."""


class Behind:
    """One thread at most, beside the session of the store at `path`."""

    def __init__(self, path: Path, clock: Callable[[], datetime]) -> None:
        self._path = path
        self._clock = clock
        self._thread: threading.Thread | None = None
        self._stopped = threading.Event()
        self._wanted = False
        self._found: tuple[Rack, int] | None = None
        self._kept = self._newest = 0
        self._rested = 0

    @property
    def recounting(self) -> bool:
        """Whether older entries are still being worked in."""
        return self._wanted

    def recount(self) -> None:
        """Read the rack anew, all of it thought through; `take` hands it over."""
        self._wanted = True
        self._found = None
        self._start(self._recount)

    def take(self) -> tuple[Rack, int] | None:
        """The rack that was read anew and the running number up to which it knows the store, once; None if not yet."""
        if self._wanted and self._found is None:
            self._start(self._recount)  # asked for again while it was busy
        found, self._found = self._found, None
        if found is not None:
            self._wanted = False
        return found

    def keep(self, rack: Rack, last: int) -> None:
        """Note what is believed for the next start, if that is due; only what was thought already counts.

        Called at every look at the store; while entries come in it waits.
        """
        self._rested = self._rested + 1 if last == self._newest else 0
        self._newest = last
        rested = self._rested >= RESTED and last != self._kept and not self._wanted
        if rested and any(head.memo for head in rack.logs.values()):
            self._start(lambda: self._keep(rack, last))

    def stop(self) -> None:
        """Let go, as the store is to be closed."""
        self._stopped.set()
        if self._thread is not None:
            self._thread.join(PATIENCE)

    def _start(self, work: Callable[[], None]) -> None:
        if self._stopped.is_set() or (self._thread is not None and self._thread.is_alive()):
            return
        self._thread = threading.Thread(target=self._quietly, args=(work,), name="behind", daemon=True)
        self._thread.start()

    def _quietly(self, work: Callable[[], None]) -> None:
        with suppress(StoreError):  # the session meets the same fault itself, and says so
            work()

    def _recount(self) -> None:
        from rackview.advice.api import advise

        with Store.open(self._path, "read") as store:
            rack, last = store.read(remember)
        advise(rack, self._clock())
        self._keep(rack, last)
        self._found = rack, last

    def _keep(self, rack: Rack, last: int) -> None:
        with Store.open(self._path, "read") as store:
            snapshots = due(store, rack, last)
            linked = linked_by(rack, store.moves())
        if snapshots and not self._stopped.is_set():
            memos = memos_of(rack, snapshots, linked)
            if not self._stopped.is_set():
                with suppress(StoreError), Store.open(self._path, "write") as store:
                    store.keep(snapshots, memos)
        self._kept = last
