"""Which files are copies that this program made of a store and verified: their digests, kept beside the store.

A file whose digest stands there is byte for byte such a copy, wherever it lay meanwhile: it can be put back as it is.
Of any other file nothing is known: it is read and checked entry by entry.
"""

from __future__ import annotations

import hashlib
import os
import re
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import IO

from rackview.store import files
from rackview.store.compared import CHUNK

LIST = "copies.sha256"
MOST, ALIKE = 500, 4
"""Copies that are remembered, the newest; those of a day are thinned out long before. And of one name, as a shared
folder's is made anew at every change, and that of a day in two folders."""
UNFIT = re.compile(r"[^\w .-]")
UNFINISHED = re.compile(r"\..+\.\d+-\d+\.part(-journal|-wal|-shm)?")
"""A copy, or the list of them, that has no name of its own yet."""
ABANDONED_S = 600.0
"""A copy that is being made, by another PC perhaps, is written to more often."""
LINE = re.compile(r"[0-9a-f]{64}  .+")


def digest_of(path: Path, look: Callable[[], object], into: IO[bytes] | None = None) -> str:
    """The SHA-256 of a file that nobody has open as a store; what was read may go `into` another file.

    `look` is called again and again, and may raise. Raises `OSError`.
    """
    running = hashlib.sha256()
    with path.open("rb") as file:
        while read := file.read(CHUNK):
            look()
            running.update(read)
            if into is not None:
                into.write(read)
    return running.hexdigest()


def remember_copy(folder: Path, digest: str, name: str) -> None:
    """Note a copy's digest in the folder of a store's copies, in a file that sha256sum reads too.

    Where nothing can be written there it is left: such a copy is one of which nothing is known.
    """
    with suppress(OSError):
        files.make_folder(folder)
        listed, part = folder / LIST, folder / f".{LIST}.{os.getpid()}-{threading.get_native_id()}.part"
        known, name = _known(listed), UNFIT.sub("?", name)
        alike = [line for line in known if line.endswith(f"  {name}")]
        known = [line for line in known if line not in alike[: 1 - ALIKE]]
        files.make_file(part)
        part.write_text("".join(f"{line}\n" for line in [*known[1 - MOST :], f"{digest}  {name}"]), encoding="utf-8")
        files.sync_file(part)
        part.replace(listed)


def made_here(folder: Path, digest: str) -> bool:
    """Whether a file with this digest is a copy that was noted in that folder."""
    return any(line.startswith(digest) for line in _known(folder / LIST))


def _known(listed: Path) -> list[str]:
    with suppress(OSError, UnicodeDecodeError):
        return [line for line in listed.read_text(encoding="utf-8").splitlines() if LINE.fullmatch(line)]
    return []


def clear_abandoned(folder: Path, just_made: Path) -> None:
    """Clear away what is left of copies that were ended while they were made; what may still be made stays.

    A file that was just made there tells the time by the clock of that disk.
    """
    with suppress(OSError):
        since = just_made.stat().st_mtime - ABANDONED_S
        for left in folder.iterdir():
            if UNFINISHED.fullmatch(left.name) and left.stat().st_mtime < since:
                left.unlink()
