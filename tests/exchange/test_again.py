"""The same file twice adds nothing, equal rows stay apart, ids and corrections hold, however a table comes back."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rackview.core import events as ev
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.exchange.intake import Intake
from rackview.exchange.writer import export
from tests.exchange.own_files import read_files

NOW = datetime(2026, 3, 10, 8, tzinfo=UTC)
AT = datetime(2026, 3, 1, 8, tzinfo=UTC)
RACK = Rack.build([Vessel("A1", "rotifer-L", "A", 1, 20.0)])
ROW = "2026-03-01T08:00+00:00,A1,clean,floss"


class Files:
    """Event tables written to a folder, and a rack that takes them in."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.rack = RACK

    def write(self, *rows: str, head: str = "at,vessel,kind,what") -> Path:
        path = self.folder / f"{len(list(self.folder.iterdir()))}.csv"
        path.write_text("\n".join([head, *rows, ""]), encoding="utf-8")
        return path

    def take(self, *paths: Path) -> Intake:
        intake = read_files(paths, self.rack, NOW)
        if not intake.refused:
            self.rack = self.rack.record(*intake.events)
        return intake

    def without_ids(self, rack: Rack) -> Path:
        """The rack's exported event table without its last five columns, ids among them."""
        folder = self.folder / "plain"
        export(rack, folder)
        lines = (folder / "events.csv").read_text(encoding="utf-8").splitlines()
        assert lines[0].endswith(",id,replaces,entered_at,entered_by,entered_on")
        cut = [",".join(line.split(",")[:-5]) for line in lines]
        (folder / "events.csv").write_text("\n".join(cut) + "\n", encoding="utf-8")
        return folder / "events.csv"


@pytest.fixture
def files(tmp_path: Path) -> Files:
    return Files(tmp_path)


def test_the_same_file_twice_adds_nothing(files: Files) -> None:
    path = files.write(ROW, ROW, "2026-03-02T08:00+00:00,A1,clean,floss")
    assert files.take(path).count("taken") == 3
    assert files.take(path).count("known") == 3
    assert len(list(files.rack.events())) == 3


def test_the_same_file_twice_in_one_call_adds_it_once(files: Files) -> None:
    path = files.write(ROW, ROW)
    intake = files.take(path, path)
    assert (intake.count("taken"), intake.count("known")) == (2, 2)


def test_a_longer_file_adds_only_what_is_new(files: Files) -> None:
    files.take(files.write(ROW))
    intake = files.take(files.write(ROW, ROW, "2026-03-02T08:00+00:00,A1,clean,floss"))
    assert [line.verdict for line in intake.lines] == ["known", "taken", "taken"]


def test_equal_rows_typed_and_imported_are_the_same_event(files: Files) -> None:
    files.rack = RACK.record(ev.Clean(at=AT, vessel="A1", what="floss", id="typed"))
    assert files.take(files.write(ROW)).count("known") == 1
    assert files.take(files.write(ROW, ROW)).count("taken") == 1


def test_an_export_without_its_ids_adds_nothing_where_it_came_from(files: Files) -> None:
    one = ev.Clean(at=AT, vessel="A1", what="floss", id="typed", entered_at=NOW, entered_by="K", entered_on="pc")
    files.rack = RACK.record(one, replace(one, id="again"))
    assert files.take(files.without_ids(files.rack)).count("known") == 2


def test_ids_that_come_later_find_what_was_taken_without_them(files: Files) -> None:
    one = ev.Clean(at=AT, vessel="A1", what="floss", id="typed")
    theirs = RACK.record(one, replace(one, id="again"), ev.Withdraw(at=AT, vessel="A1", replaces="typed", id="w"))
    files.take(files.write(ROW, ROW))
    intake = files.take(export(theirs, files.folder / "out")[1])
    assert [(e.kind, e.replaces in files.rack.corrections.rows) for e in intake.events] == [("withdraw", True)]
    assert len(list(files.rack.events())) == 1


def test_a_chain_of_corrections_finds_its_way_in_any_order(files: Files) -> None:
    files.take(files.write(ROW))
    rows = [ROW + ",x,", "2026-03-01T08:00+00:00,A1,withdraw,,w,x", "2026-03-01T08:00+00:00,A1,withdraw,,v,w"]
    for order in (rows[::-1], rows):
        intake = files.take(files.write(*order, head="at,vessel,kind,what,id,replaces"))
        assert not intake.refused
        assert [e.kind for e in files.rack.events()] == ["clean"]
    assert intake.count("known") == 3


def test_equal_events_with_ids_of_their_own_are_kept_apart(files: Files) -> None:
    head = "at,vessel,kind,what,id"
    assert files.take(files.write(ROW + ",x", ROW + ",y", ROW + ",", head=head)).count("taken") == 3
    assert files.take(files.write(ROW + ",x", ROW + ",y", ROW + ",", head=head)).count("known") == 3


def test_a_changed_row_under_an_old_id_is_refused(files: Files) -> None:
    head = "at,vessel,kind,what,id"
    files.take(files.write(ROW + ",x", head=head))
    (line,) = files.take(files.write("2026-03-01T09:00+00:00,A1,clean,floss,x", head=head)).refused
    assert (
        "id: found “x”, but needs an id of its own, as the clean at A1 of 2026-03-01 08:00 UTC has it" in line.sentence
    )


def test_a_correction_in_a_table_replaces_its_event(files: Files) -> None:
    head = "at,vessel,kind,what,id,replaces"
    files.take(files.write(ROW + ",x,", head=head))
    files.take(files.write("2026-03-01T08:00+00:00,A1,clean,airline,,x", head=head))
    assert [e.what for e in files.rack.events() if isinstance(e, ev.Clean)] == ["airline"]
    assert files.take(files.write("2026-03-01T08:00+00:00,A1,clean,airline,,x", head=head)).count("known") == 1


def test_a_corrected_row_that_comes_again_as_it_was_stays_corrected(files: Files) -> None:
    path = files.write(ROW)
    (first,) = files.take(path).events
    files.rack = files.rack.record(ev.Clean(at=AT, vessel="A1", what="airline", replaces=first.id, id="c"))
    assert files.take(path).count("known") == 1
    assert [e.what for e in files.rack.events() if isinstance(e, ev.Clean)] == ["airline"]


@pytest.mark.parametrize(
    "rows",
    [(",nowhere",), ("x,x",), ("x,y", "y,x")],
    ids=["nowhere", "itself", "each other"],
)
def test_a_correction_of_nothing_is_refused(files: Files, rows: tuple[str, ...]) -> None:
    intake = files.take(files.write(*(f"{ROW},{r}" for r in rows), head="at,vessel,kind,what,id,replaces"))
    assert len(intake.refused) == len(rows)
    assert "replaces: found" in intake.refused[0].sentence


def test_a_correction_may_stand_before_its_event(files: Files) -> None:
    withdraw = "2026-03-01T08:00+00:00,A1,withdraw,,w,x"
    head = "at,vessel,kind,what,id,replaces"
    assert files.take(files.write(withdraw, ROW + ",x,", head=head)).count("taken") == 2
    assert list(files.rack.events()) == []
