"""Puts the window together: folders, log, one window per store, the session, the theme; also draws pictures."""

from __future__ import annotations

import faulthandler
import logging
import os
import signal
import socket
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QLocale, QSettings, QSocketNotifier, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from rackview import __version__, translations, ui  # noqa: F401 - its first lines spare the others time
from rackview.core.errors import InputError
from rackview.core.garbage import pass_over, uncollected
from rackview.language import _
from rackview.services import desktop, logbook, places, sessions
from rackview.store import files
from rackview.ui import crash
from rackview.ui.door import Door
from rackview.ui.theme import fonts, icons
from rackview.ui.window import MainWindow

if TYPE_CHECKING:
    from rackview.services import rescue
    from rackview.services.rack_session import RackSession
    from rackview.ui.store.opening import OpeningWindow
    from rackview.ui.store.working import Job, WorkingWindow

USUAL_POINTS = 11.0
"""The largest type that desktops have before their user asks for larger; 9 to 11 is usual."""
IN_FRONT = _("{path} is open in another window already; that one is in front now.")
log = logging.getLogger("rackview")


def run(store: Path | None, *, demo: bool = False) -> int:
    """Open the window on a store (the keeper's own if None) or on a fresh demo rack; return the exit status.

    A store that can't be opened gets a window that says so and what can be done. Raises `InputError` if there is no
    screen to open a window on.
    """
    check_screen()
    app = application()
    follow_font_size(app.font().pointSizeF())
    with logged():
        program = Program(app)
        if demo:
            program.show(sessions.fresh_demo(now), _("the demo rack"))
        elif not program.open((store or places.store()).absolute()):
            return 0
        return program.run()


def check_screen(system: str = sys.platform, known: Mapping[str, str] = os.environ) -> None:
    """Raise `InputError` where no screen can be reached: Qt itself would end the program without a word of ours."""
    named = ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET")
    if system.startswith(("linux", "freebsd")) and not any(known.get(name) for name in named):
        raise InputError(
            "DISPLAY",
            None,
            _("a screen to open the window on; without one, rackview status and the other subcommands answer"),
        )


