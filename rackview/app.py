"""Puts the window together: folders, log, one window per store, the desk, the theme; also draws pictures."""

from __future__ import annotations

import faulthandler
import logging
import os
import signal
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QLibraryInfo, QLocale, QLockFile, QSettings, Qt, QTimer, QTranslator
from PySide6.QtGui import QGuiApplication
from PySide6.QtNetwork import QLocalServer, QLocalSocket
from PySide6.QtWidgets import QApplication

from rackview import __version__
from rackview.core.errors import InputError
from rackview.services import logbook, places, sessions
from rackview.ui import crash, fonts, icons
from rackview.ui import picture as pictures
from rackview.ui.window import MainWindow

if TYPE_CHECKING:
    from rackview.services.desk import Desk

APP_ID = "org.rackview.rackview"
log = logging.getLogger("rackview")


def run(store: Path | None, *, demo: bool = False) -> int:
    """Open the window on a store (the keeper's own if None) or on a fresh demo rack; return the exit status.

    Raises `StoreError` if the store can't be opened, `InputError` if there is no screen to open a window on.
    """
    check_screen()
    app = application()
    with logged():
        if demo:
            return show(app, sessions.fresh_demo(now), "the demo rack")
        path = store or places.store()
        door = Door(path)
        if not door.first:
            log.info("another window has %s open; raised it", path)
            return 0
        try:
            return show(app, sessions.open_desk(path, now, recent=True), str(path), door)
        finally:
            door.close()


def check_screen(system: str = sys.platform, known: Mapping[str, str] = os.environ) -> None:
    """Raise `InputError` where no screen can be reached: Qt itself would end the program without a word of ours."""
    named = ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET")
    if system.startswith(("linux", "freebsd")) and not any(known.get(name) for name in named):
        raise InputError(
            "DISPLAY",
            None,
            "a screen to open the window on; without one, rackview status and the other subcommands answer",
        )


def show(app: QApplication, desk: Desk, name: str, door: Door | None = None) -> int:
    """Show the main window on a desk and run until it closes."""
    log.info("rackview %s opens %s", __version__, name)
    window = MainWindow(desk, window_settings())
    crash.rescue(window.keep_drafts)
    if door is not None:
        door.on_knock(window.raise_up)
    window.restore_place()
    window.show()
    beat = QTimer()  # lets Python see Ctrl+C in a terminal
    beat.timeout.connect(lambda: None)
    beat.start(500)
    signal.signal(signal.SIGINT, lambda *_: window.close())
    status = app.exec()
    desk.close()
    return status


def picture(
    store: Path,
    out: Path,
    *,
    screen: str = "rack",
    size: tuple[int, int] = (1280, 800),
    theme: str = "light",
    at: datetime | None = None,
) -> None:
    """Draw one screen of a store, as it would have looked at the moment `at`, to a PNG file without opening a window.

    Raises `InputError` for an unknown screen or a size out of range.
    """
    if QApplication.instance() is None:
        os.environ["QT_QPA_PLATFORM"] = "offscreen"  # nothing is shown, so no display is needed
    application()
    desk = sessions.open_desk(store, now if at is None else lambda: at, mode="read")
    desk.read_only = None  # the picture is of the window as the keeper has it
    try:
        pictures.draw(desk, out, screen=screen, size=size, look=theme)
    finally:
        desk.close()


def application() -> QApplication:
    """The one application object, with our font, name and the system's language."""
    found = QApplication.instance()
    if isinstance(found, QApplication):
        return found
    QGuiApplication.setHighDpiScaleFactorRoundingPolicy(Qt.HighDpiScaleFactorRoundingPolicy.PassThrough)
    QGuiApplication.setDesktopFileName(APP_ID)
    app = QApplication(sys.argv[:1])
    app.setApplicationName("rackview")
    app.setApplicationVersion(__version__)
    translator = QTranslator(app)
    if translator.load(QLocale(), "qtbase", "_", QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)):
        app.installTranslator(translator)
    fonts.load()
    app.setWindowIcon(icons.app_icon())
    return app


def now() -> datetime:
    """The one clock of the window."""
    return datetime.now(UTC)


def window_settings() -> QSettings:
    """This PC's own settings (geometry, theme, last screen); losing them loses nothing that matters."""
    folder = places.config_dir()
    folder.mkdir(parents=True, exist_ok=True)
    return QSettings(str(folder / "window.ini"), QSettings.Format.IniFormat)


@contextmanager
def logged() -> Iterator[Path]:
    """Log to a rotating file while open, crashes of the interpreter itself to a file beside it; gives the folder."""
    folder = places.log_dir()
    handler = logbook.book(folder)
    root = logging.getLogger()
    root.addHandler(handler)
    root.setLevel(logging.INFO)
    with (folder / "fault.log").open("a", encoding="utf-8") as faults:
        faulthandler.enable(faults)
        crash.install(folder)
        try:
            yield folder
        finally:
            crash.uninstall()
            faulthandler.disable()
            root.removeHandler(handler)
            handler.close()


class Door:
    """One window per store: a lock file beside it, and a knock that raises the window which holds it."""

    def __init__(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        self._lock = QLockFile(str(path) + ".window-lock")
        self._lock.setStaleLockTime(0)
        self._name = f"rackview-{abs(hash_of(path)):x}"
        self._server: QLocalServer | None = None
        self.first = self._lock.tryLock(100)
        if not self.first and not self._knock():
            self.first = True  # the lock is another PC's or its window hangs: both may write, so go on without it
        if self.first:
            QLocalServer.removeServer(self._name)
            self._server = QLocalServer()
            self._server.listen(self._name)

    def _knock(self) -> bool:
        socket = QLocalSocket()
        socket.connectToServer(self._name)
        answered = socket.waitForConnected(500)
        socket.disconnectFromServer()
        return answered

    def on_knock(self, raise_up: object) -> None:
        """Call `raise_up` when a second start knocks."""
        if self._server is not None:
            self._server.newConnection.connect(raise_up)

    def close(self) -> None:
        """Let go of the lock."""
        if self._server is not None:
            self._server.close()
        self._lock.unlock()


def hash_of(path: Path) -> int:
    """A number for a path that is the same in every process."""
    import zlib

    return zlib.crc32(str(path.resolve()).encode())
