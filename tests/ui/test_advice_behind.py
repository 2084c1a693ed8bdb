"""A window that advises behind: nothing is advised or planned in its own thread, and what is old is said to be."""

from __future__ import annotations

import threading
from datetime import timedelta

import pytest

from rackview.advice import api, situation
from rackview.advice.api import assess_all
from rackview.advice.record import aftermath, compare
from rackview.core.tables import Brood
from rackview.services import behind
from rackview.services.sessions import open_session
from rackview.store import reader
from rackview.ui.forms import moves
from rackview.ui.window import MainWindow


@pytest.fixture
def threads(monkeypatch):
    """The threads in which something was advised, planned or compared."""
    found: list[tuple[str, int]] = []
    for module, name in ((api, "advise"), (api, "plan"), (compare, "compare"), (aftermath, "aftermath")):
        plain = getattr(module, name)

        def noted(*given, plain=plain, name=name, **more):
            found.append((name, threading.get_ident()))
            return plain(*given, **more)

        monkeypatch.setattr(module, name, noted)
    return found


@pytest.fixture
def window(qtbot, awake, session, threads):
    made = MainWindow(session, look="light")
    made.advise_behind()
    qtbot.addWidget(made)
    awake(made)
    yield made
    made.leave()


@pytest.fixture
def recent(qtbot, awake, session_at, clock):
    """Opens the window on a record of which only the newest is read, once the test has said how much that is."""
    opened = []

    def show():
        session_at().close()
        made = MainWindow(open_session(session_at().place, clock, recent=True), look="light")
        opened.append(made)
        made.advise_behind()
        qtbot.addWidget(made)
        awake(made)
        settled(qtbot, made)
        return made

    yield show
    for made in opened:
        made.leave()
        made.session.close()


def settled(qtbot, window):
    """Wait until what is shown is of now."""
    session = window.session
    qtbot.waitUntil(lambda: session.freshen() and not session.behind_the_rack, timeout=30_000)
    qtbot.wait(20)


def count(vessel="Brill", tallies="31 32 33"):
    return {"at": "2026-05-14T07:20:00+00:00", "vessel": vessel, "kind": "count", "tallies": tallies, "dilution": 7}


def test_a_days_work_keeps_the_windows_thread_free(qtbot, window, session, threads):
    rack = window.screen_widget()
    qtbot.waitUntil(lambda: bool(rack.rail.model.items), timeout=30_000)
    for name in ("round", "larvae", "stock", "bench", "records", "compare", "loss", "rack"):
        window.go(name)
        session.record(count(tallies=f"{30 + len(name)} 32"))
        settled(qtbot, window)
    window.go("vessel", "Brill")
    session.put_brood(Brood("one", "anemonefish", hatched=session.now().date(), tank_l=100))
    settled(qtbot, window)
    qtbot.waitUntil(lambda: {"advise", "plan", "compare", "aftermath"} <= {n for n, _ in threads}, timeout=30_000)
    assert threading.get_ident() not in {thread for _, thread in threads}


def test_a_round_looks_at_all_vessels_behind_only(qtbot, window, session, monkeypatch):
    """Nor are they where a vessel is made on it, which no answers at hand know."""
    settled(qtbot, window)
    looked, every = [], situation.look_at_all
    monkeypatch.setattr(
        situation, "look_at_all", lambda *given: (looked.append(threading.get_ident()), every(*given))[1]
    )
    window.go("round")
    settled(qtbot, window)
    screen = window.screen_widget()
    for vessel in ("Brill", "Dab", "Ruffe"):
        screen.go(vessel)
        for key, text in (("all.0", "36"), ("all.1", "38"), ("dilution", "7")):
            screen._edited(key, text)
        if vessel == "Dab":
            screen._edited("split", "5")
            screen._edited("split_to", moves.NEW)
        screen.record()
    assert len(session.rack.vessels) == 6
    assert len(screen.order) == 5, "the new one is on the way"
    settled(qtbot, window)
    window.go("rack")
    assert looked
    assert threading.get_ident() not in looked


def test_what_is_shown_meanwhile_is_told_to_be_of_before(qtbot, window, session, clock):
    rack = window.screen_widget()
    settled(qtbot, window)
    assert rack.header.age() == ""
    session.record(count())
    assert rack.header.age().startswith("as of")
    assert rack.header.age().endswith("being worked out anew")
    settled(qtbot, window)
    assert rack.header.age() == ""
    tile = next(t for shelf in rack.view.rack.shelves for t in shelf.places if t.place == "A1")
    assert "today" in tile.age


def test_the_tile_of_what_was_counted_is_shown_before_anything_is_advised(qtbot, window, session):
    def tile():
        return next(t for shelf in rack.view.rack.shelves for t in shelf.places if t.place == "A1")

    rack = window.screen_widget()
    settled(qtbot, window)
    before, others = tile(), [t for shelf in rack.view.rack.shelves for t in shelf.places if t.place != "A1"]
    session.record(count(tallies="71 72 73"))
    first = tile()
    assert first.actions == ()
    assert first.density != before.density
    assert [t for shelf in rack.view.rack.shelves for t in shelf.places if t.place != "A1"] == others
    settled(qtbot, window)
    assert tile().actions
    said = ("density", "interval", "age", "words", "care", "signs", "gauge")
    assert [getattr(first, name) for name in said] == [getattr(tile(), name) for name in said]


