"""A disk that goes bad or fills up: pages turned to noise, and a round with hardly any room left."""

from __future__ import annotations

import random
import shutil
import subprocess
from datetime import timedelta
from pathlib import Path

from torture.harness import MORNING, PAGE, hold, make, note, texts

from rackview.core.parse import event_from_row
from rackview.services.rack_session import RackSession
from rackview.store import Store, StoreError
from rackview.store.restore import restore
from rackview.store.verify import check


def pages(count: int, folder: Path, seed: int = 3) -> str:
    """Overwrite or blank pages of the file: check says so, restore brings every entry back."""
    chance = random.Random(seed)  # noqa: S311 - the same at every run
    path = folder / "rack.db"
    make(path)
    with Store.open(path, "write") as store:
        store.append([event_from_row(note(f"n{i} " + "x" * (600 + i % 90), i)) for i in range(max(40, 5 * count))])
    before = sorted(texts(path))
    sound = path.read_bytes()
    whole = len(sound) // PAGE
    for number in [0, *(chance.sample(range(1, whole), min(count, whole) - 1))]:
        noise = chance.randbytes(PAGE) if chance.random() < 0.5 else bytes(PAGE)
        path.write_bytes(sound[: number * PAGE] + noise + sound[(number + 1) * PAGE :])
        found = check(path)
        hold(bool(found) and found[0].damage and "restore" in str(found[0]), f"page {number}: {found}")
        restore(path, None, MORNING)
        hold(sorted(texts(path)) == before, f"page {number}: not everything came back")
        hold(not check(path), f"page {number}: not clean after restore")
    tried = min(count, whole)
    return f"{tried} of {whole} pages spoilt one by one: each named by check, all {len(before)} entries restored"


def full(steps: int, folder: Path) -> str:
    """A round on a small disk with ever more room left: each entry is kept whole or refused with the right sentence."""
    disk = folder / "small"
    disk.mkdir()
    refused = kept = 0
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(disk)], check=True)
    try:
        for step in range(steps):
            for rest in disk.iterdir():
                shutil.rmtree(rest) if rest.is_dir() else rest.unlink()
            path = disk / "rack.db"
            make(path)
            session = RackSession(Store.open(path, "write"), lambda: MORNING + timedelta(days=1), pc="shed")
            ballast = shutil.disk_usage(disk).free - step * PAGE
            (disk / "ballast").write_bytes(bytes(max(ballast, 0)))
            said: list[str] = []
            for number in range(30):
                text = f"f{number} " + "y" * 300
                session.save_draft("round", {"V1": text})
                try:
                    session.record(note(text, number))
                    said.append(text)
                except StoreError as error:
                    refused += 1
                    hold(error.kind == "full" and "is full" in str(error), f"{error.kind}: {error}")
                    hold(session.draft("round") == {"V1": text}, "the draft was lost")
                hold([e.text for e in session.rack.events()] == said, "the window shows something else")
            (disk / "ballast").unlink()
            session.record(note("after", 99))
            session.close()
            hold(texts(path) == [*said, "after"], "half-written")
            hold(not check(path), [str(f) for f in check(path)])
            kept += len(said)
    finally:
        subprocess.run(["umount", str(disk)], check=True)
    return f"{steps} sizes of a full disk: {refused} entries refused with the right sentence, {kept} kept, none by half"
