"""What takes long is done behind the window: working an old entry into what is believed, and noting beliefs.

An entry of years ago changes every belief after it, of its vessel and of those that culture joins to it. The window
goes on with the rack as it was, and takes over their histories with that entry in them once its vessel is thought
through; what is noted for the next start is put right when the window rests. A window that is open for long takes over
a lighter rack now and then: else all that it saw since its start stays in memory, each entry with what was believed
just after it. Nothing here is needed for an entry to be kept: that was done before, and whatever is left undone when
the window closes is begun again at the next start.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from time import monotonic

from rackview.core.events import Event
from rackview.core.rack import Rack
from rackview.language import _
from rackview.services.faults import Stopped
from rackview.services.memory import due, linked_by, memos_of, remember
from rackview.services.stretches import thought_through
from rackview.services.worked_in import Worked, read_joined
from rackview.store import Store, StoreError

BEHIND = _("an entry this old takes a while to be worked into what is believed")

RESTED_S = 18.0
"""Seconds during which nothing came in before what is believed is noted: that takes the processor for a second, which a
keeper who types count after count would feel."""

CROWD = 150
"""So many entries after the rack was read a lighter one is read, once the window rests; after twice as many without a
rest. Each takes some 13 kB with what is believed after it."""

PATIENCE = 0.08
"""Seconds that closing waits for a thread which may just be writing; it ends by itself soon after."""


class Behind:
    """One thread at most, beside the session of the store at `path`."""

    def __init__(self, path: Path, clock: Callable[[], datetime], ready: Callable[[], None] = lambda: None) -> None:
        """`ready` is called in the thread when there is a rack to take over."""
        self._path = path
        self._clock = clock
        self.ready = ready
        self._thread: threading.Thread | None = None
        self._stopped = threading.Event()
        self._wanted = False
        self._old: tuple[Rack, tuple[Event, ...]] | None = None
        self._found: Worked | None = None
        self._lighter: tuple[Rack, int] | None = None
        self._kept = self._newest = 0
        self._read = 0
        self._since = monotonic()
        self.unnoted = False
        """Whether what is noted in the store leaves out an old entry that the session's rack has."""

    @property
    def recounting(self) -> bool:
        """Whether older entries are still being worked in."""
        return self._wanted

    def recount(self, rack: Rack | None = None, old: Sequence[Event] = ()) -> None:
        """Read the rack anew, all of it thought through; `take` hands it over.

        Where that is for `old` entries at vessels of `rack` alone, only what they changed is read.
        """
        before = self._old[1] if self._old is not None else ()
        whole = rack is None or not old or (self._wanted and not before)
        self._old = None if whole or rack is None else (rack, (*before, *old))
        self._wanted = True
        self._found = self._lighter = None
        self._start(self._recount)

    def take(self) -> Worked | None:
        """What was read anew, once; None if it is not there yet."""
        if self._wanted and self._found is None:
            self._start(self._recount)  # asked for again while it was busy
        found, self._found = self._found, None
        if found is not None:
            self._wanted, self._old = False, None
            self.unnoted = bool(found.joined)
            self._read = found.last - CROWD  # years of it may be in memory
        return found

    def begun(self, last: int, *, noted: bool) -> None:
        """The session has just read its rack, up to the running number `last`; `noted` says from what was noted."""
        self._read = self._newest = last
        self._kept = last if noted else 0

    def keep(self, rack: Rack, last: int) -> None:
        """Note what is believed for the next start, if that is due; only what was thought already counts.

        Called at every look at the store; while entries come in it waits, but not for ever.
        """
        if last != self._newest:
            self._newest, self._since = last, monotonic()
        rested, since = monotonic() - self._since >= RESTED_S, last - self._read
        crowded = since >= 2 * CROWD or (rested and since >= CROWD)
        due = crowded or (rested and last != self._kept)
        if due and not self._wanted and any(head.memo for head in rack.logs.values()):
            lighten = self._note_anew if self.unnoted else lambda: self._lighten(rack, last)
            self._start(lighten if crowded or self.unnoted else lambda: self._keep(rack, last))

    def lighter(self) -> tuple[Rack, int] | None:
        """The same rack with less of it in memory, once, and the running number up to which it knows the store."""
        found, self._lighter = self._lighter, None
        return found

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
        with suppress(Stopped, StoreError):  # the session meets the same fault itself, and says so
            work()

    def _recount(self) -> None:
        while (old := self._old) is not None:
            with Store.open(self._path, "read") as store:
                anew = read_joined(store, *old, self._clock())
            if old is self._old:  # nothing was asked for since
                self._found = anew
                self.ready()
                return
        from rackview.advice.api import advise

        part = thought_through(self._path, self._look_up, note=True)
        advise(part.rack, self._clock())
        self._keep(part.rack, part.last)
        self._found = Worked(part.rack, part.last)
        self.ready()

    def _note_anew(self) -> None:
        """Note snapshots in place of those that old entries made void: in a rack of its own, as all of it is read."""
        part = thought_through(self._path, self._look_up, note=True)
        self._lighten(part.rack, part.last)
        self.unnoted = False

    def _look_up(self, _share: float) -> None:
        """Stop where the window was closed meanwhile."""
        if self._stopped.is_set():
            raise Stopped

    def _lighten(self, rack: Rack, last: int) -> None:
        from rackview.advice.api import assess_all
        from rackview.advice.moment import when

        self._read = last
        self._keep(rack, last)
        with Store.open(self._path, "read") as store:
            newest = store.snapshot()
            if newest is None or last - newest.n >= CROWD:
                return  # it could not be noted, or an entry of before came in just now: nothing would be lighter
            light, known = store.read(remember)
        assess_all(light, self._clock())
        for head in light.logs.values():
            list(head.back(when(self._clock().astimezone()).today))  # tiles tell what was done today
        self._lighter = light, known
        self.ready()

    def _keep(self, rack: Rack, last: int) -> None:
        with Store.open(self._path, "read") as store:
            snapshots = due(store, rack, last, older=True)
            linked = linked_by(rack, store.moves())
        if snapshots and not self._stopped.is_set():
            memos = memos_of(rack, snapshots, linked)
            if not self._stopped.is_set():
                with suppress(StoreError), Store.open(self._path, "write") as store:
                    store.keep(snapshots, memos)
        self._kept = last
