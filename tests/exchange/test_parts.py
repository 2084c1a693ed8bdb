"""A record too long for one file goes out in several, and comes back whole."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rackview.core import events as ev
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.exchange import sheets, writer
from rackview.exchange.ledger import every_event
from rackview.exchange.writer import export
from tests.exchange.own_files import read_files

NOW = datetime(2026, 3, 10, 8, tzinfo=UTC)
BARE = Rack.build([Vessel("A1", "rotifer-L", "A", 1, 20.0)])


def rack(number: int, text: str = "seen") -> Rack:
    """So many notes, the first of them corrected by the last."""
    notes = [ev.Note(id=f"n{i:04}", at=NOW - timedelta(hours=i + 1), vessel="A1", text=text) for i in range(number)]
    return BARE.record(*notes[:-1], replace(notes[-1], replaces="n0000"))


def parts(folder: Path) -> list[Path]:
    return sorted(folder.glob("events*.csv"), key=lambda path: (len(path.name), path.name))


@pytest.fixture
def ten_rows(monkeypatch):
    monkeypatch.setattr(writer, "PART_ROWS", 10)
    monkeypatch.setattr(writer, "AT_A_TIME", 4)


def test_every_part_is_a_table_and_together_they_are_the_record(tmp_path, ten_rows):
    whole = rack(25)
    files = export(whole, tmp_path)
    assert [path.name for path in parts(tmp_path)] == ["events.csv", "events-2.csv", "events-3.csv"]
    assert {*parts(tmp_path)} < {*files}
    assert max(len(path.read_text(encoding="utf-8").splitlines()) for path in parts(tmp_path)) <= 1 + 10
    back = read_files(reversed(files), Rack.build([]), NOW)
    assert not back.refused
    assert {e.id: e for e in back.events} == {e.id: e for e in every_event(whole)}


def test_parts_of_a_longer_record_do_not_stay_and_what_the_keeper_put_there_does(tmp_path, ten_rows):
    export(rack(25), tmp_path)
    own = {name: f"{name}\r\n1\r\n" for name in ("events-9.csv", "events-old.csv", "vessels-2.csv")}
    for name, text in own.items():
        (tmp_path / name).write_text(text, newline="")
    export(rack(3), tmp_path)
    assert [path.name for path in parts(tmp_path)] == ["events.csv", "events-9.csv", "events-old.csv"]
    assert {name: (tmp_path / name).read_bytes().decode() for name in own} == own


def test_a_part_is_no_larger_than_an_import_takes(tmp_path, monkeypatch):
    monkeypatch.setattr(writer, "AT_A_TIME", 1)
    for module in (writer, sheets):
        monkeypatch.setattr(module, "MOST_BYTES", 6_000)
    export(rack(40, "ö" * 200), tmp_path)
    assert len(parts(tmp_path)) > 3
    assert max(path.stat().st_size for path in parts(tmp_path)) <= 6_000
    assert not read_files([tmp_path / "vessels.csv", *parts(tmp_path)], Rack.build([]), NOW).refused


def test_no_row_has_so_many_columns_that_a_part_holds_more_cells_than_an_import_takes():
    most = max(len(ev.KINDS[kind].__dataclass_fields__) for kind in ev.KINDS) + 1
    assert writer.PART_ROWS * most <= sheets.MOST_FILLED
    assert writer.PART_ROWS < sheets.MOST_ROWS