def test_what_is_believed_is_shown_before_the_first_advice(qtbot, awake, session, monkeypatch):
    advise, go = api.advise, threading.Event()
    monkeypatch.setattr(api, "advise", lambda *given: (go.wait(30), advise(*given))[1])
    window = MainWindow(session, look="light")
    window.advise_behind()
    qtbot.addWidget(window)
    awake(window)
    rack = window.screen_widget()

    def tiles():
        return [t for shelf in rack.view.rack.shelves for t in shelf.places if hasattr(t, "density")]

    try:
        qtbot.waitUntil(lambda: any(t.density for t in tiles()), timeout=30_000)
        assert session.waits_for_advice
        assert not any(t.actions for t in tiles())
    finally:
        go.set()
    qtbot.waitUntil(lambda: all(t.actions for t in tiles()), timeout=30_000)
    window.leave()


def test_the_round_is_shown_once_there_is_something_to_show(qtbot, window):
    window.go("round")
    qtbot.waitUntil(lambda: window.screen_name == "round", timeout=30_000)
    assert window.screen_widget().entry is not None


def test_what_is_typed_in_the_round_is_answered_behind_and_shown(qtbot, window, session, threads):
    window.go("round")
    qtbot.waitUntil(lambda: window.screen_name == "round", timeout=30_000)
    settled(qtbot, window)
    screen = window.screen_widget()
    screen.go("Brill")
    before = screen.entry.believed.median
    for key, text in (("all.0", "36"), ("all.1", "38"), ("dilution", "7")):
        screen._edited(key, text)
    qtbot.waitUntil(lambda: abs(screen.entry.believed.median - before) > 1.0, timeout=30_000)
    assert threading.get_ident() not in {thread for name, thread in threads if name == "advise"}


def test_the_larvaes_page_says_of_when_its_plan_is(qtbot, window, session, clock):
    window.go("larvae")
    qtbot.waitUntil(lambda: window.screen_name == "larvae", timeout=30_000)
    settled(qtbot, window)
    page = window.screen_widget()
    assert page.age.text().startswith("Planned at")
    assert "anew" not in page.age.text()
    session.put_brood(Brood("one", "anemonefish", hatched=session.now().date(), tank_l=100))
    assert "anew" in page.age.text()
    settled(qtbot, window)
    assert "anew" not in page.age.text()
    assert "one" in page.ahead.accessibleName() or page.ahead.height() > 30


def test_a_rack_with_less_in_memory_is_taken_over_unseen(qtbot, recent, clock, monkeypatch):
    monkeypatch.setattr(behind, "CROWD", 5)
    window = recent()
    session = window.session
    window.go("vessel", "Brill")
    said, heavy = [], None
    monkeypatch.setattr(window.navigation, "say", said.append)
    for n in range(2 * behind.CROWD):
        heavy = session.record({**count(), "at": clock.now + timedelta(seconds=n - 60)}) and session.rack
        settled(qtbot, window)
        window._ask_others()
    assert not any("Taken in" in words for words in said)
    said.clear()
    session._behind._thread.join()
    shown = session.answers()
    window._ask_others()
    assert session.rack is not heavy
    assert said == []
    assert session.answers() is shown
    assert not session.behind_the_rack
    window.go("vessel", "Brill")  # its page and its history look further back than what is in memory
    listed = [n.event for n in session.rack.log("Brill").back()]
    assert listed == [n.event for n in heavy.log("Brill").back()]
    clock.now += timedelta(minutes=2)
    settled(qtbot, window)
    assert session.assessments() == assess_all(session._store.load(), session.moment())
    assert session.undo_words is not None


def test_an_old_entry_is_shown_as_soon_as_it_is_worked_in(qtbot, recent, clock, monkeypatch):
    """Not only at the next look at the store, and nobody is said to have entered it elsewhere."""
    monkeypatch.setattr(reader, "AT_ONCE", 20)
    window = recent()
    session = window.session
    window._poll.stop()
    said, rack = [], window.screen_widget()
    monkeypatch.setattr(window.navigation, "say", said.append)
    session.record({**count(tallies="1 2 1"), "at": clock.now - timedelta(days=4, hours=20)})
    assert session.recounting
    qtbot.waitUntil(lambda: not session.recounting, timeout=30_000)
    settled(qtbot, window)
    assert not any("Taken in" in words for words in said)
    assert session.assessments() == assess_all(session._store.load(), session.moment())
    tile = next(t for shelf in rack.view.rack.shelves for t in shelf.places if t.place == "A1")
    assert tile.density


def test_what_is_typed_at_once_on_a_round_of_a_past_day_all_arrives(qtbot, window, session):
    settled(qtbot, window)
    window.go("round")
    screen = window.screen_widget()
    settled(qtbot, window)
    yesterday = session.now().date() - timedelta(days=1)
    screen.for_day(yesterday)
    screen.go("Dab")
    qtbot.keyClicks(window.focusWidget(), "42")
    assert screen.day.date() == yesterday
    assert screen.entry.vessel == "Dab"
    assert screen.entry.text("all.0") == "42"
