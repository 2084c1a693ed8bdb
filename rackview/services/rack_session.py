"""The session at which window and command line work: record, correct, undo, and hear of it.

The store is written first; only when the entry is durable does the rack move on and do listeners hear of it.
"""

from __future__ import annotations

import platform
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from rackview.core.errors import InputError
from rackview.core.events import Event
from rackview.core.parse import event_from
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.language import _
from rackview.services import places, set_up
from rackview.services.advice_cache import AdviceCache
from rackview.services.advising import Advising
from rackview.services.behind import BEHIND, Behind
from rackview.services.change import Change, Step, change_of
from rackview.services.drafts import Drafts
from rackview.services.folders import Folders
from rackview.services.following import Following
from rackview.services.listing import Listing
from rackview.services.memory import keep_due_snapshots
from rackview.services.stretches import thought_through
from rackview.services.undoing import Undoing
from rackview.services.validation import (
    AHEAD,
    Row,
    RowKey,
    Signature,
    Typed,
    after_rivals,
    check_clock,
    clock_notice,
    first_version,
    validated,
    versions,
    withdrawal,
)
from rackview.store import Store, StoreError, TableRow
from rackview.store import pictures as store_pictures

__all__ = ["AHEAD", "Change", "RackSession", "Step"]

IN_USE = _("to stay in the list, as events are recorded for it; rest it instead")
WORKED_IN = _("Older entries are still being worked into what is believed; its figures follow in a moment.")
MOST_STEPS = 1_000
"""Steps that undo goes back to; nobody takes so many back one by one."""
BROUGHT = _("Brought back as a draft: what was typed while the store was away.")


