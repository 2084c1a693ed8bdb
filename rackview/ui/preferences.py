"""This PC's own settings: where the window was, its look, the last screen. Losing them loses nothing that matters."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, QSettings

from rackview import translations

LOOKS = ("follow_system", "light", "dark", "high-contrast-light", "high-contrast-dark")


class WindowSettings:
    """A checked face for QSettings; without one (pictures, the demo beside one's own rack) nothing outlives it."""

    def __init__(self, settings: QSettings | None) -> None:
        self._settings = settings
        self._unkept: dict[str, object] = {}

    def _read(self, key: str, usual: str) -> str:
        if self._settings is None:
            return str(self._unkept.get(key, usual))
        return str(self._settings.value(key, usual))

    def _write(self, key: str, value: object) -> None:
        if self._settings is None:
            self._unkept[key] = value
        else:
            self._settings.setValue(key, value)

    @property
    def look(self) -> str:
        """One of LOOKS."""
        found = self._read("look", LOOKS[0])
        return found if found in LOOKS else LOOKS[0]

    @look.setter
    def look(self, value: str) -> None:
        self._write("look", value)

    @property
    def language(self) -> str:
        """The code of the language to speak from the next start on."""
        return self._read(translations.KEY, translations.ENGLISH)

    @language.setter
    def language(self, value: str) -> None:
        self._write(translations.KEY, value)

    @property
    def far(self) -> bool:
        """Whether tiles are drawn to be read from afar."""
        return self._read("far", "no") == "yes"

    @far.setter
    def far(self, value: bool) -> None:
        self._write("far", "yes" if value else "no")

    @property
    def paper(self) -> str:
        """The paper that was printed on last, in a word."""
        return self._read("paper", "A5")

    @paper.setter
    def paper(self, value: str) -> None:
        self._write("paper", value)

    @property
    def reminder(self) -> str:
        """At what hour the keeper wants to be reminded, such as 18:00; empty for never."""
        return self._read("reminder", "")

    @reminder.setter
    def reminder(self, value: str) -> None:
        self._write("reminder", value)

    @property
    def reminded(self) -> str:
        """The day of the last reminder, such as 2026-03-01; empty for none."""
        return self._read("reminded", "")

    @reminded.setter
    def reminded(self, value: str) -> None:
        self._write("reminded", value)

    @property
    def screen(self) -> str:
        """The screen that was open last."""
        return self._read("screen", "rack")

    @screen.setter
    def screen(self, value: str) -> None:
        self._write("screen", value)

    @property
    def geometry(self) -> QByteArray:
        """Where the window was, or nothing."""
        found = None if self._settings is None else self._settings.value("geometry")
        return found if isinstance(found, QByteArray) else QByteArray()

    @geometry.setter
    def geometry(self, value: QByteArray) -> None:
        self._write("geometry", value)
