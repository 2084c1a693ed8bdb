"""Two keepers on two PCs meet: the union of both stores by entry id, the same whatever the order and repetition."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from rackview.language import _
from rackview.store import errors, files
from rackview.store.progress import Progress, silent
from rackview.store.reader import Written
from rackview.store.rows import TableRow
from rackview.store.store import Store
from rackview.store.taking import checked_entries, newest_of


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
    here = store.event_rows()  # what stands here letter by letter is neither read nor checked again
    with Store.open(other, "read") as theirs:
        found = theirs.since(0, here)
    progress(_("its entries"), 0.2)
    checked_entries(other, [*found.events, *found.rows])
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
    return Merged(store.write(found.events, found.rows, adopt=True), tuple(conflicts))


def _conflict(mine: TableRow, theirs: TableRow) -> list[str]:
    here = _("{table} {key}: here {mine}, there {theirs}").format(
        table=mine.table, key=mine.key, mine=_said(mine, theirs), theirs=_said(theirs, mine)
    )
    newer = _("the other store's, entered last,") if theirs.order() > mine.order() else _("this store's, entered last,")
    return [_("{here}; {newer} counts, and both stay in the history.").format(here=here, newer=newer)]


def _said(row: TableRow, other: TableRow) -> str:
    if row.row is None:
        return "removed"
    beside = other.row or {}
    changed = {k: v for k, v in row.row.items() if beside.get(k) != v}
    return ", ".join(f"{k} “{v}”" if k != "value" else f"“{v}”" for k, v in changed.items())
