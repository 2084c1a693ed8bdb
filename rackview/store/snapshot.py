"""Opening a long record without reading it all.

Now and then the store notes a snapshot: a moment, and for each vessel the last event before it. The next start reads
only what came after the newest snapshot that still holds; each vessel's history begins with a lazy node, which fetches
the piece before it when someone looks that far back. A snapshot no longer holds when an entry from before it was added,
corrected or taken back since; then an older one, or none, is used. There is a snapshot for every so many events, and
one, the tip, after the newest. Snapshots are no part of the record: they can be thrown away at any time.
"""

from __future__ import annotations

import json
import sqlite3
from bisect import bisect_left
from collections.abc import Callable, Collection, Hashable, Iterable, Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any
from zlib import crc32

from rackview.core.dataclass import dataclass
from rackview.core.events import Event
from rackview.core.log import LazyNode, Node
from rackview.core.rack import Rack
from rackview.core.renames import under_present_name
from rackview.store import connect, errors
from rackview.store.rows import events_of, json_text, stamp
from rackview.store.sql import (
    EVENTS,
    EVENTS_AT,
    EVENTS_BETWEEN,
    EVENTS_BY,
    PUT_MEMO,
    PUT_SNAPSHOT,
    REPLACING,
    REPLACING_SINCE,
)

PIECE = 1_500
"""Events between two snapshots."""

AT_ONCE = 2 * PIECE
"""Events after an old entry from which on it is worked in behind the window."""

STRETCH = 40_000
"""Events that are thought through with one another, some 100 MB of memory, before what is believed is noted."""

OF_EACH = 200
"""At least so many for each vessel: noting what is believed of one takes as long as thinking through some seventy."""

TIP = 10
"""How many new events are worth a new tip."""

WITH_MEMOS = 4
"""So many of the newest snapshots that have memos keep them: who looks back a little goes on from the one before."""

Row = tuple[Any, ...]
Remember = Callable[["Memo", Rack, Node, Callable[[str, Event, int], Node]], dict[Hashable, Any]]
"""Makes of a memo what a node remembers; the last argument makes an older node of its vessel, event and length."""


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A moment, the running number of the newest entry then known, and each vessel's last event id and length."""

    at: str
    n: int
    heads: Mapping[str, tuple[str, int]]
    tip: bool = False


@dataclass(frozen=True, slots=True)
class Memo:
    """What was known of one vessel at a snapshot, in a form of the maker's own, and all that it rests on."""

    at: str
    vessel: str
    made_by: str
    body: bytes

    def sum(self) -> int:
        """The memo's checksum."""
        return crc32(self.body, crc32(f"{self.at}{self.vessel}{self.made_by}".encode()))


@dataclass(frozen=True, slots=True)
class Remembered:
    """A snapshot with the memo of each vessel there, held in memory, and the one `before` it, for who looks back."""

    snapshot: Snapshot
    memos: Mapping[str, Memo]
    before: Remembered | None = None


def newest_snapshot(
    connection: sqlite3.Connection, last: int, before: str = "9999", *, tips: bool = True, void: bool = False
) -> Snapshot | None:
    """The newest snapshot before a moment that holds for the entries up to the running number `last`; any if `void`."""
    with harmless():
        for at, n, tip, body, total in connection.execute(
            "SELECT at, n, tip, body, sum FROM stumps WHERE at < ? AND n <= ? AND tip <= ? ORDER BY at DESC",
            (before, last, int(tips)),
        ):
            if crc32(f"{at}{n}{body}".encode()) == total and (void or still_holds(connection, at, n, last)):
                return Snapshot(at, n, {name: (i, length) for name, (i, length) in json.loads(body).items()}, bool(tip))
    return None


@contextmanager
def harmless() -> Iterator[None]:
    """The one door through which snapshots and memos are read: a fault in them costs a recount, never the answer.

    So whatever is raised within is passed over, and what was asked for is read in full from the entries themselves.
    """
    with suppress(Exception):
        yield


def rack_from(
    connection: sqlite3.Connection,
    path: Path,
    bare: Rack,
    last: int,
    snapshot: Snapshot | None,
    remember: Remember | None,
    *,
    end: str | None = None,
    known: Remembered | None = None,
) -> Rack:
    """The rack of all entries up to `last`, of those before `end` alone if there is one.

    `bare` is the rack without events; `known` is the snapshot with its memos where they are in memory.
    """
    upto = None if end is None else datetime.fromisoformat(end)
    if snapshot is not None:
        with harmless():
            older = Older(path, bare, last, snapshot.at, remember, None if known is None else known.before)
            heads = heads_of(connection, snapshot, bare, older, remember, None if known is None else known.memos)
            return bare.with_recent(heads, events_between(connection, snapshot.at, end or "9999", last), upto)
    if end is not None:
        return bare.with_recent({}, events_between(connection, "", end, last), upto)
    return bare.with_history(events_of(connection.execute(EVENTS + "WHERE n <= ? ORDER BY n", (last,)).fetchall()))


