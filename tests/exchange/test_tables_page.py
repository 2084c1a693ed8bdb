"""docs/tables.md says what the program does: every column, kind and setting, and its example can be imported."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

from rackview.core import events as ev
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.exchange import dictionary as dic
from tests.exchange.own_files import read_files

PAGE = (Path(__file__).parents[2] / "docs" / "tables.md").read_text(encoding="utf-8")


def test_every_table_stands_there_as_the_dictionary_has_it() -> None:
    for table in dic.TABLES:
        rows = []
        for c in table.columns:
            words = f" ({', '.join(c.words)})" if c.words else ""
            rows.append(f"| `{c.name}` | {c.unit} | {c.meaning}{words} |")
        section = "\n".join(
            [
                f"## {table.name}",
                "",
                f"{table.title}.",
                "",
                "| column | unit | what it holds |",
                "|---|---|---|",
                *rows,
                "",
            ]
        )
        assert section in PAGE


def test_every_kind_with_its_columns_and_every_setting() -> None:
    for kind in ev.KINDS:
        assert f"| {kind} | {', '.join(f'`{c}`' for c in ev.own_fields(kind)) or '–'} |\n" in PAGE
    for name, meaning in dic.SETTING_WORDS.items():
        assert f"| `{name}` | {meaning} |\n" in PAGE


def test_the_example_is_taken(tmp_path: Path) -> None:
    block = re.search(r"(?m)(?:^    .+\n)+", PAGE[PAGE.index("as a file:") :])
    assert block
    (tmp_path / "events.csv").write_text(block[0].replace("    ", ""), encoding="utf-8")
    rack = Rack.build([Vessel("A1", "rotifer-L", "A", 1, 20.0)])
    intake = read_files([tmp_path / "events.csv"], rack, datetime(2026, 3, 2, tzinfo=UTC))
    assert [e.kind for e in intake.events] == ["count", "harvest"]
