"""How a session's rack follows its store: what others entered, and what was read anew behind the window."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence

from rackview.core.events import Event
from rackview.core.rack import Rack
from rackview.services import set_up
from rackview.services.advice_cache import AdviceCache
from rackview.services.behind import Behind
from rackview.services.change import Change, change_of
from rackview.services.memory import holds, remember
from rackview.services.worked_in import Worked, with_joined
from rackview.store import Store, Written


class Following(ABC):
    """The rack of a session, brought up to the store; every method may raise `StoreError`."""

    rack: Rack
    read_only: str | None
    _store: Store
    _behind: Behind
    _advice_cache: AdviceCache
    _recent: bool
    _seen: int
    _version: int

    @abstractmethod
    def _tell(self, change: Change) -> Change: ...

    @property
    def recounting(self) -> bool:
        """Whether what is believed leaves out an old entry that is still being worked in, behind the window."""
        return self._behind.recounting

    def _poll(self) -> Change | None:
        anew = self._behind.take()
        if anew is not None:
            self._take_over(anew)
            return None  # it was entered here, or told of when it came in
        if self._recent and self.read_only is None:
            self._behind.keep(self.rack, self._seen)
        version = self._store.data_version()
        written = Written() if version == self._version else self._catch_up()
        self._version = version
        self._lighten()
        return self._tell(change_of(written)) if written.events or written.rows else None

    def _take_over(self, anew: Worked) -> None:
        """Go on with what was read anew behind."""
        if anew.joined:
            found = with_joined(self.rack, anew, self._store.since(anew.last))
            rack = None if found is None else self._grown(*found)
            if rack is None:
                self._behind.recount()
                return
            self.rack = rack
        else:
            self.rack, self._seen = anew.rack, anew.last
        self._catch_up()
        self._tell(Change(frozenset({"events"}), anew.changed or frozenset(self.rack.vessels)))

    def _lighten(self) -> None:
        """Go on with less of the rack in memory, where one was read behind that says the same."""
        lighter = self._behind.lighter()
        if lighter is None or self.recounting:
            return
        rack, last = lighter
        since = self._store.since(last)
        if since.rows or since.last != self._seen:
            return
        found = self._grown(rack, since.events)
        if found is not None:
            self._advice_cache.lightened(self.rack, found)
            self.rack = found

    def _read(self) -> tuple[Rack, int]:
        if not self._recent:
            return self._store.read(remember) if self._store.mode == "read" else self._store.read_whole()
        found = self._store.read_soon(remember, holds)
        self._behind.begun(found.last, noted=found.noted)
        if found.left_out:
            self._behind.recount()
        return found.rack, found.last

    def _catch_up(self, just: Written | None = None) -> Written:
        """Bring the rack up to all that the store holds: what was `just` written, unless others wrote before it."""
        written = just if just is not None and just.alone_since(self._seen) else self._store.since(self._seen)
        rack = (
            set_up.taken(self.rack, self._store, self._seen, self._behind, self._recent) if written.rows else self.rack
        )
        if rack is None:
            self.rack, self._seen = self._read()
            return written
        grown = self._grown(rack, written.events)
        if grown is None:
            self._behind.recount(rack, written.events)
            self.rack, self._seen = rack, written.last
            return written
        self.rack, self._seen = grown, max(self._seen, written.last)
        return written

    def _grown(self, rack: Rack, events: Sequence[Event]) -> Rack | None:
        """A rack with events that the store has; None if they reach so far back that this is done behind."""
        if self._recent and events:  # what they touch may lie before the snapshot
            touched = [] if self._store.goes_far_back(events) else self._store.related(events)
            if self._store.goes_far_back([*events, *touched]):
                return None
            rack = rack.knowing(touched)
        return rack.with_history(events) if events else rack
