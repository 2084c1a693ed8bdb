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
from rackview.services.rack_session import RackSession
from rackview.services.sessions import open_session

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)


@pytest.fixture
def session(tmp_path: Path) -> Iterator[RackSession]:
    made = open_session(tmp_path / "rack.db", lambda: NOW)
    vessels = [Vessel("Brill", "rotifer-L", "A", 1, 20), Vessel("Dab", "rotifer-L", "A", 2, 20)]
    events = [
        Count(at=NOW - timedelta(days=3), vessel="Brill", tallies=(30, 31), dilution=7),
        Split(at=NOW - timedelta(days=2), vessel="Brill", to_vessel="Dab", volume_l=5),
        Count(at=NOW - timedelta(days=1), vessel="Dab", tallies=(9, 11), dilution=7),
    ]
    made.take(vessels=vessels, events=events)
    yield made
    made.close()


def kinds(session: RackSession, vessel: str) -> list[str]:
    return [e.kind for e in session.rack.log(vessel).events()]


def rename(session: RackSession, old: str, new: str) -> None:
    session.rename_vessel(old, replace(session.rack.vessels[old], vessel=new))


def test_a_renamed_vessel_keeps_what_is_recorded_of_it(session: RackSession, tmp_path: Path) -> None:
    before = session.assessments()["Brill"].density_per_ml
    rename(session, "Brill", "Sole")
    assert list(session.rack.vessels) == ["Sole", "Dab"]
    assert kinds(session, "Sole") == ["count", "split"]
    assert session.assessments()["Sole"].density_per_ml == before
    session.record(Harvest(at=NOW, vessel="Sole", volume_l=2))
    session.record(Harvest(at=NOW, vessel="Brill", volume_l=1), "another program still calls it so")
    assert kinds(session, "Sole") == ["count", "split", "harvest", "harvest"]
    first = next(e for e in session.rack.log("Sole").events() if e.kind == "count")
    session.correct(first.id, replace(first, tallies=(29, 31)))
    assert next(e for e in session.rack.log("Sole").events() if isinstance(e, Count)).tallies == (29, 31)
    session.close()
    again = open_session(tmp_path / "rack.db", lambda: NOW)
    assert kinds(again, "Sole") == ["count", "split", "harvest", "harvest"]
    again.close()


def test_a_rename_is_undone_and_done_again_with_all_that_came_between(session: RackSession) -> None:
    rename(session, "Brill", "Sole")
    session.record(Harvest(at=NOW, vessel="Sole", volume_l=2))
    step = session._undo.pop(-2)  # the rename alone, with the harvest standing
    session._undo.append(step)
    session.undo()
    assert list(session.rack.vessels) == ["Brill", "Dab"]
    assert kinds(session, "Brill") == ["count", "split", "harvest"]
    session.redo()
    assert kinds(session, "Sole") == ["count", "split", "harvest"]


def test_no_two_vessels_get_one_name(session: RackSession) -> None:
    with pytest.raises(InputError, match="no vessel of this rack has yet"):
        rename(session, "Brill", "Dab")
    rename(session, "Brill", "Sole")
    with pytest.raises(InputError, match="Sole was called so"):
        session.put_vessel(Vessel("Brill", "rotifer-L", "B", 1, 10))
    assert kinds(session, "Sole") == ["count", "split"]


def test_a_vessel_out_of_use_for_good_leaves_the_shelf_and_stays_in_the_records(
    session: RackSession, tmp_path: Path
) -> None:
    session.retire_vessel("Dab")
    assert list(session.rack.vessels) == ["Brill"]
    assert "Dab" not in session.assessments()
    assert {s.other_vessel for s in session.suggestions()} <= {None, "Brill"}
    assert [e.vessel for e in session.rack.events()] == ["Brill", "Brill", "Dab"]
    session.put_vessel(Vessel("Sole", "rotifer-L", "A", 2, 20))
    assert session.rack.vessels["Sole"].place == "A2", "its place is free"
    session.close()
    again = open_session(tmp_path / "rack.db", lambda: NOW)
    assert list(again.rack.retired) == ["Dab"]
    assert kinds(again, "Dab") == ["split", "count"]
    again.close()


def test_taking_out_for_good_is_undone(session: RackSession) -> None:
    session.retire_vessel("Dab")
    session.undo()
    assert list(session.rack.vessels) == ["Brill", "Dab"]
    assert kinds(session, "Dab") == ["split", "count"]


def test_a_vessel_is_moved_and_changes_places_with_one_that_stands_there(session: RackSession) -> None:
    session.move_vessel("Brill", "A", 2)
    assert {v.vessel: v.place for v in session.rack.vessels.values()} == {"Brill": "A2", "Dab": "A1"}
    session.move_vessel("Brill", "B", 7)
    assert session.rack.vessels["Brill"].place == "B7"
    session.undo()
    session.undo()
    assert {v.vessel: v.place for v in session.rack.vessels.values()} == {"Brill": "A1", "Dab": "A2"}
