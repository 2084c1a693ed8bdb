"""Answers worked out behind: the newest rack wins, the last answers stand meanwhile, and they are those made here."""

from __future__ import annotations

import sys
import threading
from datetime import date, timedelta

import pytest

from rackview.advice import api
from rackview.advice.moment import when
from rackview.advice.situation import situation
from rackview.core.rack import Rack
from rackview.core.tables import Brood
from rackview.services import advice_cache
from rackview.services.advice_cache import LEAST_DAYS, MOST_DAYS, AdviceThread, larvae_days


@pytest.fixture
def behind(session):
    """The session with a thread behind, and an event set whenever there are new answers."""
    ready = threading.Event()
    session.advise_behind(ready.set)
    return session, ready


def count(tallies="30 40 50", vessel="A1"):
    return {"at": "2026-03-01T08:00+00:00", "vessel": vessel, "kind": "count", "tallies": tallies}


def minutes_end(at):
    return at.replace(second=59, microsecond=999_999)


def fresh(session, ready):
    """Wait until the answers are of the rack as it is."""
    while not session.freshen():
        assert ready.wait(30)
        ready.clear()


def test_without_a_thread_answers_are_made_when_they_are_asked_for(session):
    assert session.freshen()
    assert not session.waits_for_advice
    assert session.suggestions() == api.advise(session.rack, session.now().astimezone())
    assert not session.behind_the_rack


def test_behind_they_are_the_same_as_here(behind):
    session, ready = behind
    session.record(count())
    assert session.waits_for_advice
    fresh(session, ready)
    at = minutes_end(session.now().astimezone())
    assert session.suggestions() == api.advise(session.rack, at)
    assert session.assessments() == api.assess_all(session.rack, at)
    assert session.round_order() == api.round_order(session.rack, at)
    assert session.plan(7) == api.plan(session.rack, at, 7)
    assert session.advised_at == at


def test_within_a_minute_the_vessels_that_nobody_touched_are_not_looked_at_again(behind, clock):
    session, ready = behind
    session.record([count(), count(vessel="A2")])
    fresh(session, ready)
    before = {name: situation(session.rack, when(session.advised_at)).views[name] for name in ("A1", "A2")}
    clock.turn(seconds=60 - session.now().second - 1)
    session.record({**count(), "at": session.now().isoformat()})
    fresh(session, ready)
    after = situation(session.rack, when(session.advised_at)).views
    assert after["A2"] is before["A2"]
    assert after["A1"] is not before["A1"]
    assert len(after["A1"].care.counts) == 2, "what was entered in this minute counts"


def test_the_last_answers_stand_until_the_new_ones_are_there(behind, clock):
    session, ready = behind
    fresh(session, ready)
    before = session.assessments()
    then = session.advised_at
    session.record(count())
    clock.turn(minutes=5)
    assert session.behind_the_rack
    assert session.assessments() is before, "a window shows them with their age"
    assert session.advised_at == then
    fresh(session, ready)
    assert not session.behind_the_rack
    assert session.advised_at == minutes_end(session.now())
    assert session.assessments()["A1"].counted_animals == 120


def test_nothing_is_worked_out_in_the_asking_thread(behind, monkeypatch):
    session, ready = behind
    here, there = threading.get_ident(), set()
    for name in ("advise", "plan"):
        plain = getattr(api, name)

        def noted(*given, plain=plain):
            there.add(threading.get_ident())
            return plain(*given)

        monkeypatch.setattr(api, name, noted)
    fresh(session, ready)
    session.record(count())
    session.suggestions(), session.plan(7), session.plan(session.larvae_days()), session.plan(99)
    fresh(session, ready)
    session.suggestions(), session.plan(7), session.plan(session.larvae_days()), session.plan(99)
    assert there
    assert here not in there


def test_of_several_entries_in_a_row_the_newest_rack_is_answered(behind, monkeypatch):
    session, ready = behind
    fresh(session, ready)
    begun, go_on = threading.Event(), threading.Event()
    plain, seen = advice_cache.CachedAdvice.work_out, []

    def held(one):
        seen.append(one.rack)
        begun.set()
        assert go_on.wait(30)
        plain(one)

    monkeypatch.setattr(advice_cache.CachedAdvice, "work_out", held)
    for n in range(5):
        session.record(count(str(40 + n)))
        session.freshen()
        if n == 0:
            assert begun.wait(30)
    go_on.set()
    fresh(session, ready)
    assert len(seen) == 2, "the first, which was begun, and the newest"
    assert seen[-1] is session.rack


def test_a_fault_leaves_the_last_answers_and_the_thread_alive(behind, clock, monkeypatch, caplog):
    session, ready = behind
    fresh(session, ready)
    before = session.suggestions()
    failed = threading.Event()

    def fails(one):
        failed.set()
        raise ZeroDivisionError

    with monkeypatch.context() as broken:
        broken.setattr(advice_cache.CachedAdvice, "work_out", fails)
        session.record(count())
        assert not session.freshen()
        assert failed.wait(30)
        assert session.suggestions() is before
    clock.turn(minutes=1)
    fresh(session, ready)
    assert session.assessments()["A1"].counted_animals == 120
    assert "could not be worked out" in caplog.text