class Program:
    """What runs: the window that is open, the session behind it, and the door of its store."""

    def __init__(self, app: QApplication) -> None:
        self._app = app
        self._session: RackSession | None = None
        self._window: MainWindow | OpeningWindow | WorkingWindow | None = None
        self._door: Door | None = None

    def run(self) -> int:
        """Run until the window closes; return the exit status."""
        with interrupted(lambda: self._window and self._window.close()):
            status = self._app.exec()
        self._leave_session()
        if self._door is not None:
            self._door.close()
        return status

    @uncollected()
    def open(self, path: Path) -> bool:
        """Show the window on a store, or the one that says why it can't be opened; False if another window has it."""
        door = self._door_of(path)
        if door is None:
            return False
        self._take_door(door)
        try:
            session = session_at(path)
        except Exception as error:  # whatever it is, it must not end in a terminal that nobody sees
            log.exception("%s can't be opened", path)
            self._say_trouble(_trouble_of(path, error))
        else:
            self.show(session, str(path))
        return True

    def _door_of(self, path: Path) -> Door | None:
        """The door of a store; None if another window has it, which was raised then."""
        if self._door is not None and self._door.path == path:
            return self._door
        door = Door(path)
        if door.first:
            return door
        log.info("another window has %s open; raised it", path)
        return None

    def _take_door(self, door: Door) -> None:
        if self._door is not None and self._door is not door:
            self._door.close()
        self._door = door

    def show(self, session: RackSession, name: str) -> None:
        """Show the main window on a session."""
        log.info("rackview %s opens %s", __version__, name)
        window = MainWindow(session, window_settings())
        window.advise_behind()
        self._session = session
        crash.rescue(window.keep_drafts)
        crash.mend(session.suffer)
        window.restore_place()
        window.store_trouble.connect(self._leave_for_trouble)
        window.store_job.connect(self._work)
        window.store_wanted.connect(self._open_other)
        first = self._window is None
        self._put(window)
        if first:  # what was loaded and made by then stays
            pass_over()

    def _put(self, window: MainWindow | OpeningWindow | WorkingWindow) -> None:
        """Show a window in place of the one that is open."""
        before, self._window = self._window, window
        if self._door is not None:
            self._door.on_knock(window.raise_up)
        window.show()
        if before is not None:
            before.close()
            before.deleteLater()

    def _say_trouble(self, trouble: rescue.Trouble) -> None:
        from rackview.ui.store.opening import OpeningWindow

        shown = self._window
        if isinstance(shown, OpeningWindow) and (shown.trouble.path, shown.trouble.what) == (
            trouble.path,
            trouble.what,
        ):
            shown.say(f"{now().astimezone():%H:%M:%S}: {trouble.details}")
            return
        wear(self._app)
        window = OpeningWindow(trouble, now)
        window.opened.connect(self._open_from)
        window.job_wanted.connect(self._work)
        self._put(window)

    def _open_from(self, path: Path) -> None:
        from rackview.ui.store.opening import OpeningWindow

        shown = self._window
        if not self.open(path) and isinstance(shown, OpeningWindow):
            shown.say(IN_FRONT.format(path=path))

    def _open_other(self, path: Path) -> None:
        """Open another store in place of the one that is open; stay where that can't be."""
        main = self._window
        if not isinstance(main, MainWindow) or (self._door is not None and self._door.path == path):
            return
        door = self._door_of(path)
        if door is None:
            main.navigation.say(IN_FRONT.format(path=path))
            return
        try:
            session = session_at(path)
        except Exception as error:  # the keeper stays with the store that is open
            log.exception("%s can't be opened", path)
            door.close()
            main.tell(str(error) or type(error).__name__)
            return
        self._leave_session()
        self._take_door(door)
        self.show(session, str(path))

    def _leave_for_trouble(self, error: Exception) -> None:
        """Leave the main window, as its store was found to be damaged and the keeper wants to know what can be done."""
        if self._session is not None:
            path = self._session.place
            self._leave_session()
            self._say_trouble(_trouble_of(path, error))

    def _work(self, job: Job) -> None:
        """Do what the store must be closed for, then open it again."""
        from rackview.ui.store.working import WorkingWindow

        self._leave_session()
        window = WorkingWindow(job)
        window.opened.connect(self._open_from)
        self._put(window)

    def _leave_session(self) -> None:
        """Keep what is typed and close the store."""
        crash.rescue(None)
        crash.mend(None)
        if isinstance(self._window, MainWindow):
            self._window.leave()
        if self._session is not None:
            self._session.close()
            self._session = None


def session_at(path: Path) -> RackSession:
    """A session on a store, which is made only where none was; raises `StoreError`."""
    if not path.exists():
        from rackview.services import rescue

        rescue.refuse_empty(path)
    return sessions.open_session(path, now, recent=True)


def _trouble_of(path: Path, error: Exception) -> rescue.Trouble:
    """What is wrong with a store; what tells of it is loaded only then."""
    from rackview.services import rescue

    return rescue.trouble_of(path, error)


def wear(app: QApplication) -> None:
    """Dress a window without screens as the main window would be."""
    from rackview.ui import theme as themes
    from rackview.ui.preferences import WindowSettings

    look = WindowSettings(window_settings()).look
    themes.apply_theme(app, themes.THEMES.get(look) or themes.for_system())


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
    session = sessions.open_session(store, now if at is None else lambda: at, mode="read")
    session.read_only = None  # the picture is of the window as the keeper has it
    try:
        from rackview.ui import picture as pictures

        pictures.draw(session, out, screen=screen, size=size, look=theme)
    finally:
        session.close()


