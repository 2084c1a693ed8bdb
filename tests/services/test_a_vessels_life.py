"""A vessel's whole life: renamed, moved, taken out of use for good; what is recorded stays its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rackview.core.errors import InputError
from rackview.core.events import Count, Harvest, Split
from rackview.core.vessel import Vessel
from rackview.services.desk import Desk
from rackview.services.sessions import open_desk

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    made = open_desk(tmp_path / "rack.db", lambda: NOW)
    vessels = [Vessel("Brill", "rotifer-L", "A", 1, 20), Vessel("Dab", "rotifer-L", "A", 2, 20)]
    events = [
        Count(at=NOW - timedelta(days=3), vessel="Brill", tallies=(30, 31), dilution=7),
        Split(at=NOW - timedelta(days=2), vessel="Brill", to_vessel="Dab", volume_l=5),
        Count(at=NOW - timedelta(days=1), vessel="Dab", tallies=(9, 11), dilution=7),
    ]
    made.take(vessels=vessels, events=events)
    yield made
    made.close()


def kinds(desk: Desk, vessel: str) -> list[str]:
    return [e.kind for e in desk.rack.log(vessel).events()]


def rename(desk: Desk, old: str, new: str) -> None:
    desk.rename_vessel(old, replace(desk.rack.vessels[old], vessel=new))


def test_a_renamed_vessel_keeps_what_is_recorded_of_it(desk: Desk, tmp_path: Path) -> None:
    before = desk.assessments()["Brill"].density_per_ml
    rename(desk, "Brill", "Sole")
    assert list(desk.rack.vessels) == ["Sole", "Dab"]
    assert kinds(desk, "Sole") == ["count", "split"]
    assert desk.assessments()["Sole"].density_per_ml == before
    desk.record(Harvest(at=NOW, vessel="Sole", volume_l=2))
    desk.record(Harvest(at=NOW, vessel="Brill", volume_l=1), "another program still calls it so")
    assert kinds(desk, "Sole") == ["count", "split", "harvest", "harvest"]
    first = next(e for e in desk.rack.log("Sole").events() if e.kind == "count")
    desk.correct(first.id, replace(first, tallies=(29, 31)))
    assert next(e for e in desk.rack.log("Sole").events() if isinstance(e, Count)).tallies == (29, 31)
    desk.close()
    again = open_desk(tmp_path / "rack.db", lambda: NOW)
    assert kinds(again, "Sole") == ["count", "split", "harvest", "harvest"]
    again.close()


def test_a_rename_is_undone_and_done_again_with_all_that_came_between(desk: Desk) -> None:
    rename(desk, "Brill", "Sole")
    desk.record(Harvest(at=NOW, vessel="Sole", volume_l=2))
    step = desk._undo.pop(-2)  # the rename alone, with the harvest standing
    desk._undo.append(step)
    desk.undo()
    assert list(desk.rack.vessels) == ["Brill", "Dab"]
    assert kinds(desk, "Brill") == ["count", "split", "harvest"]
    desk.redo()
    assert kinds(desk, "Sole") == ["count", "split", "harvest"]


def test_no_two_vessels_get_one_name(desk: Desk) -> None:
    with pytest.raises(InputError, match="no vessel of this rack has yet"):
        rename(desk, "Brill", "Dab")
    rename(desk, "Brill", "Sole")
    with pytest.raises(InputError, match="Sole was called so"):
        desk.put_vessel(Vessel("Brill", "rotifer-L", "B", 1, 10))
    assert kinds(desk, "Sole") == ["count", "split"]


def test_a_vessel_out_of_use_for_good_leaves_the_shelf_and_stays_in_the_records(desk: Desk, tmp_path: Path) -> None:
    desk.retire_vessel("Dab")
    assert list(desk.rack.vessels) == ["Brill"]
    assert "Dab" not in desk.assessments()
    assert {s.other_vessel for s in desk.suggestions()} <= {None, "Brill"}
    assert [e.vessel for e in desk.rack.events()] == ["Brill", "Brill", "Dab"]
    desk.put_vessel(Vessel("Sole", "rotifer-L", "A", 2, 20))
    assert desk.rack.vessels["Sole"].place == "A2", "its place is free"
    desk.close()
    again = open_desk(tmp_path / "rack.db", lambda: NOW)
    assert list(again.rack.retired) == ["Dab"]
    assert kinds(again, "Dab") == ["split", "count"]
    again.close()


def test_taking_out_for_good_is_undone(desk: Desk) -> None:
    desk.retire_vessel("Dab")
    desk.undo()
    assert list(desk.rack.vessels) == ["Brill", "Dab"]
    assert kinds(desk, "Dab") == ["split", "count"]


def test_a_vessel_is_moved_and_changes_places_with_one_that_stands_there(desk: Desk) -> None:
    desk.move_vessel("Brill", "A", 2)
    assert {v.vessel: v.place for v in desk.rack.vessels.values()} == {"Brill": "A2", "Dab": "A1"}
    desk.move_vessel("Brill", "B", 7)
    assert desk.rack.vessels["Brill"].place == "B7"
    desk.undo()
    desk.undo()
    assert {v.vessel: v.place for v in desk.rack.vessels.values()} == {"Brill": "A1", "Dab": "A2"}
