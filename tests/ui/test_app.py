"""The program as a whole: one window per store, the log, every screen as a picture, a start and an orderly end."""

from __future__ import annotations

import os
import shutil
import subprocess
from datetime import UTC, datetime

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from rackview import app
from rackview.core.errors import InputError
from rackview.services import places
from rackview.ui import crash
from rackview.ui.door import Door
from rackview.ui.window import SCREENS

NOW = datetime(2026, 5, 14, 7, 30, tzinfo=UTC)


@pytest.fixture
def store(small_store, tmp_path):
    return shutil.copytree(small_store, tmp_path / "app") / "rack.db"


@pytest.mark.parametrize("screen", SCREENS)
def test_every_screen_as_a_picture(qapp, store, tmp_path, screen):
    out = tmp_path / "screen.png"
    look = "dark" if len(screen) % 2 else "light"
    app.picture(store, out, screen=screen, size=(1280, 720), theme=look, at=NOW)
    image = QImage(str(out))
    assert (image.width(), image.height()) == (1280, 720)
    colours = {image.pixel(x, y) for x in range(0, 1280, 16) for y in range(0, 720, 16)}
    assert len(colours) > 8, "an empty picture"
    assert (image.pixelColor(2, 715).lightness() < 128) == (look == "dark")


def test_a_picture_of_no_known_screen_is_refused(qapp, store, tmp_path):
    with pytest.raises(InputError, match="screen"):
        app.picture(store, tmp_path / "x.png", screen="cockpit")
    with pytest.raises(InputError, match="size"):
        app.picture(store, tmp_path / "x.png", size=(3, 3))
    assert not (tmp_path / "x.png").exists()


def test_a_second_start_raises_the_first_window(qtbot, tmp_path):
    first = Door(tmp_path / "rack.db")
    knocks = []
    first.on_knock(lambda: knocks.append(1))
    second = Door(tmp_path / "rack.db")
    other = Door(tmp_path / "other.db")
    assert (first.first, second.first, other.first) == (True, False, True)
    qtbot.waitUntil(lambda: knocks == [1])
    for door in (second, first, other):
        door.close()
    again = Door(tmp_path / "rack.db")
    assert again.first
    again.close()


def test_the_window_opens_on_the_keepers_own_store_and_closes_in_order(qapp):
    opened = []

    def look_and_close() -> None:
        opened.extend(w.windowTitle() for w in QApplication.topLevelWidgets() if w.isVisible())
        QApplication.closeAllWindows()

    QTimer.singleShot(400, look_and_close)
    assert app.run(None) == 0
    assert "Rack" in opened
    assert places.store().exists()
    assert (places.config_dir() / "window.ini").exists()
    assert (places.log_dir() / "rackview.log").exists()


@pytest.mark.parametrize(
    ("system", "known", "fine"),
    [
        ("linux", {}, False),
        ("linux", {"DISPLAY": ""}, False),
        ("linux", {"DISPLAY": ":0"}, True),
        ("linux", {"WAYLAND_DISPLAY": "wayland-0"}, True),
        ("linux", {"QT_QPA_PLATFORM": "offscreen"}, True),
        ("win32", {}, True),
        ("darwin", {}, True),
    ],
)
def test_without_a_screen_there_is_a_sentence_and_no_window(system, known, fine):
    if fine:
        app.check_screen(system, known)
    else:
        with pytest.raises(InputError, match="a screen to open the window on"):
            app.check_screen(system, known)


def test_a_fault_of_our_own_is_written_down_and_said(tmp_path):
    kept = []
    crash.install_crash_hooks(tmp_path)
    crash.rescue(lambda: kept.append("drafts"))
    try:
        raise RuntimeError("the shelf fell down")
    except RuntimeError as error:
        said = crash.crash_sentence(type(error), error)
        told = crash.report(type(error), error, error.__traceback__)
    finally:
        crash.uninstall()
    assert "the shelf fell down" in said
    assert "RuntimeError" in told
    assert "Qt" in told


@pytest.mark.parametrize(("points", "scale"), [(-1, 1), (9, 1), (11, 1), (12, 1.125), (14, 1.25), (16, 1.5), (40, 2)])
def test_all_is_drawn_larger_where_the_systems_type_is_larger(points, scale):
    assert app.scale_for(points) == scale


def test_the_program_begins_anew_once_with_the_systems_font_size(monkeypatch):
    begun = []
    monkeypatch.setattr(app.os, "execv", lambda *words: begun.append(words))
    monkeypatch.setattr(app.sys, "platform", "linux")
    monkeypatch.setattr(app.sys, "argv", ["rackview", "--store", "a b.db"])
    monkeypatch.delenv("QT_SCALE_FACTOR", raising=False)
    app.follow_font_size(10)
    assert begun == []
    app.follow_font_size(16)
    assert [words[-4:] for _, words in begun] == [["-m", "rackview", "--store", "a b.db"]]
    assert app.os.environ["QT_SCALE_FACTOR"] == "1.5"
    app.follow_font_size(16)
    assert len(begun) == 1, "the scale is set, or the keeper's own: it is left alone"
    monkeypatch.delenv("QT_SCALE_FACTOR")


@pytest.mark.skipif(os.name == "nt", reason="a signal of another process is a POSIX thing")
def test_ctrl_c_is_heard_while_the_event_loop_sleeps(qapp):
    with app.interrupted(qapp.quit), subprocess.Popen(["sh", "-c", f"sleep 0.2; kill -INT {os.getpid()}"]):
        qapp.exec()  # no timer runs that would wake Python
