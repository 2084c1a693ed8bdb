"""Spreadsheet files are ZIP archives of XML; none is trusted.

Each part is unpacked piece by piece, measured while it is unpacked, and written to a fresh archive that alone the
reader sees. A small file can claim gigabytes, repeat one long text over a whole sheet, or hold one cell in the
farthest corner, for which a reader would lay out everything between and end the program.
"""

from __future__ import annotations

import re
import struct
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable
from typing import BinaryIO, Protocol
from xml.parsers import expat

from rackview.core.dataclass import dataclass
from rackview.language import _

MOST_PARTS = 2_000
MOST_RATIO = 100
"""How many times its packed size a large part may unpack to; a sheet of numbers comes to about 10 (measured)."""
RATIO_FROM = 10_000_000
"""Bytes unpacked from which on the ratio is looked at."""
MOST_DEPTH = 200
MOST_COPIES = 10_000
"""Copies that repeat marks may make of one filled row or cell; each would be an entry of its own."""
PIECE = 1 << 18

_REFERENCE = re.compile(r"([A-Z]{1,7})([0-9]{1,10})\Z")
_BROKEN = (zipfile.BadZipFile, zlib.error, struct.error, RuntimeError, EOFError, OSError, ValueError, KeyError)
_FILLS = frozenset(
    {"value-type", "formula", "value", "string-value", "date-value", "time-value", "boolean-value", "currency"}
)


class ArchiveError(ValueError):
    """Why a spreadsheet file is not read, as the end of the sentence “it ...”."""


class TooMuchError(ArchiveError):
    """The file holds more than the limits allow."""


@dataclass(frozen=True, slots=True)
class Limits:
    """The most that an archive may hold: bytes unpacked, XML elements, cells spanned, characters in them."""

    size: int = 100_000_000
    elements: int = 6_000_000
    cells: int = 5_000_000
    text: int = 50_000_000


def repack(source: BinaryIO, target: BinaryIO, limits: Limits) -> None:
    """Write the XML parts of `source` to `target`; raises `ArchiveError` for what is no workbook within the limits."""
    measure = _Measure(limits)
    try:
        with zipfile.ZipFile(source) as archive, zipfile.ZipFile(target, "w", zipfile.ZIP_STORED) as fresh:
            parts = _parts(archive)
            left = limits.size
            for part in parts:
                left = _copy(archive, fresh, part, left, measure, limits)
    except ArchiveError:
        raise
    except _BROKEN:
        raise ArchiveError(_("is damaged or protected by a password")) from None
    measure.close()


def _parts(archive: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
    """The parts worth reading, each name once as the archive's list has it."""
    members = archive.infolist()
    if len(members) > MOST_PARTS:
        raise TooMuchError(_("holds more than {most_parts} parts").format(most_parts=MOST_PARTS))
    parts = {m.filename: m for m in members if m.filename.endswith((".xml", ".rels")) or m.filename == "mimetype"}
    if "xl/workbook.xml" not in parts and "content.xml" not in parts:
        raise ArchiveError(_("is neither an XLSX nor an ODS workbook"))
    if any(m.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED} for m in parts.values()):
        raise ArchiveError(_("is packed in a way that spreadsheets do not use"))
    return list(parts.values())


