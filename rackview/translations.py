"""Which language the program speaks, chosen before anything else of it is loaded.

English, whatever the system's locale, unless the keeper chose another: by an option, by a variable of the
environment, or in the menu of the window, in this order. A language is offered if its catalogue is installed.
"""

from __future__ import annotations

import gettext
import os
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from rackview import language

ENGLISH = "en"
NAMES = {ENGLISH: "English", "es": "Español"}
OPTION = "--language"
VARIABLE = "RACKVIEW_LANGUAGE"
FOLDER = Path(__file__).parent / "locale"
KEPT = "window.ini"
KEY = "language"
_now = [ENGLISH]


def languages() -> tuple[str, ...]:
    """The languages that can be spoken here, English first."""
    return tuple(code for code in NAMES if code == ENGLISH or _place(code).exists())


def current() -> str:
    """The code of the language that is spoken."""
    return _now[-1]


def install_language(words: Sequence[str], known: Mapping[str, str] = os.environ) -> str:
    """Speak what is wanted by a command line, the environment or the keeper's choice; return its code.

    A language that is not there is English, as is a catalogue that can't be read.
    """
    code = _in(words) or known.get(VARIABLE, "") or _kept()
    if code not in NAMES or code == ENGLISH:
        return ENGLISH
    catalogue = _read(code)
    if catalogue is None:
        return ENGLISH
    language.use(catalogue)
    _now.append(code)
    os.environ[VARIABLE] = code  # for the processes that this one starts
    return code


def catalogues() -> list[gettext.GNUTranslations]:
    """The words of every language that can be spoken here but English."""
    return [found for code in NAMES if code != ENGLISH and (found := _read(code)) is not None]


def _read(code: str) -> gettext.GNUTranslations | None:
    with suppress(OSError, UnicodeDecodeError), _place(code).open("rb") as file:
        return gettext.GNUTranslations(file)
    return None


def _place(code: str) -> Path:
    return FOLDER / code / "LC_MESSAGES" / "rackview.mo"


def _in(words: Sequence[str]) -> str:
    """The language that a command line asks for; what is wrong with one is said when it is read as a whole."""
    found = ""
    for word, after in zip(words, [*words[1:], ""], strict=False):
        if word == OPTION:
            found = after
        elif word.startswith(f"{OPTION}="):
            found = word.partition("=")[2]
    return found


def _kept() -> str:
    """What was chosen in the window, from the settings of this PC."""
    with suppress(OSError, UnicodeDecodeError):
        text = (_settings() / KEPT).read_text(encoding="utf-8")
        for line in text.splitlines():
            key, _equals, value = line.partition("=")
            if key.strip() == KEY:
                return value.strip()
    return ""


def _settings() -> Path:
    """The folder of this PC's settings, as `services.places` has it.

    The usual one on Linux (XDG Base Directory Specification 0.8) is known without asking platformdirs, which loads what
    makes temporary files: a fortieth of each command.
    """
    if sys.platform == "linux" and not os.environ.get("XDG_CONFIG_HOME"):
        return Path("~/.config/rackview").expanduser()
    from platformdirs import user_config_path

    return user_config_path("rackview", appauthor=False)
