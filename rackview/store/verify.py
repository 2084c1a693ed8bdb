"""Is everything still as it was written? Each finding is a sentence with what to do.

The file itself (SQLite's own checks), every row's checksum, the rules that entries keep, and the day book line by
line against the store.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import MISSING, field, fields
from datetime import datetime
from pathlib import Path
from typing import Any

from rackview.core.dataclass import dataclass
from rackview.core.events import KINDS, SHARED, Event, Harvest, Split
from rackview.core.garbage import uncollected
from rackview.core.rack import Rack
from rackview.language import _, ngettext
from rackview.store import connect, errors, files, shape
from rackview.store.assemble import rack_of_tables
from rackview.store.backup import id_of
from rackview.store.beside import short
from rackview.store.book_lines import row_line
from rackview.store.daybook import BadLine, BookLine, BookPosition, DayBook, parsed, same_owner
from rackview.store.lines import event_line
from rackview.store.progress import Progress, silent
from rackview.store.rows import DamagedRowError, TableRow, events_of, table_rows_of
from rackview.store.sql import EVENTS, EVENTS_BY, ROWS
from rackview.store.sums import fault_of
from rackview.store.taking import newest_of
from rackview.store.walk import events_in_pieces, numbered_rows, symmetric_difference

RESTORE = _("Run “rackview restore” to make the store anew from its day book.")
NEEDED = {
    kind: frozenset(f.name for f in fields(made) if f.default is MISSING and f.name not in SHARED)
    for kind, made in KINDS.items()
}
"""What an event of each kind must say."""
LONGEST_ID, WRITTEN = 100, 32
"""Characters of an id at most, and of a moment as it is written."""


@dataclass(frozen=True, slots=True)
class StoreFinding:
    """One thing that is not as it should be; `damage` says whether entries could be lost or wrong by it."""

    damage: bool
    sentence: str

    def __str__(self) -> str:
        return self.sentence


def check(path: Path | str, progress: Progress = silent) -> list[StoreFinding]:
    """All that is wrong with a store, the worst first; an empty list if nothing is. Raises `StoreError` without one.

    Reads only; a store that was damaged so much that it can't be opened is a finding, not an error.
    """
    path = files.real(path)
    progress(_("the file"), 0.0)
    try:
        connection = connect.open_reader(path)
    except errors.StoreError as error:
        if error.kind != "corrupt":
            raise
        return [
            StoreFinding(
                damage=True,
                sentence=_("The file {path} is damaged: {what}. {restore}").format(
                    path=path, what=error.what, restore=RESTORE
                ),
            )
        ]
    with closing(connection), uncollected():
        book = _book_of(path, connection)
        end = _one_moment(path, connection, book)
        found = list(_named(path, _file(path, connection)))
        seen = _Seen()
        found += _named(path, _entries(path, connection, seen, book, end, progress))
        if not any(f.damage for f in found):
            progress(_("the rules that entries keep"), 0.85)
            found += _named(path, _rules(connection, seen))
            progress(_("the day book"), 0.9)
            found += _named(path, _book(path, connection, seen, book, end))
    progress("", 1.0)
    return sorted(found, key=lambda f: not f.damage)


def _named(path: Path, findings: Iterator[StoreFinding]) -> Iterator[StoreFinding]:
    """The findings, and as one more whatever stops the search for them."""
    try:
        with errors.read(path):
            yield from findings
    except errors.StoreError as error:
        yield StoreFinding(
            damage=True,
            sentence=_("The file {path} is damaged: {what}. {restore}").format(
                path=path, what=error.what or error, restore=RESTORE
            ),
        )


def _book_of(path: Path, connection: sqlite3.Connection) -> DayBook:
    """The day book of an open store, as far as its id can be read."""
    told = None
    with suppress(sqlite3.DatabaseError, UnicodeDecodeError):
        told = id_of(connection)
    return DayBook.of(path, told)


def _one_moment(path: Path, connection: sqlite3.Connection, book: DayBook) -> BookPosition:
    """Hold the store as it is now while others may go on writing; return where its day book ends at this moment."""
    with errors.spoken(path), book.at_rest():  # nobody is between the line in the book and the row in the store
        with suppress(sqlite3.DatabaseError):  # damage is found and named by what comes next
            connection.execute("BEGIN")
            connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone()
        return book.end()


def _file(path: Path, connection: sqlite3.Connection) -> Iterator[StoreFinding]:
    if fault := fault_of(connection, "integrity_check"):
        yield StoreFinding(
            damage=True,
            sentence=_("The file {path} is damaged: {splitlines}. {restore}").format(
                path=path, splitlines=fault.splitlines()[-1], restore=RESTORE
            ),
        )
    for what in shape.lacking(connection):
        yield StoreFinding(
            damage=True,
            sentence=_("The {what} of {path} is missing. {restore}").format(what=what, path=path, restore=RESTORE),
        )
    for table, row, parent, _unused in connection.execute("PRAGMA foreign_key_check"):
        yield StoreFinding(
            damage=True,
            sentence=_("Row {row} of {table} points at a row of {parent} that is gone. {restore}").format(
                row=row, table=table, parent=parent, restore=RESTORE
            ),
        )


@dataclass(slots=True)
class _Seen:
    """What is kept of the entries and the day book's lines while they are walked through side by side."""

    ids: set[str] = field(default_factory=set)
    rows: list[TableRow] = field(default_factory=list)
    replacing: list[tuple[Any, ...]] = field(default_factory=list)
    """Rows of events that replace another."""
    most_l: float = 0.0
    """The largest volume that was harvested or split off, L."""
    lacking: dict[bytes, str] = field(default_factory=dict)
    """Lines that the day book should have and has not, letter by letter, each with the entry's id."""
    strange: dict[bytes, list[tuple[Path, int]]] = field(default_factory=dict)
    """Lines of the day book that are of no entry here, letter by letter, each with its files and numbers there."""


