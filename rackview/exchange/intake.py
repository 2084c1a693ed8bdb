"""What an import would take, and a sentence for each line that says so."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from operator import attrgetter

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import Event
from rackview.core.profile import LarvalGroup, StrainProfile
from rackview.core.tables import Brood, Demand, Settings, Standing, Stock, TankEntry
from rackview.core.vessel import Vessel
from rackview.language import _

SHOWN = 60
EACH = 1000
"""Steps after which it is told again how far the look at the lines is."""
TAKEN, KNOWN, REFUSED = "taken", "known", "refused"


@dataclass(frozen=True, slots=True)
class LineVerdict:
    """One line of a file: `verdict` is taken, known (adds nothing) or refused; line 0 stands for the whole file."""

    file: str
    line: int
    verdict: str
    sentence: str

    @property
    def place(self) -> str:
        """The file, and the line in it."""
        return _("{file}, line {line}").format(file=self.file, line=self.line) if self.line else self.file

    def __str__(self) -> str:
        return f"{self.place}: {self.sentence}"


@dataclass(frozen=True)
class Intake:
    """All that the files would add or change, checked against the rack and against each other.

    Nothing of it may be written unless `refused` is empty or it is `partial`: what it adds is then without those lines.
    """

    vessels: tuple[Vessel, ...] = ()
    events: tuple[Event, ...] = ()
    stock: tuple[Stock, ...] = ()
    broods: tuple[Brood, ...] = ()
    demand: tuple[Demand, ...] = ()
    standing: tuple[Standing, ...] = ()
    tanks: tuple[TankEntry, ...] = ()
    settings: Settings | None = None
    strains: tuple[StrainProfile, ...] = ()
    groups: tuple[LarvalGroup, ...] = ()
    lines: tuple[LineVerdict, ...] = ()
    partial: bool = False

    @property
    def refused(self) -> tuple[LineVerdict, ...]:
        """The lines that can't be taken."""
        return tuple(line for line in self.lines if line.verdict == REFUSED)

    def count(self, verdict: str) -> int:
        """How many lines have this verdict."""
        return sum(line.verdict == verdict for line in self.lines)


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One row under its header: where it stands, and its filled cells by column.

    `remarks` is what it was turned into, in words, where that is not what stands there.
    """

    part: int
    file: str
    line: int
    cells: Mapping[str, object]
    remarks: str = ""


@dataclass()
class Report:
    """The verdicts so far, in whatever order they come; a line once refused stays so.

    `tell` hears now and then which share of the `steps` is done, a step being one look at one line.
    """

    tell: Callable[[float], None] = lambda _: None
    steps: int = 0
    _done: int = 0
    _lines: dict[int, list[LineVerdict]] = field(default_factory=dict)

    def looked(self) -> None:
        """One step more is done."""
        self._done += 1
        if self._done % EACH == 0 and self._done <= self.steps:
            self.tell(self._done / self.steps)

    def taken(self, row: SourceRow, sentence: str) -> None:
        """The row adds or changes something."""
        self.add(row.part, LineVerdict(row.file, row.line, TAKEN, sentence))

    def known(self, row: SourceRow, sentence: str) -> None:
        """The row is there already."""
        self.add(row.part, LineVerdict(row.file, row.line, KNOWN, sentence))

    def refused(self, row: SourceRow, why: InputError | str) -> None:
        """The row can't be taken."""
        sentence = why if isinstance(why, str) else error_sentence(why)
        self.add(row.part, LineVerdict(row.file, row.line, REFUSED, sentence))

    def add(self, part: int, line: LineVerdict) -> None:
        """A line with its verdict."""
        self._lines.setdefault(part, []).append(line)

    def refused_lines(self) -> dict[int, frozenset[int]]:
        """The refused lines of each part."""
        found = {part: frozenset(v.line for v in lines if v.verdict == REFUSED) for part, lines in self._lines.items()}
        return {part: lines for part, lines in found.items() if lines}

    def in_order(self) -> tuple[LineVerdict, ...]:
        """All lines, file by file and line by line."""
        refused, found = self.refused_lines(), []
        for part in sorted(self._lines):
            bad = refused.get(part, ())
            kept = [v for v in self._lines[part] if v.verdict == REFUSED or v.line not in bad]
            found += sorted(kept, key=attrgetter("line"))
        return tuple(found)


def clear(text: object) -> str:
    """A cell, fit for one line of a terminal: short, and without control characters."""
    plain = str(text)[: 4 * SHOWN]
    if not plain.isprintable():
        plain = "".join(c if c.isprintable() else "�" for c in plain)
    return plain if len(plain) <= SHOWN else plain[: SHOWN - 1] + "…"


def error_sentence(error: InputError) -> str:
    """The error's sentence with what was found cut to a readable length."""
    found = None if error.found is None else clear(error.found)
    return str(InputError(clear(error.field), found, error.wanted))
