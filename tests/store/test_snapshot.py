"""What a snapshot notes, and the histories that are fetched through it."""

from __future__ import annotations

from datetime import timedelta

import pytest

from rackview.store import StoreError, snapshot
from rackview.store.rows import stamp
from rackview.store.snapshot import Older, snapshots_of


@pytest.fixture
def counted(store, tally):
    """A store with seven counts at one vessel and two at another."""
    store.append([tally(i, id=f"count-{i}") for i in range(7)])
    store.append([tally(20 + i, "V2") for i in range(2)])
    return store


def test_the_tip_lies_right_after_the_newest_event_and_has_every_vessels_last(counted, morning):
    rack, last = counted.read_whole()
    (tip,) = snapshots_of(rack, last, None)
    assert (tip.tip, tip.n) == (True, last)
    assert tip.at == stamp(morning + timedelta(minutes=21, microseconds=1))
    assert {name: length for name, (_, length) in tip.heads.items()} == {"V1": 7, "V2": 2}
    assert tip.heads["V1"][0] == "count-6"


def test_a_snapshot_for_every_piece_but_the_newest_and_none_again_at_the_moment_known(counted, morning, monkeypatch):
    monkeypatch.setattr(snapshot, "PIECE", 3)
    rack, last = counted.read_whole()
    found = snapshots_of(rack, last, None)
    assert [s.at for s in found[:-1]] == [stamp(morning + timedelta(minutes=m)) for m in (3, 6)]
    assert [{name: n for name, (_, n) in s.heads.items()} for s in found] == [{"V1": 3}, {"V1": 6}, {"V1": 7, "V2": 2}]
    assert [s.at for s in snapshots_of(rack, last, found[0].at)[:-1]] == [found[1].at]


def test_an_event_before_a_snapshot_is_found_by_its_id_and_one_that_is_gone_is_damage(counted):
    rack, last = counted.read_whole()
    (tip,) = snapshots_of(rack, last, None)
    older = Older(counted.path, counted._bare(), last, tip.at, None)
    for number in (6, 3, 0):
        node = older.node("V1", f"count-{number}")
        assert node.event.id == f"count-{number}"
        assert len(list(node.back())) == number + 1
    with pytest.raises(StoreError, match="count-9 is gone"):
        older.node("V1", "count-9")
