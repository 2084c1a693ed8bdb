"""When the surroundings fail, the window still shows the last data, keeps what is typed, and goes on afterwards."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest

from rackview.core.vessel import Vessel
from rackview.services import maintenance, places
from rackview.services.rack_session import Change
from rackview.services.sessions import open_session
from rackview.store import Store, StoreError, connect, errors
from rackview.store.verify import check

COUNT = {"at": "2026-03-01T08:00", "vessel": "A1", "kind": "count", "tallies": "3 4 5"}


def test_the_disk_goes_and_comes_back(session, place, clock):
    session.record(COUNT)
    heard: list[Change] = []
    session.subscribe(heard.append)
    away = place.parent.with_name(f"{place.parent.name}-away")
    place.parent.rename(away)
    assert session.poll().tables == {"trouble"}
    assert "can't be reached" in session.trouble
    with pytest.raises(StoreError, match="can't be reached"):
        session.record({**COUNT, "tallies": "7"})
    session.save_draft("round", {"A1": "98 1o4"})
    assert session.draft("round") == {"A1": "98 1o4"}
    assert len(list(session.rack.events())) == 1
    assert session.poll() is None
    away.rename(place.parent)
    assert session.poll().tables == {"trouble"}
    assert session.trouble is None
    assert [c.tables for c in heard] == [{"trouble"}, {"trouble"}]
    with Store.open(place) as reader:
        assert reader.draft("round")["A1"] == "98 1o4"
    session.record({**COUNT, "tallies": "7"})
    assert check(place) == []


def test_a_full_disk_keeps_the_draft_and_the_rack(session, place):
    session.record(COUNT)
    connection = session._store.connection
    connection.execute(f"PRAGMA max_page_count = {connection.execute('PRAGMA page_count').fetchone()[0]}")
    session.save_draft("round", {"A1": "9" * 20_000})
    assert "is full" in session.trouble
    assert session.draft("round") == {"A1": "9" * 20_000}
    with pytest.raises(StoreError, match="is full"):
        session.record([{**COUNT, "note": "n" * 2000} for _ in range(20)])
    assert (len(list(session.rack.events())), session.undo_words) == (1, "Record")
    connection.execute("PRAGMA max_page_count = 1073741823")
    session.poll()
    assert session.trouble is None
    with Store.open(place) as reader:
        assert reader.draft("round")["A1"] == "9" * 20_000


def test_a_store_that_was_put_back_is_opened_anew(session, place, clock, tmp_path):
    session.record(COUNT)
    copy = session.backup(tmp_path / "copy.db")
    session.record({**COUNT, "tallies": "7"})
    place.with_name("copied.db").write_bytes(copy.read_bytes())
    place.with_name("copied.db").replace(place)
    session.poll()
    assert session.trouble is None
    assert len(list(session.rack.events())) == 2  # the day book brought the second one back
    session.record({**COUNT, "tallies": "8"})
    assert check(place) == []


def test_a_store_that_cannot_be_written_is_opened_for_reading(session, place, clock, monkeypatch):
    session.record(COUNT)
    session.close()
    monkeypatch.setattr("rackview.store.connect.os.access", lambda *_: False)  # as root may write anywhere
    reader = open_session(place, clock)
    assert "can't be written to" in reader.read_only
    assert len(list(reader.rack.events())) == 1
    reader.save_draft("round", {"A1": "98"})
    assert reader.draft("round") == {"A1": "98"}
    with pytest.raises(StoreError) as caught:
        reader.record(COUNT)
    assert caught.value.kind == "read_only"
    reader.close()


def test_a_damaged_store_is_refused_with_what_to_do(session, place, clock):
    session.record([{**COUNT, "note": "n" * 900} for _ in range(30)])
    session.close()
    raw = bytearray(place.read_bytes())
    raw[4096 : len(raw) // 4096 * 4096] = bytes(len(raw) // 4096 * 4096 - 4096)
    place.write_bytes(raw)
    with pytest.raises(StoreError, match="rackview restore") as caught:
        open_session(place, clock)
    assert caught.value.kind == "corrupt"
    assert maintenance.check(place)[0].damage
    assert maintenance.put_back(place, None, clock()).entries == 32
    again = open_session(place, clock)
    assert len(list(again.rack.events())) == 30
    again.close()


def test_a_listener_that_hears_of_trouble_may_ask_anything(session, place):
    seen: list[object] = []
    session.subscribe(lambda change: seen.append((session.trouble, session.drafts(), len(session.rack.vessels))))
    place.rename(place.with_name("elsewhere.db"))
    session.poll()
    assert seen[0][0] is not None
    assert seen[0][2] == 2


def test_merging_by_hand_and_copies(session, place, clock, quick_folder):
    other = open_session(quick_folder / "stick" / "other.db", clock)
    other.put_vessel(Vessel("B1", "mixed", "B", 1, 5))
    other.record({**COUNT, "vessel": "B1"})
    other.close()
    done = maintenance.merge_in(place, other.place)
    assert len(done.written.events) == 1
    session.poll()
    assert "B1" in session.rack.vessels
    copy = maintenance.back_up(place, None, clock())
    assert copy.parent.name == f"rack.db.backups-{session._store.id[:8]}"
    with Store.open(copy) as reader:
        assert len(list(reader.load().events())) == 1


def test_a_notice_that_comes_later_is_told(session):
    assert session.poll() is None
    session.notice("The stick is not there.")
    assert session.poll().tables == {"notices"}
    assert "The stick is not there." in session.notices
    assert session.poll() is None


def test_a_store_on_a_full_disk_opens_for_reading_and_says_why(session, place, clock, monkeypatch):
    session.record(COUNT)
    session.close()

    def no_room(path):
        raise errors.full(path)

    with monkeypatch.context() as at_first:
        at_first.setattr(connect, "open_writer", no_room)
        reader = open_session(place, clock)
        assert "is full" in reader.read_only
        assert len(list(reader.rack.events())) == 1
        reader.close()
        assert maintenance.back_up(place, place.with_name("stick.db"), clock()).exists()
    again = open_session(place, clock)
    assert again.read_only is None
    again.close()


def typed_while_away(session, place, clock, data):
    """Pull the stick, type, and end the program before the stick is back; give the stick's place away."""
    away = place.parent.with_name(f"{place.parent.name}-away")
    place.parent.rename(away)
    session.save_draft("round", data)
    assert "can't be reached" in session.trouble
    session.close()
    assert len(list(places.drafts().iterdir())) == 1
    return away


