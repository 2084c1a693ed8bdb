"""A store that can't be opened: the window says so, offers what can be done, and each way leads back to the rack."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QLabel

from rackview import app
from rackview.services import rescue
from rackview.services.faults import StoreError
from rackview.services.sessions import open_session
from rackview.store import Store
from rackview.ui import crash
from rackview.ui.door import Door
from rackview.ui.store.opening import OpeningWindow
from rackview.ui.store.working import WorkingWindow
from rackview.ui.window import MainWindow


@pytest.fixture
def place(session_at, quick_folder) -> Path:
    """The small store, with a copy of today and its day book, closed."""
    session = session_at()
    session.backup()
    session.close()
    return quick_folder / "rack.db"


def spoil(path: Path) -> None:
    raw = bytearray(path.read_bytes())
    raw[4096:] = b"\x5a" * (len(raw) - 4096)
    path.write_bytes(raw)


def words(window) -> str:
    return "\n".join(label.text() for label in window.findChildren(QLabel) if not label.isHidden())


def opening(program) -> OpeningWindow:
    assert isinstance(program._window, OpeningWindow)
    return program._window


def through_work(qtbot, program) -> WorkingWindow:
    window = program._window
    assert isinstance(window, WorkingWindow)
    qtbot.waitUntil(lambda: not window.work.running)
    return window


def test_a_damaged_store_is_restored_from_the_best_copy_with_one_key(qtbot, program, place):
    before = len(list(Store.open(place).load().events()))
    spoil(place)
    assert program.open(place)
    window = opening(program)
    assert "The store is damaged" in words(window)
    assert "Nothing is lost by that alone" in words(window)
    qtbot.waitUntil(window.restore_part.isVisible)
    copy = window.restore_part.list.copy()
    assert copy is not None
    assert copy.path.suffix == ".db"
    assert window.restore_part.list.lines.lines[0].cells[1] == f"{copy.entries} entries"
    window.restore_part.button.click()
    working = through_work(qtbot, program)
    assert "The store is restored" in words(working)
    assert "kept as rack.db.backups-" in words(working)
    working.go_on.click()
    assert isinstance(program._window, MainWindow)
    assert len(list(program._session.whole().events())) == before


def test_a_store_that_is_gone_is_not_replaced_by_an_empty_one(qtbot, program, place):
    place.unlink()
    program.open(place)
    assert "The store is gone" in words(opening(program))
    assert not place.exists()


def test_a_stick_that_is_away_is_waited_for(qtbot, program, place, monkeypatch):
    away = place.parent.with_name(f"{place.parent.name}-away")
    place.parent.rename(away)
    program.open(place)
    window = opening(program)
    assert "folder is not there" in words(window)
    assert list(window.buttons) == ["retry", "other"]
    window.buttons["retry"].click()
    assert program._window is window
    assert "is not there" in window.work.said.text()
    away.rename(place.parent)
    window._again.timeout.emit()
    assert isinstance(program._window, MainWindow)


def test_another_programs_file_is_left_alone_and_another_store_can_be_opened(qtbot, program, place, tmp_path):
    letter = tmp_path / "letter.db"
    letter.write_bytes(b"Dear sir or madam, " * 100)
    program.open(letter)
    window = opening(program)
    assert "is not a rackview store" in words(window)
    window.opened.emit(place)
    assert isinstance(program._window, MainWindow)
    assert letter.read_bytes().startswith(b"Dear sir")


def test_a_newer_store_is_sound_and_says_what_to_update(qtbot, program, place):
    raw = bytearray(place.read_bytes())
    raw[60:64] = (99).to_bytes(4, "big")
    place.write_bytes(raw)
    program.open(place)
    window = opening(program)
    assert "update rackview" in words(window)
    assert list(window.buttons) == ["other", "afresh"], "a copy would leave out what the newer program wrote"


def test_starting_afresh_sets_the_store_aside_and_deletes_nothing(qtbot, program, place):
    spoil(place)
    program.open(place)
    window = opening(program)
    qtbot.waitUntil(window.restore_part.isVisible)
    window.buttons["afresh"].click()
    box = next(w for w in QApplication.topLevelWidgets() if w.inherits("QMessageBox") and w.isVisible())
    assert "There is a copy with" in box.informativeText()
    assert box.defaultButton().text() == "Back"
    box.defaultButton().click()
    assert program._window is window
    window.start_afresh()
    assert isinstance(program._window, MainWindow)
    assert program._session.rack.vessels == {}
    (aside,) = rescue.asides(place)
    whose = aside.name[-8:]
    assert (aside / f"rack.db.daybook-{whose}").is_dir()
    assert (aside / f"rack.db.backups-{whose}").is_dir()


def test_an_error_of_our_own_at_opening_still_gets_a_window(qtbot, program, place, monkeypatch, caplog):
    def broken(*_, **__):
        raise RecursionError("too deep")

    monkeypatch.setattr("rackview.app.sessions.open_session", broken)
    program.open(place)
    assert "could not be opened" in words(opening(program))
    assert "too deep" in words(opening(program))


def test_damage_found_while_running_shows_a_bar_that_leads_to_what_can_be_done(qtbot, program, place):
    program.open(place)
    main = program._window
    assert isinstance(main, MainWindow)
    assert not main.trouble.isVisible()
    error = StoreError("corrupt", "The store is damaged (page 3).")
    crash.uncaught(StoreError, error, None)  # as from a painted history that could not be read
    main._ask_others()
    assert main.trouble.isVisible()
    assert "found to be damaged" in main.trouble.said
    assert QApplication.activeModalWidget() is None, "no report: it is no fault of ours"
    main.trouble.button.click()
    window = opening(program)
    assert "The store is damaged" in words(window)
    qtbot.waitUntil(window.restore_part.isVisible)


def test_a_folder_that_goes_while_running_is_said_and_passes(qtbot, program, place):
    program.open(place)
    main = program._window
    away = place.parent.with_name(f"{place.parent.name}-away")
    place.parent.rename(away)
    main._ask_others()
    assert "kept on this PC" in main.trouble.said
    assert not main.trouble.button.isVisible()
    away.rename(place.parent)
    main._ask_others()
    assert not main.trouble.isVisible()
    assert "The store is back" in main.navigation._said.text()


def test_the_program_starts_on_a_damaged_store_without_a_terminal(qtbot, qapp, place):
    spoil(place)
    seen = []

    def look() -> None:
        shown = [w for w in QApplication.topLevelWidgets() if w.isVisible()]
        seen.extend(w.windowTitle() for w in shown)
        QApplication.closeAllWindows()

    from PySide6.QtCore import QTimer

    QTimer.singleShot(700, look)
    assert app.run(place) == 0
    assert "The store is damaged" in seen


@pytest.mark.skipif(os.name == "nt", reason="sockets are files where there is no other name for them")
def test_the_door_makes_no_folder_and_its_socket_is_the_keepers_own(qtbot, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    tmp_path.chmod(0o700)
    away = Door(tmp_path / "stick" / "rack.db")
    assert away.first
    assert not (tmp_path / "stick").exists()
    (socket,) = [p for p in tmp_path.iterdir() if p.name.startswith("rackview-")]
    assert socket.stat().st_mode & 0o077 == 0
    away.close()
    assert not socket.exists()


def test_a_session_opened_again_after_the_window_let_go(qtbot, program, place, clock):
    program.open(place)
    program._leave_session()
    program._window.close()
    again = open_session(place, clock)
    assert again.read_only is None
    again.close()