def application() -> QApplication:
    """The one application object, with our font, name and language."""
    found = QApplication.instance()
    if isinstance(found, QApplication):
        return found
    QGuiApplication.setHighDpiScaleFactorRoundingPolicy(Qt.HighDpiScaleFactorRoundingPolicy.PassThrough)
    QGuiApplication.setDesktopFileName(desktop.APP_ID)
    app = QApplication(sys.argv[:1])
    app.setApplicationName("rackview")
    app.setApplicationVersion(__version__)
    speak(app)
    fonts.load_fonts()
    app.setWindowIcon(icons.app_icon())
    return app


def follow_font_size(points: float) -> None:
    """Begin anew with everything larger where the system's own type is larger than usual; return where it is not.

    Qt takes its scale from the environment before there is an application, so the process is replaced by itself.
    """
    scale = scale_for(points)
    if scale == 1.0 or "QT_SCALE_FACTOR" in os.environ or not sys.platform.startswith(("linux", "freebsd")):
        return  # other systems scale the program as a whole
    os.environ["QT_SCALE_FACTOR"] = f"{scale:g}"
    os.execv(sys.executable, [sys.executable, "-m", "rackview", *sys.argv[1:]])  # noqa: S606 - this program itself


def scale_for(points: float) -> float:
    """How much larger than usual all is drawn where the system's type has so many points; in eighths, at most 2."""
    return 1.0 if points <= USUAL_POINTS else min(2.0, round(points / USUAL_POINTS * 8) / 8)


def speak(app: QApplication) -> None:
    """One language from left to right, whatever the system's: half a window in another would be worse than none.

    How the system writes dates is still asked of `QLocale.system()` where one is typed.
    """
    if translations.current() == translations.ENGLISH:
        QLocale.setDefault(QLocale("en_GB"))  # by its name: a thousand names of languages need not be made
    else:
        from PySide6.QtCore import QLibraryInfo, QTranslator

        QLocale.setDefault(QLocale(translations.current()))
        buttons = QTranslator(app)
        if buttons.load(
            f"qtbase_{translations.current()}", QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
        ):
            app.installTranslator(buttons)
    app.setLayoutDirection(Qt.LayoutDirection.LeftToRight)


@contextmanager
def interrupted(leave: Callable[[], object]) -> Iterator[None]:
    """Call `leave` when Ctrl+C is pressed in a terminal, however long the event loop sleeps.

    Python looks at a signal only when it runs next, so the system writes a byte into a socket that wakes the loop.
    """
    waking, heard = socket.socketpair()
    waking.settimeout(0)
    heard.settimeout(0)
    notifier = QSocketNotifier(heard.fileno(), QSocketNotifier.Type.Read)
    notifier.activated.connect(lambda *_: heard.recv(64))
    before = signal.signal(signal.SIGINT, lambda *_: leave())
    woken = signal.set_wakeup_fd(waking.fileno(), warn_on_full_buffer=False)
    try:
        yield
    finally:
        signal.set_wakeup_fd(woken)
        signal.signal(signal.SIGINT, before)
        notifier.setEnabled(False)
        waking.close()
        heard.close()


def now() -> datetime:
    """The one clock of the window."""
    return datetime.now(UTC)


def window_settings() -> QSettings:
    """This PC's own settings (geometry, theme, last screen); losing them loses nothing that matters."""
    folder = places.config_dir()
    files.make_folder(folder)
    return QSettings(str(folder / "window.ini"), QSettings.Format.IniFormat)


@contextmanager
def logged() -> Iterator[Path]:
    """Log to a rotating file while open, crashes of the interpreter itself to a file beside it; gives the folder."""
    folder = places.log_dir()
    handler = logbook.book(folder)
    root = logging.getLogger()
    root.addHandler(handler)
    root.setLevel(logging.INFO)
    files.make_file(folder / "fault.log")
    with (folder / "fault.log").open("a", encoding="utf-8") as faults:
        faulthandler.enable(faults)
        crash.install_crash_hooks(folder)
        try:
            yield folder
        finally:
            crash.uninstall()
            faulthandler.disable()
            root.removeHandler(handler)
            handler.close()
