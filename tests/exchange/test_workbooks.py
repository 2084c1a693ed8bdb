"""Workbooks as two independent writers make them (openpyxl, odfpy), and workbooks that mean harm."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import bombs
import openpyxl
import pytest
from odf.namespaces import TABLENS
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from rackview.core import events as ev
from rackview.core.clock import as_utc
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.exchange import archive
from rackview.exchange.draft import draft_of, read_all
from tests.exchange.own_files import read_files

NOW = datetime(2026, 3, 10, 8, tzinfo=UTC)
RACK = Rack.build([Vessel("1", "rotifer-L", "A", 1, 20.0)])
VESSELS = [["vessel", "strain", "shelf", "position", "volume_l"], [2, "mixed", "B", 1, 10.5]]
EVENTS: list[list[object]] = [
    ["at", "vessel", "kind", "tallies", "note"],
    [as_utc("2026-03-01T08:30").replace(tzinfo=None), 1, "count", 98, "'=hm"],
    [date(2026, 3, 2), 2, "count", "98 104", None],
    ["2026-03-03T08:00", "1", "count", "7", ""],
]


def xlsx(path: Path, **sheets: list[list[object]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def ods(path: Path, **sheets: list[list[object]]) -> Path:
    book = OpenDocumentSpreadsheet()
    for title, rows in sheets.items():
        table = Table(name=title)
        for row in rows:
            line = TableRow()
            for cell in row:
                line.addElement(_ods_cell(cell))
            line.addElement(TableCell(numbercolumnsrepeated=16000))
            table.addElement(line)
        table.addElement(TableRow(numberrowsrepeated=1048000))
        book.spreadsheet.addElement(table)
    book.save(str(path))
    return path


def _ods_cell(cell: object) -> TableCell:
    if cell is None:
        return TableCell()
    if isinstance(cell, int | float):
        return TableCell(valuetype="float", value=cell)
    if isinstance(cell, date):
        return TableCell(valuetype="date", datevalue=cell.isoformat())
    made = TableCell(valuetype="string")
    made.addElement(P(text=cell))
    return made


@pytest.mark.parametrize(("make", "name"), [(xlsx, "rack.xlsx"), (ods, "rack.ods")], ids=["xlsx", "ods"])
def test_a_workbook_of_tables(make: Callable[..., Path], name: str, tmp_path: Path) -> None:
    path = make(tmp_path / name, events=EVENTS, empty=[], vessels=VESSELS)
    intake = read_files([path], RACK, NOW, as_utc)
    assert [str(line) for line in intake.refused] == []
    assert intake.vessels == (Vessel("2", "mixed", "B", 1, 10.5),)
    counts = [(e.at, e.vessel, e.tallies, e.note) for e in intake.events if isinstance(e, ev.Count)]
    assert counts == [
        (datetime(2026, 3, 1, 8, 30, tzinfo=UTC), "1", (98,), "=hm"),
        (datetime(2026, 3, 2, tzinfo=UTC), "2", (98, 104), ""),
        (datetime(2026, 3, 3, 8, tzinfo=UTC), "1", (7,), ""),
    ]
    assert intake.lines[0].file == f"{name}, sheet events"
    rack = RACK.with_vessels([*RACK.vessels.values(), *intake.vessels]).record(*intake.events)
    assert read_files([path], rack, NOW, as_utc).count("known") == 4


def test_a_wrong_cell_is_named_by_file_sheet_and_row(tmp_path: Path) -> None:
    path = xlsx(tmp_path / "rack.xlsx", March=[*EVENTS[:2], [date(2026, 3, 2), 1, "count", 3.5, None]])
    (line,) = read_files([path], RACK, NOW).refused
    assert str(line).startswith("rack.xlsx, sheet March, line 3: tallies: found “3.5”")


def refusal(data: bytes, folder: Path) -> str:
    (folder / "bad.xlsx").write_bytes(data)
    (line,) = read_files([folder / "bad.xlsx"], RACK, NOW).refused
    return str(line)


def zipped(parts: dict[str, bytes | str]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, part in parts.items():
            made.writestr(name, part)
    return out.getvalue()


def test_a_cell_in_the_farthest_corner_does_not_lay_out_the_sheet(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active["A1"] = "at"
    book.active["XFD1048576"] = 1
    book.save(tmp_path / "far.xlsx")
    assert "spreads over more than 5000000 cells" in refusal((tmp_path / "far.xlsx").read_bytes(), tmp_path)


def measured(data: bytes, limits: archive.Limits) -> None:
    archive.repack(io.BytesIO(data), io.BytesIO(), limits)


def test_many_sheets_are_measured_together(tmp_path: Path) -> None:
    path = xlsx(tmp_path / "rack.xlsx", a=EVENTS, b=EVENTS, c=EVENTS)
    with pytest.raises(archive.TooMuchError, match="spreads over more than 50 cells"):
        measured(path.read_bytes(), archive.Limits(cells=50))
    assert not read_files([xlsx(tmp_path / "two.xlsx", a=EVENTS, b=VESSELS)], RACK, NOW).refused


def test_a_text_named_by_many_cells_is_measured_as_often() -> None:
    data = bombs.xlsx(
        bombs.sheet("<row>" + '<c t="s"><v>0</v></c>' * 30 + "</row>"),
        shared=f"<sst {bombs.MAIN}><si><t>{'x' * 1000}</t></si></sst>",
    )
    with pytest.raises(archive.TooMuchError, match="holds more than 29000 characters"):
        measured(data, archive.Limits(text=29_000))
    measured(data, archive.Limits(text=31_000))


@pytest.mark.parametrize("name", sorted(bombs.FAST))
def test_a_bomb_is_refused_with_one_sentence(name: str, tmp_path: Path) -> None:
    """Time and memory are those of tests/benchmarks/import_bombs.py."""
    ending, make = bombs.BOMBS[name]
    (tmp_path / f"bomb.{ending}").write_bytes(make())
    found = draft_of(read_all([tmp_path / f"bomb.{ending}"]), RACK, NOW)
    assert not found.intake.events
    if name == "a cell far down and one far right":  # what its column means is asked
        (asked,) = found.foreign
        assert asked.open
    else:
        (line,) = found.intake.refused
        assert line.sentence.isprintable()


def test_a_cell_repeated_over_the_whole_sheet(tmp_path: Path) -> None:
    book = OpenDocumentSpreadsheet()
    table, row = Table(name="s"), TableRow(numberrowsrepeated=1000000)
    row.addElement(TableCell(valuetype="float", value=1, numbercolumnsrepeated=16000))
    table.addElement(row)
    book.spreadsheet.addElement(table)
    book.save(str(tmp_path / "wide.ods"))
    assert TABLENS in zipfile.ZipFile(tmp_path / "wide.ods").read("content.xml").decode()
    assert "repeats one filled row or cell" in refusal((tmp_path / "wide.ods").read_bytes(), tmp_path)


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        ({"xl/workbook.xml": "<a/>", "xl/big.xml": b"<a>" + b" " * 12_000_000}, "unpacks to more than 100 times"),
        (
            {"xl/workbook.xml": '<?xml version="1.0" encoding="klingon"?><a/>'},
            "names a text encoding that is not known",
        ),
        ({"xl/workbook.xml": "<a>" * 300 + "</a>" * 300}, "nests its parts deeper"),
        ({"xl/workbook.xml": "<a/>", **{f"xl/{n}.xml": "<a/>" for n in range(2001)}}, "more than 2000 parts"),
        ({"xl/workbook.xml": '<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'}, "declares a document type"),
        ({"xl/workbook.xml": "<a>"}, "one of its parts is not well-formed"),
        ({"../../outside.txt": "x", "note.xml": "<a/>"}, "is neither an XLSX nor an ODS workbook"),
        ({"xl/workbook.xml": "<a/>"}, "It is a damaged workbook"),
    ],
    ids=["bomb", "encoding", "nest", "parts", "entities", "torn", "paths", "hollow"],
)
def test_archives_that_mean_harm(parts: dict[str, bytes | str], says: str, tmp_path: Path) -> None:
    before = set(tmp_path.parent.rglob("*"))
    assert says in refusal(zipped(parts), tmp_path)
    assert set(tmp_path.parent.rglob("*")) - before == {tmp_path / "bad.xlsx"}


def test_a_lie_about_the_size_of_a_part_is_noticed() -> None:
    data = bytearray(zipped({"xl/workbook.xml": "<a>" + "b" * 1000 + "</a>"}))
    entry = data.index(b"PK\x01\x02")
    data[entry + 24 : entry + 28] = (10).to_bytes(4, "little")
    with pytest.raises(archive.ArchiveError, match="damaged"):
        measured(bytes(data), archive.Limits())


def test_packing_that_spreadsheets_do_not_use_is_refused() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_LZMA) as made:
        made.writestr("xl/workbook.xml", "<a/>")
    with pytest.raises(archive.ArchiveError, match="packed in a way"):
        measured(out.getvalue(), archive.Limits())
