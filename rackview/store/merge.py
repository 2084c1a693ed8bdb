"""Two keepers on two PCs meet: the union of both stores by entry id, the same whatever the order and repetition."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.store import connect, errors, files
from rackview.store.progress import Progress, silent
from rackview.store.reader import Written
from rackview.store.rows import TableRow, bodies_of, events_of
from rackview.store.sql import EVENT_AT, EVENT_SUMS, SUMS_BETWEEN
from rackview.store.store import Store
from rackview.store.taking import RowCheck, checked_rows, newest_of
from rackview.store.walk import PIECE, numbered_rows, read_of, symmetric_difference


@dataclass(frozen=True, slots=True)
class Merged:
    """What came in, and for each row that both sides had changed a sentence saying which one counts."""

    written: Written
    conflicts: tuple[str, ...]


def merge(store: Store, other: Path | str, progress: Progress = silent) -> Merged:
    """Take the entries of the store at `other` into `store`; `other` is only read.

    Where both have a version of the same table row, the one entered last counts, and both stay in the history.
    Raises `StoreError` if `other` can't be read or holds an entry that can't be; then nothing is taken, nor
    where `progress` raises.
    """
    other = files.real(other)
    if other == store.path:
        raise errors.StoreError("refused", _("{other} is this store itself; name the other PC's.").format(other=other))
    if not other.exists():
        raise errors.no_other(other)
    progress(_("the other store"), 0.0)
    with Store.open(other, "read") as theirs:
        found = _only_there(store, theirs, lambda share: progress(_("the other store"), 0.5 * share))
    progress(_("this store"), 0.6)
    their_newest = newest_of(found.rows)
    ours = {(r.table, r.key): r for r in store.newest_rows()}
    conflicts = [
        _("The {kind} {id} of {vessel} says something else there; this store's was kept.").format(
            kind=e.kind, id=e.id, vessel=e.vessel
        )
        for e in found.events
        if (mine := store.event(e.id)) is not None and mine != e
    ]
    seen_there = {r.id for r in found.rows}
    for place, theirs_row in their_newest.items():
        own = ours.get(place)
        if own is not None and own.row != theirs_row.row and own.id not in seen_there:
            conflicts += _conflict(own, theirs_row)
    progress(_("what is new"), 0.7)
    with connect.watched(store.connection, lambda: progress(_("what is new"), 0.7)):
        return Merged(store.write(found.events, found.rows, adopt=True), tuple(conflicts))


def _only_there(store: Store, theirs: Store, look: Callable[[float], None]) -> Written:
    """The entries of the other store that do not stand here with the same checksum, each as it can be entered.

    What stands here was checked when it came. Raises `StoreError` for what there is not as it was written, or can't be.
    """
    theirs.connection.execute("BEGIN")  # as it is now, whoever writes to it meanwhile
    rows = checked_rows(theirs.path, (row for _n, row in read_of(theirs.path, numbered_rows(theirs.connection))))
    begin = _alike_upto(store, theirs, look)
    here, there = (
        read_of(one.path, _sums_of(one, begin, tell)) for one, tell in ((store, lambda _: None), (theirs, look))
    )
    numbers = sorted(n for places in symmetric_difference(here, there)[1].values() for n in places)
    check = RowCheck()
    with errors.read(theirs.path):
        found = [row for n in numbers for row in theirs.connection.execute(EVENT_AT, (n,))]
        bodies = bodies_of(found)
        for row, body in zip(found, bodies, strict=True):
            check.values(row, body)
        return Written(tuple(events_of(found, bodies)), tuple(rows))


def _alike_upto(store: Store, theirs: Store, look: Callable[[float], None]) -> int:
    """A running number up to which both have the very same events: Python does not look at each of those."""
    begin, last = 0, theirs.last()
    while begin < last:
        look(begin / last)
        numbers = (begin, begin + PIECE)
        with errors.read(theirs.path):
            there = theirs.connection.execute(SUMS_BETWEEN, numbers).fetchone()
        with errors.read(store.path):
            if there != store.connection.execute(SUMS_BETWEEN, numbers).fetchone():
                break
        begin += PIECE
    return begin


def _sums_of(store: Store, begin: int, look: Callable[[float], None]) -> Iterator[tuple[tuple[str, int], int]]:
    """The id and checksum of every event after a running number, with its own, in the order of arrival."""
    (most,) = store.connection.execute("SELECT max(n) FROM events").fetchone()
    for i, (n, event_id, total) in enumerate(store.connection.execute(EVENT_SUMS, (begin,))):
        if i % PIECE == 0:
            look(n / most)
        yield (event_id, total), n


def _conflict(mine: TableRow, theirs: TableRow) -> list[str]:
    here = _("{table} {key}: here {mine}, there {theirs}").format(
        table=mine.table, key=mine.key, mine=_said(mine, theirs), theirs=_said(theirs, mine)
    )
    newer = _("the other store's, entered last,") if theirs.order() > mine.order() else _("this store's, entered last,")
    return [_("{here}; {newer} counts, and both stay in the history.").format(here=here, newer=newer)]


def _said(row: TableRow, other: TableRow) -> str:
    if row.row is None:
        return _("removed")
    beside = other.row or {}
    changed = {k: v for k, v in row.row.items() if beside.get(k) != v}
    return ", ".join(f"{k} “{v}”" if k != "value" else f"“{v}”" for k, v in changed.items())
