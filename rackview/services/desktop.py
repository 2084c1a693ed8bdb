"""rackview in the applications menu of a Linux desktop: entry, icon and description, for this user alone.

Where: the XDG base directories and the icon theme's hicolor folders (freedesktop.org: Desktop Entry Specification 1.5,
Icon Theme Specification, AppStream 1.0; sections from memory). An installed package lays its files where no desktop
looks, so they are copied; they can be taken out again.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from pkgutil import get_data

from rackview.core.errors import InputError
from rackview.language import _

APP_ID = "alt.rackview.rackview"
"""Reverse domain names are asked for; “alt” belongs to no one's domain (RFC 9476, from memory)."""

PLACES = {
    "desktop": "applications",
    "svg": "icons/hicolor/scalable/apps",
    "png": "icons/hicolor/256x256/apps",
    "metainfo.xml": "metainfo",
}
"""By the ending of the file, the folder it goes to."""

MANUAL = "rackview.1"
"""The manual page, made from the words of the command line (contributors' guide, “Release”)."""

RESERVED = set(" \t\n\"'\\><~|&;$*?#()`")
"""What an argument of Exec must be quoted for (Desktop Entry Specification, “The Exec key”)."""


def install_menu_entry(command: Sequence[str] | None = None, folder: Path | None = None) -> list[Path]:
    """Put the entry in the menu, which starts `command` (this program if None); return the files.

    Raises `InputError` on a system without such menus, `OSError` if a file can't be written.
    """
    _refuse_other_systems()
    written = []
    for target, source in _files(folder or data_home()).items():
        data = get_data("rackview.resources", f"linux/{source}") or b""
        if source.endswith(".desktop"):
            data = with_command(data.decode(), command or this_program()).encode()
        target.parent.mkdir(parents=True, exist_ok=True)
        part = target.with_name(f".{target.name}.part")
        part.write_bytes(data)
        part.replace(target)
        written.append(target)
    return written


def remove(folder: Path | None = None) -> list[Path]:
    """Take it out of the menu again; return the files that were there."""
    _refuse_other_systems()
    found = [p for p in _files(folder or data_home()) if p.exists()]
    for path in found:
        path.unlink()
    return found


def installed(folder: Path | None = None) -> bool:
    """Whether the entry is in the menu."""
    return possible() and all(p.exists() for p in _files(folder or data_home()))


def possible() -> bool:
    """Whether this system has such menus."""
    return sys.platform.startswith(("linux", "freebsd"))


def with_command(entry: str, command: Sequence[str]) -> str:
    """The desktop entry with what it starts; the rest stays."""
    lines = []
    for line in entry.splitlines():
        if line.startswith("Exec="):
            lines.append("Exec=" + escaped(" ".join(map(quoted, command))))
            lines.append("TryExec=" + escaped(command[0]))
        else:
            lines.append(line)
    return "\n".join(lines) + "\n"


def quoted(argument: str) -> str:
    """An argument as Exec wants it."""
    plain = argument.replace("%", "%%")
    if plain and not RESERVED & set(plain):
        return plain
    return '"' + "".join(f"\\{c}" if c in '"`$\\' else c for c in plain) + '"'


def escaped(value: str) -> str:
    """A string value of a desktop entry."""
    return value.replace("\\", "\\\\").replace("\n", "\\n").replace("\t", "\\t")


def this_program() -> list[str]:
    """How this program is started: by its own command if it has one, else through the interpreter."""
    own = Path(sys.argv[0]).absolute()
    if own.name in {"rackview", "rackview-window"} and os.access(own, os.X_OK):
        return [str(own)]
    beside = Path(sys.executable).with_name("rackview")
    if os.access(beside, os.X_OK):
        return [str(beside)]
    return [sys.executable, "-m", "rackview"]


def data_home(known: Mapping[str, str] = os.environ) -> Path:
    """The user's own data folder, where desktops look; a relative one does not count (XDG Base Directory)."""
    said = Path(known.get("XDG_DATA_HOME", ""))
    return said if said.is_absolute() else Path.home() / ".local" / "share"


def _files(folder: Path) -> dict[Path, str]:
    own = {folder / where / f"{APP_ID}.{ending}": f"{APP_ID}.{ending}" for ending, where in PLACES.items()}
    return {**own, folder / "man" / "man1" / MANUAL: MANUAL}


def _refuse_other_systems() -> None:
    if not possible():
        raise InputError(
            "install-desktop", sys.platform, _("a Linux desktop; elsewhere make a shortcut to rackview-window")
        )
