"""Files and folders of the store: found behind any link, for the keeper's eyes only, and durable."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from rackview.store import errors

FILE, FOLDER = 0o600, 0o700
"""Modes of what we make: nobody else on the PC reads a keeper's record, or writes to it."""


def real(path: Path | str) -> Path:
    """The file itself where `path` is a link to it, so that a store has one day book; raises `StoreError`."""
    try:
        return Path(path).resolve()
    except (OSError, RuntimeError, ValueError) as error:  # a link that leads in a circle, a name that none can be
        raise errors.gone(Path(path)) from error


def make_folder(folder: Path) -> None:
    """Make a folder and those above it where they are not there yet; raises `OSError`."""
    missing = []
    while not folder.is_dir():
        missing.append(folder)
        if folder == folder.parent:
            break
        folder = folder.parent
    for one in reversed(missing):
        one.mkdir(FOLDER, exist_ok=True)


def make_file(path: Path) -> None:
    """Make an empty file, for others to open; one that is there already is not even opened. Raises `OSError`."""
    with suppress(FileExistsError):
        os.close(private(str(path), os.O_CREAT | os.O_EXCL | os.O_WRONLY))


def private(path: str, flags: int) -> int:
    """An opener for `open` whose new files are the keeper's own."""
    return os.open(path, flags, FILE)


def sync_file(path: Path) -> None:
    """Make what was written to a file durable; nobody may have it open as a store. Raises `OSError`."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Make new names in a folder durable, where the system has a way to."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
