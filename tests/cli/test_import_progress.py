"""A long import answers as soon as its lines are kept; what is believed comes after, tells how far, and can wait."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rackview import terminal
from rackview.services import files, memory
from rackview.store import Store
from rackview.store.verify import check

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
VESSELS = "vessel,strain,shelf,position,volume_l\nA1,rotifer-L,A,1,20\nA2,rotifer-L,A,2,20\n"


@pytest.fixture
def tables(tmp_path: Path) -> list[Path]:
    """Two vessels and sixty counts."""
    listed, table = tmp_path / "vessels.csv", tmp_path / "events.csv"
    listed.write_text(VESSELS, encoding="utf-8")
    rows = [f"{(START + timedelta(days=n)).isoformat()},A{n % 2 + 1},count,{90 + n} 95" for n in range(60)]
    table.write_text("\n".join(["at,vessel,kind,tallies", *rows]) + "\n", encoding="utf-8")
    return [listed, table]


def test_lines_are_kept_before_anything_is_worked_out(run, tmp_path, tables, monkeypatch):
    monkeypatch.setattr(files, "HISTORY", 50)
    heard: list[tuple[float, int]] = []
    looked: list[float] = []
    place = tmp_path / "rack.db"

    def tell(what: str, share: float) -> None:
        if not place.exists():
            looked.append(share)
            return
        with Store.open(place) as store:
            heard.append((share, len(store.since(0).events)))

    monkeypatch.setattr(terminal, "progress", tell)
    assert run("--store", place, "import", *tables).status == 0
    assert looked == [1.0], "so few lines are looked through at once"
    assert heard == [(0.0, 60), (1.0, 60)]
    with Store.open(place) as store:
        rack, _ = store.read(memory.remember)
        assert all(head.memo for head in rack.logs.values())


def test_ctrl_c_leaves_what_is_believed_to_the_next_start(run, tmp_path, tables, monkeypatch):
    monkeypatch.setattr(files, "HISTORY", 50)

    def stop(what: str, _share: float) -> None:
        if "believed" in what:
            raise KeyboardInterrupt

    monkeypatch.setattr(terminal, "progress", stop)
    place = tmp_path / "rack.db"
    said = run("--store", place, "import", *tables)
    assert (said.status, said.err) == (0, "")
    assert "62 lines taken into" in said.out
    assert check(place) == []
    assert run("--store", place, "status").status == 0


def test_ctrl_c_while_lines_are_looked_through_takes_nothing_in(run, tmp_path, tables, monkeypatch):
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(terminal, "progress", stop)
    place = tmp_path / "rack.db"
    assert run("--store", place, "import", *tables).status != 0
    assert not place.exists()
