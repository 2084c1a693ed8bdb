"""The store's page: check, restore, merge, the second and the shared folder, each with what came of it in words."""

from __future__ import annotations

import threading
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QLabel

from rackview.core.vessel import Vessel
from rackview.services import maintenance, rescue
from rackview.services.faults import Stopped
from rackview.services.folders import SECOND, SHARED
from rackview.services.sessions import fresh_demo, open_session
from rackview.ui.commands import COMMANDS
from rackview.ui.store.page import PARTS
from rackview.ui.store.working import WorkingWindow
from rackview.ui.window import MainWindow


@pytest.fixture
def window(qtbot, session):
    made = MainWindow(session, look="light")
    qtbot.addWidget(made)
    made.resize(1100, 640)
    made.show()
    return made


def part(window, name):
    """Open a part as the menu does."""
    window.commands[name].trigger()
    assert window.screen_name == "store"
    return window.screen_widget().panel


def idle(qtbot, panel):
    qtbot.waitUntil(lambda: not panel.work.running)


def words(widget) -> str:
    return "\n".join(label.text() for label in widget.findChildren(QLabel) if not label.isHidden())


def other_store(folder: Path, clock) -> Path:
    """Another PC's store of the same rack, with one vessel and one count more."""
    other = open_session(folder / "kitchen.db", clock)
    other.put_vessel(Vessel("Sprat", "mixed", "C", 1, 5))
    other.record({"at": clock.now - timedelta(hours=1), "vessel": "Sprat", "kind": "count", "tallies": "3 4 5"})
    other.close()
    return folder / "kitchen.db"


def test_every_part_is_in_the_menu():
    named = {c.name for c in COMMANDS}
    assert {"store", "check", "restore", "merge", "second", "shared"} <= named
    assert set(PARTS) - {"place"} <= named


def test_a_sound_store_is_said_to_be_sound(qtbot, window):
    panel = part(window, "check")
    panel.go.click()
    idle(qtbot, panel)
    assert "Nothing is wrong" in panel.work.said.text()
    assert not panel.restore.isVisible()


def test_what_a_check_finds_is_said_with_the_way_on(qtbot, window, quick_folder):
    book = next(quick_folder.glob("rack.db.daybook-*/*.jsonl"))
    lines = book.read_bytes().splitlines(keepends=True)
    book.write_bytes(b"".join(line for n, line in enumerate(lines) if n != 3))
    panel = part(window, "check")
    panel.go.click()
    idle(qtbot, panel)
    assert "No damage. 1 thing(s) to look at" in panel.work.said.text()
    assert "missing from its day book" in panel.findings.text()
    assert "rackview backup" not in panel.findings.text(), "a button does it here"


def test_a_check_runs_beside_the_window_and_can_be_stopped(qtbot, window, monkeypatch):
    release, started, stopped = threading.Event(), threading.Event(), threading.Event()

    def slow(path, progress):
        started.set()
        progress("the entries", 0.2)
        release.wait(10)
        try:
            progress("the day book", 0.6)
        except Stopped:
            stopped.set()
            raise
        return []

    monkeypatch.setattr(maintenance, "check", slow)
    panel = part(window, "check")
    panel.go.click()
    assert started.wait(5)
    assert panel.work.bar.isVisible()
    qtbot.waitUntil(lambda: panel.work.said.text() == "Looking at the entries, 20% done…")
    window.go("rack")  # the window goes on
    window.go("store", "check")
    panel.work.stop.click()
    assert "Stopped; nothing was changed" in panel.work.said.text()
    assert panel.go.isEnabled()
    release.set()
    assert stopped.wait(5), "the work itself ends at its next step"


def test_a_restore_from_the_menu_leads_back_and_is_undone_with_one_click(
    qtbot, program, session_at, quick_folder, clock
):
    session = session_at()
    session.backup()
    before = len(list(session.whole().events()))
    session.close()
    program.open(quick_folder / "rack.db")
    panel = part(program._window, "restore")
    idle(qtbot, panel)
    assert panel.restore.list.copy() is not None
    assert "does not go back in time" in words(panel)
    panel.restore.button.click()
    for title in ("The store is restored", "One step back"):
        working = program._window
        assert isinstance(working, WorkingWindow)
        qtbot.waitUntil(lambda w=working: not w.work.running)
        assert title in words(working)
        working.go_on.click()
        assert isinstance(program._window, MainWindow)
        assert len(list(program._session.whole().events())) == before
        panel = part(program._window, "store")
        idle(qtbot, panel)
        qtbot.waitUntil(lambda p=panel: "entries" in p.where.text())
        if panel.back is not None:
            assert "Restored today" in panel.step.text()
            clock.now += timedelta(minutes=1)
            panel.undo.click()
    assert panel.back is None