def _copy(
    archive: zipfile.ZipFile,
    fresh: zipfile.ZipFile,
    part: zipfile.ZipInfo,
    left: int,
    measure: _Measure,
    limits: Limits,
) -> int:
    """Copy one part, measuring it on the way; the bytes that may still come."""
    read = measure.part() if part.filename != "mimetype" else None
    _believable(part, part.file_size)
    with archive.open(part) as packed, fresh.open(part.filename, "w", force_zip64=False) as plain:
        done = 0
        while piece := packed.read(PIECE):
            done += len(piece)
            if done > left or (read is None and done > 200):
                raise TooMuchError(_("holds more than {size} MB once unpacked").format(size=limits.size // 1000000))
            _believable(part, done)
            if read is not None:
                read(piece, last=False)
            plain.write(piece)
    if read is not None:
        read(b"", last=True)
    return left - done


def _believable(part: zipfile.ZipInfo, size: int) -> None:
    """Refuse a part that unpacks to far more than a table does, by what it says or by what came of it."""
    if size > RATIO_FROM and size > MOST_RATIO * max(part.compress_size, 1):
        raise TooMuchError(
            _("unpacks to more than {most_ratio} times its size, which no table kept by hand does").format(
                most_ratio=MOST_RATIO
            )
        )


class _ArchiveReader(Protocol):
    def __call__(self, piece: bytes, *, last: bool) -> None: ...


class _Measure:
    """Walks XML parts and refuses them when the cells of all sheets together would hold more than the limits.

    XLSX cells say where they are (`r="B7"`) or follow one another, and name their texts by number; ODS cells and rows
    say how often they repeat. Trailing empty ones do not count: readers drop them, and every ODS file fills its sheets
    up with them.
    """

    def __init__(self, limits: Limits) -> None:
        self.limits = limits
        self.elements = self.before = self.text = self.depth = 0
        self.row = self.column = self.last_row = self.last_column = 0
        self.rows_repeat = self.columns_repeat = 1
        self.letters: list[str] = []
        self.length = 0
        self.shared: list[int] = []
        self.uses: Counter[int] = Counter()
        self._parser = expat.ParserCreate()
        self._starts: dict[str, Callable[[dict[str, str]], None]] = {
            "sheetData": self._sheet,
            "table": self._sheet,
            "row": self._row,
            "c": self._cell,
            "si": self._listen,
            "table-row": self._table_row,
            "table-cell": self._table_cell,
            "covered-table-cell": self._table_cell,
            "s": self._spaces,
        }

    def part(self) -> _ArchiveReader:
        """How to hand over the pieces of one part, and at the end that it was the last."""
        parser = self._parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.StartDoctypeDeclHandler = self._doctype
        self.depth = 0

        def read(piece: bytes, last: bool) -> None:
            try:
                parser.Parse(piece, last)
            except expat.ExpatError:
                raise ArchiveError(_("is damaged: one of its parts is not well-formed")) from None
            except ArchiveError:
                raise
            except (LookupError, ValueError):
                raise ArchiveError(_("names a text encoding that is not known; save it again as XLSX or ODS")) from None

        return read

    def close(self) -> None:
        """After the last part: the texts that cells name by number."""
        known = len(self.shared)
        self._add(sum(self.shared[i] * n for i, n in self.uses.items() if i < known))

    def _doctype(self, *_unused: object) -> None:
        raise ArchiveError(_("declares a document type of its own, which spreadsheets do not"))

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self.elements += 1
        self.depth += 1
        if self.elements > self.limits.elements:
            raise TooMuchError(_("holds more parts than a table of this kind ever does"))
        if self.depth > MOST_DEPTH:
            raise TooMuchError(_("nests its parts deeper than a spreadsheet does"))
        call = self._starts.get(name) or self._starts.get(name.rpartition(":")[2])
        if call is not None:
            call(attributes)

    def _end(self, name: str) -> None:
        self.depth -= 1
        name = name.rpartition(":")[2]
        if name == "c":
            if self._parser.CharacterDataHandler is not None:
                self._parser.CharacterDataHandler = None
                number = "".join(self.letters).strip()
                if number.isdecimal() and len(number) < 10:
                    self.uses[int(number)] += 1
        elif name == "si":
            self._parser.CharacterDataHandler = None
            self.shared.append(self.length)
        elif name == "table-row":
            self.row += self.rows_repeat
        elif name in {"table-cell", "covered-table-cell"}:
            self._parser.CharacterDataHandler = None
            self._add(self.length * self.columns_repeat * self.rows_repeat)

    def _sheet(self, _: dict[str, str]) -> None:
        self.before += self.last_row * self.last_column
        self.row = self.column = self.last_row = self.last_column = 0

    def _row(self, attributes: dict[str, str]) -> None:
        self.row = _whole(attributes.get("r"), self.row + 1)
        self.column = 0

    def _cell(self, attributes: dict[str, str]) -> None:
        found = _REFERENCE.match(attributes.get("r", ""))
        self.column = _letters(found[1]) if found else self.column + 1
        self._fill(int(found[2]) if found else self.row, self.column)
        if attributes.get("t") == "s":
            self.letters = []
            self._parser.CharacterDataHandler = self.letters.append

    def _listen(self, _: object) -> None:
        self.length = 0
        self._parser.CharacterDataHandler = self._hear

    def _hear(self, text: str) -> None:
        self.length += len(text)

    def _spaces(self, attributes: dict[str, str]) -> None:
        """ODS writes several spaces as a number of them."""
        self.length += next((_whole(v, 1) for a, v in attributes.items() if a.rpartition(":")[2] == "c"), 1)

    def _table_row(self, attributes: dict[str, str]) -> None:
        self.rows_repeat = _repeats(attributes, "number-rows-repeated")
        self.column = 0

    def _table_cell(self, attributes: dict[str, str]) -> None:
        self.columns_repeat = _repeats(attributes, "number-columns-repeated")
        self.column += self.columns_repeat
        self._listen(None)
        if any(a.rpartition(":")[2] in _FILLS for a in attributes):
            if max(self.rows_repeat, self.columns_repeat) > MOST_COPIES:
                raise TooMuchError(
                    _("repeats one filled row or cell more than {most_copies} times").format(most_copies=MOST_COPIES)
                )
            self.length = max(map(len, attributes.values()))
            self._fill(self.row + self.rows_repeat, self.column)

    def _fill(self, row: int, column: int) -> None:
        if row > self.last_row or column > self.last_column:
            self.last_row, self.last_column = max(self.last_row, row), max(self.last_column, column)
            if self.before + self.last_row * self.last_column > self.limits.cells:
                most = self.limits.cells
                raise TooMuchError(
                    _("spreads over more than {most} cells; keep the table together at the top left").format(most=most)
                )

    def _add(self, text: int) -> None:
        self.text += text
        if self.text > self.limits.text:
            raise TooMuchError(
                _("holds more than {text} characters once its repeated cells are laid out").format(
                    text=self.limits.text
                )
            )


def _repeats(attributes: dict[str, str], name: str) -> int:
    return next((_whole(v, 1) for a, v in attributes.items() if a.endswith(name)), 1)


def _whole(text: str | None, otherwise: int) -> int:
    return int(text) if text is not None and text.isascii() and text.isdecimal() and len(text) < 12 else otherwise


def _letters(text: str) -> int:
    number = 0
    for letter in text:
        number = number * 26 + ord(letter) - 64
    return number
