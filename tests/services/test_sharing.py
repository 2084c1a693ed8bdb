"""Two PCs and a shared folder: what each records comes to the other by itself, nothing is doubled, strangers wait."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from rackview.core.vessel import Vessel
from rackview.services import places, sharing
from rackview.services.folders import SECOND, SHARED
from rackview.services.rack_session import RackSession
from rackview.services.sharing import Meeting
from rackview.store import Store

COUNT = {"at": "2026-03-01T08:00", "vessel": "A1", "kind": "count", "tallies": "3 4 5"}


@dataclass
class Pc:
    """One PC with its own store, its own folders and its look into the shared one."""

    session: RackSession
    meeting: Meeting
    home: Path
    monkeypatch: pytest.MonkeyPatch

    def look(self, shared, second=None):
        with self.monkeypatch.context() as here:
            here.setattr(places, "data_dir", lambda: self.home)
            met = self.meeting.look(shared, second)
        self.session.poll()
        return met

    def events(self):
        return sorted(e.id for e in self.session.whole().events())


@pytest.fixture
def shared(tmp_path) -> Path:
    folder = tmp_path / "share"
    folder.mkdir()
    return folder


@pytest.fixture
def pcs(quick_folder, clock, monkeypatch):
    made = []
    for name in ("shed", "kitchen"):
        path = quick_folder / name / "rack.db"
        session = RackSession(Store.open(path, "write"), clock, pc=name)
        session.put_vessel(Vessel("A1", "rotifer-L", "A", 1, 20))
        made.append(Pc(session, Meeting(path, name, clock), path.parent / "home", monkeypatch))
    yield made
    for pc in made:
        pc.session.close()


def acquaint(shed, kitchen, shared):
    """Let each say that the other is the same rack."""
    for pc in (shed, kitchen, shed):
        for stranger in pc.look(shared).strangers:
            pc.meeting.welcome(stranger)
    for pc in (kitchen, shed, kitchen):
        pc.look(shared)


def test_a_store_not_met_before_waits_for_the_keepers_word(pcs, shared):
    shed, kitchen = pcs
    kitchen.session.record(COUNT)
    assert kitchen.look(shared).laid
    met = shed.look(shared)
    (stranger,) = met.strangers
    assert (stranger.entries, stranger.vessels) == (2, ("A1",))
    assert met.arrivals == ()
    assert shed.events() == []
    shed.meeting.welcome(stranger)
    met = shed.look(shared)
    assert met.strangers == ()
    assert [a.name.split("-")[0] for a in met.arrivals] == ["kitchen"]
    assert len(shed.events()) == 1


def test_both_end_with_the_same_record_whatever_the_order(pcs, shared):
    shed, kitchen = pcs
    acquaint(shed, kitchen, shared)
    shed.session.record(COUNT)
    kitchen.session.record({**COUNT, "tallies": "7"})
    for pc in (shed, kitchen, shed, kitchen):
        pc.look(shared)
    assert shed.events() == kitchen.events()
    assert len(shed.events()) == 2
    again = [pc.look(shared) for pc in (shed, kitchen, shed)]
    assert not any(m.arrivals or m.laid for m in again), "nothing new, so nothing is read or written"
    assert len(list(shared.iterdir())) == 2, "one file for each PC"


def test_two_pcs_of_one_name_do_not_take_each_others_file(pcs, shared):
    shed, kitchen = pcs
    kitchen.meeting.pc = "shed"
    shed.look(shared)
    kitchen.look(shared)
    assert len(list(shared.iterdir())) == 2


def test_a_folder_that_is_away_is_no_fault_and_catches_up(pcs, shared):
    shed, kitchen = pcs
    acquaint(shed, kitchen, shared)
    away = shared.with_name("away")
    shared.rename(away)
    shed.session.record(COUNT)
    met = shed.look(shared)
    assert (met.shared, met.troubles, met.laid) == (False, (), False)
    away.rename(shared)
    assert shed.look(shared).laid
    assert len(kitchen.look(shared).arrivals) == 1
    assert len(kitchen.events()) == 1


def test_what_is_no_store_in_the_folder_is_named_and_left(pcs, shared):
    shed, _ = pcs
    broken = shared / f"holiday{sharing.ENDING}"
    broken.write_bytes(b"no store")
    (met,) = shed.look(shared).troubles
    assert broken.name in met
    assert "not a rackview store" in met
    assert broken.read_bytes() == b"no store"
    broken.unlink()
    (shared / "photo.jpg").write_bytes(b"x")
    shed.meeting._seen.clear()
    met = shed.look(shared)
    assert (met.laid, met.troubles) == (False, ())


def test_the_second_folder_gets_todays_copy_when_the_stick_comes(pcs, tmp_path, clock):
    shed, _ = pcs
    stick = tmp_path / "stick"
    shed.session.folders.put(SECOND, stick)
    assert shed.session.folders.last_seen(SECOND) is None
    assert not shed.look(None, stick).second
    stick.mkdir()
    assert shed.look(None, stick).copied
    assert shed.session.folders.look(SECOND)
    assert shed.session.folders.last_seen(SECOND) == clock.now
    assert not shed.look(None, stick).copied, "once a day"
    clock.turn(days=1)
    assert shed.look(None, stick).copied
    assert shed.session.folders.place(SHARED) is None