class Held:
    """Work in place of `name` that waits at its second word, or behind its end, until it is let go."""

    def __init__(self, monkeypatch, name, *, at_end=False):
        self.there, self.go = threading.Event(), threading.Event()
        work, told = getattr(rescue, name), []

        def wait():
            self.there.set()
            assert self.go.wait(10)

        def held(*words):
            *before, progress = words

            def tell(what, share):
                progress(what, share)
                told.append(what)
                if len(told) == 2 and not at_end:
                    wait()

            done = work(*before, tell)
            if at_end:
                wait()
            return done

        monkeypatch.setattr(rescue, name, held)


def stop(qtbot, work, held):
    assert held.there.wait(5)
    qtbot.waitUntil(work.stop.isVisible)
    work.stop.click()
    assert work.said.text() == "Stopping…", "it is not known yet whether it is still in time"
    assert not work.stop.isEnabled()
    held.go.set()
    qtbot.waitUntil(lambda: not work.running)


def everything_in(folder):
    """The files in a folder and below but locks, and what is in them."""
    files = (p for p in folder.rglob("*") if p.is_file() and p.name not in {"lock", "rack.db-shm", "rack.db-wal"})
    return {p.relative_to(folder): p.read_bytes() for p in files}


def test_a_restore_can_be_stopped_and_leaves_everything_as_it_was(
    qtbot, program, session_at, quick_folder, monkeypatch
):
    session = session_at()
    session.backup()
    session.close()
    program.open(quick_folder / "rack.db")
    entries = len(list(program._session.whole().events()))
    panel = part(program._window, "restore")
    idle(qtbot, panel)
    held = Held(monkeypatch, "put_back")
    panel.restore.button.click()
    working = program._window
    assert isinstance(working, WorkingWindow)
    assert held.there.wait(5)
    before = {
        name for name in everything_in(quick_folder) if "restoring" not in str(name) and ".before" not in str(name)
    }
    stop(qtbot, working.work, held)
    assert "Stopped; nothing was changed" in working.work.said.text()
    assert working.windowTitle() == "Stopped"
    assert set(everything_in(quick_folder)) == before
    working.go_on.click()
    assert isinstance(program._window, MainWindow)
    assert len(list(program._session.whole().events())) == entries
    assert maintenance.check(quick_folder / "rack.db") == []


def test_a_merge_can_be_stopped_and_leaves_everything_as_it_was(
    qtbot, program, session_at, quick_folder, tmp_path, clock, monkeypatch
):
    other = other_store(tmp_path, clock)
    session_at().close()
    program.open(quick_folder / "rack.db")
    before = set(everything_in(quick_folder))
    panel = part(program._window, "merge")
    held = Held(monkeypatch, "merge_in")
    panel.merge(other)
    stop(qtbot, panel.work, held)
    assert "Stopped; nothing was changed" in panel.work.said.text()
    assert panel.go.isEnabled()
    assert panel.undo.isHidden()
    assert set(everything_in(quick_folder)) == before, "no copy is left of a merge that was none"
    assert "Sprat" not in program._session.rack.vessels


def test_what_is_stopped_too_late_is_said_to_be_done(
    qtbot, program, session_at, quick_folder, tmp_path, clock, monkeypatch
):
    other = other_store(tmp_path, clock)
    session_at().close()
    program.open(quick_folder / "rack.db")
    panel = part(program._window, "merge")
    held = Held(monkeypatch, "merge_in", at_end=True)
    panel.merge(other)
    stop(qtbot, panel.work, held)
    assert panel.work.said.text() == "2 entries of kitchen.db taken in for Sprat."
    assert "Sprat" in program._session.rack.vessels


def test_a_merge_says_what_came_and_can_be_undone(qtbot, program, session_at, quick_folder, tmp_path, clock):
    other = other_store(tmp_path, clock)
    session_at().close()
    program.open(quick_folder / "rack.db")
    panel = part(program._window, "merge")
    panel.merge(other)
    idle(qtbot, panel)
    assert panel.work.said.text() == "2 entries of kitchen.db taken in for Sprat."
    assert "Sprat" in program._session.rack.vessels
    panel.merge(other)
    idle(qtbot, panel)
    assert "Nothing new in kitchen.db" in panel.work.said.text()
    clock.now += timedelta(minutes=1)
    panel = part(program._window, "store")
    qtbot.waitUntil(panel.undo.isVisible)
    panel.undo.click()
    working = program._window
    qtbot.waitUntil(lambda: not working.work.running)
    working.go_on.click()
    assert "Sprat" not in program._session.rack.vessels