def _entries(
    path: Path, connection: sqlite3.Connection, seen: _Seen, book: DayBook, end: BookPosition, progress: Progress
) -> Iterator[StoreFinding]:
    """Walk through every entry and the day book; only an entry that can't be read is a finding."""
    raws = book.raw_lines(until=end) if _stranger(path, id_of(connection), book.owner()) is None else iter(())
    written = ((raw, (file, number)) for file, number, raw in raws if raw.strip())
    seen.lacking, seen.strange = symmetric_difference(_lines(connection, seen, progress), written)
    yield from ()


def _lines(connection: sqlite3.Connection, seen: _Seen, progress: Progress) -> Iterator[tuple[bytes, str]]:
    """The line of every entry, which is looked at on the way; raises `DamagedRowError`."""
    for n, version in numbered_rows(connection):
        seen.rows.append(version)
        seen.ids.add(version.id)
        yield row_line(n, version).raw, version.id
    for piece in events_in_pieces(connection, lambda share: progress(_("the entries"), 0.2 + 0.65 * share)):
        for row, body in zip(piece.rows, piece.bodies, strict=True):
            if not (NEEDED[row[3]] <= body.keys() and _as_written(row)):
                raise DamagedRowError(f"entry {row[0]}")
            datetime.fromisoformat(row[1])
            if row[4] is not None:
                seen.replacing.append(row)
            if row[3] in {"harvest", "split"}:
                seen.most_l = max(seen.most_l, body["volume_l"])
        seen.ids.update(row[0] for row in piece.rows)
        for n, row, body in zip(piece.numbers, piece.rows, piece.bodies, strict=True):
            yield event_line(n, row, body), row[0]


def _as_written(row: tuple[Any, ...]) -> bool:
    """What the CHECKs of events ask for of a row whose body and moment can be read."""
    event_id, at, _vessel, kind, replaces, entered, *_rest = row
    if not 1 <= len(event_id) <= LONGEST_ID or len(at) != WRITTEN or (entered and len(entered) != WRITTEN):
        return False
    return replaces != event_id and (replaces is not None or kind != "withdraw")


def _rules(connection: sqlite3.Connection, seen: _Seen) -> Iterator[StoreFinding]:
    for event_id, _at, vessel, kind, replaces, *_rest in seen.replacing:
        if replaces not in seen.ids:
            yield StoreFinding(
                damage=False,
                sentence=_(
                    "The {kind} {id} of {vessel} replaces an entry that is not here; merge the other PC's store, "
                    "which holds it."
                ).format(kind=kind, id=event_id, vessel=vessel),
            )
    newest = newest_of(seen.rows)
    rack = rack_of_tables(sorted(newest.values(), key=TableRow.order))
    yield from _places(rack, newest)
    if seen.most_l <= min((v.volume_l for v in rack.known_vessels.values()), default=0.0):
        return  # as usual: putting all events in order takes a while
    for event in rack.with_history(events_of(connection.execute(EVENTS).fetchall())).events():
        if isinstance(event, Harvest | Split) and event.volume_l > rack.vessel(event.vessel).volume_l:
            yield StoreFinding(
                damage=False,
                sentence=_(
                    "The {kind} of {volume_l:g} L at {vessel} on {at:%Y-%m-%d} is more than its {volume_l_2:g} "
                    "L; correct the entry or the vessel's volume."
                ).format(
                    kind=event.kind,
                    volume_l=event.volume_l,
                    vessel=event.vessel,
                    at=event.at,
                    volume_l_2=rack.vessel(event.vessel).volume_l,
                ),
            )