def test_a_draft_typed_while_the_stick_is_away_outlives_the_program(session, place, clock):
    session.save_draft("round", {"A1": "98"})
    clock.turn(minutes=1)
    typed_while_away(session, place, clock, {"A1": "98 104"}).rename(place.parent)
    again = open_session(place, clock)
    assert again.draft("round") == {"A1": "98 104"}
    assert any("Brought back" in n for n in again.notices)
    again.close()
    assert list(places.drafts().iterdir()) == []
    third = open_session(place, clock)
    assert third.drafts() == {"round": {"A1": "98 104"}}, "nothing doubled"
    assert not any("Brought back" in n for n in third.notices), "and said once"
    third.close()


def test_what_was_typed_later_on_another_pc_wins_over_what_waits_here(session, place, clock, monkeypatch):
    away = typed_while_away(session, place, clock, {"A1": "98"})
    clock.turn(hours=1)
    with monkeypatch.context() as there:  # another PC: no drafts wait on it
        there.setattr(places, "drafts", lambda: away / "elsewhere")
        other = open_session(away / place.name, clock)
        other.save_draft("round", {"A1": "120"})
        other.close()
    away.rename(place.parent)
    looking = open_session(place, clock, "read")
    assert looking.draft("round") == {"A1": "120"}, "shown where it can't be brought to the store"
    looking.close()
    again = open_session(place, clock)
    assert again.draft("round") == {"A1": "120"}
    assert list(places.drafts().iterdir()) == []
    again.close()


@pytest.mark.parametrize("name", ["{id}-0.json", "{id}-~.json"], ids=["read first", "read last"])
def test_of_two_drafts_that_wait_here_the_one_typed_last_comes_back(session, place, clock, name):
    away = typed_while_away(session, place, clock, {"A1": "98"})
    (waits,) = places.drafts().iterdir()
    said = json.loads(waits.read_text(encoding="utf-8"))
    said["round"] |= {"at": (clock() - timedelta(hours=1)).isoformat(), "data": {"A1": "70"}}
    other = waits.with_name(name.format(id=waits.stem.rpartition("-")[0]))
    other.write_text(json.dumps(said), encoding="utf-8")
    away.rename(place.parent)
    again = open_session(place, clock)
    assert again.draft("round") == {"A1": "98"}
    again.close()


def test_a_draft_thrown_away_while_the_stick_is_away_stays_away(session, place, clock):
    session.save_draft("round", {"A1": "98"})
    clock.turn(minutes=1)
    away = place.parent.with_name("away")
    place.parent.rename(away)
    session.drop_draft("round")
    assert session.draft("round") is None
    session.close()
    away.rename(place.parent)
    again = open_session(place, clock)
    assert again.drafts() == {}
    again.close()


def test_drafts_that_wait_are_only_for_their_own_store_and_their_keeper(session, place, clock, tmp_path):
    away = typed_while_away(session, place, clock, {"A1": "98"})
    (waiting,) = places.drafts().iterdir()
    assert waiting.stat().st_mode & 0o077 == 0
    (places.drafts() / "broken.json").write_text("{")
    (places.drafts() / waiting.name.replace("-", "-x", 1)).write_text('{"round": {"at": 5}}')
    other = open_session(tmp_path / "other" / "rack.db", clock)
    assert other.drafts() == {}
    other.close()
    away.rename(place.parent)
    again = open_session(place, clock)
    assert again.draft("round") == {"A1": "98"}
    again.close()


def test_damage_that_shows_while_running_is_told_at_the_next_look(session):
    session.suffer(StoreError("corrupt", "The store is damaged."))
    assert session.poll().tables == {"trouble"}
    assert session.fault.kind == "corrupt"
    assert session.poll() is None
    assert session.trouble == "The store is damaged.", "damage does not pass by itself"
