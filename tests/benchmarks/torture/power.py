"""Power cuts: writes since the last sync are dropped or torn, and every acknowledged entry survives."""

from __future__ import annotations

import contextlib
import os
import random
import shutil
from collections.abc import Iterator
from pathlib import Path

from torture.harness import MORNING, hold, make, note, texts

from rackview.core.parse import event_from_row
from rackview.store import Store, StoreError
from rackview.store.daybook import DayBook
from rackview.store.restore import restore
from rackview.store.verify import check

SECTOR = 512


def torn(before: bytes, after: bytes, chance: random.Random) -> bytes:
    """What a disk may hold of a file whose last synced content is `before` and that was being made into `after`.

    Each sector is the old or the new one, and the file may be as long as before, as after, or between.
    """
    kept = chance.choice(
        [len(before), len(after), chance.randint(min(len(before), len(after)), max(len(before), len(after)))]
    )
    mode = chance.choice(["drop", "keep", "tear"])
    pieces = []
    for at in range(0, kept, SECTOR):
        old, new = before[at : at + SECTOR], after[at : at + SECTOR]
        pick = {"drop": False, "keep": True, "tear": chance.random() < 0.5}[mode]
        piece = (new if pick else old).ljust(min(SECTOR, kept - at), b"\0")
        pieces.append(piece[: kept - at])
    return b"".join(pieces)


def snapshot(path: Path) -> dict[str, bytes]:
    """The bytes of everything that belongs to a store, but for the shared memory, which no power cut leaves."""
    files = [path, Path(f"{path}-wal"), *DayBook.of(path).folder.glob("*")]
    return {str(f.relative_to(path.parent)): f.read_bytes() for f in files if f.is_file()}


def lay(folder: Path, files: dict[str, bytes]) -> None:
    """Write files into an empty folder."""
    shutil.rmtree(folder, ignore_errors=True)
    for name, content in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)


Moment = tuple[dict[str, bytes], dict[str, bytes]]
"""The files as they are, and the day book as it was last synced."""


@contextlib.contextmanager
def watched(path: Path, seen: list[Moment]) -> Iterator[None]:
    """Note the files before and after each fsync of the day book, and at the end."""
    real = os.fsync
    synced = snapshot(path)

    def fsync(handle: int) -> None:
        nonlocal synced
        seen.append((snapshot(path), synced))
        real(handle)
        synced = snapshot(path)
        seen.append((synced, synced))

    os.fsync = fsync
    try:
        yield
    finally:
        os.fsync = real
        seen.append((snapshot(path), synced))


def power(count: int, folder: Path, seed: int = 2) -> str:
    """Cut the power during entries: every acknowledged one survives.

    Half of the cuts take from the files only what came after the last acknowledged entry, as the store syncs each.
    The other half believe nothing the database ever synced: its file and its log are torn between their state at the
    start of the session and now, and the day book alone must answer for every entry.
    """
    chance = random.Random(seed)  # noqa: S311 - the same at every run
    done = restored = 0
    session = 0
    while done < count:
        session += 1
        path = folder / f"power-{session}" / "rack.db"
        path.parent.mkdir()
        make(path)
        acknowledged: list[str] = []
        with Store.open(path, "write") as store:
            if session % 2:
                store.connection.execute("PRAGMA wal_autocheckpoint = 4")  # so that the file itself is written to often
            begun = synced = snapshot(path)
            for number in range(12):
                moments: list[Moment] = []
                text = f"p{session}-{number}"
                with watched(path, moments):
                    store.append([event_from_row(note(text, number))])
                for now, book in chance.sample(moments, min(3, len(moments))):
                    cut = folder / "cut"
                    wild = chance.random() < 0.5
                    restored += _survives(cut, path.name, (begun, synced, book, now), acknowledged, chance, wild=wild)
                    done += 1
                acknowledged.append(text)
                synced = moments[-1][0]
        shutil.rmtree(path.parent)
    return f"{done} power cuts: every acknowledged entry survived, {restored} of them through restore"


def _survives(
    cut: Path,
    name: str,
    states: tuple[dict[str, bytes], ...],
    acknowledged: list[str],
    chance: random.Random,
    *,
    wild: bool,
) -> bool:
    begun, synced, book, now = states
    files = {}
    checkpointed = now[name] != synced[name]
    for one, content in now.items():
        base = book if "daybook" in one else begun if wild else synced
        # SQLite writes into the file itself only what its log holds on the disk already
        safe = checkpointed and one.endswith("-wal") and not wild
        files[one] = content if safe else torn(base.get(one, b""), content, chance)
    lay(cut, files)
    path = cut / name
    there: list[str] = []
    try:
        there = texts(path)
        clean = not any(f.damage for f in check(path)) and set(acknowledged) <= set(there)
    except StoreError as error:
        hold(wild, f"without the database's fsync denied: {error}")
        clean = False
    if not clean:
        hold(wild, f"without the database's fsync denied: lost {set(acknowledged) - set(there)} or damaged")
        restore(path, None, MORNING)
        there = texts(path)
    hold(set(acknowledged) <= set(there), f"lost {set(acknowledged) - set(there)}")
    hold(len(there) == len(set(there)), "doubled")
    found = check(path)
    hold(not found, [str(f) for f in found])
    return not clean
