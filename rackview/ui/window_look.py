"""How one window looks: light, dark or as the system has it, and tiles to be read from near or across the room."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from rackview import translations
from rackview.language import _
from rackview.services import desktop
from rackview.ui import base, theme
from rackview.ui.commands import COMMANDS, LANGUAGE
from rackview.ui.preferences import LOOKS, WindowSettings

if TYPE_CHECKING:
    from rackview.ui.window import MainWindow


class WindowLook(QObject):
    """The look of one window, kept for the next start."""

    def __init__(self, window: MainWindow, settings: WindowSettings, look: str | None) -> None:
        super().__init__(window)
        self._window = window
        self._settings = settings
        self.chosen = look or settings.look
        self.theme = self._wanted()
        self._dress()
        hints = QGuiApplication.styleHints()
        hints.colorSchemeChanged.connect(self._system_changed)
        hints.accessibility().contrastPreferenceChanged.connect(self._system_changed)

    def choose(self, look: str) -> None:
        """Light, dark, or as the system has it."""
        self.chosen = self._settings.look = look
        self.mark()
        self._redress()

    def choose_language(self, code: str) -> None:
        """Speak a language from the next start on; tables of words are made when the program starts."""
        self._settings.language = code
        self.mark()
        self._window.navigation.say(_("{language} from the next start on.").format(language=translations.NAMES[code]))

    def calls(self) -> dict[str, Callable[[], object]]:
        """What the commands of the look and the language do."""
        looks: dict[str, Callable[[], object]] = {look: partial(self.choose, look) for look in LOOKS}
        return looks | {n: partial(self.choose_language, n.removeprefix(LANGUAGE)) for n in self._languages()}

    @staticmethod
    def _languages() -> tuple[str, ...]:
        return tuple(c.name for c in COMMANDS if c.name.startswith(LANGUAGE))

    def mark(self) -> None:
        """Tick what the window is set to; a second press of a ticked look leaves it ticked."""
        commands = self._window.commands
        for look in LOOKS:
            commands[look].setChecked(look == self.chosen)
        for name in self._languages():
            commands[name].setChecked(name == LANGUAGE + self._settings.language)
        commands["far"].setChecked(self._settings.far)
        commands["desktop"].setChecked(desktop.installed())
        commands["desktop"].setVisible(desktop.possible())

    @property
    def far(self) -> bool:
        """Whether tiles are drawn to be read from across the room."""
        return self._settings.far

    def toggle_far(self) -> None:
        """Draw tiles for across the room, or for near."""
        self._settings.far = self._window.commands["far"].isChecked()
        self._window.go("rack")
        base.call(self._window.screens["rack"], "set_glance", self._settings.far)

    def _wanted(self) -> theme.Theme:
        return theme.THEMES[self.chosen] if self.chosen in theme.THEMES else theme.for_system()

    def _system_changed(self) -> None:
        if self.chosen == LOOKS[0]:
            self._redress()

    def _redress(self) -> None:
        self.theme = self._wanted()
        self._dress()
        self._window.trouble.apply_theme(self.theme)
        self._window.reminder_bar.apply_theme(self.theme)
        for screen in self._window.screens.values():
            base.dress(screen, self.theme)

    def _dress(self) -> None:
        app = QApplication.instance()
        if isinstance(app, QApplication):
            theme.apply_theme(app, self.theme)
