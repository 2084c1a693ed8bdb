"""What a keeper waits for after an entry, in the window and on the disk."""

from __future__ import annotations

import json
import sqlite3
import time
from datetime import timedelta
from pathlib import Path

from suite.row import FRAME_S, Found, Row, Size, child, medians
from suite.stores import END, copied, made


def _shown(size: Size) -> dict[str, float]:
    store = copied(made(size.folder, size.vessels, size.years), size.scratch())
    found: dict[str, float] = json.loads(child("entries", store, str(8 * size.rounds)).said)
    return found


def _tile(size: Size) -> Found:
    found = _shown(size)
    return Found(1000 * found["tile"], 1000 * FRAME_S, "ms", f"entry itself {1000 * found['entry']:.1f} ms")


def _list(size: Size) -> Found:
    found = _shown(size)
    minute, stop = 1000 * found["minute"], 1000 * found["stop"]
    said = f"first of a minute {minute:.0f} ms; longest stop of the window {stop:.0f} ms"
    return Found(1000 * found["list"], 100.0, "ms", said)


def _durable(size: Size) -> Found:
    from rackview.core.events import Count
    from rackview.store import Store

    path = copied(made(size.folder, size.vessels, size.years), size.scratch())
    raw = sqlite3.connect(path.with_name("raw.db"), isolation_level=None)
    raw.execute("PRAGMA journal_mode = WAL")
    raw.execute("PRAGMA synchronous = FULL")
    raw.execute("CREATE TABLE entries (id INTEGER PRIMARY KEY, said TEXT)")
    with Store.open(path, "write") as store:
        count = iter(range(10_000))

        def ours() -> float:
            event = Count(at=END - timedelta(seconds=next(count)), vessel="V0001", tallies=(200, 190, 210))
            begun = time.perf_counter()
            store.append([event])
            return time.perf_counter() - begun

        def theirs() -> float:
            begun = time.perf_counter()
            raw.execute("INSERT INTO entries (said) VALUES (?)", ("x" * 200,))
            return time.perf_counter() - begun

        found = medians(40 * size.rounds, ours, theirs)
    raw.close()
    return Found(*(1000 * one for one in found), "ms")


def _back_dated(size: Size) -> Found:
    store = copied(made(size.folder, 12, size.long_years), size.scratch())
    years = min(8.0, 0.8 * size.long_years)
    found = json.loads(child("entries", store, "5", f"{365 * years:g}").said)
    return Found(found["tile"], 0.5, "s")


def shown_after(store: Path, entries: int) -> float:
    """Median seconds from an entry to its tile."""
    return float(json.loads(child("entries", store, str(entries)).said)["tile"])


TILE = (
    "the entry itself waits for two writes to the disk, the store's and the day book's; then the estimate of that one "
    "vessel moves on, its rules are asked, and its tile is painted before the others are looked at (270 ms when all "
    "were looked at first). What was written is not read back and no other tile is laid out, which took a fifth off "
    "(18 ms of 83 on a busy machine, standard error 5). On the same machine with nothing else at work it was 13 ms "
    "before that, of which the two writes take 2; a busy one multiplies it."
)
LIST = (
    "one vessel is looked at anew, and of the first entry of a minute every one, as time has passed for all, which the "
    "window's own timer usually did before; then the days ahead are played four times, all in Python and numpy behind "
    "the window. The clock of this row goes on by 20 s from entry to entry."
)
OLD = (
    "the window says at once that an entry so old is being worked in, and leaves its tile as it was: nothing is "
    "painted, so this row waits for the tile that has it, and no longer takes that of before for it. Only the "
    "histories that culture joins to its own are read anew, and of these that vessel alone is thought through before "
    "its tile is shown, which takes 2.5 to 4 s of processor time on a busy machine; all 12, and what is kept for the "
    "next start, took 10 before. Of 2.6 s reading takes 0.1 and what is no number of the filter 0.5, as much as the "
    "target. The rest moves the filter over 1,827 counts, one after the other and more than a millisecond each; going "
    "on from just before the entry would leave out those of two years, a fifth. None after it can be left out: 1,459 "
    "counts later 235 of the 260 numbers still differ from those without the entry, as scatter and weights rest on all."
)
ROWS = (
    Row("entry-tile", "Entry to its painted tile, 48 vessels x 3 years", "a frame, 16.7 ms", 1.0, _tile, TILE),
    Row("entry-list", "Entry to the day's suggestions", "100 ms", 1.0, _list, LIST),
    Row("entry-durable", "Durable entry", "one raw sqlite3 commit", 3.0, _durable),
    Row("entry-old", "Entry of eight years ago to its tile, 12 vessels x 10 years", "0.5 s", 1.0, _back_dated, OLD),
)
