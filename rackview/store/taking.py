"""What comes from another file goes through the same parser as what is typed, before any of it is taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from rackview.core.clock import FIRST_YEAR, LAST_YEAR
from rackview.core.events import Event
from rackview.core.parse import MOST_ANIMALS
from rackview.store import errors
from rackview.store.assemble import rack_of_tables
from rackview.store.daybook import checked
from rackview.store.rows import TableRow, event_values, events_of, json_text

REMEMBERED = 100_000
"""Things said that are remembered as accepted; a record of readings never says the same twice."""
FREE = frozenset({"note", "tallies"})
"""Columns on whose words or numbers, one by one, the parser's answer does not hang."""


class RowCheck:
    """Whether rows of events say what can be entered; of those that say the same, the parser sees one.

    Whether it takes an event hangs on its kind, on whether it replaces another, and on what only its kind says: of
    tallies on whether there are any and on their sum. Ids, times within the years that there are, who entered it and
    the note are taken as they stand.
    """

    def __init__(self) -> None:
        self._accepted: set[tuple[object, ...]] = set()

    def values(self, row: tuple[Any, ...], body: Mapping[str, Any]) -> tuple[Any, ...]:
        """The values of EVENT_COLUMNS as we write them for a sound row and what its body says; raises `InputError`."""
        _, at, vessel, kind, replaces, entered, *_ = row
        key = (kind, bool(replaces and replaces.strip()), *(pair for pair in body.items() if pair[0] not in FREE))
        if kind in {"split", "restart"}:
            key = (*key, vessel)
        elif kind == "count":
            tallies = body.get("tallies", ())
            key = (*key, bool(tallies), sum(tallies) <= MOST_ANIMALS)
        plain = _as_written(at) and (entered is None or entered == at or _as_written(entered)) and vessel.strip()
        event = None
        if not plain or key not in self._accepted:
            (event,) = events_of([row], [dict(body)])
            checked(event)
            if len(self._accepted) >= REMEMBERED:
                self._accepted.clear()
            self._accepted.add(key)
        return row if plain and row[8] == json_text(body) else event_values(event or events_of([row], [dict(body)])[0])


def _as_written(text: str) -> bool:
    """Whether a moment is one that can be entered, written as we do, so that the order of text is that of time."""
    moment = datetime.fromisoformat(text)
    return FIRST_YEAR <= moment.year <= LAST_YEAR and moment.isoformat(timespec="microseconds") == text


def checked_rows(path: Path, rows: Iterable[TableRow]) -> list[TableRow]:
    """Versions of table rows from the file at `path`, the newest of which can be entered; raises `StoreError`."""
    listed = list(rows)
    with errors.read(path):
        rack_of_tables(newest_of(listed).values())
    return listed


def readable_entries(entries: Iterable[Event | TableRow]) -> list[Event | TableRow]:
    """Of entries that were salvaged, those that can be entered."""
    found = []
    for entry in entries:
        try:
            checked(entry) if isinstance(entry, Event) else rack_of_tables([entry])
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
