"""The folders beside a store. Each has the store's id in its name, so that two stores which share a name never mix.

Folders that an older program made have no id yet. They are found under their plain names, and renamed by whoever next
opens the store for writing.
"""

from __future__ import annotations

import re
from contextlib import suppress
from pathlib import Path

from rackview.store import files

BOOK, COPIES = "daybook", "backups"
ID = re.compile(r"-[0-9a-f]{8}\Z")


def short(store_id: str | None) -> str:
    """The beginning of a store's id, as it stands in names and sentences; “unknown” where there is none."""
    return (store_id or "")[:8] or "unknown"


def older_folder(store: Path, what: str) -> Path:
    """The folder of an older program: the store's name with what it is after it."""
    return Path(f"{files.real(store)}.{what}")


def folder_of_store(store: Path, what: str, store_id: str | None) -> Path:
    """The folder of the store with this id."""
    return Path(f"{files.real(store)}.{what}-{short(store_id)}")


def folders(store: Path, what: str) -> list[Path]:
    """All that are there, of whichever store of this name; the plain one last."""
    begin = older_folder(store, what)
    found: list[Path] = []
    with suppress(OSError):
        for path in begin.parent.iterdir():
            rest = path.name.removeprefix(begin.name)
            if path.name.startswith(begin.name) and (not rest or ID.match(rest)) and path.is_dir():
                found.append(path)
    return sorted(found, reverse=True)


def ending(store: Path, folder: Path) -> str:
    """What a folder's name has after the store's."""
    return folder.name.removeprefix(files.real(store).name)
