"""Files that mean harm to whoever opens them, each small on disk: one maker for each kind.

All of them are of our own making. A reader that believes them needs gigabytes or minutes.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Callable

MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
R = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
ODS = (
    '<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.3">'
    "<office:body><office:spreadsheet>{}</office:spreadsheet></office:body></office:document-content>"
)
HEAD = ("at", "vessel", "kind", "text")


def zipped(parts: dict[str, bytes | str]) -> bytes:
    """A ZIP archive of these parts."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as made:
        for name, part in parts.items():
            made.writestr(name, part)
    return out.getvalue()


def xlsx(*sheets: str | bytes, shared: str = "", **more: str | bytes) -> bytes:
    """An XLSX workbook whose sheets are this XML, written without a library so that anything can be said."""
    numbers = range(1, len(sheets) + 1)
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    types = "".join(
        f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="{kind}.worksheet+xml"/>' for n in numbers
    )
    parts: dict[str, bytes | str] = {
        "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{kind}.sheet.main+xml"/>{types}</Types>',
        "_rels/.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        f'<Relationship Id="rId1" Type="{R}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook {MAIN} xmlns:r="{R}"><sheets>'
        + "".join(f'<sheet name="s{n}" sheetId="{n}" r:id="rId{n}"/>' for n in numbers)
        + "</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        + "".join(f'<Relationship Id="rId{n}" Type="{R}/worksheet" Target="worksheets/sheet{n}.xml"/>' for n in numbers)
        + (f'<Relationship Id="rIdS" Type="{R}/sharedStrings" Target="sharedStrings.xml"/>' if shared else "")
        + "</Relationships>",
        **{f"xl/worksheets/sheet{n}.xml": sheet for n, sheet in zip(numbers, sheets, strict=True)},
        **more,
    }
    if shared:
        parts["xl/sharedStrings.xml"] = shared
    return zipped(parts)


def sheet(rows: str) -> str:
    """The XML of one XLSX sheet."""
    return f"<worksheet {MAIN}><sheetData>{rows}</sheetData></worksheet>"


def inline(text: str, at: str = "") -> str:
    """A cell of text."""
    place = f' r="{at}"' if at else ""
    return f'<c{place} t="inlineStr"><is><t>{text}</t></is></c>'


def row(*cells: str) -> str:
    """A row of text cells."""
    return "<row>" + "".join(map(inline, cells)) + "</row>"


def ods(content: str, **more: str | bytes) -> bytes:
    """An ODS workbook with this in its spreadsheet."""
    return zipped(
        {"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": ODS.format(content), **more}
    )


def ods_cell(text: str, columns: int = 1) -> str:
    """A cell of text, repeated."""
    repeat = f' table:number-columns-repeated="{columns}"' if columns > 1 else ""
    return f'<table:table-cell office:value-type="string"{repeat}><text:p>{text}</text:p></table:table-cell>'


def ods_row(*cells: str, rows: int = 1) -> str:
    """A row of cells, repeated."""
    return f'<table:table-row table:number-rows-repeated="{rows}">{"".join(cells)}</table:table-row>'


def ods_table(*rows: str, name: str = "s") -> str:
    """One sheet."""
    return f'<table:table table:name="{name}">{"".join(rows)}</table:table>'