def test_vessels_that_the_answers_do_not_know_are_not_left_out(behind):
    from rackview.core.vessel import Vessel

    session, ready = behind
    fresh(session, ready)
    session.put_vessel(Vessel("B1", "rotifer-L", "B", 1, 10))
    assert "B1" in session.assessments()
    assert "B1" in session.round_order()


def test_vessels_that_are_gone_are_in_no_answer(behind):
    from rackview.core.vessel import Vessel

    session, ready = behind
    session.put_vessel(Vessel("B1", "rotifer-L", "B", 1, 10))
    fresh(session, ready)
    assert "B1" in {s.vessel for s in session.suggestions()} & session.assessments().keys() & set(session.round_order())
    session.remove_vessel("B1")
    assert "B1" not in {s.vessel for s in session.suggestions()} | session.assessments().keys()
    assert "B1" not in session.round_order()


def test_what_is_typed_is_answered_before_the_rest(behind):
    session, ready = behind
    fresh(session, ready)
    found, done = [], threading.Event()
    as_if = session.rack.record(count())

    def take(answer):
        found.append((threading.get_ident(), answer))
        done.set()

    session.as_if(as_if, "A1", session.now(), take)
    assert done.wait(30)
    (thread, answer) = found[0]
    assert thread != threading.get_ident()
    assert list(answer.suggestions) == api.advise(as_if, session.now())
    assert answer.density_per_ml == api.assess(as_if, "A1", session.now()).density_per_ml


def test_closing_ends_the_thread(behind):
    session, ready = behind
    fresh(session, ready)
    session.close()
    for thread in threading.enumerate():
        if thread.name == "advice":
            thread.join(10)
            assert not thread.is_alive()


@pytest.mark.parametrize(("hatched", "days"), [(None, LEAST_DAYS), (2, LEAST_DAYS), (8, 16), (40, MOST_DAYS)])
def test_the_larvaes_page_looks_to_the_last_day_of_the_last_brood(session, hatched, days):
    today = date(2026, 3, 1)
    if hatched is not None:  # fed to day 7 after hatching
        session.put_brood(Brood("one", "anemonefish", hatched=today + timedelta(days=hatched), tank_l=50))
    assert larvae_days(session.rack, today) == days


def test_a_window_and_the_thread_behind_it_may_ask_the_same_rack_at_once(session):
    """Both reckon through the same history; whoever comes first, the answers are the same and nobody stumbles."""
    for day in range(1, 25):
        at = (session.now() - timedelta(days=25 - day)).isoformat()
        row = {"at": at, "kind": "count", "tallies": f"{90 + day} {95 + day}"}
        session.record([{**row, "vessel": name} for name in ("A1", "A2")])
    usual = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        for _ in range(4):
            rack = Rack.build(session.rack.vessels.values(), session.rack.events())  # nothing of it is reckoned yet
            go, answers = threading.Barrier(3), []

            def ask(rack=rack, go=go, answers=answers):
                go.wait(10)
                answers.append((api.assess_all(rack, session.now()), api.advise(rack, session.now())))

            threads = [threading.Thread(target=ask) for _ in range(3)]
            for thread in threads:
                thread.start()
            for thread in threads:
                thread.join(60)
            assert len(answers) == 3
            assert answers[0] == answers[1] == answers[2]
    finally:
        sys.setswitchinterval(usual)


def test_what_goes_wrong_after_the_end_is_not_told_and_nothing_is_begun_then(session, caplog):
    """Store and window may be gone while the thread still works: that is no fault to tell a keeper of."""
    began, ended, told = threading.Event(), threading.Event(), []

    def look(_found):
        began.set()
        ended.wait(30)
        raise TypeError("gone")

    thread = AdviceThread(look, told.append, told.append, lambda: told.append("ready"))
    thread.want(session.rack, session.now())
    assert began.wait(30)
    thread.stop()
    ended.set()
    thread._thread.join(30)
    assert not thread._thread.is_alive()
    assert (told, caplog.text) == ([], "")


def test_of_many_vessels_those_in_view_are_looked_at_first_and_then_all(session, monkeypatch):
    monkeypatch.setattr(advice_cache, "MANY_MORE", 1)
    told, shown = [], threading.Event()

    def ready():
        told.append(session.looked_at)
        session.looked_shown()
        if not session.waits_for_advice:
            shown.set()

    session.look_first_at(["A2", "gone"])
    session.advise_behind(ready)
    session.freshen()
    assert shown.wait(30)
    first, every, advised = told
    at = minutes_end(session.now().astimezone())
    assert (list(first), list(every), advised) == (["A2"], ["A1", "A2"], None)
    assert first["A2"] == every["A2"] == api.assess_all(session.rack, at)["A2"]
    assert session.assessments() == api.assess_all(session.rack, at)


def test_where_few_vessels_are_out_of_view_all_are_looked_at_at_once(behind):
    session, ready = behind
    session.look_first_at(["A2"])
    session.freshen()
    assert ready.wait(30)
    seen = session.looked_at
    assert seen is None or list(seen) == ["A1", "A2"]


def test_what_was_looked_at_is_not_advised_on_after_the_end(session):
    shown, told = threading.Event(), []
    thread = AdviceThread(lambda _found: [None], told.append, told.append, shown.set)
    thread.want(session.rack, session.now())
    assert shown.wait(30)
    thread.stop()  # while it waits for a window to show what is believed
    thread._thread.join(30)
    assert told == []
