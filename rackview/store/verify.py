"""Is everything still as it was written? Each finding is a sentence with what to do.

The file itself (SQLite's own checks), every row's checksum, the rules that entries keep, and the day book line by
line against the store.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from rackview.core.events import Event, Harvest, Split
from rackview.core.garbage import uncollected
from rackview.core.rack import Rack
from rackview.language import _
from rackview.store import connect, errors, files, shape
from rackview.store.assemble import rack_of
from rackview.store.backup import id_of
from rackview.store.beside import short
from rackview.store.book_lines import event_lines
from rackview.store.daybook import BadLine, BookLine, BookPosition, DayBook, line_of, same_owner
from rackview.store.progress import Progress, silent
from rackview.store.rows import TableRow, bodies_of, events_of, table_rows_of
from rackview.store.sql import EVENTS, ROWS
from rackview.store.taking import newest_of

RESTORE = _("Run “rackview restore” to make the store anew from its day book.")


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
        progress(_("the entries"), 0.2)
        entries: dict[int, Event | TableRow] = {}
        lines: dict[bytes, BookLine] = {}
        found += _named(path, _entries(connection, entries, lines))
        if not any(f.damage for f in found):
            progress(_("the rules that entries keep"), 0.4)
            found += _named(path, _rules(list(entries.values())))
            found += _named(path, _book(path, connection, lines, book, end, progress))
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
    said = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(20)")]
    if said != ["ok"]:
        yield StoreFinding(
            damage=True,
            sentence=_("The file {path} is damaged: {splitlines}. {restore}").format(
                path=path, splitlines=said[0].splitlines()[-1], restore=RESTORE
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


def _entries(
    connection: sqlite3.Connection, entries: dict[int, Event | TableRow], lines: dict[bytes, BookLine]
) -> Iterator[StoreFinding]:
    """Read every entry into `entries` by its number and `lines` by its line; only what can't be read is a finding."""
    numbers = [n for (n,) in connection.execute("SELECT n FROM table_rows ORDER BY n")]
    others = table_rows_of(connection.execute(ROWS + "ORDER BY n").fetchall())
    lines.update((line_of(n, e), BookLine(n, e)) for n, e in zip(numbers, others, strict=True))
    numbers = [n for (n,) in connection.execute("SELECT n FROM events ORDER BY n")]
    rows = connection.execute(EVENTS + "ORDER BY n").fetchall()
    bodies = bodies_of(rows)
    events = events_of(rows, bodies)
    told = event_lines(numbers, rows, bodies)
    lines.update((line.raw, BookLine(line.n, e)) for line, e in zip(told, events, strict=True))
    entries.update((line.n, line.entry) for line in lines.values())
    yield from ()


def _rules(entries: list[Event | TableRow]) -> Iterator[StoreFinding]:
    events = [e for e in entries if isinstance(e, Event)]
    ids = {e.id for e in events}
    for event in events:
        if event.replaces is not None and event.replaces not in ids:
            yield StoreFinding(
                damage=False,
                sentence=_(
                    "The {kind} {id} of {vessel} replaces an entry that is not here; merge the other PC's store, "
                    "which holds it."
                ).format(kind=event.kind, id=event.id, vessel=event.vessel),
            )
    newest = newest_of(e for e in entries if isinstance(e, TableRow))
    rack = rack_of(sorted(newest.values(), key=TableRow.order), events)
    yield from _places(rack, newest)
    least = min((v.volume_l for v in rack.known_vessels.values()), default=0.0)
    if not any(isinstance(e, Harvest | Split) and e.volume_l > least for e in events):
        return  # as usual: putting all events in order takes a while
    for event in rack.events():
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
    path: Path,
    connection: sqlite3.Connection,
    lines: Mapping[bytes, BookLine],
    book: DayBook,
    end: BookPosition,
    progress: Progress,
) -> Iterator[StoreFinding]:
    if (stranger := _stranger(path, id_of(connection), book.owner())) is not None:
        yield stranger
        return
    kept = {line.entry.id: line.entry for line in lines.values()}
    progress(_("the day book"), 0.6)
    progress(_("the day book"), 0.8)
    known = BookPosition.read(next(iter(connection.execute("SELECT value FROM meta WHERE name = 'daybook'")), ("",))[0])
    written: set[str] = set()
    bad: list[BadLine] = []
    differ = extra = 0
    for line in book.lines(until=end, known=lines):
        if isinstance(line, BadLine):
            bad.append(line)
            continue
        written.add(line.entry.id)
        ours = kept.get(line.entry.id)
        differ += ours is not None and ours is not line.entry and ours != line.entry
        extra += ours is None
    if differ:
        yield StoreFinding(
            damage=True,
            sentence=_("{differ} entries differ between the store and its day book. {restore}").format(
                differ=differ, restore=RESTORE
            ),
        )
    if extra and known == end:
        found = _("{extra} entries are in the day book but not in the store. {restore}")
        yield StoreFinding(damage=True, sentence=found.format(extra=extra, restore=RESTORE))
    elif extra:
        yield StoreFinding(
            damage=False,
            sentence=_(
                "{extra} entries were written down just before the program was ended; they are taken in when "
                "the store is next opened for writing."
            ).format(extra=extra),
        )
    lacking = len(kept.keys() - written)
    if lacking:
        where = _("in {folder}").format(folder=book.folder)
        if bad:
            where = _("line {line} of {file} is not as it was written").format(line=bad[0].line, file=bad[0].file)
        yield StoreFinding(
            damage=False,
            sentence=_(
                "{lacking} entries of the store are missing from its day book ({where}); “rackview backup” "
                "writes them down anew."
            ).format(lacking=lacking, where=where),
        )
