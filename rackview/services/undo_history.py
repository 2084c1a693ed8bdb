"""The steps of an earlier window that can still be undone, as the store knows them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, timedelta
from itertools import groupby

from rackview.core.events import Event, Split, Withdraw
from rackview.services.change import Step
from rackview.store import TableRow

LOOKED_AT = 240
"""Newest entries in which steps of an earlier window are looked for."""
LARGEST = 30
"""A step of more entries is an import; it is not taken back as if it were one slip."""
SPAN = timedelta(days=7)
"""How old a step may be to be undone after the window was closed."""

History = Callable[[str, str], Sequence[TableRow]]
"""Gives every version of a table's row, oldest first."""


def earlier_steps(
    newest_first: Sequence[Event], pc: str, now: datetime, history: History, *, whole: bool
) -> list[Step]:
    """The steps of entries made on this PC, oldest first, as far as they stand and are complete.

    Entries of one step were written together and bear one time. `whole` says that there are no older entries than
    these, so that the oldest step is complete too. What was undone is left out; lists are no entries, but for the
    vessel that was added for a split: both are taken back together, unless the vessel was changed since.
    """
    groups = [list(g) for _, g in groupby(newest_first, key=lambda e: (e.entered_at, e.entered_on))]
    if not whole:
        groups = groups[:-1]
    gone: set[str] = set()
    found: list[Step] = []
    for group in groups:
        entered = group[0].entered_at
        if entered is None or now - entered > SPAN:
            break
        if any(isinstance(e, Withdraw) for e in group):
            gone |= {e.replaces for e in group if e.replaces is not None and e.id not in gone}
            continue
        standing = [e for e in group if e.id not in gone]
        gone |= {e.replaces for e in standing if e.replaces is not None}
        if group[0].entered_on == pc and len(standing) == len(group) <= LARGEST:
            events = group[::-1]
            rows = [r for e in events if isinstance(e, Split) for r in _added_for(e, history("vessel", e.to_vessel))]
            ids = tuple(e.id for e in events)
            found.append(Step(words_of(group, entered, now), ids, tuple(rows), (None,) * len(rows)))
    found.reverse()
    return found


def _added_for(split: Split, versions: Sequence[TableRow]) -> Sequence[TableRow]:
    return versions if len(versions) == 1 and versions[0].entered_at == split.entered_at else ()


def words_of(events: Iterable[Event], entered: datetime, now: datetime) -> str:
    """A step of an earlier window in words: what, where, when."""
    listed = list(events)
    vessels = ", ".join(dict.fromkeys(e.vessel for e in reversed(listed)))
    kinds = ", ".join(dict.fromkeys(e.kind.replace("_", "-") for e in reversed(listed)))
    at = entered.astimezone(now.tzinfo)
    return f"{vessels}: {kinds} ({at:%H:%M})" if at.date() == now.date() else f"{vessels}: {kinds} ({at:%d %b %H:%M})"