class Older:
    """The history before a snapshot, read when it is first asked for."""

    def __init__(
        self, path: Path, bare: Rack, last: int, at: str, remember: Remember | None, before: Remembered | None = None
    ) -> None:
        """It goes on from the snapshot `before`, else from the newest of the store before the moment `at`."""
        self.path = path
        self._before = before
        self._bare, self._last, self._at, self._remember = bare, last, at, remember
        self._rack: Rack | None = None

    def log(self, vessel: str) -> Node:
        """A vessel's history up to the snapshot; raises `StoreError`."""
        if self._rack is None:
            with errors.read(self.path), closing(connect.open_reader(self.path)) as connection:
                before, newest = self._before, newest_snapshot(connection, self._last, self._at)
                self._rack = rack_from(
                    connection,
                    self.path,
                    self._bare,
                    self._last,
                    newest if before is None else before.snapshot,
                    self._remember,
                    end=self._at,
                    known=before,
                )
        return self._rack.logs[vessel]

    def node(self, vessel: str, event_id: str) -> Node:
        """The node of an event before the snapshot."""
        for node in self.log(vessel).back():
            if node.event is not None and node.event.id == event_id:
                return node
        raise errors.corrupt(self.path, f"entry {event_id} is gone")


def heads_of(
    connection: sqlite3.Connection,
    snapshot: Snapshot,
    bare: Rack,
    older: Older,
    remember: Remember | None,
    memos: Mapping[str, Memo] | None = None,
) -> dict[str, Node]:
    """The last node before the snapshot of each vessel that had one."""
    found: dict[str, Node] = {}
    recall = None if remember is None else _recall(older, snapshot, bare, remember, memos)
    rows = [row for i, _ in snapshot.heads.values() for row in connection.execute(EVENTS_BY["id"], (i,))]
    events = {event.id: under_present_name(event, bare.present_names) for event in events_of(rows)}
    for name, (event_id, length) in snapshot.heads.items():
        now = bare.present_names.get(name, name)
        if now in bare.known_vessels:
            found[now] = LazyNode(bare.known_vessels[now], events[event_id], length, older.log, recall)
    return found


def _recall(
    older: Older, snapshot: Snapshot, bare: Rack, remember: Remember, memos: Mapping[str, Memo] | None
) -> Callable[[Node], dict[Hashable, Any]]:
    def find(vessel: str, event: Event, length: int) -> Node:
        return LazyNode(bare.known_vessels[vessel], event, length, lambda name: older.node(name, event.id))

    @cache
    def kept() -> dict[str, Memo]:
        """The sound memos of all vessels, read at once: whoever asks for one asks for all."""
        if memos is not None:
            return dict(memos)
        found: dict[str, Memo] = {}
        with harmless(), closing(connect.open_reader(older.path)) as connection:
            for row in connection.execute(
                "SELECT at, vessel, made_by, body, sum FROM memos WHERE at = ?", (snapshot.at,)
            ):
                memo = Memo(*row[:4])
                if memo.sum() == row[4]:
                    found[memo.vessel] = memo
        return found

    def recall(node: Node) -> dict[Hashable, Any]:
        memo = kept().pop(node.vessel.vessel, None)  # each node asks once
        if memo is not None:
            with harmless():
                return remember(memo, bare, node, find)
        return {}

    return recall


def events_between(connection: sqlite3.Connection, begin: str, end: str, last: int) -> list[Event]:
    """Events from `begin` to before `end`, with all that they replace or are replaced by, whenever that was."""
    rows = connection.execute(EVENTS_BETWEEN, (begin, end, last)).fetchall()
    replacing = connection.execute(REPLACING_SINCE, (begin, end, last)).fetchall()
    near = [r for r in rows if r[4] is not None]
    return events_of([*rows, *_related(connection, {r[0] for r in rows}, [*near, *replacing], last)])


def events_at(connection: sqlite3.Connection, vessels: Iterable[str], last: int) -> list[Event]:
    """All events of vessels by any of these names, with all that they replace or are replaced by."""
    names = json_text(sorted(vessels))
    rows = connection.execute(EVENTS_AT, (last, names, names)).fetchall()
    known = {r[0] for r in rows}
    near = [r for r in rows if r[4] is not None]
    near += [r for r in connection.execute(REPLACING, (last,)) if r[4] in known]
    return events_of([*rows, *_related(connection, known, near, last)])


def related(connection: sqlite3.Connection, events: Collection[Event], last: int) -> list[Event]:
    """What these events replace or are replaced by, near and far, without themselves."""
    mine, targets = {e.id for e in events}, {e.replaces for e in events if e.replaces is not None}
    near = [(by, i) for by, ids in (("replaces", mine | targets), ("id", targets)) for i in ids]
    rows = [row for by, i in near for row in connection.execute(EVENTS_BY[by] + " AND +n <= ?", (i, last))]
    return events_of(_related(connection, mine, rows, last))


