"""Copying, restoring and merging say what they are at, and whoever breaks them off finds everything as it was."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rackview.core.events import Feed
from rackview.core.vessel import Vessel
from rackview.services import maintenance
from rackview.services.faults import Stopped
from rackview.services.sessions import open_session
from rackview.store import Store, anew, connect, walk
from rackview.store import merge as merging
from rackview.store.progress import Progress

AT = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)


@pytest.fixture
def place(tmp_path: Path) -> Path:
    found = tmp_path / "here" / "rack.db"
    found.parent.mkdir()
    session = open_session(found, lambda: AT)
    session.take(
        vessels=[Vessel("Brill", "rotifer-L", "A", 1, 20)],
        events=[Feed(at=AT - timedelta(hours=n), vessel="Brill", feed="algae", amount=4.0) for n in range(9)],
    )
    session.close()
    return found


@pytest.fixture
def other(tmp_path: Path, place: Path) -> Path:
    """The same store on another PC, with an entry more."""
    found = tmp_path / "there" / "rack.db"
    shutil.copytree(place.parent, found.parent)
    session = open_session(found, lambda: AT)
    session.record(Feed(at=AT, vessel="Brill", feed="algae", amount=5.0))
    session.close()
    return found


def entries(path: Path) -> list[str]:
    with Store.open(path, "read") as store:
        return sorted(e.id for e in store.load().events())


def back_up(place: Path, other: Path, progress: Progress) -> object:
    return maintenance.back_up(place, place.parent / "copy.db", AT, progress)


def put_back(place: Path, other: Path, progress: Progress) -> object:
    return maintenance.put_back(place, None, AT, progress)


def merge_in(place: Path, other: Path, progress: Progress) -> object:
    return maintenance.merge_in(place, other, progress)


@pytest.mark.parametrize("work", [back_up, put_back, merge_in])
def test_it_says_what_it_is_at_and_how_far(place: Path, other: Path, work: Callable[..., object]) -> None:
    told: list[tuple[str, float]] = []
    work(place, other, lambda what, share: told.append((what, share)))
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert shares[0] == 0.0
    assert len([what for what, share in told if what and 0.0 <= share < 1.0]) >= 2


def put_back_what_the_other_had(place: Path, other: Path, progress: Progress) -> object:
    return maintenance.put_back(place, other, AT, progress)


@pytest.mark.parametrize("work", [back_up, put_back, put_back_what_the_other_had, merge_in])
@pytest.mark.parametrize("step", [0, 1, 2, 3, 5, 8, 11, 12, 14])
def test_broken_off_at_any_word_it_leaves_everything_as_it_was(
    place: Path, other: Path, work: Callable[..., object], step: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (walk, anew, merging):
        monkeypatch.setattr(module, "PIECE", 2)
    monkeypatch.setattr(connect, "STEPS", 50)
    before, said = entries(place), 0

    def progress(what: str, share: float) -> None:
        nonlocal said
        if said == step:
            raise Stopped
        said += 1

    try:
        work(place, other, progress)
    except Stopped:
        assert entries(place) == before
        assert maintenance.check(place) == []
        left = [p.name for p in place.parent.iterdir() if "restoring" in p.name or p.name.endswith(".part")]
        assert left == []
    else:
        assert said <= step, "it said less often than that"