def test_a_merge_with_what_is_no_store_is_a_sentence(qtbot, window, tmp_path):
    letter = tmp_path / "letter.db"
    letter.write_bytes(b"Dear sir, " * 200)
    panel = part(window, "merge")
    panel.merge(letter)
    idle(qtbot, panel)
    assert "is not a rackview store" in panel.work.said.text()
    assert panel.work.said.property("voice") == "error"


def test_the_second_folder_is_set_copied_to_and_said_when_last_seen(qtbot, window, tmp_path, clock):
    stick = tmp_path / "stick"
    stick.mkdir()
    panel = part(window, "second")
    assert "None is set" in panel.state.text()
    panel.put(stick)
    window.watch.wait()
    qtbot.waitUntil(lambda: "Newest copy there" in panel.copies.text())
    assert "It is there now" in panel.state.text()
    stick.rename(tmp_path / "pulled")
    clock.now += timedelta(days=3)
    window.refresh()
    assert "not there now; last seen" in panel.state.text()
    assert "3 days ago" in panel.state.text()
    panel.forget.click()
    assert "None is set" in panel.state.text()
    assert window.session.folders.place(SECOND) is None


def test_the_stores_own_folder_is_no_second_one(window, quick_folder):
    panel = part(window, "second")
    panel.put(quick_folder)
    assert "choose one on another disk" in panel.work.said.text()
    assert window.session.folders.place(SECOND) is None


def test_a_shared_folder_brings_another_pcs_entries_by_itself(qtbot, window, tmp_path, clock):
    share = tmp_path / "share"
    share.mkdir()
    panel = part(window, "shared")
    panel.put(share)
    window.watch.wait()
    qtbot.waitUntil(lambda: len(list(share.glob("*.rackview.db"))) == 1)
    qtbot.waitUntil(lambda: window.watch._work is None)
    (share / "kitchen.rackview.db").write_bytes(other_store(tmp_path, clock).read_bytes())
    window.watch.look()
    qtbot.waitUntil(lambda: len(window.watch.strangers) == 1)
    assert "Nothing of it is taken in yet" in words(panel)
    assert "Sprat" not in window.session.rack.vessels
    window.watch.welcome(window.watch.strangers[0])
    qtbot.waitUntil(lambda: len(window.watch.arrivals) == 1)
    assert "Sprat" in window.session.rack.vessels
    assert "2 entries of kitchen taken in for Sprat" in words(panel)
    assert "taken in for Sprat" in window.navigation._said.text()
    assert window.watch._system.directories() == [str(share)]
    assert window.session.folders.place(SHARED) == share


def test_the_demo_is_neither_restored_nor_shared(qtbot, clock):
    session = fresh_demo(clock)
    window = MainWindow(session, look="dark")
    qtbot.addWidget(window)
    window.show()
    assert "goes when its window closes" in words(part(window, "store"))
    assert not part(window, "restore").restore.isEnabled()
    assert not part(window, "shared").choose.isEnabled()
    assert not window.watch._slow.isActive()
    window.close()
    session.close()


def test_another_store_that_cannot_be_opened_leaves_the_rack_open(qtbot, program, session_at, quick_folder, tmp_path):
    session_at().close()
    program.open(quick_folder / "rack.db")
    main = program._window
    letter = tmp_path / "letter.db"
    letter.write_bytes(b"Dear sir, " * 200)
    main.store_wanted.emit(letter)
    assert program._window is main
    box = next(w for w in QApplication.topLevelWidgets() if w.inherits("QMessageBox") and w.isVisible())
    assert "is not a rackview store" in box.text()
    box.close()
    main.store_wanted.emit(tmp_path / "second.db")
    assert program._window is not main
    assert program._session.place == tmp_path / "second.db"


def test_a_store_set_aside_is_put_back_from_the_page(qtbot, program, session_at, quick_folder, clock):
    session_at().close()
    place = quick_folder / "rack.db"
    aside = rescue.set_aside(place, clock())
    program.open(place)
    panel = part(program._window, "store")
    qtbot.waitUntil(lambda: aside.name in words(panel))
    clock.now += timedelta(minutes=1)
    panel._take_back(aside)
    working = program._window
    qtbot.waitUntil(lambda: not working.work.running)
    assert "The earlier store is back" in words(working)
    working.go_on.click()
    assert "Brill" in program._session.rack.vessels
