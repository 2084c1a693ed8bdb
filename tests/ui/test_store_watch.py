"""What another program enters is seen at once where the system tells of it, and all the same where it does not."""

from __future__ import annotations

import subprocess
import sys
from datetime import timedelta

import pytest
from PySide6.QtWidgets import QWidget

from rackview.store import Store
from rackview.ui.store import store_watch
from rackview.ui.window import MainWindow

NEVER = 3_600_000
"""Longer than any test takes, ms."""

ENTER = """
import sys
from datetime import datetime
from pathlib import Path
from rackview.services.sessions import open_session
session = open_session(Path(sys.argv[1]), lambda: datetime.fromisoformat(sys.argv[2]))
session.record({"at": sys.argv[2], "vessel": "Dab", "kind": "note", "text": "by another program"})
session.close()
"""


@pytest.fixture
def times(monkeypatch):
    """Sets how long the watch waits for what, all else never."""

    def put(**ms: int) -> None:
        for name in ("SOON_MS", "LATE_MS", "SLOW_MS", "QUICK_MS"):
            monkeypatch.setattr(store_watch, name, ms.get(name, NEVER))

    return put


@pytest.fixture
def deaf(monkeypatch):
    """A system that tells of no file."""
    monkeypatch.setattr(store_watch.QFileSystemWatcher, "addPaths", lambda _, paths: paths)


@pytest.fixture
def watching(qtbot, awake, session):
    """Shows a window on the small rack."""
    made: list[MainWindow] = []

    def show() -> MainWindow:
        made.append(MainWindow(session, look="light"))
        qtbot.addWidget(made[-1])
        awake(made[-1])
        qtbot.wait(50)
        return made[-1]

    yield show
    for window in made:
        window.leave()


def entered_elsewhere(session) -> None:
    """Another process enters something."""
    at = (session.now() - timedelta(minutes=1)).isoformat()
    subprocess.run([sys.executable, "-c", ENTER, str(session.place), at], check=True)


def seen(session) -> bool:
    return any(getattr(n.event, "text", "") == "by another program" for n in session.rack.log("Dab").back())


def test_an_entry_of_another_process_is_seen_as_soon_as_the_system_tells(qtbot, watching, times, session):
    times(SOON_MS=200)
    window = watching()
    entered_elsewhere(session)
    qtbot.waitUntil(lambda: seen(session), timeout=30_000)
    assert "another window or the command line" in window.navigation._said.text()


def test_one_that_the_first_look_came_too_early_for_is_seen_by_the_second(qtbot, watching, times, session, deaf):
    times(SOON_MS=0, LATE_MS=300)
    watch, looks = watching()._poll, []
    watch.due.connect(lambda: looks.append(1))
    watch._system.fileChanged.emit(str(session.place))
    qtbot.waitUntil(lambda: len(looks) == 1, timeout=30_000)
    entered_elsewhere(session)
    qtbot.waitUntil(lambda: seen(session), timeout=30_000)
    assert len(looks) == 2


def test_where_the_system_tells_nothing_it_is_seen_by_the_slow_look(qtbot, watching, times, session, deaf):
    times(SLOW_MS=100)
    watching()
    entered_elsewhere(session)
    qtbot.waitUntil(lambda: seen(session), timeout=30_000)


def test_it_is_seen_when_the_window_is_turned_to(qtbot, watching, times, awake, session, deaf):
    times()
    window = watching()
    entered_elsewhere(session)
    qtbot.wait(300)
    assert not seen(session)
    other = QWidget()
    qtbot.addWidget(other)
    awake(other)
    assert not seen(session)
    window.activateWindow()
    qtbot.waitUntil(lambda: seen(session), timeout=30_000)


def test_it_is_seen_before_an_entry_of_this_window_ends(qtbot, watching, times, session, deaf):
    times()
    watching()
    entered_elsewhere(session)
    session.record({"at": session.now(), "vessel": "Brill", "kind": "note", "text": "here"})
    assert seen(session)


def test_looks_are_quick_where_not_even_an_entry_of_this_window_is_told_of(qtbot, watching, times, session, deaf):
    times(LATE_MS=50)
    watch = watching()._poll
    assert watch._slow.interval() == NEVER
    times(LATE_MS=50, QUICK_MS=100)
    session.record({"at": session.now(), "vessel": "Brill", "kind": "note", "text": "here"}, "A note")
    qtbot.waitUntil(lambda: watch._slow.interval() == 100, timeout=30_000)
    entered_elsewhere(session)
    qtbot.waitUntil(lambda: seen(session), timeout=30_000)


def test_looks_are_slow_again_where_the_system_tells(qtbot, watching, times, session):
    times(SOON_MS=50, LATE_MS=100)
    watch = watching()._poll
    watch._deaf = True
    session.record({"at": session.now(), "vessel": "Brill", "kind": "note", "text": "here"}, "A note")
    qtbot.waitUntil(lambda: not watch._deaf, timeout=30_000)
    assert watch._slow.interval() == NEVER


def test_looks_are_quick_while_the_store_is_away_and_its_return_is_seen(qtbot, watching, times, session):
    times(SOON_MS=50, QUICK_MS=100)
    window = watching()
    place = session.place
    away = place.parent.with_name(f"{place.parent.name}-away")
    place.parent.rename(away)
    qtbot.waitUntil(window.trouble.isVisible, timeout=30_000)
    assert window._poll._slow.interval() == 100
    away.rename(place.parent)
    qtbot.waitUntil(lambda: not window.trouble.isVisible(), timeout=30_000)
    assert window._poll._slow.interval() == NEVER
    entered_elsewhere(session)
    qtbot.waitUntil(lambda: seen(session), timeout=30_000)


def test_a_file_put_in_its_place_is_watched_in_turn(qtbot, watching, times, session, quick_folder):
    times(SOON_MS=50)
    watching()
    copy = session.backup(quick_folder / "copy.db")
    session._store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    before = session._store
    copy.replace(session.place)
    qtbot.waitUntil(lambda: session._store is not before, timeout=30_000)
    qtbot.wait(100)
    entered_elsewhere(session)
    qtbot.waitUntil(lambda: seen(session), timeout=30_000)


def test_own_entries_are_not_read_again_though_the_system_tells_of_them(qtbot, watching, times, session, monkeypatch):
    times(SOON_MS=50, LATE_MS=100)
    watch, looks, read = watching()._poll, [], []
    since = Store.since
    monkeypatch.setattr(Store, "since", lambda self, n: (read.append(n), since(self, n))[1])
    watch.due.connect(lambda: looks.append(1))
    session.record({"at": session.now(), "vessel": "Brill", "kind": "note", "text": "here"}, "A note")
    qtbot.waitUntil(lambda: len(looks) >= 2, timeout=30_000)
    assert read == []


def test_a_window_that_was_left_looks_no_more(qtbot, watching, times, session):
    times(SOON_MS=20, LATE_MS=40, SLOW_MS=60)
    window, looks = watching(), []
    window.leave()
    window._poll.due.connect(lambda: looks.append(1))
    entered_elsewhere(session)
    window._poll.look()
    qtbot.wait(300)
    assert looks == []
    assert not seen(session)
