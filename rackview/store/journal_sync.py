"""Keeping store and day book in step, whatever ended a program between the two."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from rackview.core.events import Event
from rackview.core.garbage import uncollected
from rackview.store.book_lines import lines_of
from rackview.store.compared import BookCompared, still_compared
from rackview.store.daybook import BookLine, BookPosition, parsed
from rackview.store.rows import TableRow, stamp
from rackview.store.walk import read_of, symmetric_difference

if TYPE_CHECKING:
    from rackview.store.store import Store

FIRST_MONTH = "0001-01"
COMPARED = "compared"
"""Under this a store remembers up to where its day book was compared with it."""


def synchronise(store: Store) -> None:
    """Take in what the book holds behind the place that the store knows; add to the book what only the store has.

    Must be called while the book is held and a transaction is open, which the caller commits.
    """
    known = BookPosition.read(store.meta("daybook") or "")
    end = store.book.end()
    if known == end:
        return
    behind = (end.file, end.size) > (known.file, known.size)
    store.book.cut_torn(known if behind else BookPosition())
    lost = not known.file or not behind or not _reaches(store, known)
    insert_missing(store, (x for x in store.book.lines(BookPosition() if lost else known) if isinstance(x, BookLine)))
    if lost:
        complete(store)
    store.set_meta("daybook", str(store.book.end()))


def insert_missing(store: Store, lines: Iterable[BookLine]) -> int:
    """Insert the entries of these lines that the store does not hold; return how many."""
    entries = [line.entry for line in sorted(lines, key=lambda line: line.n)]
    fresh = store.unknown(entries)
    store.insert(fresh, adopt=True)
    return len(fresh.events) + len(fresh.rows)


@uncollected()
def complete(store: Store, look: Callable[[float], None] = lambda _: None) -> int:
    """Add to the book every entry of the store that no good line of it holds; return how many.

    What was compared before is looked at again only where the book is not as it was then. `look` is told which share
    lies behind, and may raise; then nothing was written. Called as `synchronise`.
    """
    seen, digest = still_compared(BookCompared.told(store.meta(COMPARED)), store.book, lambda: look(0.0))
    lines = ((line.raw, line) for line in read_of(store.path, lines_of(store.connection, look, seen.n)))
    lacking, strange = symmetric_difference(
        lines, ((raw, None) for _path, _number, raw in store.book.raw_lines(seen.place))
    )
    found = map(parsed, strange)  # a line as we would write it need not be parsed
    written = {line.entry.id for line in found if isinstance(line, BookLine)}
    fresh = sorted((line for line in lacking.values() if line.id not in written), key=lambda line: line.n)
    if fresh or not store.book.files():
        with store.book.page(max((line.month for line in fresh), default=FIRST_MONTH), store.id) as page:
            page.write(line.raw for line in fresh)
    elif (end := store.book.end()) != seen.place:  # what was added is looked at once more, the next time
        store.set_meta(COMPARED, str(BookCompared(store.last(), end, digest.upto(end))))
    return len(fresh)


def newest_month(entries: Iterable[Event | TableRow]) -> str:
    """The month of the newest entry, such as 2026-03."""
    newest = max(map(_entered, entries), default=None)
    return FIRST_MONTH if newest is None else stamp(newest)[:7]


def _entered(entry: Event | TableRow) -> datetime:
    if isinstance(entry, Event):
        return entry.entered_at or entry.at
    return entry.entered_at


def _reaches(store: Store, known: BookPosition) -> bool:
    """Whether the book still holds all up to the place in it that the store knows."""
    sizes = {path.name: path.stat().st_size for path in store.book.files()}
    return sizes.get(known.file, -1) >= known.size
