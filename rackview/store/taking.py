"""What comes from another file goes through the same parser as what is typed, before any of it is taken."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from rackview.core.events import Event
from rackview.store import errors
from rackview.store.assemble import tables_of
from rackview.store.daybook import checked
from rackview.store.rows import TableRow


def checked_entries(path: Path, entries: Iterable[Event | TableRow]) -> list[Event | TableRow]:
    """Entries read from the file at `path`, each as it can be entered; raises `StoreError` for one that can't be."""
    listed = list(entries)
    with errors.read(path):
        for entry in listed:
            if isinstance(entry, Event):
                checked(entry)
        tables_of(newest_of(e for e in listed if isinstance(e, TableRow)).values())
    return listed


def readable_entries(entries: Iterable[Event | TableRow]) -> list[Event | TableRow]:
    """Of entries that were salvaged, those that can be entered."""
    found = []
    for entry in entries:
        try:
            checked(entry) if isinstance(entry, Event) else tables_of([entry])
        except errors.UNREADABLE:
            continue
        found.append(entry)
    return found


def newest_of(rows: Iterable[TableRow]) -> dict[tuple[str, str], TableRow]:
    """The version that counts of each table row."""
    found: dict[tuple[str, str], TableRow] = {}
    for row in rows:
        kept = found.setdefault((row.table, row.key), row)
        if row.order() > kept.order():
            found[row.table, row.key] = row
    return found
