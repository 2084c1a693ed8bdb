"""Spreadsheet files are ZIP archives of XML; none is trusted.

The archive is unpacked in memory within limits, its sheets are measured, and only then is a fresh archive of the same
parts handed to the reader. A small file can claim gigabytes, or hold one cell in the farthest corner, for which a
reader would lay out the whole sheet and end the program.
"""

from __future__ import annotations

import io
import re
import struct
import zipfile
import zlib
from xml.parsers import expat

MOST_BYTES = 100_000_000
MOST_PARTS = 2_000
MOST_CELLS = 5_000_000
MOST_ELEMENTS = 5_000_000

_REFERENCE = re.compile(r"([A-Z]{1,7})([0-9]{1,10})\Z")
_BROKEN = (zipfile.BadZipFile, zlib.error, struct.error, RuntimeError, EOFError, OSError, ValueError, KeyError)


class ArchiveError(ValueError):
    """Why a spreadsheet file is not read, as the end of the sentence “it ...”."""


def repacked(data: bytes) -> bytes:
    """The archive with the same XML parts, all within the limits; raises `ArchiveError` otherwise."""
    parts = _unpacked(data)
    if "xl/workbook.xml" not in parts and "content.xml" not in parts:
        raise ArchiveError("is neither an XLSX nor an ODS workbook")
    measure = _Measure()
    for name, part in parts.items():
        if name.endswith(".xml"):
            measure.read(part)
    fresh = io.BytesIO()
    with zipfile.ZipFile(fresh, "w", zipfile.ZIP_STORED) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    return fresh.getvalue()


def _unpacked(data: bytes) -> dict[str, bytes]:
    parts: dict[str, bytes] = {}
    left = MOST_BYTES
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            if len(members) > MOST_PARTS:
                raise ArchiveError(f"holds more than {MOST_PARTS} parts")
            for member in members:
                if not member.filename.endswith((".xml", ".rels", "mimetype")):
                    continue
                if member.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
                    raise ArchiveError("is packed in a way that spreadsheets do not use")
                with archive.open(member) as part:
                    parts[member.filename] = part.read(left + 1)
                left -= len(parts[member.filename])
                if left < 0:
                    raise ArchiveError(f"holds more than {MOST_BYTES // 1_000_000} MB once unpacked")
    except ArchiveError:
        raise
    except _BROKEN:
        raise ArchiveError("is damaged or protected by a password") from None
    return parts


class _Measure:
    """Walks XML parts and refuses them when the cells of all sheets together would span more than the limit.

    XLSX cells say where they are (`r="B7"`) or follow one another; ODS cells and rows say how often they repeat.
    Trailing empty ones do not count: readers drop them, and every ODS file fills its sheets up with them.
    """

    def __init__(self) -> None:
        self.elements = self.before = 0
        self.row = self.column = self.last_row = self.last_column = 0
        self.rows_repeat = 1

    def read(self, part: bytes) -> None:
        parser = expat.ParserCreate()
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.StartDoctypeDeclHandler = self._doctype
        try:
            parser.Parse(part, True)  # noqa: FBT003 - expat takes its last-part flag by place only
        except expat.ExpatError:
            raise ArchiveError("is damaged: one of its parts is not well-formed") from None

    def _doctype(self, *_: object) -> None:
        raise ArchiveError("declares a document type of its own, which spreadsheets do not")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self.elements += 1
        if self.elements > MOST_ELEMENTS:
            raise ArchiveError("holds more parts than a table of this kind ever does")
        name = name.rpartition(":")[2]
        attributes = {a.rpartition(":")[2]: v for a, v in attributes.items()}
        if name in {"sheetData", "table"}:
            self.before += self.last_row * self.last_column
            self.row = self.column = self.last_row = self.last_column = 0
        elif name == "row":
            self.row = _whole(attributes.get("r"), self.row + 1)
            self.column = 0
        elif name == "c":
            found = _REFERENCE.match(attributes.get("r", ""))
            self.column = _letters(found[1]) if found else self.column + 1
            self._fill(int(found[2]) if found else self.row, self.column)
        elif name == "table-row":
            self.rows_repeat = _whole(attributes.get("number-rows-repeated"), 1)
            self.column = 0
        elif name in {"table-cell", "covered-table-cell"}:
            self.column += _whole(attributes.get("number-columns-repeated"), 1)
            if attributes.keys() & {"value-type", "formula"}:
                self._fill(self.row + self.rows_repeat, self.column)

    def _end(self, name: str) -> None:
        if name.rpartition(":")[2] == "table-row":
            self.row += self.rows_repeat

    def _fill(self, row: int, column: int) -> None:
        self.last_row, self.last_column = max(self.last_row, row), max(self.last_column, column)
        if self.before + self.last_row * self.last_column > MOST_CELLS:
            raise ArchiveError(f"spreads over more than {MOST_CELLS} cells; keep the table together at the top left")


def _whole(text: str | None, otherwise: int) -> int:
    return int(text) if text is not None and text.isdecimal() and len(text) < 12 else otherwise


def _letters(text: str) -> int:
    number = 0
    for letter in text:
        number = number * 26 + ord(letter) - 64
    return number
