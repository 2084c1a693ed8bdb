"""Stores of any size, made by the store's own way in and kept from one run to the next.

A keeper's record without surprises: each vessel is counted about every other day, fed now and then, harvested back when
it is dense, cleaned once a week; a little over one event a day. The same size gives the same store.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from suite.row import child

from rackview.core.events import Clean, Count, Event, Feed, Harvest
from rackview.core.vessel import Vessel
from rackview.store import Store, TableRow

END = datetime(2026, 6, 1, 10, tzinfo=UTC)
"""The moment at which every made store is looked at."""
FORM = 1
"""Counted up when what is made changes, so that no older store is taken for it."""
BATCH = 50_000


def vessels(number: int) -> list[Vessel]:
    """So many vessels, twelve on a shelf."""
    return [
        Vessel(f"V{i:04}", "rotifer-L", f"S{i // 12 + 1:02}", i % 12 + 1, 20.0, reserve=i % 12 == 0)
        for i in range(number)
    ]


def events(number: int, years: float) -> Iterator[Event]:
    """A record of so many vessels and years up to `END`, in order of time."""
    import numpy as np

    rng = np.random.default_rng(7)
    days = max(2, round(365.25 * years))
    start = END.replace(hour=6) - timedelta(days=days - 1)
    density = 150.0 + 60.0 * rng.random(number)
    for day in range(days):
        density *= np.exp(rng.normal(0.12, 0.03, number))
        tallies = rng.poisson(np.outer((1.0, 1.0, 1.0), density))
        for i in range(number):
            at = start + timedelta(days=day, seconds=7 * i)
            said = {"at": at, "vessel": f"V{i:04}", "entered_at": at, "entered_by": "Ann", "entered_on": "shed"}
            if (day + i) % 2 == 0:
                yield Count(tallies=tuple(map(int, tallies[:, i])), **said)
            if (day + i) % 5 == 0:
                yield Feed(feed="algae", amount=4.0, **said)
            if density[i] > 240.0:
                yield Harvest(volume_l=6.0, refill_l=6.0, **said)
                density[i] *= 0.7
            if (day + i) % 7 == 0:
                yield Clean(what="floss", **said)


def made(folder: Path, number: int, years: float) -> Path:
    """The store of that size, made if it is not there yet; closed as a window closes it."""
    path = folder / f"made-{FORM}-{number}-{years:g}" / "rack.db"
    if not path.exists():
        part = path.parent.with_name(path.parent.name + ".part")
        shutil.rmtree(part, ignore_errors=True)
        part.mkdir(parents=True)
        fill(part / "rack.db", number, years)
        (part / "end").write_text(END.isoformat())
        part.replace(path.parent)
    settle(path)
    return path


def fill(path: Path, number: int, years: float) -> int:
    """Write such a store; return its number of events."""
    begun = END - timedelta(days=366 * years + 1)
    total = 0
    with Store.open(path, "write") as store:
        store.write(rows=[TableRow("vessel", v.vessel, v.row(), begun) for v in vessels(number)])
        batch: list[Event] = []
        for event in events(number, years):
            batch.append(event)
            if len(batch) == BATCH:
                total += len(store.append(batch))
                batch = []
        total += len(store.append(batch))
    return total


def settle(path: Path) -> None:
    """Use a store in the program's own window until nothing is left to be worked out, so that all is kept that can be.

    Raises `RuntimeError` where a long record has nothing kept then: every start would be measured as the first one is.
    """
    if _kept(path):
        return
    child("window", path, "settle")
    if not _kept(path):
        raise RuntimeError(f"nothing is kept in {path} after it was used and closed")


def _kept(path: Path) -> bool:
    """Whether what is believed at the store's newest snapshot is kept by this very program; so with every short one."""
    from rackview.services.memory import holds

    with Store.open(path) as store:
        if not store.is_long():
            return True
        newest = store.snapshot()
        made = {} if newest is None else store.made_by(newest)
        rack = store.read_soon(lambda *_: {}, holds)[0] if made else None
        return rack is not None and all(holds(rack, name, by) for name, by in made.items())


def copied(store: Path, folder: Path) -> Path:
    """A store and all that lies beside it in a fresh folder, to be written to."""
    target = folder / "copy"
    shutil.rmtree(target, ignore_errors=True)
    shutil.copytree(store.parent, target)
    return target / store.name
