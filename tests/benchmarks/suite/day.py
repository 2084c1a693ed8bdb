"""A window that is used all day, and one that is left alone."""

from __future__ import annotations

from suite.row import Found, Row, Size, child
from suite.stores import copied, made

SECOND_MS = 1000.0
ENTRIES = 10_000


def _memory(size: Size) -> Found:
    store = copied(made(size.folder, size.vessels, size.years), size.scratch())
    first, last = map(float, child("all_day", store, str(size.entries)).said.split())
    return Found(last, first, "MB", "" if size.entries == ENTRIES else f"{size.entries:,} entries in its place")


def _idle(size: Size) -> Found:
    store = made(size.folder, size.vessels, size.years)
    ours = float(child("window", store, "idle", f"{size.idle_s:g}").said.split()[0])
    bare = float(child("bare_window", f"{size.idle_s:g}").said.split()[0])
    return Found(1000 * ours, max(1000 * bare, 1.0), "ms", f"over {size.idle_s:g} s")


def _timer(size: Size) -> Found:
    store = made(size.folder, size.vessels, size.years)
    shortest = float(child("window", store, "idle", "1").said.split()[1])
    return Found(SECOND_MS, shortest, "ms", "the shortest timer is the reference")


MEMORY = (
    "a window of 12 vessels that took 2,400 entries over eight days grew by 13.5 kB an entry (standard error 0.8 kB; "
    "from 120 to 148 MB), day by day alike and no more over a midnight. A third and more of it is what is remembered "
    "of estimate, care and signs at each entry that was once a vessel's newest; the rest is the entry in its history "
    "and its step back. Both stay in memory, so the target can't be met as it is."
)
IDLE = (
    "the bare window used less than the 1 ms that is taken for it; ours asks every 1.5 s whether another program wrote "
    "to the store, which takes 12 µs, and looks once for the other folders. The clock stands still, so the advice of "
    "each new minute is left out, a tenth of a second behind the window."
)
ROWS = (
    Row("memory", "Memory after 10,000 entries", "after 1,000", 1.05, _memory, MEMORY),
    Row("idle", "Processor time of an idle window, 60 s", "bare Qt window, idle", 2.0, _idle, IDLE),
    Row("timers", "A second", "the shortest timer of an idle window", 1.0, _timer),
)
