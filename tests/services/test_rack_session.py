"""The session: recorded is durable before it is shown, and everything can be undone."""

from __future__ import annotations

import threading
from datetime import date, timedelta

import pytest

from rackview.core.errors import InputError
from rackview.core.tables import Brood, Demand, Settings, Standing, Stock, TankEntry
from rackview.core.vessel import Vessel
from rackview.services import maintenance
from rackview.services.rack_session import Change, RackSession
from rackview.services.sessions import open_session
from rackview.store import Store, StoreError
from rackview.store.verify import check


def count(tallies: str = "3 4 5", vessel: str = "A1", **more: object) -> dict[str, object]:
    return {"at": "2026-03-01T08:00", "vessel": vessel, "kind": "count", "tallies": tallies, **more}


def tallies(session: RackSession) -> list[tuple[int, ...]]:
    return [e.tallies for e in session.rack.events() if e.kind == "count"]


def test_recorded_means_in_the_store_and_in_the_rack(session, place):
    heard: list[Change] = []
    session.subscribe(heard.append)
    change = session.record(count(), "Count A1")
    assert change == Change(frozenset({"events"}), frozenset({"A1"}), "Count A1")
    assert heard == [change]
    (event,) = session.rack.events()
    assert (event.entered_on, event.entered_at) == ("shed", session.now())
    with Store.open(place) as reader:
        assert list(reader.load().events()) == [event]


def test_undo_and_redo_of_an_entry(session):
    session.record([count(), count("7", "A2")], "Round")
    assert session.undo_words == "Round"
    session.undo()
    assert tallies(session) == []
    assert (session.undo_words, session.redo_words) == (None, "Round")
    session.redo()
    assert sorted(tallies(session)) == [(3, 4, 5), (7,)]
    session.undo()
    session.redo()
    session.undo()
    assert tallies(session) == []
    assert session.undo() is None


def test_correct_and_undo_it(session):
    session.record(count())
    (event,) = session.rack.events()
    session.correct(event.id, count("3 4 6"), "Correct the count")
    assert tallies(session) == [(3, 4, 6)]
    session.undo()
    assert tallies(session) == [(3, 4, 5)]
    session.redo()
    assert tallies(session) == [(3, 4, 6)]


def test_take_back_and_bring_back(session):
    session.record(count())
    (event,) = session.rack.events()
    session.withdraw(event.id)
    assert tallies(session) == []
    session.undo()
    assert tallies(session) == [(3, 4, 5)]


def test_a_new_step_ends_redo(session):
    session.record(count())
    session.undo()
    session.record(count("8"))
    assert session.redo_words is None
    assert session.redo() is None


@pytest.mark.parametrize(
    ("act", "look"),
    [
        (lambda d: d.put_vessel(Vessel("B1", "mixed", "B", 1, 5)), lambda r: set(r.vessels)),
        (lambda d: d.put_vessel(Vessel("A1", "rotifer-S", "A", 3, 8)), lambda r: r.vessels["A1"]),
        (lambda d: d.remove_vessel("A2"), lambda r: set(r.vessels)),
        (lambda d: d.put_stock(Stock("paste", amount=5)), lambda r: r.stock),
        (lambda d: d.put_brood(Brood("No 1", hatched=date(2026, 3, 1))), lambda r: r.broods),
        (lambda d: d.put_demand(Demand(date(2026, 3, 4), "rotifer-L", 1e6)), lambda r: r.demand),
        (lambda d: d.put_standing(Standing("older fish", "rotifer-L", 4e5)), lambda r: r.standing),
        (lambda d: d.put_tank(TankEntry(date(2026, 3, 4), "No 1", 2.5, "paste", 3.0)), lambda r: r.tanks),
        (lambda d: d.put_settings(Settings(worth={"brood": 90.0}, starter_days=3.0)), lambda r: r.settings),
        (lambda d: d.put_settings(Settings(keeper="Ann", overrides={("A1", "floor_per_ml"): 40})),
         lambda r: r.settings),
        (lambda d: d.take(strains=[d.rack.strains["rotifer-L"].with_values({"floor_per_ml": 9})]),
         lambda r: r.strains["rotifer-L"].floor_per_ml),
    ],
)  # fmt: skip
def test_every_change_of_a_table_can_be_undone_and_outlives_the_window(session, place, clock, act, look):
    before = look(session.rack)
    act(session)
    after = look(session.rack)
    assert after != before
    session.undo()
    assert look(session.rack) == before
    session.redo()
    assert look(session.rack) == after
    with Store.open(place) as reader:
        assert look(reader.load()) == after
    assert check(place) == []


