"""A picture of the sample beside a count: taken from a file, kept with the store, found again. It is not counted."""

from __future__ import annotations

import platform
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from rackview.core.errors import InputError
from rackview.language import _
from rackview.services.folders import SECOND
from rackview.store import StoreError, backup, pictures

if TYPE_CHECKING:
    from rackview.services.rack_session import RackSession

LARGEST = 25_000_000
KINDS = {b"\xff\xd8\xff": "jpg", b"\x89PNG\r\n\x1a\n": "png", b"BM": "bmp", b"RIFF": "webp"}
"""How the file of each kind of picture begins."""
WANTED = _("a picture file (JPEG, PNG, WebP or BMP) of at most 25 MB")


def keep_picture(session: RackSession, path: str) -> str:
    """Keep the picture in a file with the store and return its name; raises `InputError` or `StoreError`."""
    data = read_picture(path)
    kind = next(kind for begin, kind in KINDS.items() if data.startswith(begin))
    return pictures.write_picture(pictures.pictures_folder(session.place, session.store_id()), data, kind)


def read_picture(path: str) -> bytes:
    """What is in a picture's file; raises `InputError` for what is none."""
    place = Path(path.strip()).expanduser()
    try:
        data = place.read_bytes() if place.is_file() and place.stat().st_size <= LARGEST else b""
    except OSError:
        data = b""
    if not any(data.startswith(begin) for begin in KINDS):
        raise InputError("picture", path, WANTED)
    return data


def picture_path(session: RackSession, name: str) -> Path | None:
    """Where a kept picture lies: beside the store, or in the second folder; None if it is away."""
    mine = session.store_id()
    folders = [pictures.pictures_folder(session.place, mine)]
    with suppress(StoreError):
        second = session.folders.place(SECOND)
        if second is not None:
            folders.append(second / backup.home_name(session.place, mine, platform.node()) / pictures.PICTURES)
    return pictures.find(name, folders)