def _shared(text: str, cells: int, columns: int = 100) -> bytes:
    rows = "".join("<row>" + '<c t="s"><v>0</v></c>' * columns + "</row>" for _ in range(cells // columns))
    return xlsx(sheet(rows), shared=f"<sst {MAIN}><si><t>{text}</t></si></sst>")


def _lie() -> bytes:
    data = bytearray(xlsx(sheet(row("x" * 50_000_000))))
    entry = data.index(b"PK\x01\x02")
    while (found := data.find(b"PK\x01\x02", entry)) >= 0:
        data[found + 24 : found + 28] = (10).to_bytes(4, "little")
        entry = found + 4
    return bytes(data)


def _overlapping() -> bytes:
    """Many entries of the list point at one and the same packed part."""
    name = b"xl/workbook.xml"
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    body = b"<a>" + b" " * 9_000_000 + b"</a>"
    packed = packer.compress(body) + packer.flush()
    start = struct.pack("<4s5H3I2H", b"PK\x03\x04", 20, 0, 8, 0, 0, zlib.crc32(body), len(packed), len(body), 0, 0)
    out = start[:26] + struct.pack("<HH", len(name), 0) + name + packed
    listed = b""
    for n in range(500):
        own = name if n == 0 else b"xl/p%d.xml" % n
        listed += (
            struct.pack("<4s6H3I5H2I", b"PK\x01\x02", 20, 20, 0, 8, 0, 0, zlib.crc32(body), len(packed), len(body),
                        len(own), 0, 0, 0, 0, 0, 0) + own
        )  # fmt: skip
    end = struct.pack("<4s4H2IH", b"PK\x05\x06", 0, 0, 500, 500, len(listed), len(out), 0)
    return out + listed + end


def _entities(depth: int) -> str:
    names = "".join(f'<!ENTITY e{n + 1} "{f"&e{n};" * 10}">' for n in range(depth))
    return f'<!DOCTYPE a [<!ENTITY e0 "lol">{names}]><a>&e{depth};</a>'


HEAD_XLSX = row(*HEAD)
HEAD_ODS = ods_row(*(ods_cell(h) for h in HEAD))
NOTE = ("2026-03-01T08:00", "A1", "note", "x")

BOMBS: dict[str, tuple[str, Callable[[], bytes]]] = {
    "one long text over a whole ODS sheet": (
        "ods",
        lambda: ods(ods_table(HEAD_ODS, *(ods_row(ods_cell("x" * 3000, 1000), rows=1000) for _ in range(5)))),
    ),
    "one shared text under a million cells": ("xlsx", lambda: _shared("y" * 12_000, 1_000_000)),
    "a long shared text under a few cells": ("xlsx", lambda: _shared("y" * 4_000_000, 4_000)),
    "a cell in the farthest corner": ("xlsx", lambda: xlsx(sheet(HEAD_XLSX + f"<row>{inline('x', 'XFD1048576')}</row>"))),
    "a cell far down and one far right": (
        "xlsx",
        lambda: xlsx(sheet(f"<row>{inline('x', 'A1')}</row><row>{inline('x', 'GZ24000')}</row>" * 1)),
    ),
    "a far cell on each of many sheets": (
        "xlsx",
        lambda: xlsx(*(sheet(f"<row>{inline('x', 'CV9000')}</row>") for _ in range(200))),
    ),
    "a row number beyond every sheet": ("xlsx", lambda: xlsx(sheet(f'<row r="4000000000">{inline("x")}</row>'))),
    "a cell name beyond every sheet": ("xlsx", lambda: xlsx(sheet(f"<row>{inline('x', 'ZZZZZZZ1')}</row>"))),
    "a filled ODS row repeated a million times": (
        "ods", lambda: ods(ods_table(HEAD_ODS, ods_row(*(ods_cell(c) for c in NOTE), rows=1_000_000)))
    ),
    "many ODS rows each repeated": (
        "ods",
        lambda: ods(ods_table(HEAD_ODS, *(ods_row(*(ods_cell(c) for c in NOTE), rows=9_999) for _ in range(60)))),
    ),
    "an ODS cell repeated over all columns and rows": (
        "ods", lambda: ods(ods_table(HEAD_ODS, ods_row(ods_cell("x", 16_384), rows=1_048_576)))
    ),
    "an ODS row far down after repeated empty ones": (
        "ods",
        lambda: ods(ods_table(HEAD_ODS, ods_row("<table:table-cell/>", rows=2_000_000_000), ods_row(ods_cell("x")))),
    ),
    "an ODS cell far right after repeated empty ones": (
        "ods",
        lambda: ods(ods_table(ods_row('<table:table-cell table:number-columns-repeated="2000000000"/>', ods_cell("x")))),
    ),
    "a billion spaces in one ODS element": ("ods", lambda: ods(ods_table(ods_row(ods_cell('<text:s text:c="999999999"/>'))))),
    "a repeat number of a thousand digits": (
        "ods",
        lambda: ods(ods_table(ods_row(ods_cell("x")).replace('repeated="1"', f'repeated="{"9" * 1000}"'))),
    ),
    "many ODS sheets": ("ods", lambda: ods("".join(ods_table(ods_row(ods_cell("x", 900), rows=900), name=f"s{n}") for n in range(300)))),
    "a part of nothing but spaces": ("xlsx", lambda: xlsx(sheet(" " * 99_000_000))),
    "a part of more than is read": ("xlsx", lambda: xlsx(sheet(" " * 101_000_000))),
    "a half a million equal rows": ("xlsx", lambda: xlsx(sheet(HEAD_XLSX + row(*NOTE) * 500_000))),
    "a lie about the size of a part": ("xlsx", _lie),
    "many names for one packed part": ("xlsx", _overlapping),
    "entities within entities": ("xlsx", lambda: zipped({"xl/workbook.xml": _entities(9)})),
    "one entity used very often": (
        "xlsx",
        lambda: zipped({"xl/workbook.xml": f'<!DOCTYPE a [<!ENTITY e "{"x" * 100_000}">]><a>{"&e;" * 100_000}</a>'}),
    ),
    "an entity that names a file of the keeper": (
        "ods",
        lambda: zipped({"content.xml": '<!DOCTYPE a [<!ENTITY e SYSTEM "file:///etc/hostname">]><a>&e;</a>'}),
    ),
    "an encoding that nobody knows": ("ods", lambda: zipped({"content.xml": '<?xml version="1.0" encoding="elder"?><a/>'})),
    "an encoding of several bytes": ("ods", lambda: zipped({"content.xml": '<?xml version="1.0" encoding="utf-7"?><a/>'})),
    "parts nested a million deep": ("xlsx", lambda: xlsx(sheet("<a>" * 1_000_000 + "</a>" * 1_000_000))),
    "one element with a hundred thousand attributes": (
        "xlsx",
        lambda: xlsx(sheet("<row " + " ".join(f'a{n}="1"' for n in range(100_000)) + "/>"), **{"xl/b.xml": "<x>"}),
    ),
    "fifty thousand parts": ("xlsx", lambda: zipped({"xl/workbook.xml": "<a/>", **{f"xl/{n}.xml": "<a/>" for n in range(50_000)}})),
    "a sheet under the name of a list of links": (
        "xlsx",
        lambda: xlsx(sheet(""), **{"xl/x.rels": sheet(f"<row>{inline('x', 'XFD1048576')}</row>")}),
    ),
    "a quotation mark that never closes": ("csv", lambda: b'at,vessel,kind,text\n2026-03-01,A1,note,"' + b"x\n" * 20_000_000),
    "a line without an end": ("csv", lambda: b"at,vessel,kind,text\n" + b"," * 40_000_000),
    "a line of letters that need four bytes each": ("csv", lambda: b"at,vessel\n" + "\U0001f41f".encode() * 10_000_000),
    "more rows than any rack has": ("csv", lambda: b"at,vessel,kind,text\n" + b"2026-03-01,A1,note,x\n" * 2_000_000),
    "rows of one letter": ("csv", lambda: b"a\n" * 25_000_000),
    "zero bytes": ("csv", lambda: b"at,vessel,kind,text\n" + bytes(50_000_000)),
    "more than a CSV file may have": ("csv", lambda: b"at,vessel\n" + b"2026-03-01,A1\n" * 6_000_000),
    "a cell of a hundred million digits": ("csv", lambda: b"at,vessel,kind,volume_l\n2026-03-01,A1,harvest," + b"9" * 900_000),
    "a number of many digits": ("csv", lambda: b"at,vessel,kind,tallies\n2026-03-01,A1,count," + b"9" * 90_000 + b"\n"),
    "a number with an exponent beyond reach": ("csv", lambda: b"at,vessel,kind,volume_l\n2026-03-01,A1,harvest,1e999999999\n"),
    "a header of two hundred thousand columns": ("csv", lambda: b",".join(b"c%d" % n for n in range(100_000)) + b"\n1\n"),
}  # fmt: skip
"""What each of them is: the ending of its name, and how to make it."""

FAST = frozenset(BOMBS) - {
    "one shared text under a million cells", "a part of nothing but spaces", "a part of more than is read",
    "a half a million equal rows", "a quotation mark that never closes", "a line without an end",
    "a line of letters that need four bytes each", "more rows than any rack has", "rows of one letter", "zero bytes",
    "more than a CSV file may have", "a lie about the size of a part", "many names for one packed part",
}  # fmt: skip
"""Those that are made and refused within a second or so."""