def test_removing_rows(session):
    for put, remove in (
        (lambda: session.put_stock(Stock("paste")), lambda: session.remove_stock("paste")),
        (lambda: session.put_brood(Brood("B", hatched=date(2026, 3, 1))), lambda: session.remove_brood("B")),
        (
            lambda: session.put_demand(Demand(date(2026, 3, 4), "mixed", 5)),
            lambda: session.remove_demand(Demand(date(2026, 3, 4), "mixed", 5)),
        ),
        (
            lambda: session.put_standing(Standing("older fish", "mixed")),
            lambda: session.remove_standing(Standing("older fish", "mixed")),
        ),
        (
            lambda: session.put_tank(TankEntry(date(2026, 3, 4), "B", 2.0)),
            lambda: session.remove_tank(TankEntry(date(2026, 3, 4), "B", 2.0)),
        ),
    ):
        put()
        remove()
        rack = session.rack
        assert rack.stock == rack.broods == rack.demand == rack.standing == rack.tanks == ()
        session.undo()
        rack = session.rack
        assert len(rack.stock + rack.broods + rack.demand + rack.standing + rack.tanks) == 1
        session.undo()


def test_a_used_vessel_stays(session):
    session.record(count())
    with pytest.raises(InputError, match="rest it instead"):
        session.remove_vessel("A1")
    assert "A1" in session.rack.vessels


def test_undo_down_to_nothing_and_up_again(session, place, clock):
    session.put_vessel(Vessel("B1", "mixed", "B", 1, 5))
    session.record(count("1", "B1"))
    while session.undo():
        pass
    assert "B1" not in session.rack.vessels
    again = RackSession(Store.open(place, "write"), clock)  # a store with withdrawn entries of a removed vessel opens
    assert "B1" not in again.rack.vessels
    again.close()
    while session.redo():
        pass
    assert tallies(session) == [(1,)]
    assert check(place) == []


def test_undo_of_a_vessel_that_others_use_by_now_is_refused(session, second):
    session.put_vessel(Vessel("B1", "mixed", "B", 1, 5))
    second.poll()
    second.record(count("1", "B1"))
    session.poll()
    with pytest.raises(InputError, match="events are recorded for it"):
        session.undo()
    assert session.undo_words == "Change B1"


def test_an_import_is_one_step(session):
    session.take(vessels=[Vessel("B1", "mixed", "B", 1, 5)], events=[count(), count("2", "B1")], stock=[Stock("paste")])
    assert len(tallies(session)) == 2
    session.undo()
    assert (tallies(session), set(session.rack.vessels), session.rack.stock) == ([], {"A1", "A2"}, ())


def test_a_batch_with_one_bad_entry_leaves_nothing(session):
    bad = count(vessel="Z9")
    with pytest.raises(InputError, match="vessel"):
        session.take(vessels=[Vessel("B1", "mixed", "B", 1, 5)], events=[count(), bad])
    assert (tallies(session), set(session.rack.vessels), session.undo_words) == ([], {"A1", "A2"}, None)


def test_two_vessels_at_one_place_are_refused(session):
    with pytest.raises(InputError, match="a free place"):
        session.put_vessel(Vessel("B1", "mixed", "A", 1, 5))


def test_the_same_again_adds_nothing(session, place):
    vessel = session.rack.vessels["A1"]
    session.put_vessel(vessel)
    assert session.undo_words is None
    with Store.open(place) as reader:
        assert len(reader.history("vessel", "A1")) == 1


@pytest.mark.parametrize("minutes", [11, 60 * 24 * 400])
def test_the_future_is_refused(session, minutes):
    with pytest.raises(InputError, match="not in the future") as caught:
        session.record(count(at=session.now() + timedelta(minutes=minutes)))
    assert caught.value.field == "at"
    session.record(count(at=session.now() + timedelta(minutes=9)))


