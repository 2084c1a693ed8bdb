"""The main window: one row of screens to go to, the screens themselves, and what is common to all of them."""

from __future__ import annotations

import logging
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QSettings, QSize, Qt, Signal, SignalInstance
from PySide6.QtGui import QCloseEvent, QGuiApplication, QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from rackview import __version__
from rackview.core.errors import InputError
from rackview.language import _
from rackview.services import sessions
from rackview.services.faults import StoreError
from rackview.ui import base, keys, registry
from rackview.ui.commands import Commands
from rackview.ui.minute import MinuteTimer
from rackview.ui.navigation import Navigation
from rackview.ui.preferences import WindowSettings
from rackview.ui.reminder import Reminder, ReminderBar
from rackview.ui.store import words
from rackview.ui.store.bar import TroubleBar
from rackview.ui.store.store_watch import StoreWatch
from rackview.ui.store.watch import FolderWatch
from rackview.ui.top_window import TopWindow
from rackview.ui.window_files import WindowFiles
from rackview.ui.window_look import WindowLook
from rackview.ui.window_suggestions import WindowSuggestions

if TYPE_CHECKING:
    from rackview.services.rack_session import Change, RackSession
    from rackview.services.sharing import Arrival
    from rackview.ui import theme as themes

log = logging.getLogger("rackview.window")

SCREENS = registry.SCREENS
ADVISED = frozenset({"round", "vessel", "larvae", "stock", "bench"})
"""Screens besides the rack that show what is believed or advised; they wait for the first answers."""
SMALLEST = QSize(1000, 640)
USUAL = QSize(1440, 900)
"""How large the window opens the first time, if the screen has the room."""