def _related(connection: sqlite3.Connection, known: set[str], start: Iterable[Row], last: int) -> list[Row]:
    found: list[Row] = []
    waiting: list[Row] = []

    def add(more: Iterable[Row]) -> None:
        for row in more:
            waiting.append(row)
            if row[0] not in known:
                known.add(row[0])
                found.append(row)

    asked: set[str] = set()
    add(start)
    while waiting:
        row = waiting.pop()
        for event_id in (row[0], row[4]):
            if event_id is not None and event_id not in asked:
                asked.add(event_id)
                add(connection.execute(EVENTS_BY["id"] + " AND +n <= ?", (event_id, last)))
                add(connection.execute(EVENTS_BY["replaces"] + " AND +n <= ?", (event_id, last)))
    return found


def still_holds(connection: sqlite3.Connection, at: str, n: int, last: int) -> bool:
    """Whether nothing that was entered after `n` reaches back before `at`."""
    if connection.execute("SELECT 1 FROM events WHERE n > ? AND n <= ? AND at < ? LIMIT 1", (n, last, at)).fetchone():
        return False
    if connection.execute(
        "SELECT 1 FROM events r CROSS JOIN events c ON c.replaces = r.id "
        "WHERE r.n > ? AND r.n <= ? AND c.at < ? LIMIT 1",
        (n, last, at),
    ).fetchone():
        return False
    late = connection.execute(
        "SELECT replaces FROM events WHERE n > ? AND n <= ? AND replaces IS NOT NULL", (n, last)
    ).fetchall()
    for (target,) in late:
        seen: set[str] = set()
        while target is not None and target not in seen:
            seen.add(target)
            row = connection.execute(
                "SELECT at, replaces FROM events WHERE id = ? AND n <= ?", (target, last)
            ).fetchone()
            if row is None:
                break
            if row[0] < at:
                return False
            target = row[1]
    return True


def keep_snapshots(connection: sqlite3.Connection, snapshots: Iterable[Snapshot], memos: Iterable[Memo]) -> None:
    """Note snapshots and what is known at them, in place of those that no longer hold; within a transaction."""
    connection.execute("DELETE FROM stumps WHERE tip = 1")
    for i, snapshot in enumerate(snapshots):
        if i == 0:
            connection.execute("DELETE FROM stumps WHERE at >= ?", (snapshot.at,))
        body = json_text({name: list(head) for name, head in snapshot.heads.items()})
        total = crc32(f"{snapshot.at}{snapshot.n}{body}".encode())
        connection.execute(PUT_SNAPSHOT, (snapshot.at, snapshot.n, int(snapshot.tip), body, total))
    connection.executemany(PUT_MEMO, ((m.at, m.vessel, m.made_by, m.body, m.sum()) for m in memos))
    connection.execute(
        "DELETE FROM memos WHERE at NOT IN (SELECT DISTINCT at FROM memos WHERE at IN (SELECT at FROM stumps) "
        "ORDER BY at DESC LIMIT ?)",
        (WITH_MEMOS,),
    )


def snapshots_of(rack: Rack, last: int, since: str | None, end: str | None = None) -> list[Snapshot]:
    """New snapshots: one for every `PIECE` events since the newest that holds, and one after the newest event.

    The last one is the tip or, of a rack that goes up to `end`, the snapshot of that moment.
    """
    nodes: dict[str, list[Node]] = {}
    own: list[str] = []
    for name, head in rack.logs.items():
        listed = nodes[name] = []
        for node in head.back():
            listed.append(node)
            if since is not None and _time(node) < since:
                break
        listed.reverse()
        own += [t for n in listed if not n.incoming and (t := _time(n)) >= (since or "")]
    own.sort()
    times = {name: [_time(n) for n in listed] for name, listed in nodes.items()}
    moments = dict.fromkeys(own[PIECE : len(own) - PIECE + 1 : PIECE])
    found = [Snapshot(at, last, _heads(nodes, times, at)) for at in moments if at != since]
    if own or end is not None:
        after = end or stamp(datetime.fromisoformat(own[-1]) + timedelta(microseconds=1))
        found.append(Snapshot(after, last, _heads(nodes, times, after), tip=end is None))
    return found


def _heads(nodes: Mapping[str, list[Node]], times: Mapping[str, list[str]], at: str) -> dict[str, tuple[str, int]]:
    found = {}
    for name, listed in nodes.items():
        before = bisect_left(times[name], at) - 1
        if before >= 0 and (event := listed[before].event) is not None:
            found[name] = (event.id, listed[before].length)
    return found


def _time(node: Node) -> str:
    return "" if node.event is None else stamp(node.event.at)
