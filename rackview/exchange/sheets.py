"""From a CSV, XLSX or ODS file to rows of cells with their line numbers. What it is, its bytes say."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from rackview.core.dataclass import dataclass
from rackview.exchange import archive, workbook
from rackview.exchange.guard import unguarded
from rackview.exchange.intake import clear
from rackview.language import _

MOST_BYTES = 60_000_000
MOST_ROWS = 300_000
"""Rows of one file; a dozen vessels counted, fed and harvested daily fill them in ten years and more."""
MOST_LINE = 1_000_000
MOST_FILLED = 3_000_000
DELIMITERS = (",", ";", "\t", "|")
LOOKED_AT = 40
"""Lines from which delimiter and encoding are told."""
_ARCHIVE = (b"PK\x03\x04", b"PK\x05\x06")
_OLD_WORKBOOK = bytes.fromhex("d0cf11e0a1b11ae1")
_GAP = re.compile(r" {2,}")
_QUOTED = re.compile(r'"(?:[^"]|"")*"')


class UnreadableError(ValueError):
    """A file that can't be read as a table; `line` is 0 where the whole file is meant."""

    def __init__(self, line: int, sentence: str) -> None:
        self.line = line
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table as read: a label for messages, and its rows that hold anything, each with its line number.

    `title` is the name of the sheet in a workbook; `remarks` says how the text was understood where that was not plain.
    """

    label: str
    rows: tuple[tuple[int, tuple[object, ...]], ...]
    title: str = ""
    remarks: tuple[str, ...] = ()
    delimiter: str = ""


def read_sheets(path: Path) -> list[Sheet]:
    """The tables in a file: one of a CSV file, one per filled sheet of a workbook; raises `UnreadableError`."""
    start = _start(path)
    if start.startswith(_ARCHIVE):
        return _workbook(path)
    if start.startswith(_OLD_WORKBOOK):
        raise UnreadableError(0, _("It is an old or password-protected workbook; save it as XLSX, ODS or CSV."))
    return [read_text(path.read_bytes(), clear(path.name))]


def read_text(data: bytes, label: str) -> Sheet:
    """The table in the bytes of a CSV file; raises `UnreadableError`."""
    if len(data) > MOST_BYTES:
        raise UnreadableError(0, _TOO_LARGE)
    encoding, remarks = _encoding(data)
    first = [line for line, _ in zip(_lines(data, encoding), range(LOOKED_AT), strict=False)]
    delimiter, lines = _delimiter(first), _lines(data, encoding)
    if _in_columns(first, delimiter):
        delimiter, lines = "\t", (_GAP.sub("\t", line.strip(" ")) for line in lines)
    rows = _within(_csv_rows(lines, delimiter))
    return Sheet(label, tuple(rows), remarks=remarks, delimiter=delimiter)


_TOO_LARGE = _("It is larger than {most_bytes} MB; split it into smaller files.").format(
    most_bytes=MOST_BYTES // 1000000
)


def _start(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise UnreadableError(0, _("It is a folder; name the files in it."))
        if not path.exists():
            raise UnreadableError(0, _("There is no such file."))
        if not path.is_file():
            raise UnreadableError(0, _("It is not a plain file."))
        if path.stat().st_size > MOST_BYTES:
            raise UnreadableError(0, _TOO_LARGE)
        with path.open("rb") as file:
            return file.read(8)
    except (OSError, ValueError) as error:
        if isinstance(error, UnreadableError):
            raise
        reason = getattr(error, "strerror", None) or _("its name is not one that a file can have")
        raise UnreadableError(0, _("It can't be read: {reason}.").format(reason=reason)) from None


def _encoding(data: bytes) -> tuple[str, tuple[str, ...]]:
    """How the bytes stand for letters, and what to tell of it; raises `UnreadableError` if they do not."""
    remarks: tuple[str, ...] = ()
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding, remarks = "utf-16", (_("read as UTF-16 text"),)
    elif (sample := data[:2000]) and sample[1::2].count(0) > 0.4 * len(sample[1::2]) > 1:
        encoding, remarks = "utf-16-le", (_("read as UTF-16 text"),)
    else:
        encoding = "utf-8-sig"
    try:
        _decoded(data, encoding)
    except UnicodeDecodeError as error:
        if remarks or 0 in data:
            raise UnreadableError(
                0, _("It begins like UTF-16 text, but its byte {start} is none.").format(start=error.start)
            ) from None
        encoding, remarks = "cp1252", (_("read as Windows-1252 text, as it is not UTF-8"),)
        try:
            _decoded(data, encoding)
        except UnicodeDecodeError as worse:
            line = data.count(b"\n", 0, worse.start) + 1
            what = _("The byte 0x{data:02X} is no letter").format(data=data[worse.start])
            raise UnreadableError(
                line, _("{what}; save it as CSV with the encoding UTF-8.").format(what=what)
            ) from None
    return encoding, remarks


def _decoded(data: bytes, encoding: str) -> None:
    """Raise if the bytes are not of that encoding, or hold a zero byte once decoded; nothing large is kept."""
    line = 1
    with io.TextIOWrapper(io.BytesIO(data), encoding, newline="") as text:
        while piece := text.read(MOST_LINE):
            if "\0" in piece:
                line += piece.count("\n", 0, piece.index("\0"))
                what = _("It holds a zero byte, so it is no text")
                raise UnreadableError(line, _("{what}; save it as CSV with the encoding UTF-8.").format(what=what))
            line += piece.count("\n")


def _lines(data: bytes, encoding: str) -> Iterator[str]:
    """Line after line with its end; raises `UnreadableError` for one that no table has."""
    with io.TextIOWrapper(io.BytesIO(data), encoding, newline="") as text:
        number = 1
        while line := text.readline(MOST_LINE):
            if len(line) == MOST_LINE:
                raise UnreadableError(
                    number, _("It has a line of more than {most_line} characters.").format(most_line=MOST_LINE)
                )
            yield line
            number += 1


def _csv_rows(lines: Iterable[str], delimiter: str) -> Iterator[tuple[int, tuple[object, ...]]]:
    reader = csv.reader(lines, delimiter=delimiter, strict=True, skipinitialspace=True)
    start = 1
    one: dict[str, str] = {}  # the same words again and again are one text in memory
    try:
        for cells in reader:
            if "".join(cells).strip():
                yield start, tuple([one.setdefault(cell, cell) for cell in map(unguarded, cells)])
            start = reader.line_num + 1
    except csv.Error as error:
        what = (
            _("A cell is longer than {field_size_limit} characters.").format(field_size_limit=csv.field_size_limit())
            if "limit" in str(error)
            else _("A quotation mark is not closed, or stands where none belongs.")
        )
        raise UnreadableError(start, what) from None


def _within(rows: Iterable[tuple[int, tuple[object, ...]]]) -> Iterator[tuple[int, tuple[object, ...]]]:
    """The rows, unless there are more of them than any rack has."""
    filled = 0
    for number, row in enumerate(rows, 1):
        filled += len(row[1]) - row[1].count("")
        if number > MOST_ROWS or filled > MOST_FILLED:
            raise UnreadableError(
                0,
                _("It holds more than {most_rows} rows or {most_filled} filled cells; split it.").format(
                    most_rows=MOST_ROWS, most_filled=MOST_FILLED
                ),
            )
        yield row


def _delimiter(lines: list[str]) -> str:
    """The delimiter that cuts most lines into the same number of cells; of equal ones that with the most cells."""
    plain = [line for line in _QUOTED.sub("", "".join(lines)).splitlines() if line.strip()]

    def regularity(delimiter: str) -> tuple[int, int]:
        cuts = Counter(line.count(delimiter) for line in plain if delimiter in line)
        return max(((times, cut) for cut, times in cuts.items()), default=(0, 0))

    return max(DELIMITERS, key=regularity)


def _in_columns(lines: list[str], delimiter: str) -> bool:
    """Whether runs of spaces, and no delimiter, part the lines into columns."""
    plain = [line.strip() for line in lines if line.strip()]
    gaps = [len(_GAP.findall(line)) for line in plain]
    apart = sum(g > 0 and g == gaps[0] for g in gaps)
    return len(plain) > 1 and apart > 0.8 * len(plain) and apart > sum(delimiter in line for line in plain)


def _workbook(path: Path) -> list[Sheet]:
    sheets: list[Sheet] = []
    name = clear(path.name)
    try:
        for title, rows in workbook.sheet_rows(path):
            filled = tuple(
                _within(
                    (number, tuple(unguarded(c) if isinstance(c, str) else c for c in cells))
                    for number, cells in rows
                    if any(not isinstance(c, str) or c.strip() for c in cells)
                )
            )
            if filled:
                sheets.append(Sheet(_("{name}, sheet {title}").format(name=name, title=clear(title)), filled, title))
    except archive.ArchiveError as error:
        raise UnreadableError(0, _("It {error}.").format(error=error)) from None
    except OSError as error:
        raise UnreadableError(0, _("It can't be read: {strerror}.").format(strerror=error.strerror)) from None
    return sheets
