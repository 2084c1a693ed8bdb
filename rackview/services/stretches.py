"""A long record is thought through stretch by stretch, so that one of them is in memory and not all.

At the end of a stretch what is believed of every vessel is written as for the next start (`memory`), and the next
stretch goes on from that: the answers are the same to the last digit. Where it is noted in the store as well, whoever
stops in between has lost no more than the stretch that was begun.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from rackview.services.memory import holds, linked_by, memos_of, remember
from rackview.store import Store, StoreError
from rackview.store.reader import Stretch
from rackview.store.snapshot import Memo, Remembered, Snapshot, snapshots_of


def thought_through(path: Path, tell: Callable[[float], None] = lambda share: None, *, note: bool) -> Stretch:
    """The newest part of the record, with what is believed of all that came before it.

    With `note` what is believed at the ends of stretches is noted in the store. `tell` hears at each end which share of
    a long record is done, and may raise. Raises `StoreError` where the store can't be read.
    """
    known: Remembered | None = None
    most = 0
    while True:
        with Store.open(path) as store:
            part = store.read_stretch(remember, holds, known)
            moves = store.moves() if part.many else ()
        snapshots = snapshots_of(part.rack, part.last, part.since, part.end) if part.many else []
        if not snapshots:
            return part
        most = max(most, part.left)
        tell(1.0 - part.left / most)
        memos = memos_of(part.rack, snapshots[-2 if part.end is None else -1 :], linked_by(part.rack, moves))
        known = _known(part, snapshots[-1], memos, known)
        del part  # before the next is read
        if note:
            with suppress(StoreError), Store.open(path, "write") as store:
                store.keep(snapshots, memos)


def _known(part: Stretch, end: Snapshot, memos: list[Memo], before: Remembered | None) -> Remembered:
    """What is known at the end of a stretch; who looks back from there goes on from the one before it."""
    if before is not None:  # one step back, unless it was begun anew from the store
        before = replace(before, before=None) if before.snapshot.at == part.since else None
    return Remembered(end, {memo.vessel: memo for memo in memos if memo.at == end.at}, before)