def test_a_clock_set_back_is_told_and_changes_nothing_of_what_counts(session, place, clock):
    session.record(count())
    session.put_stock(Stock("paste", amount=5))
    (event,) = session.rack.events()
    session.correct(event.id, count("6"))
    clock.turn(hours=-30)
    session.put_stock(Stock("paste", amount=4))
    assert session.rack.stock[0].amount == 4
    session.withdraw(event.id)
    assert tallies(session) == []
    later = RackSession(Store.open(place, "write"), clock)
    assert any("check its date and time" in n for n in later.notices)
    assert later.rack.stock[0].amount == 4
    assert tallies(later) == []
    later.close()


def test_two_windows_see_each_others_entries(session, second):
    session.record(count())
    assert second.poll() == Change(frozenset({"events"}), frozenset({"A1"}))
    assert second.poll() is None
    second.put_stock(Stock("paste"))
    second.record(count("9", "A2"))
    session.poll()
    assert list(session.rack.events()) == list(second.rack.events())
    assert session.rack.stock == second.rack.stock


def test_both_write_without_having_looked(session, second):
    session.record(count("1"))
    second.record(count("2", "A2"))
    session.record(count("3"))
    second.poll()
    assert sorted(tallies(session)) == sorted(tallies(second)) == [(1,), (2,), (3,)]


def test_both_correct_the_same_entry(session, second, clock):
    session.record(count("1"))
    second.poll()
    (event,) = session.rack.events()
    session.correct(event.id, count("2"))
    second.correct(event.id, count("3"))
    session.poll()
    assert tallies(session) == tallies(second) == [(3,)]
    second.undo()
    session.poll()
    assert tallies(session) == tallies(second) == [(2,)]


def test_a_session_for_reading_records_nothing_and_says_why(session, place, clock):
    session.record(count())
    reader = open_session(place, clock, "read")
    assert "can only be read" in reader.read_only
    with pytest.raises(StoreError) as caught:
        reader.record(count("2"))
    assert caught.value.kind == "read_only"
    reader.save_draft("round", {"V1": "98"})
    assert reader.draft("round") == {"V1": "98"}
    assert tallies(reader) == [(3, 4, 5)]
    reader.close()


def test_opening_to_write_makes_the_days_copy(place, clock):
    first = open_session(place, clock)
    first.put_vessel(Vessel("B1", "mixed", "B", 1, 5))
    first.close()
    clock.turn(days=1)
    stick = place.parent / "stick"
    again = open_session(place, clock)
    again.folders.put("second", stick)
    again.close()
    clock.turn(days=1)
    third = open_session(place, clock)
    assert third.folders.place("second") == stick
    third.close()
    assert any("is not there today" in n for n in third.notices)
    copies = sorted(p.name[:14] for p in place.parent.glob("rack.db.backups-*/*.db"))
    assert copies == ["day-2026-03-01", "day-2026-03-02", "day-2026-03-03"]


def test_what_reads_the_file_beside_the_session_is_done_before_the_store_closes(place, clock, monkeypatch):
    order: list[str] = []
    begun, close = threading.Event(), Store.close

    def slow(*_: object) -> tuple[str, ...]:
        begun.wait(5.0)
        order.append("copied")
        return ("A copy was made.",)

    def closed(store: Store) -> None:
        order.append("closed")
        close(store)

    monkeypatch.setattr(maintenance, "upkeep", slow)
    session = open_session(place, clock)
    monkeypatch.setattr(Store, "close", closed)
    threading.Timer(0.1, begun.set).start()
    session.close()
    assert order == ["copied", "closed"]
    assert session.notices == ("A copy was made.",)


def test_drafts_go_through_the_store(session, second):
    session.save_draft("round", {"A1": "98 1o4"})
    assert second.draft("round") == {"A1": "98 1o4"}
    second.drop_draft("round")
    assert session.draft("round") is None


def test_the_fresh_demo_goes_when_it_is_closed(clock):
    from rackview.services.sessions import fresh_demo

    demo = fresh_demo(clock)
    folder = demo.place.parent
    assert demo.rack.settings.invented
    assert 8 <= len(demo.rack.vessels) <= 12
    assert demo.undo_words is None
    demo.close()
    assert not folder.exists()
