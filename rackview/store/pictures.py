"""Pictures of samples: files beside the store, each named after what is in it, so that copies never clash."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from rackview.store import beside, errors, files

PICTURES = "pictures"


def pictures_folder(store: Path, store_id: str | None) -> Path:
    """The folder of a store's pictures."""
    return beside.folder_of_store(store, PICTURES, store_id)


def write_picture(folder: Path, data: bytes, kind: str) -> str:
    """Keep a picture and return its name: durable when this returns; raises `StoreError`.

    `kind` is the ending of its name, such as jpg. A picture that is there already is kept once.
    """
    name = f"{hashlib.sha256(data).hexdigest()[:40]}.{kind}"
    with errors.spoken(folder):
        files.make_folder(folder)
        place = folder / name
        if not place.exists():
            part = folder / f".{name}.{os.getpid()}.part"
            with open(part, "wb", opener=files.private) as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            part.replace(place)
            files.sync_folder(folder)
    return name


def beside_copy(copy: Path, store_id: str | None) -> tuple[Path, ...]:
    """Where the pictures of a copy may lie: beside it under its own name, or in the folder of a second backup."""
    return pictures_folder(copy, store_id), copy.parent / PICTURES


def copy_missing(source: Path, target: Path) -> None:
    """Bring the pictures that `target` does not have yet from `source`; raises `StoreError` if that can't be done."""
    with errors.spoken(source):
        for place in sorted(source.iterdir()) if source.is_dir() else ():
            if not place.name.startswith(".") and not (target / place.name).exists():
                write_picture(target, place.read_bytes(), place.suffix.removeprefix("."))


def find(name: str, folders: list[Path]) -> Path | None:
    """Where a picture lies; None if it is in none of the folders."""
    return next((folder / name for folder in folders if (folder / name).is_file()), None)