def _places(rack: Rack, newest: dict[tuple[str, str], TableRow]) -> Iterator[StoreFinding]:
    for name, vessel in rack.vessels.items():
        row = newest["vessel", name].row or {}
        if row.get("strain") != vessel.strain:
            yield StoreFinding(
                damage=False,
                sentence=_(
                    "{name} is entered with the strain {get}, of which there is no profile; it is shown as "
                    "{strain} until the profile is put back or the vessel changed."
                ).format(name=name, get=row.get("strain"), strain=vessel.strain),
            )
        if row.get("position") != vessel.position:
            yield StoreFinding(
                damage=False,
                sentence=_(
                    "{name} and another vessel are both entered at shelf {shelf}, place {get}; it is shown at "
                    "place {position} until one of them is moved."
                ).format(name=name, shelf=vessel.shelf, get=row.get("position"), position=vessel.position),
            )


def _stranger(path: Path, ours: str | None, owner: str | None) -> StoreFinding | None:
    """A day book that is another store's, or a store whose id is spoilt."""
    if owner is not None and owner != ours and (ours is None or same_owner(ours, owner)):
        return StoreFinding(
            damage=True,
            sentence=_("The id of {path} is not as it was written. {restore}").format(path=path, restore=RESTORE),
        )
    if owner not in {None, ours}:
        return StoreFinding(
            damage=False,
            sentence=_(
                "The day book beside {path}, which is the store {ours}, belongs to the store {owner}; it is "
                "set aside when this one is next opened for writing, and one of its own is begun."
            ).format(path=path, ours=short(ours), owner=short(owner)),
        )
    return None


def _book(
    path: Path, connection: sqlite3.Connection, seen: _Seen, book: DayBook, end: BookPosition
) -> Iterator[StoreFinding]:
    if (stranger := _stranger(path, id_of(connection), book.owner())) is not None:
        yield stranger
        return
    known = BookPosition.read(next(iter(connection.execute("SELECT value FROM meta WHERE name = 'daybook'")), ("",))[0])
    written: set[str] = set()
    bad: list[BadLine] = []
    differ = extra = 0
    for raw, places in seen.strange.items():
        line = parsed(raw)
        if line is None:
            bad += (BadLine(file.name, number) for file, number in places)
        elif isinstance(line, BookLine):
            written.add(line.entry.id)
            if line.entry.id not in seen.ids:
                extra += len(places)
            elif line.entry != _entry(connection, line.entry.id):
                differ += len(places)
    yield from _apart(differ, extra, ended=known != end)
    lacking = len(set(seen.lacking.values()) - written)
    if lacking:
        where = _("in {folder}").format(folder=book.folder)
        if bad:
            where = _("line {line} of {file} is not as it was written").format(line=bad[0].line, file=bad[0].file)
        yield StoreFinding(
            damage=False,
            sentence=ngettext(
                "{n} entry of the store is missing from its day book ({where}); “rackview backup” writes it down anew.",
                "{n} entries of the store are missing from its day book ({where}); “rackview backup” writes them down "
                "anew.",
                lacking,
            ).format(n=lacking, where=where),
        )


def _apart(differ: int, extra: int, *, ended: bool) -> Iterator[StoreFinding]:
    """So many entries differ from their lines of the day book, so many lines are `extra`; `ended`: in mid-writing."""
    if differ:
        yield StoreFinding(
            damage=True,
            sentence=ngettext(
                "{n} entry differs between the store and its day book. {restore}",
                "{n} entries differ between the store and its day book. {restore}",
                differ,
            ).format(n=differ, restore=RESTORE),
        )
    if extra and not ended:
        found = ngettext(
            "{n} entry is in the day book but not in the store. {restore}",
            "{n} entries are in the day book but not in the store. {restore}",
            extra,
        )
        yield StoreFinding(damage=True, sentence=found.format(n=extra, restore=RESTORE))
    elif extra:
        yield StoreFinding(
            damage=False,
            sentence=ngettext(
                "{n} entry was written down just before the program was ended; it is taken in when the store is next "
                "opened for writing.",
                "{n} entries were written down just before the program was ended; they are taken in when the store is "
                "next opened for writing.",
                extra,
            ).format(n=extra),
        )


def _entry(connection: sqlite3.Connection, entry_id: str) -> Event | TableRow:
    """The entry of an id that is there."""
    for row in connection.execute(EVENTS_BY["id"], (entry_id,)):
        return events_of([row])[0]
    return table_rows_of(connection.execute(ROWS + "WHERE id = ?", (entry_id,)))[0]