class MainWindow(TopWindow):
    """The window on one session.

    `settings` holds this PC's own settings (None: the usual ones, nothing kept); `look` overrides the theme.

    Signals
    -------
    store_trouble(StoreError) : the store is damaged, and the keeper wants to know what can be done
    store_job(Job) : do this to the store, for which this window and its session must close
    store_wanted(Path) : open another store in place of this one
    """

    store_trouble = Signal(object)
    store_job = Signal(object)
    store_wanted = Signal(object)
    _advice_ready = Signal()

    def __init__(self, session: RackSession, settings: QSettings | None = None, *, look: str | None = None) -> None:
        super().__init__()
        self.session = session
        self._settings = WindowSettings(settings)
        self._screens: dict[str, QWidget] = {}
        self.screen_name = ""
        self._vessel = ""
        self._later: tuple[str, str] | None = None
        self._open = False
        self._advice_ready.connect(self._advised, Qt.ConnectionType.QueuedConnection)
        self.look = WindowLook(self, self._settings, look)
        self._suggested = WindowSuggestions(self)
        self._files = WindowFiles(self, self._settings)
        self.commands = Commands(self, self._calls())
        words = dict(registry.WORDS)
        self.navigation = Navigation(words, self.commands["undo"], self.commands.menu(self), self)
        self.navigation.chosen.connect(self.go)
        self._stack = QStackedWidget(self)
        body = QWidget(self)
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.trouble = TroubleBar(self.theme, self)
        self.trouble.wanted.connect(lambda: self.store_trouble.emit(self.session.fault))
        column.addWidget(self.navigation)
        column.addWidget(self.trouble)
        self.reminder = Reminder(session, self._settings, self)
        self.reminder_bar = ReminderBar(self.theme, self)
        self.reminder.due.connect(self.reminder_bar.remind)
        self.reminder_bar.wanted.connect(partial(self.go, "round"))
        column.addWidget(self.reminder_bar)
        column.addWidget(self._stack, 1)
        self.setCentralWidget(body)
        self.fit(SMALLEST, USUAL)

        session.subscribe(self._changed)
        self.watch = FolderWatch(session, self)
        self.watch.came.connect(self._came)
        self._poll = StoreWatch(session, self)
        self._poll.due.connect(self._ask_others)
        self._minute = MinuteTimer(session.now, self)
        self._minute.timeout.connect(self.refresh)
        self._minute.timeout.connect(self.reminder.look)
        self._mark_commands()
        self.look.mark()
        self.go("rack")
        self._say_notices()

    # --- going about ----------------------------------------------------------------------------------------------

    def go(self, name: str, argument: str = "") -> None:
        """Show a screen by name; for the vessel page `argument` is the vessel, for help the page."""
        if name not in SCREENS:
            raise InputError("screen", name, _("one of ") + ", ".join(SCREENS))
        leaving = self._screens.get(self.screen_name)
        if leaving is not None and name != self.screen_name:
            base.save(leaving)
        if name == "vessel":
            self._vessel = argument or self._vessel or next(iter(self.session.rack.vessels), "")
            if not self._vessel:
                name = "rack"
        self._later = None
        if name in ADVISED and self.session.waits_for_advice:  # the shelves stand there until it can be shown
            self._later, name, argument = (name, argument), "rack", ""
        screen = self._screens.get(name)
        if screen is None:
            screen = self._screens[name] = self._made(name)
            self._stack.addWidget(screen)
        self._freshen()
        base.enter(screen, self._vessel if name == "vessel" else argument)
        base.refresh(screen)
        self.screen_name = name
        self._stack.setCurrentWidget(screen)
        self.navigation.show_place(name)
        self._settings.screen = name
        self._title()
        screen.setFocus()

    def _made(self, name: str) -> QWidget:
        screen = registry.make(name, self.session, self.theme, self)
        screen.setAccessibleName(registry.NAMES[name])
        for signal, slot in {
            "said": self.navigation.say,
            "leave": lambda: self.go("rack"),
            "opened": lambda vessel: self.go("vessel", vessel),
            "open_vessel": lambda vessel: self.go("vessel", vessel),
            "go": self.go,
            "add_vessel": lambda shelf, position: self.go("add_vessel", f"{shelf} {position}"),
            "demo_wanted": self._open_demo,
            "print_wanted": self._files.print,
            "loss_wanted": lambda vessel: self.go("loss", vessel),
            "store_job": self.store_job,
            "store_wanted": self.store_wanted,
        }.items():
            bound = getattr(screen, signal, None)
            if isinstance(bound, SignalInstance):
                bound.connect(slot)
        if name == "rack":
            begin = QShortcut(
                QKeySequence(keys.bound("Rack", "round").keys[0]),
                screen,
                context=Qt.ShortcutContext.WidgetWithChildrenShortcut,
            )
            begin.activated.connect(partial(self.go, "round"))
            self._suggested.wire(screen.rail)  # type: ignore[attr-defined]  # only the rack screen has one
            base.call(screen, "set_glance", self._settings.far)
        return screen

    @property
    def theme(self) -> themes.Theme:
        """The colours it is drawn in."""
        return self.look.theme

    @property
    def screens(self) -> dict[str, QWidget]:
        """The screens that were opened so far, by name."""
        return self._screens

    def screen_widget(self) -> QWidget:
        """The screen that is shown."""
        return self._screens[self.screen_name]

    def refresh(self) -> None:
        """Show the rack as it is now; what must be worked out behind comes when it is there."""
        self._freshen()
        if self.screen_name in self._screens:
            base.refresh(self.screen_widget())

    def _freshen(self) -> None:
        """Ask for new answers; for the first ones the rack screen asks, after the shelves are painted."""
        if not self.session.waits_for_advice:
            self.session.freshen()

    def advise_behind(self) -> None:
        """Work out behind the window what is believed and advised, so that it never stands still."""
        self.session.advise_behind(self._tell_ready, self._screens["rack"].prepare)  # type: ignore[attr-defined]

    def _tell_ready(self) -> None:
        with suppress(RuntimeError):  # called in the thread behind, and this window may be gone
            self._advice_ready.emit()

    def _advised(self) -> None:
        if self._open:
            self._ask_others()
        self.refresh() if self._later is None else self.go(*self._later)

    def restore_place(self) -> None:
        """Come back where the keeper left, on a screen that exists."""
        geometry = self._settings.geometry
        if not geometry.isEmpty():
            self.restoreGeometry(geometry)
        if self._settings.screen in registry.WORDS:
            self.go(self._settings.screen)

    def leave(self) -> None:
        """Keep what is typed, and look at the store no more: it is about to be closed."""
        self._poll.stop()
        self._minute.stop()
        self.watch.stop()
        for screen in self._screens.values():
            base.call(screen, "finish")
        if self._open:
            self._open = False
            self.keep_drafts()
            self._settings.geometry = self.saveGeometry()

    def keep_drafts(self) -> None:
        """Save what is being typed on every open screen."""
        for screen in self._screens.values():
            base.save(screen)

    # --- changes --------------------------------------------------------------------------------------------------

    def _changed(self, change: Change) -> None:
        self._mark_commands()
        self._title()
        base.call(self.screen_widget(), "show_first", change)
        self.refresh()
        if change.words:
            self.navigation.say(_("{done}, saved {time}").format(done=change.words, time=self._clock_time()))

    def _ask_others(self) -> None:
        change = self.session.poll()
        if change is None:
            return
        if "trouble" in change.tables:
            self.trouble.show_fault(self.session.fault)
            if self.session.fault is None:
                self.navigation.say(_("The store is back, and what was typed is kept in it."))
        elif "notices" in change.tables:
            self._say_notices()
        else:
            self.navigation.say(_("Taken in: entries of another window or the command line."))

    def _came(self, arrival: Arrival) -> None:
        self.session.poll()
        self.navigation.say(words.merged(arrival.merged, arrival.name))

    def _clock_time(self) -> str:
        return f"{self.session.now().astimezone():%H:%M}"

    def _mark_commands(self) -> None:
        undo, redo = self.session.undo_words, self.session.redo_words
        for name, what, plain in (("undo", undo, _("&Undo")), ("redo", redo, _("&Redo"))):
            action = self.commands[name]
            action.setEnabled(what is not None and self.session.read_only is None)
            action.setText(plain if what is None else f"{plain}: {what}")
            action.setIconText(plain.replace("&", ""))
            action.setToolTip(action.text().replace("&", ""))
        for name in ("add_vessel", "rack_settings", "take_in"):
            self.commands[name].setEnabled(self.session.read_only is None)

    def _say_notices(self) -> None:
        for sentence in (self.session.read_only, *self.session.notices):
            if sentence:
                self.navigation.say(sentence)

    def _title(self) -> None:
        settings = self.session.rack.settings
        name = settings.name or _("Rack")
        self.setWindowTitle(_("{rack} (invented)").format(rack=name) if settings.invented else name)

    # --- commands -------------------------------------------------------------------------------------------------

    def _calls(self) -> dict[str, Callable[[], object]]:
        calls: dict[str, Callable[[], object]] = {f"go_{name}": partial(self.go, name) for name in registry.WORDS}
        calls |= {f"go_{name}": partial(self.go, name) for name in ("rules", "what_if", "loss", "compare")}
        calls |= self.look.calls()
        return calls | {
            "undo": self._undo,
            "redo": self._redo,
            "find": self._find,
            "add_vessel": lambda: self.go("add_vessel"),
            "rack_settings": lambda: self.go("settings"),
            "take_in": self._files.ask_tables,
            "give_out": self._files.give_out,
            "give_workbook": self._files.give_workbook,
            "backup": self._files.back_up,
            "store": lambda: self.go("store", "place"),
            **{part: partial(self.go, "store", part) for part in ("check", "restore", "merge", "second", "shared")},
            "print": self._files.print,
            "labels": self._files.labels,
            "picture": self._files.picture,
            "plot_picture": self._files.plot_picture,
            "copy": partial(self._copy, plot=False),
            "copy_plot": partial(self._copy, plot=True),
            "demo": self._open_demo,
            "desktop": self._files.show_in_menu,
            "quit": self.close,
            "far": self.look.toggle_far,
            "full_screen": self._toggle_full_screen,
            "help": self._help,
            "keys": lambda: self.go("help", "keys"),
            "about": self._about,
        }

    def _undo(self) -> None:
        self.attempt(self.session.undo, _("Taken back: {what}"), self.session.undo_words)

    def _redo(self) -> None:
        self.attempt(self.session.redo, _("Done again: {what}"), self.session.redo_words)

    def _find(self) -> None:
        self.go("records")
        base.call(self.screen_widget(), "begin_search")

    def _copy(self, *, plot: bool) -> None:
        from rackview.ui import copying  # with the tables that it copies

        text = (copying.plot_text if plot else copying.text_of)(self.screen_widget())
        if text:
            QGuiApplication.clipboard().setText(text)
        copied = _("Copied {n} lines, ready for a spreadsheet.").format(n=text.count("\n"))
        self.navigation.say(copied if text else _("Nothing on this page is a table or a plot to copy."))

    def attempt(self, call: Callable[[], object], said: str, what: str | None) -> None:
        """Do something and say so, or why it can't be."""
        try:
            done = call()
        except (InputError, StoreError) as error:
            self.navigation.say(str(error))
            return
        if done is not None and what is not None:
            self.navigation.say(said.format(what=what))

    def _open_demo(self) -> None:
        session = sessions.fresh_demo(self.session.now)
        self._demo = MainWindow(session, look=self.look.chosen)
        if self.session.advises_behind:
            self._demo.advise_behind()
        self._demo.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._demo.destroyed.connect(session.close)
        self._demo.show()

    def _help(self) -> None:
        self.go("help", registry.HELP.get(self.screen_name, "guide"))

    def tell(self, sentence: str) -> None:
        """Say something that needs more room than the line of what was done."""
        self._files.tell(sentence)

    def _about(self) -> None:
        what = _("rackview {v}: every culture vessel of a live-feed rack at a glance.").format(v=__version__)
        self.tell(what + "\n" + _("The record lies at {place}.").format(place=self.session.place))

    def _toggle_full_screen(self) -> None:
        self.setWindowState(self.windowState() ^ Qt.WindowState.WindowFullScreen)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.WindowStateChange:
            self.commands["full_screen"].setChecked(self.isFullScreen())
        elif event.type() == QEvent.Type.ActivationChange and self.isActiveWindow():
            self._poll.look()

    def closeEvent(self, event: QCloseEvent) -> None:
        self.leave()
        super().closeEvent(event)

    def showEvent(self, event: QShowEvent) -> None:
        if not self._open and not self.testAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen):
            self._poll.start()
            self._minute.begin()
            self.watch.start()
        self._open = True
        super().showEvent(event)
