"""The store that takes another's place while it is filled: from a copy, the day book, and what can be salvaged."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from rackview.core.events import Event
from rackview.language import _
from rackview.store.book_lines import lines_of
from rackview.store.compared import BookCompared, still_compared
from rackview.store.daybook import BookLine, BookPosition, DayBook, parsed, same_owner
from rackview.store.journal_sync import COMPARED
from rackview.store.lines import event_line, line_of
from rackview.store.progress import Progress
from rackview.store.rows import TableRow, event_values, json_text, row_values
from rackview.store.salvage import remarks_of, salvage
from rackview.store.sql import INSERT_EVENT, INSERT_ROW, INSERT_VESSEL, PUT_DRAFT, SO_MANY_ENTRIES
from rackview.store.store import Store
from rackview.store.taking import RowCheck, checked_rows
from rackview.store.walk import PIECE, events_in_pieces, numbered_rows, read_of, symmetric_difference
from rackview.store.whose import id_at


class Anew:
    """A new store while everything that can be found of an old one is put into it, each entry once.

    Attributes
    ----------
    entries : how many there are
    lacking : those of them that no good line of the day book holds
    bad_lines : lines of the day book that could not be read
    """

    def __init__(self, store: Store, owner: str | None, progress: Progress) -> None:
        """`owner` says whose the store will be, None if nobody knows. What `progress` raises ends it."""
        self._store = store
        self._owner = owner
        self._progress = progress
        self._behind = 0.0
        self._last = store.last()
        self._vessels: set[str] = set()
        self._drafts: dict[str, dict[str, object]] = {}
        self._remarks: dict[str, str] = {}
        self.entries = 0
        self.lacking: set[str] = set()
        self.bad_lines = 0

    def gather(self, path: Path, copy: Path | None, book: DayBook, *, put: bool = False) -> None:
        """Take what the copy, the day book and the file at `path` hold; raises `StoreError`.

        The store is empty, or with `put` the copy itself, which was put in its place as it is.
        """
        for setting in ("journal_mode = MEMORY", "synchronous = OFF"):  # nobody has the file yet: it is synced whole
            self._store.connection.execute(f"PRAGMA {setting}")
        with self._store.transaction():
            strange = book.owner() not in {None, self._owner}  # another's is set aside
            if put:
                self._take_since(book, strange)
            elif copy is None:
                self._tell(_("the day book"), 0.0)
                self._take_lines(iter(()) if strange else self._raws(book))
            else:
                self._tell(_("the copy"), 0.0)
                self._take_copy(copy, iter(()) if strange else self._raws(book))
            for other in DayBook.all_of(path):
                if other.folder != book.folder and other.owner() == self._owner:  # an older program's, its plain name
                    self.lacking |= self._take_lines(self._raws(other))
            here = id_at(path)
            if copy is None or here in {None, self._owner} or same_owner(here, self._owner):
                self._take_rest(path)
            self._tell(_("the new file"), 0.95)
            for form, data in self._drafts.items():
                self._store.connection.execute(PUT_DRAFT, (form, json_text(data)))
            mine = {"id": self._owner or self._store.id, "daybook": "" if self.lacking else str(book.end())}
            for name, value in (self._remarks | mine).items():
                self._store.set_meta(name, value)
            (self.entries,) = self._store.connection.execute(SO_MANY_ENTRIES).fetchone()
            self._store.connection.execute("COMMIT")

    def _tell(self, what: str, share: float) -> None:
        self._behind = max(self._behind, share)
        self._progress(what, self._behind)

    # --- the copy and the day book --------------------------------------------------------------------------------

    def _take_since(self, book: DayBook, strange: bool) -> None:
        """Take from the day book what stands there beyond or otherwise than in the copy that is in place already."""
        said = BookCompared.told(self._store.meta(COMPARED))
        seen, _digest = still_compared(said, book, lambda: self._tell(_("the day book"), self._behind))
        connection = self._store.connection
        lines = lines_of(connection, lambda share: self._tell(_("the day book"), 0.6 * share), seen.n)
        self._compare(
            ((line.raw, line.id) for line in read_of(self._store.path, lines)),
            iter(()) if strange else self._raws(book, seen.place),
        )

    def _take_copy(self, copy: Path, raws: Iterator[tuple[bytes, None]]) -> None:
        """Take a copy whole, and from the day book what stands there beyond or otherwise than in the copy."""
        with Store.open(copy, "read") as source:
            source.connection.execute("BEGIN")  # as it is now, whoever writes to it meanwhile
            self._compare(self._copied(copy, source), raws)
            self._drafts = source.drafts()
            self._remarks = remarks_of(source.connection)

    def _compare(self, lines: Iterable[tuple[bytes, str]], raws: Iterable[tuple[bytes, None]]) -> None:
        """Take from the day book's lines those that are not among the lines of the entries that are there."""
        alone, strange = symmetric_difference(lines, raws)
        self.lacking = set(alone.values())
        self._take_lines((raw, None) for raw, places in strange.items() for _place in places)

    def _copied(self, copy: Path, source: Store) -> Iterator[tuple[bytes, str]]:
        """Put the entries of a copy into the new store as they stand there; yield each one's day book line and id."""
        check = RowCheck()
        rows = list(read_of(copy, numbered_rows(source.connection)))
        checked_rows(copy, (row for _n, row in rows))
        listed = {row.id for _n, row in rows}
        self._insert([(n, *row_values(row)) for n, row in rows], [], {r.key for _n, r in rows if r.table == "vessel"})
        yield from ((line_of(n, row), row.id) for n, row in rows)
        pieces = events_in_pieces(source.connection, lambda share: self._tell(_("the copy"), 0.05 + 0.55 * share))
        checked = (
            (piece, [(n, *check.values(r, b)) for n, r, b in zip(piece.numbers, piece.rows, piece.bodies, strict=True)])
            for piece in pieces
        )
        for piece, values in read_of(copy, checked):
            self._insert([], [v for v in values if v[1] not in listed], {row[2] for row in piece.rows})
            for n, row, body in zip(piece.numbers, piece.rows, piece.bodies, strict=True):
                yield event_line(n, row, body), row[0]

    def _raws(self, book: DayBook, after: BookPosition | None = None) -> Iterator[tuple[bytes, None]]:
        """The lines of a day book after a place that are not blank, as they stand there."""
        size = sum(path.stat().st_size for path in book.files())
        done = 0
        for i, (_path, _number, raw) in enumerate(book.raw_lines(after)):
            if i % PIECE == 0:
                self._tell(_("the day book"), 0.6 * done / max(size, 1))
            done += len(raw)
            if raw.strip():
                yield raw, None

    def _take_lines(self, raws: Iterable[tuple[bytes, None]]) -> set[str]:
        """Take the entries of these lines that are not there yet; return their ids."""
        lines = []
        for i, (raw, _nothing) in enumerate(raws):
            if i % PIECE == 0:
                self._tell(_("the day book"), self._behind)
            found = parsed(raw)
            if isinstance(found, BookLine):
                lines.append(found)
                self.lacking.discard(found.entry.id)
            self.bad_lines += found is None
        lines.sort(key=lambda line: line.n)
        return self._add(line.entry for line in lines)

    # --- the file as it is ----------------------------------------------------------------------------------------

    def _take_rest(self, path: Path) -> None:
        what = _("the store as it is")
        self._tell(what, 0.75)
        entries, drafts, remarks = salvage(path, self._store, lambda share: self._tell(what, 0.75 + 0.2 * share))
        self.lacking |= self._add(entries)
        self._drafts |= drafts
        self._remarks |= remarks

    # --- into the new file ----------------------------------------------------------------------------------------

    def _add(self, entries: Iterable[Event | TableRow]) -> set[str]:
        """Add entries that are not there yet behind all that are; return their ids."""
        listed = list(entries)
        fresh = self._store.unknown(listed)
        left = {id(entry) for entry in (*fresh.events, *fresh.rows)}
        numbered = list(enumerate((entry for entry in listed if id(entry) in left), self._last + 1))
        for i in range(0, len(numbered), PIECE):
            self._tell(_("the new file"), self._behind)
            piece = numbered[i : i + PIECE]
            rows = [(n, *row_values(e)) for n, e in piece if isinstance(e, TableRow)]
            events = [(n, *event_values(e)) for n, e in piece if isinstance(e, Event)]
            vessels = {e.key for _n, e in piece if isinstance(e, TableRow) and e.table == "vessel"}
            self._insert(rows, events, vessels | {e.vessel for _n, e in piece if isinstance(e, Event)})
        return {entry.id for _n, entry in numbered}

    def _insert(self, rows: list[tuple[Any, ...]], events: list[tuple[Any, ...]], vessels: set[str]) -> None:
        connection = self._store.connection
        connection.executemany(INSERT_VESSEL, ((name,) for name in sorted(vessels - self._vessels)))
        connection.executemany(INSERT_ROW, rows)
        connection.executemany(INSERT_EVENT, events)
        self._vessels |= vessels
        self._last = max((self._last, *(row[0] for row in (*rows[-1:], *events[-1:]))))
