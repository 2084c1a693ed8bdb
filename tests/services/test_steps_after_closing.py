"""Undo survives closing: what was entered here is taken back by the next window, as it was one step."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest

from rackview.core.events import Count, Feed, Harvest, Split
from rackview.core.vessel import Vessel
from rackview.services.rack_session import RackSession
from rackview.services.sessions import open_session
from rackview.services.undo_history import LARGEST

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)


@pytest.fixture
def opener(tmp_path: Path) -> Callable[..., RackSession]:
    def made(hours: float = 0.0) -> RackSession:
        ticks = count()
        return open_session(tmp_path / "rack.db", lambda: NOW + timedelta(hours=hours, milliseconds=next(ticks)))

    session = made()
    session.put_vessel(Vessel("Brill", "rotifer-L", "A", 1, 20))
    at = NOW - timedelta(minutes=5)
    session.record([Count(at=at, vessel="Brill", tallies=(30, 31)), Harvest(at=at, vessel="Brill", volume_l=3)])
    session.record(Feed(at=NOW, vessel="Brill", feed="algae", amount=4))
    session.close()
    return made


def kinds(session: RackSession) -> list[str]:
    return [e.kind for e in session.rack.events()]


def test_each_step_is_taken_back_by_the_next_window(opener: Callable[..., RackSession]) -> None:
    session = opener(20)
    assert str(session.undo_words).startswith("Brill: feed (14 May ")
    session.undo()
    assert kinds(session) == ["count", "harvest"]
    session.close()
    again = opener(21)
    assert "Brill: count, harvest" in str(again.undo_words), "what was undone is not undone twice"
    again.undo()
    assert kinds(again) == []
    assert again.undo_words is None, "lists are no entries"
    again.redo()
    assert kinds(again) == ["count", "harvest"]
    again.close()
    assert "Brill: count, harvest" in str(opener(22).undo_words), "and what was done again can be undone again"


def test_what_is_old_or_an_import_or_of_another_pc_is_not_offered(
    opener: Callable[..., RackSession], tmp_path: Path
) -> None:
    session = opener(24 * 8)
    assert session.undo_words is None
    many = [Feed(at=NOW + timedelta(minutes=n), vessel="Brill", feed="algae", amount=1) for n in range(LARGEST + 1)]
    session.record(many)
    session.close()
    assert opener(24 * 8 + 1).undo_words is None
    from rackview.store import Store

    elsewhere = RackSession(Store.open(tmp_path / "rack.db", "write"), lambda: NOW, pc="the other PC")
    assert elsewhere.undo_words is None
    elsewhere.close()


def test_a_split_is_taken_back_with_the_vessel_that_was_added_for_it(opener: Callable[..., RackSession]) -> None:
    session = opener(1)
    split = Split(at=session.now(), vessel="Brill", to_vessel="Dab", volume_l=5)
    session.take(vessels=[Vessel("Dab", "rotifer-L", "A", 2, 20)], events=[split])
    session.close()
    again = opener(2)
    again.undo()
    assert (set(again.rack.vessels), kinds(again)) == ({"Brill"}, ["count", "harvest", "feed"])
    again.redo()
    assert (set(again.rack.vessels), kinds(again)[-1]) == ({"Brill", "Dab"}, "split")
    again.close()


def test_a_vessel_that_was_there_before_or_changed_since_stays(opener: Callable[..., RackSession]) -> None:
    session = opener(1)
    session.put_vessel(Vessel("Goby", "rotifer-L", "A", 3, 20))
    session.record(Split(at=session.now(), vessel="Brill", to_vessel="Goby", volume_l=5))
    session.close()
    again = opener(2)
    again.undo()
    assert "Goby" in again.rack.vessels
    made = Split(at=again.now(), vessel="Brill", to_vessel="Dab", volume_l=2)
    again.take(vessels=[Vessel("Dab", "rotifer-L", "A", 2, 20)], events=[made])
    again.put_vessel(Vessel("Dab", "rotifer-L", "B", 1, 15))
    again.close()
    last = opener(3)
    last.undo()
    assert last.rack.vessels["Dab"].place == "B1"
    assert "split" not in kinds(last)
    last.close()