class RackSession(Listing, Undoing, Advising, Following):
    """A store with its rack in memory.

    Attributes
    ----------
    rack : everything recorded so far
    read_only : why nothing can be recorded, in a sentence; None if it can
    pc : what this PC is called in entries
    passing : whether the store goes when the session closes, as a demo's does
    folders : the second folder for copies and the one shared with other PCs
    fault : what keeps the store from being read or written just now; None if nothing does. The rack still shows what
        was last known, and drafts are kept on this PC until the store is back.
    """

    def __init__(
        self, store: Store, clock: Callable[[], datetime], *, pc: str | None = None, recent: bool = False
    ) -> None:
        """With `recent`, a long history is read from its newest snapshot on, and the rest when someone looks for it.

        So is one that is only looked at (mode read), though never with an entry left out for later.
        """
        check_clock(clock())
        self._store = store
        self._clock = clock
        self.pc = platform.node() if pc is None else pc
        self._undo: list[Step] = []
        self._redo: list[Step] = []
        self._listeners: list[Callable[[Change], None]] = []
        self._clear_ups: list[Callable[[], None]] = []
        self._waits: list[Callable[[], None]] = []
        self._advice_cache = AdviceCache()
        self._drafts = Drafts(places.drafts(), clock)
        self.folders = Folders(lambda: self._store, self.pc, clock)
        self._behind = Behind(store.path, clock)
        self.fault: StoreError | None = None
        self._damage: StoreError | None = None  # it does not pass by itself
        self._told: str | None = None
        self.read_only: str | None = None
        self.passing = False
        if store.mode == "read":
            self.read_only = _("{path} can only be read, so nothing can be recorded.").format(path=store.path)
        self._version = store.data_version()
        self._recent = recent
        self.rack, self._seen = self._read()
        self._undo += self._steps_before()
        self._notices: tuple[str, ...] = clock_notice(store, self.now())
        self._untold = False
        if self._drafts.come_back(store):
            self.notice(BROUGHT)
        if self.recounting:
            self.notice(WORKED_IN)

    # --- about ----------------------------------------------------------------------------------------------------

    @property
    def place(self) -> Path:
        """The store's file."""
        return self._store.path

    @property
    def notices(self) -> tuple[str, ...]:
        """Sentences about the store and its surroundings that the keeper should see."""
        return (*self._store.notices, *self._notices)

    def notice(self, *sentences: str) -> None:
        """Add sentences that the keeper should see, in any thread; the next look at the store tells of them."""
        self._notices += sentences
        self._untold = self._untold or bool(sentences)
        if sentences:
            self._behind.ready()

    @property
    def trouble(self) -> str | None:
        """What keeps the store from being read or written just now, in a sentence; None if nothing does."""
        return None if self.fault is None else str(self.fault)

    def suffer(self, fault: StoreError) -> None:
        """Note what someone else found to be wrong with the store, in any thread; the next look tells of it."""
        self.fault = fault
        self._damage = fault if fault.kind == "corrupt" else self._damage
        self._behind.ready()

    def now(self) -> datetime:
        """The moment by the clock that was handed in (aware)."""
        return self._clock()

    def close(self) -> None:
        """Close the store; what is on screen stays."""
        self._behind.stop()
        self._advice_cache.stop()
        while self._waits:
            self._waits.pop()()
        try:
            thought = any(head.memo for head in self.rack.logs.values())
            if (
                self._recent and thought and not self.recounting and not self._behind.unnoted
            ):  # only what was thought already
                self.keep_beliefs()
        finally:
            self._store.close()
            while self._clear_ups:
                self._clear_ups.pop()()

    def at_close(self, clear_up: Callable[[], None]) -> None:
        """Call `clear_up` once, after the store is closed."""
        self._clear_ups.append(clear_up)

    def wait_to_close(self, wait: Callable[[], None]) -> None:
        """Call `wait` once, before the store is closed: for what reads the file beside the session."""
        self._waits.append(wait)

    def subscribe(self, callback: Callable[[Change], None]) -> None:
        """Call `callback` after every change, whoever made it."""
        self._listeners.append(callback)

    # --- events ---------------------------------------------------------------------------------------------------

    def record(self, typed: Typed | Iterable[Typed], words: str = "") -> Change:
        """Record events (domain objects or table rows) as one step; raises `InputError` or `StoreError`."""
        several = [typed] if isinstance(typed, Event | Mapping) else list(typed)
        return self._do(words or _("Record"), self._checked(several))

    def correct(self, event_id: str, new: Typed, words: str = "") -> Change:
        """Replace an event by what it should have said; the old one stays in the history."""
        old = self._event(event_id)
        event = event_from(new if isinstance(new, Event) else {**new, "id": "", "replaces": event_id})
        late = after_rivals(self._store, old, self.now())
        anew = replace(event, id="", replaces=event_id, entered_at=late)
        return self._do(words or _("Correct"), self._checked([anew]))

    def withdraw(self, event_id: str, words: str = "") -> Change:
        """Take an event back, with all corrections of it; it stays in the history, and undo brings it back."""
        return self.withdraw_all([event_id], words)

    def withdraw_all(self, event_ids: Iterable[str], words: str = "") -> Change:
        """Take several events back in one step, as `withdraw`."""
        firsts = {first.id: first for i in event_ids for first in [first_version(self._store, self._event(i))]}
        return self._do(words or _("Take back"), [withdrawal(self._store, e, self.now()) for e in firsts.values()])

    # --- drafts ---------------------------------------------------------------------------------------------------

    def save_draft(self, form: str, data: Mapping[str, object]) -> None:
        """Keep what is typed in an open form, as typed; where the store can't, this PC keeps it until it can."""
        self.fault = self._drafts.save(self._store, form, data) or self.fault

    def draft(self, form: str) -> dict[str, object] | None:
        """What was typed in a form and not yet recorded; None if nothing."""
        return self.drafts().get(form)

    def drafts(self) -> dict[str, dict[str, object]]:
        """All drafts by form."""
        return self._drafts.all(self._store)

    def drop_draft(self, form: str) -> None:
        """Forget a draft, as it was recorded or thrown away."""
        self.fault = self._drafts.drop(self._store, form) or self.fault

    # --- others' entries, and the store's own ways ------------------------------------------------------------------

    def poll(self) -> Change | None:
        """Take in what another window or the command line wrote meanwhile; None if nothing changed.

        Never raises: what goes wrong is in `trouble`, and a change that names the table “trouble” tells of it; one that
        names “notices” tells of new sentences in `notices`.
        """
        try:
            if not self._store.is_there():
                self.reopen()
            found = self._poll()
            self.fault = self._drafts.flush(self._store) or self._damage
        except StoreError as error:
            self.fault, found = error, None
        if found is None and self.trouble != self._told:
            self._told = self.trouble
            return self._tell(Change(frozenset({"trouble"}), frozenset()))
        if found is None and self._untold:
            self._untold = False
            return self._tell(Change(frozenset({"notices"}), frozenset()))
        return found

    def reopen(self) -> None:
        """Open the store anew, after it was replaced or its disk was away; raises `StoreError`."""
        store = Store.open(self._store.path, self._store.mode)
        self._store.close()
        self._store = store
        self._version = -1
        self._behind.stop()  # what it has read is of the file before
        self._behind = Behind(store.path, self._clock, self._behind.ready)
        self.rack, self._seen = self._read()
        self.fault = self._damage = None

    def whole(self) -> Rack:
        """The rack with everything that was ever replaced or taken back, for export; raises `StoreError`."""
        return self._store.load() if self._recent or self._store.mode == "read" else self.rack

    def history(self, table: str, key: str) -> list[TableRow]:
        """Every version of one row of a table beside the events, oldest first; raises `StoreError`."""
        return self._store.history(table, key)

    def keep_beliefs(self, tell: Callable[[float], None] | None = None) -> None:
        """Note what is believed, so that the next start need not think everything through again.

        With `tell`, which hears what share is done, all of it is worked out first.
        """
        if self.read_only is None:
            with suppress(StoreError):
                if tell is None:
                    keep_due_snapshots(self._store, self.rack, self._seen)
                else:
                    tell(0.0)
                    part = thought_through(self.place, tell, note=True)
                    keep_due_snapshots(self._store, part.rack, part.last)
                    tell(1.0)

    def store_id(self) -> str | None:
        """The id of the store; raises `StoreError`."""
        return self._store.meta("id")

    def backup(self, target: Path | str | None = None) -> Path:
        """Write a verified copy of the store and return its place; raises `StoreError`.

        Where the copy lies elsewhere, the pictures go with it, into a folder beside it.
        """
        from rackview.services.maintenance import copied_though_damaged

        if self.read_only is None:
            with copied_though_damaged(lambda: self._store.backup(target, self.now(), keep_damaged=True)):
                self._store.complete_book()
        made = self._store.backup(target, self.now(), keep_damaged=True)
        mine = store_pictures.pictures_folder(self.place, self.store_id())
        if target is not None and made.parent != self.place.parent:
            store_pictures.copy_missing(mine, store_pictures.pictures_folder(made, self.store_id()))
        return made

    # --- inside ---------------------------------------------------------------------------------------------------

    def _do(self, words: str, events: Iterable[Event], rows: Mapping[RowKey, Row | None] | None = None) -> Change:
        change, step = self._commit(words, events, rows or {})
        if not step.empty:
            self._undo.append(step)
            del self._undo[:-MOST_STEPS]
            self._redo.clear()
        return self._tell(change)

    def _commit(self, words: str, events: Iterable[Event], rows: Mapping[RowKey, Row | None]) -> tuple[Change, Step]:
        if self.read_only is not None:
            raise StoreError("read_only", self.read_only)
        check_clock(self.now())
        signature = Signature(self.now().astimezone(UTC), self.rack.settings.keeper, self.pc)
        new, before = versions(self._store, rows, signature)
        written = self._store.write([signature.signed(e) for e in events], new)
        ids = tuple(e.id for e in written.events)
        step = Step(words, ids, written.rows, tuple(before[r.table, r.key] for r in written.rows))
        waited = self.recounting
        caught_up = self._catch_up(written)
        if self.recounting and not waited:
            words += f"; {BEHIND if caught_up.events else set_up.ANEW}"
        return change_of(caught_up, words), step

    def _tell(self, change: Change) -> Change:
        for callback in tuple(self._listeners):
            callback(change)
        return change

    def _checked(
        self, typed: Iterable[Typed], vessels: Mapping[str, Vessel] | None = None, *, parsed: bool = False
    ) -> list[Event]:
        return validated(typed, self.rack.known_vessels if vessels is None else vessels, self.now(), parsed=parsed)

    def _event(self, event_id: str) -> Event:
        found = self._store.event(event_id)
        if found is None:
            raise InputError("id", event_id, _("the id of a recorded event"))
        return found

    def _refuse_used(self, name: str, but: Iterable[str]) -> None:
        passed = set(but)
        for node in self.rack.log(name).back():
            if node.event is not None and node.event.id not in passed:
                raise InputError("vessel", name, IN_USE)
        if self.recounting and not passed and self._store.mentions([name], self._seen):  # older than what is in memory
            raise InputError("vessel", name, IN_USE)
