"""A vessel that is added or changed: what rests on it is worked out anew, and never before an entry ends."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from rackview.core.errors import InputError
from rackview.core.tables import Settings
from rackview.core.vessel import Vessel
from rackview.services import memory, set_up
from rackview.store import Store
from tests.services.fortnight import NOW, START
from tests.services.test_behind import as_if_read_whole, finish, kept, opened, small_pieces  # noqa: F401

ALL = {"A1", "A2", "B1"}
"""Culture of A1 went into A2, and none into B1."""


def remembered(place) -> set[str]:
    """The vessels of which the next start knows what is believed."""
    with Store.open(place) as store:
        rack, _ = store.read(memory.remember)
        return {name for name, head in rack.logs.items() if head.memo}


@pytest.mark.parametrize(
    ("change", "stays"),
    [
        (lambda s: s.put_vessel(Vessel("B2", "mixed", "B", 2, 9)), ALL),
        (lambda s: s.put_vessel(replace(s.rack.vessels["B1"], volume_l=12)), {"A1", "A2"}),
        (lambda s: s.put_vessel(replace(s.rack.vessels["A1"], volume_l=25)), {"B1"}),
        (lambda s: s.put_vessel(replace(s.rack.vessels["A2"], strain="rotifer-S")), {"B1"}),
        (lambda s: s.move_vessel("A1", "C", 4), ALL),
        (lambda s: s.put_vessel(replace(s.rack.vessels["A1"], note="leaks")), ALL),
        (lambda s: s.retire_vessel("B1"), ALL),
        (lambda s: s.put_settings(replace(s.rack.settings, name="The shed", keeper="Ann")), ALL),
        (lambda s: s.put_settings(Settings(overrides={("B1", "floss_days"): 9.0})), {"A1", "A2"}),
    ],
    ids=["added", "volume", "a linked volume", "strain", "moved", "note", "retired", "name", "threshold"],
)
def test_only_what_rests_on_it_is_worked_out_anew(kept, change, stays):  # noqa: F811
    change(kept)
    assert remembered(kept.place) == stays
    finish(kept)
    assert as_if_read_whole(kept)
    kept.keep_beliefs()
    assert remembered(kept.place) == ALL
    assert memory.due(kept._store, kept.rack, kept._seen) == []


def test_a_vessel_is_added_without_a_look_at_the_others(kept):  # noqa: F811
    heads = dict(kept.rack.logs)
    kept.take(
        vessels=[Vessel("B2", "mixed", "B", 2, 9)],
        events=[{"at": NOW - timedelta(hours=1), "vessel": "B2", "kind": "count", "tallies": "40 50"}],
    )
    assert all(kept.rack.logs[name] is head for name, head in heads.items())
    assert not kept.recounting
    assert as_if_read_whole(kept)


def test_a_changed_volume_shows_at_once_and_its_beliefs_are_worked_out_behind(kept, monkeypatch):  # noqa: F811
    heads, began = dict(kept.rack.logs), []
    monkeypatch.setattr(kept._behind, "_start", began.append)
    done = kept.put_vessel(replace(kept.rack.vessels["A1"], volume_l=25))
    assert done.words == f"Change A1; {set_up.ANEW}"
    assert kept.rack.vessels["A1"].volume_l == 25
    assert kept.rack.logs == heads
    assert kept.recounting
    kept.record({"at": NOW - timedelta(minutes=5), "vessel": "A1", "kind": "count", "tallies": "98 97"})
    kept.put_settings(Settings(overrides={("", "floss_days"): 9.0}))
    monkeypatch.undo()
    kept.poll()
    finish(kept)
    assert kept.rack.profile("B1").floss_days == 9.0
    assert as_if_read_whole(kept)


def test_a_vessel_that_comes_back_brings_its_history(kept):  # noqa: F811
    """Another PC's merge may list a vessel again that was removed while events of it stayed."""
    with Store.open(kept.place, "write") as store:
        store.put("vessel", "B1", None, NOW + timedelta(seconds=1))
    kept.poll()
    assert "B1" not in kept.rack.known_vessels
    kept.put_vessel(Vessel("B1", "mixed", "B", 1, 9))
    finish(kept)
    assert kept.rack.log("B1").length > 40
    assert as_if_read_whole(kept)


def test_another_windows_change_is_worked_in_the_same_way(kept):  # noqa: F811
    other = opened(kept.place)
    other.put_vessel(replace(other.rack.vessels["A1"], volume_l=25))
    finish(other)
    other.close()
    kept.poll()
    finish(kept)
    assert kept.rack.vessels["A1"].volume_l == 25
    assert as_if_read_whole(kept)


def test_beliefs_of_another_program_are_worked_out_behind_the_window(kept, monkeypatch):  # noqa: F811
    """The newest entries stand at once; nothing is lost, refused or allowed by what is not in memory yet."""
    kept.put_vessel(Vessel("C1", "mixed", "C", 1, 9))
    kept.record({"at": START + timedelta(hours=3), "vessel": "C1", "kind": "note", "text": "once"})
    finish(kept)
    kept.keep_beliefs()
    monkeypatch.setattr(memory, "_program", lambda: "another")
    again = opened(kept.place)
    assert again.recounting
    assert any("still being worked in" in n for n in again.notices)
    assert 40 < sum(head.length for head in again.rack.logs.values()) < 70
    assert again.rack.logs["C1"].length == 0
    with pytest.raises(InputError, match="to stay in the list"):
        again.remove_vessel("C1")
    again.record({"at": NOW - timedelta(minutes=5), "vessel": "A1", "kind": "count", "tallies": "98 97"})
    finish(again)
    assert again.rack.logs["C1"].length == 1
    assert as_if_read_whole(again)
    again.close()
    third = opened(kept.place)
    assert not third.recounting
    third.close()
