"""An open store, as far as reading goes; the standard library alone."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import NamedTuple, Self

from rackview.core.dataclass import dataclass
from rackview.core.events import Event
from rackview.core.garbage import uncollected
from rackview.core.rack import Rack
from rackview.store import errors, snapshot
from rackview.store.assemble import rack_of_tables
from rackview.store.backup import copy_place, copy_to, never
from rackview.store.connect import Stop, stoppable
from rackview.store.rows import TableRow, events_of, stamp, table_rows_of
from rackview.store.snapshot import (
    AT_ONCE,
    TIP,
    Remember,
    Remembered,
    Snapshot,
    events_at,
    events_between,
    newest_snapshot,
    rack_from,
    related,
    still_holds,
)
from rackview.store.sql import (
    END_OF_SO_MANY,
    EVENTS,
    MANY_SINCE,
    MENTIONS,
    MOVES,
    NEWEST,
    NEWEST_ENTERED,
    NEWEST_EVENTS,
    ONE_ROW,
    ROWS,
    SO_MANY_AGO,
    SO_MANY_SINCE,
)


@dataclass(frozen=True, slots=True)
class Written:
    """Entries in the order of arrival; `last` is the running number of the store's newest one at that moment."""

    events: tuple[Event, ...] = ()
    rows: tuple[TableRow, ...] = ()
    last: int = 0

    def alone_since(self, n: int) -> bool:
        """Whether these are all that came after the running number `n`: nobody else wrote meanwhile."""
        return self.last == n + len(self.events) + len(self.rows)


