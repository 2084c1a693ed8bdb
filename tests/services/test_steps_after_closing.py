"""Undo survives closing: what was entered here is taken back by the next window, as it was one step."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest

from rackview.core.events import Count, Feed, Harvest
from rackview.core.vessel import Vessel
from rackview.services.desk import Desk
from rackview.services.sessions import open_desk
from rackview.services.steps import LARGEST

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)


@pytest.fixture
def opener(tmp_path: Path) -> Callable[..., Desk]:
    def made(hours: float = 0.0) -> Desk:
        ticks = count()
        return open_desk(tmp_path / "rack.db", lambda: NOW + timedelta(hours=hours, milliseconds=next(ticks)))

    desk = made()
    desk.put_vessel(Vessel("Brill", "rotifer-L", "A", 1, 20))
    at = NOW - timedelta(minutes=5)
    desk.record([Count(at=at, vessel="Brill", tallies=(30, 31)), Harvest(at=at, vessel="Brill", volume_l=3)])
    desk.record(Feed(at=NOW, vessel="Brill", feed="algae", amount=4))
    desk.close()
    return made


def kinds(desk: Desk) -> list[str]:
    return [e.kind for e in desk.rack.events()]


def test_each_step_is_taken_back_by_the_next_window(opener: Callable[..., Desk]) -> None:
    desk = opener(20)
    assert str(desk.undo_words).startswith("Brill: feed (14 May ")
    desk.undo()
    assert kinds(desk) == ["count", "harvest"]
    desk.close()
    again = opener(21)
    assert "Brill: count, harvest" in str(again.undo_words), "what was undone is not undone twice"
    again.undo()
    assert kinds(again) == []
    assert again.undo_words is None, "lists are no entries"
    again.redo()
    assert kinds(again) == ["count", "harvest"]
    again.close()
    assert "Brill: count, harvest" in str(opener(22).undo_words), "and what was done again can be undone again"


def test_what_is_old_or_an_import_or_of_another_pc_is_not_offered(opener: Callable[..., Desk], tmp_path: Path) -> None:
    desk = opener(24 * 8)
    assert desk.undo_words is None
    many = [Feed(at=NOW + timedelta(minutes=n), vessel="Brill", feed="algae", amount=1) for n in range(LARGEST + 1)]
    desk.record(many)
    desk.close()
    assert opener(24 * 8 + 1).undo_words is None
    from rackview.store import Store

    elsewhere = Desk(Store.open(tmp_path / "rack.db", "write"), lambda: NOW, pc="the other PC")
    assert elsewhere.undo_words is None
    elsewhere.close()
