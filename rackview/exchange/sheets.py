"""From the bytes of a CSV, XLSX or ODS file to rows of cells with their line numbers. What it is, its bytes say."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from rackview.exchange import archive
from rackview.exchange.guard import unguarded
from rackview.exchange.intake import clear

MOST_BYTES = 200_000_000
DELIMITERS = (",", ";", "\t")
_ARCHIVE = (b"PK\x03\x04", b"PK\x05\x06")
_OLD_WORKBOOK = bytes.fromhex("d0cf11e0a1b11ae1")


class UnreadableError(ValueError):
    """A file that can't be read as a table; `line` is 0 where the whole file is meant."""

    def __init__(self, line: int, sentence: str) -> None:
        self.line = line
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table as read: a label for messages, and its rows that hold anything, each with its line number."""

    label: str
    rows: tuple[tuple[int, tuple[object, ...]], ...]


def read_sheets(path: Path) -> list[Sheet]:
    """The tables in a file: one of a CSV file, one per filled sheet of a workbook; raises `UnreadableError`."""
    data = _bytes(path)
    if data.startswith(_ARCHIVE):
        return _workbook(clear(path.name), data)
    if data.startswith(_OLD_WORKBOOK):
        raise UnreadableError(0, "It is an old or password-protected workbook; save it as XLSX, ODS or CSV.")
    return [Sheet(clear(path.name), tuple(_csv_rows(_text(data))))]


def _bytes(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise UnreadableError(0, "It is a folder; name the files in it.")
        if not path.exists():
            raise UnreadableError(0, "There is no such file.")
        if not path.is_file():
            raise UnreadableError(0, "It is not a plain file.")
        if path.stat().st_size > MOST_BYTES:
            raise UnreadableError(0, f"It is larger than {MOST_BYTES // 1_000_000} MB; split it into smaller files.")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        if isinstance(error, UnreadableError):
            raise
        reason = getattr(error, "strerror", None) or "its name is not one that a file can have"
        raise UnreadableError(0, f"It can't be read: {reason}.") from None


def _text(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise UnreadableError(0, "It is UTF-16 text; save it as CSV with the encoding UTF-8.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise UnreadableError(
            line, f"The byte 0x{data[error.start]:02X} is not UTF-8 text; save it as CSV with the encoding UTF-8."
        ) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise UnreadableError(line, "It holds a zero byte, so it is no text; save it as CSV with the encoding UTF-8.")
    return text


def _csv_rows(text: str) -> Iterable[tuple[int, tuple[object, ...]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True, skipinitialspace=True)
    start = 1
    try:
        for cells in reader:
            if any(c.strip() for c in cells):
                yield start, tuple(unguarded(c) for c in cells)
            start = reader.line_num + 1
    except csv.Error as error:
        what = (
            f"A cell is longer than {csv.field_size_limit()} characters."
            if "limit" in str(error)
            else "A quotation mark is not closed, or stands where none belongs."
        )
        raise UnreadableError(start, what) from None


def _delimiter(text: str) -> str:
    """The delimiter that cuts the first line that holds anything into the most cells."""
    head = next((line for line in io.StringIO(text) if line.strip()), "")
    return max(DELIMITERS, key=lambda d: sum(bool(c.strip()) for c in head.split(d)))


def _workbook(name: str, data: bytes) -> list[Sheet]:
    import python_calamine

    try:
        fresh = archive.repacked(data)
    except archive.ArchiveError as error:
        raise UnreadableError(0, f"It {error}.") from None
    sheets: list[Sheet] = []
    try:
        with python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(fresh)) as book:
            for title in book.sheet_names:
                rows = book.get_sheet_by_name(title).to_python(skip_empty_area=False)
                filled = tuple(
                    (number, tuple(unguarded(c) if isinstance(c, str) else c for c in cells))
                    for number, cells in enumerate(rows, 1)
                    if any(str(c).strip() for c in cells)
                )
                if filled:
                    sheets.append(Sheet(f"{name}, sheet {clear(title)}", filled))
    except BaseException as error:
        # the reader is native code, and a panic in it is no Exception
        if isinstance(error, KeyboardInterrupt | SystemExit | MemoryError):
            raise
        raise UnreadableError(0, "It is a damaged workbook; open and save it again, or save it as CSV.") from None
    return sheets