class ReadSoon(NamedTuple):
    """A rack up to the running number `last`.

    `left_out` says that something was, and `read` is to be called when there is time for it; `noted` says that what is
    believed is noted in the store so far that nothing needs to be added.
    """

    rack: Rack
    last: int
    left_out: bool
    noted: bool


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of the record as a rack: what came after the moment `since`, up to before `end` if more came then.

    `last` is the running number up to which the rack knows the store, `left` so many events came after `since`, and
    `many` says that those are more than can be worked through at once.
    """

    rack: Rack
    last: int
    since: str | None
    end: str | None
    left: int
    many: bool


Holds = Callable[[Rack, str, str], bool]
"""Whether what is remembered of a vessel of the rack, by name, holds, as it says itself what it rests on."""


class Reader:
    """What can be asked of an open store; every method raises `StoreError` for what goes wrong.

    Attributes
    ----------
    path : the SQLite file
    connection : the open connection
    """

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self.connection = connection
        found = path.stat()
        self._file = (found.st_dev, found.st_ino)

    def close(self) -> None:
        """Close the file; closing twice does no harm."""
        self.connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def load(self) -> Rack:
        """Everything in the store as a rack, read whole."""
        return self.read_whole()[0]

    def read_whole(self) -> tuple[Rack, int]:
        """Everything in the store as a rack, and the running number of the newest entry in it."""
        with uncollected(), self._reading():
            last = self.last()
            return rack_from(self.connection, self.path, self._bare(), last, None, None), last

    def read(self, remember: Remember | None = None) -> tuple[Rack, int]:
        """As `read_whole`, but lazily.

        A long history is read from the newest snapshot on; what came before is fetched when someone looks for it.
        `remember` makes what is known at the snapshot of what `keep` was given.
        """
        with self._reading():
            last = self.last()
            snapshot = newest_snapshot(self.connection, last)
            return rack_from(self.connection, self.path, self._bare(), last, snapshot, remember), last

    def read_of(self, vessels: Collection[str]) -> tuple[Rack, int]:
        """As `read_whole`, with the events of these vessels alone, whatever they were called then."""
        with self._reading():
            last, bare = self.last(), self._bare()
            names = {*vessels, *(old for old, name in bare.present_names.items() if name in vessels)}
            return bare.with_history(events_at(self.connection, names, last)), last

    def read_soon(self, remember: Remember, holds: Holds) -> ReadSoon:
        """As `read`, but no more than can be thought through at once, where what is remembered of the rest is void.

        An old entry makes snapshots void: then from such a snapshot all the same. Another program, profile or vessel
        makes void what is remembered there, as `holds` says of each vessel: then the newest events alone.
        """
        with self._reading():
            last, bare = self.last(), self._bare()
            found = [newest_snapshot(self.connection, last, void=void) for void in (False, True)]
            snapshot = self._remembered(found[0], bare, holds)
            soon = snapshot if found[0] == found[1] else self._remembered(found[1], bare, holds)
            begin = "" if snapshot is None else snapshot.at
            noted = snapshot is not None and last - snapshot.n < TIP
            if not self._many_since(begin):
                rack = rack_from(self.connection, self.path, bare, last, snapshot or found[0], remember)
                return ReadSoon(rack, last, left_out=False, noted=noted)
            if soon is not None and soon.at > begin:
                rack = rack_from(self.connection, self.path, bare, last, soon, remember)
                return ReadSoon(rack, last, left_out=True, noted=noted)
            (begin,) = self.connection.execute(SO_MANY_AGO, (AT_ONCE,)).fetchone()
            rack = bare.with_recent({}, events_between(self.connection, begin, "9999", last))
            return ReadSoon(rack, last, left_out=True, noted=noted)

    def _remembered(self, snapshot: Snapshot | None, bare: Rack, holds: Holds) -> Snapshot | None:
        """The snapshot, if what is remembered there holds for every vessel."""
        held = [] if snapshot is None else self._held(snapshot, bare, holds)
        return snapshot if held and all(held) else None

    def _held(self, snapshot: Snapshot, bare: Rack, holds: Holds) -> list[bool]:
        """Of what is remembered at a snapshot, which holds."""
        return [holds(bare, name, by) for name, by in self.made_by(snapshot).items() if name in bare.known_vessels]

    def read_stretch(self, remember: Remember, holds: Holds, known: Remembered | None = None) -> Stretch:
        """The record from the newest moment of which everything is remembered, as far as one stretch goes.

        That moment is the one that is `known`, if it still holds. Where nothing that is remembered holds, as after an
        update of the program, it is the beginning; where some of it does, it is the whole record, as `read` has it.
        """
        with self._reading():
            last, bare = self.last(), self._bare()
            if known is not None and not self._still(known, bare, last, holds):
                known = None
            base, mixed = None if known is None else known.snapshot, False
            if known is None and (newest := newest_snapshot(self.connection, last)) is not None:
                held = self._held(newest, bare, holds)
                base, mixed = newest if any(held) else None, any(held) and not all(held)
            since = None if base is None else base.at
            (left,) = self.connection.execute(SO_MANY_SINCE, (since or "",)).fetchone()
            many = not mixed and left > AT_ONCE
            most = max(snapshot.STRETCH, snapshot.OF_EACH * len(bare.known_vessels))
            end = None
            if many and left > most + AT_ONCE:
                (end,) = self.connection.execute(END_OF_SO_MANY, (since or "", most - 1)).fetchone()
            rack = rack_from(self.connection, self.path, bare, last, base, remember, end=end, known=known)
            return Stretch(rack, last, since, end, left, many)

    def _still(self, known: Remembered, bare: Rack, last: int, holds: Holds) -> bool:
        """Whether what is known at a moment holds for all that was entered since, and for the vessels as they are."""
        return still_holds(self.connection, known.snapshot.at, known.snapshot.n, last) and all(
            holds(bare, name, memo.made_by) for name, memo in known.memos.items()
        )

    def goes_far_back(self, events: Iterable[Event]) -> bool:
        """Whether more events came after the oldest of these than can be worked through at once."""
        with self._reading():
            return self._many_since(min((stamp(e.at) for e in events), default="9999"))

    def is_long(self) -> bool:
        """Whether there are more events than can be worked through at once."""
        with self._reading():
            return self._many_since("")

    def mentions(self, vessels: Iterable[str], upto: int) -> bool:
        """Whether an event up to the running number `upto` is of one of these vessels, or moved culture there."""
        names = json.dumps(sorted(vessels))
        with self._reading():
            return self.connection.execute(MENTIONS, (upto, names, names)).fetchone() is not None

    def moves(self) -> set[frozenset[str]]:
        """Pairs of vessels between which culture was ever said to have moved, corrected or not."""
        with self._reading():
            return {frozenset(pair) for pair in self.connection.execute(MOVES)}

    def _many_since(self, moment: str) -> bool:
        found = self.connection.execute(MANY_SINCE, (moment, AT_ONCE)).fetchone()
        return found is not None

    def _bare(self) -> Rack:
        """The rack without its events."""
        return rack_of_tables(table_rows_of(self.connection.execute(ROWS + NEWEST)))

    def snapshot(self, *, tips: bool = True) -> Snapshot | None:
        """The newest snapshot that holds; None if there is none."""
        with self._reading():
            return newest_snapshot(self.connection, self.last(), tips=tips)

    def made_by(self, snapshot: Snapshot) -> dict[str, str]:
        """What the memos at a snapshot rest on, by vessel."""
        with self._reading():
            return dict(self.connection.execute("SELECT vessel, made_by FROM memos WHERE at = ?", (snapshot.at,)))

    def newest_events(self, most: int) -> list[Event]:
        """The events that were entered last, newest first, whatever became of them."""
        with self._reading():
            return events_of(self.connection.execute(NEWEST_EVENTS, (most,)).fetchall())

    def related(self, events: Collection[Event]) -> list[Event]:
        """What these events of the store replace or are replaced by, near and far, without themselves."""
        with self._reading():
            return related(self.connection, events, self.last())

    def since(self, n: int) -> Written:
        """Entries with a running number above `n`, replaced and withdrawn ones included."""
        with self._reading():
            events = self.connection.execute(EVENTS + "WHERE n > ? ORDER BY n", (n,)).fetchall()
            rows = self.connection.execute(ROWS + "WHERE n > ? ORDER BY n", (n,)).fetchall()
            return Written(tuple(events_of(events)), tuple(table_rows_of(rows)), self.last())

    def newest_rows(self) -> list[TableRow]:
        """The newest version of each row of the tables beside the events, removed ones included."""
        with self._reading():
            return table_rows_of(self.connection.execute(ROWS + NEWEST))

    def history(self, table: str, key: str) -> list[TableRow]:
        """Every version of one table row, oldest first."""
        with self._reading():
            return table_rows_of(self.connection.execute(ONE_ROW, (table, key)))

    def event(self, event_id: str) -> Event | None:
        """The event of that id, in force or not; None if there is none."""
        with self._reading():
            return next(iter(events_of(self.connection.execute(EVENTS + "WHERE id = ?", (event_id,)).fetchall())), None)

    def replacing(self, event_id: str) -> list[Event]:
        """Events that replace the one of that id, in the order in which they arrived."""
        with self._reading():
            return events_of(self.connection.execute(EVENTS + "WHERE replaces = ? ORDER BY n", (event_id,)).fetchall())

    def newest_entered(self) -> datetime | None:
        """When the newest entry was made, by the clock of the PC that made it; None in an empty store."""
        with self._reading():
            found = self.connection.execute(NEWEST_ENTERED).fetchone()
        return datetime.fromisoformat(found[0]) if found and found[0] else None

    def numbered(self) -> list[tuple[int, Event | TableRow]]:
        """Every entry with its running number, in the order of arrival."""
        with self._reading():
            found: list[tuple[int, Event | TableRow]] = []
            events = self.connection.execute(EVENTS + "ORDER BY n").fetchall()
            numbers = [n for (n,) in self.connection.execute("SELECT n FROM events ORDER BY n")]
            found += zip(numbers, events_of(events), strict=True)
            rows = self.connection.execute(ROWS + "ORDER BY n").fetchall()
            numbers = [n for (n,) in self.connection.execute("SELECT n FROM table_rows ORDER BY n")]
            found += zip(numbers, table_rows_of(rows), strict=True)
        return sorted(found, key=lambda pair: pair[0])

    def data_version(self) -> int:
        """A number that changes when another connection has written (SQLite's PRAGMA data_version)."""
        with errors.spoken(self.path):
            return int(self.connection.execute("PRAGMA data_version").fetchone()[0])

    def is_there(self) -> bool:
        """Whether the file is still the one that was opened; raises `StoreError` if it was taken away."""
        try:
            found = self.path.stat()
        except OSError:
            raise errors.gone(self.path) from None
        return (found.st_dev, found.st_ino) == self._file

    def quick_check(self, stop: Stop = never) -> tuple[str, ...]:
        """Sentences about damage that SQLite's quick check finds; none if the file is sound.

        Raises `Stopped` if `stop` said so.
        """
        with errors.spoken(self.path), stoppable(self.connection, stop):
            said = self.connection.execute("PRAGMA quick_check(1)").fetchone()[0]
        return () if said == "ok" else (str(errors.corrupt(self.path, said)),)

    def backup(
        self,
        target: Path | str | None = None,
        now: datetime | None = None,
        stop: Stop = never,
        *,
        keep_damaged: bool = False,
    ) -> Path:
        """Copy the store to `target`, or beside it under a name with the moment `now` and the store's id.

        It may be in use meanwhile; the copy is sound, or not there at all. With `keep_damaged` a copy of a store in
        which rows are not as they were written is kept under a name that says so, and `DamagedCopyError` raised.
        Raises `Stopped` if `stop` said so.
        """
        if target is None:
            moment = "" if now is None else f"-{now.astimezone():%Y-%m-%dT%H%M%S}"
            target = copy_place(self.connection, self.path, f"by-hand{moment}")
        return copy_to(self.connection, Path(target), stop, keep_damaged=keep_damaged)

    def draft(self, form: str) -> dict[str, object] | None:
        """What was typed in a form and not yet recorded; None if nothing."""
        return self.drafts().get(form)

    def drafts(self) -> dict[str, dict[str, object]]:
        """All that was typed and not yet recorded, by form."""
        with self._reading():
            return {form: json.loads(body) for form, body in self.connection.execute("SELECT form, body FROM drafts")}

    def meta(self, name: str) -> str | None:
        """A remark of the store about itself; None if there is none."""
        with self._reading():
            found = self.connection.execute("SELECT value FROM meta WHERE name = ?", (name,)).fetchone()
        return None if found is None else str(found[0])

    @contextmanager
    def _reading(self) -> Iterator[None]:
        """Read several tables as of one moment; turn what goes wrong into a sentence."""
        nested = self.connection.in_transaction
        with errors.read(self.path):
            if not nested:
                self.connection.execute("BEGIN")
            try:
                yield
            finally:
                if not nested:
                    self._roll_back()

    def _roll_back(self) -> None:
        """End a transaction that may have ended already, as SQLite ends it itself after some faults."""
        if self.connection.in_transaction:
            self.connection.execute("ROLLBACK")

    def last(self) -> int:
        events, rows = self.connection.execute(
            "SELECT (SELECT coalesce(max(n), 0) FROM events), (SELECT coalesce(max(n), 0) FROM table_rows)"
        ).fetchone()
        return max(int(events), int(rows))
