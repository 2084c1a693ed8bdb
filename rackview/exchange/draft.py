"""What files would add, with all that must be asked first: tables of ours and tables as keepers keep them alike.

Questions out, answers in, nothing remembered here: command line and window both work with it. The answers of one
draft hold for every sheet whose columns bear the same names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from rackview.core.dataclass import dataclass
from rackview.core.garbage import uncollected
from rackview.core.rack import Rack
from rackview.exchange.dictionary import AT_EXACT, table_by_header
from rackview.exchange.freeform.question import THIN, THINNING, Answers, Question
from rackview.exchange.freeform.stacked import tables_in
from rackview.exchange.freeform.table import find_table, names_in
from rackview.exchange.freeform.turn import Turner
from rackview.exchange.freeform.understand import Understanding, header_key, understand
from rackview.exchange.headers import MOST_COLUMNS, WHY, column_name
from rackview.exchange.intake import Intake, Report, SourceRow, clear
from rackview.exchange.reader import Local, Rows, intake_of, no_rows, own_rows
from rackview.exchange.sheets import Sheet, UnreadableError, read_sheets, read_text

Read = tuple[str, Sheet | UnreadableError]
"""A file's name and a sheet of it, or why it can't be read."""


@dataclass(frozen=True)
class ImportDraft:
    """What the files would add, so far as the answers go.

    `foreign` are the tables that are not of our own form, each with its questions and the answers in force.
    """

    sheets: tuple[Sheet | UnreadableError, ...]
    names: tuple[str, ...]
    foreign: tuple[Understanding, ...]
    intake: Intake
    thin: tuple[bool, ...] = ()

    @property
    def open(self) -> tuple[Question, ...]:
        """Questions that must be answered first, each once."""
        found = {(u.header_key, q.key): q for u in self.foreign for q in u.open}
        return tuple(found.values())

    @property
    def loggers(self) -> frozenset[str]:
        """The names of the files of loggers of which only the days' means are recorded."""
        return frozenset(n for n, thin in zip(self.names, self.thin, strict=True) if thin)

    @property
    def remarks(self) -> tuple[str, ...]:
        """How the tables were understood, each sentence once."""
        return tuple(dict.fromkeys(t for u in self.foreign for t in u.remarks))


def read_all(paths: Iterable[str | Path]) -> list[Read]:
    """Every sheet of the files with the file's name, or why a file can't be read."""
    found: list[Read] = []
    for path in map(Path, paths):
        name = clear(path.name)
        try:
            found += [(name, table) for sheet in read_sheets(path) for table in _tables(sheet)]
        except UnreadableError as error:
            found.append((name, error))
    return found


def read_bytes(data: bytes, name: str) -> list[Read]:
    """The table in bytes that come from no file, such as standard input."""
    try:
        return [(name, table) for table in _tables(read_text(data, name))]
    except UnreadableError as error:
        return [(name, error)]


def _tables(sheet: Sheet) -> list[Sheet]:
    return [sheet] if is_own(sheet) else tables_in(sheet)


@uncollected()
def draft_of(
    sheets: Sequence[Read],
    rack: Rack,
    now: datetime,
    local: Local = datetime.astimezone,
    answers: Mapping[str, Answers] | None = None,
    *,
    good_only: bool = False,
    tell: Callable[[float], None] = lambda _: None,
) -> ImportDraft:
    """What the sheets would add; `answers` are by header key. With `good_only` lines that can't be taken are left out.

    The intake names those lines all the same as refused, but what it adds is without them. `tell` hears which share
    of the work is done, and once more from the beginning where lines are left out.
    """
    given = dict(answers or {})
    steps = sum(len(s.rows) * (2 if is_own(s) else 3) for _, s in sheets if isinstance(s, Sheet))
    report = Report(tell, steps)
    rows, foreign = _rows(sheets, rack, now, local, given, report, {})
    intake = intake_of(rows, rack, now, local, report)
    if good_only and intake.refused:
        bad = report.refused_lines()
        again = Report(tell, steps)
        rows, _ = _rows(sheets, rack, now, local, given, again, bad)
        good = intake_of(rows, rack, now, local, again)
        if not good.refused:
            intake = replace(good, lines=(*good.lines, *intake.refused), partial=True)
    tell(1.0)
    means = {u.label for u in foreign if u.answer(THIN) == THINNING[0]}
    return ImportDraft(
        tuple(s for _, s in sheets),
        tuple(n for n, _ in sheets),
        foreign,
        intake,
        tuple(isinstance(s, Sheet) and s.label in means for _, s in sheets),
    )


def _rows(
    sheets: Sequence[Read],
    rack: Rack,
    now: datetime,
    local: Local,
    given: Mapping[str, Answers],
    report: Report,
    bad: Mapping[int, frozenset[int]],
) -> tuple[Rows, tuple[Understanding, ...]]:
    found = no_rows()
    foreign = []
    for part, (name, sheet) in enumerate(sheets, 1):
        skip = bad.get(part, frozenset())
        if isinstance(sheet, UnreadableError):
            if 0 not in skip:
                report.refused(SourceRow(part, name, sheet.line, {}), str(sheet))
        elif is_own(sheet):
            own_rows(replace(sheet, rows=tuple(r for r in sheet.rows if r[0] not in skip)), part, report, found)
        else:
            one = understood(sheet, rack, now, local, given)
            foreign.append(one)
            if not one.open:
                turner = Turner(one, rack, part, report)
                events, vessels = turner.rows(skip)
                found["events"] += events
                found["vessels"] += vessels
    return found, tuple(foreign)


def understood(sheet: Sheet, rack: Rack, now: datetime, local: Local, given: Mapping[str, Answers]) -> Understanding:
    """A sheet with the answers that hold for its header."""
    today = local(now.replace(tzinfo=None)).date() if now.tzinfo is None else now.date()
    table = find_table(sheet, names_in(rack))
    return understand(sheet, table, rack, today, given.get(header_key(table.header)) or given.get(""))


def is_own(sheet: Sheet) -> bool:
    """Whether a sheet is one of our own tables: known by its header, with no column that this table does not have."""
    if not sheet.rows or sum(map(bool, sheet.rows[0][1])) > MOST_COLUMNS:
        return True  # and refused as such
    header = [column_name(c) for c in sheet.rows[0][1]]
    table = table_by_header(tuple(header))
    if table is None:
        return False
    return table.name != "events" or all(c in table.names or c in {"", WHY, AT_EXACT} for c in header)
