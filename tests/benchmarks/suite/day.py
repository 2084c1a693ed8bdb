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
    "after 150 entries at rest, or 300 without one, the window goes on with a rack read anew from its newest snapshot, "
    "and the one that was left is freed at once. It was not (330 MB against 172): facts of care, and what reads a "
    "memo, referred to the node that held them, so that each such rack waited, with all that it had read of older "
    "years, for Python's search for garbage. And where the program had been updated, or several pieces of the record "
    "came in one day, each note of what is believed read the whole record, for days that were remembered no longer. "
    "Without either a day on a busy machine was at 148 MB after 1,000 entries, at 159 after 1,300, 166 after 3,100 "
    "and 176 after 10,000; so the target is still missed. The steps fall together with "
    "the first notes of new pieces, for which older days are read and thought of; memory that could be given back to "
    "the system is 1 to 3 MB of it. Every entry since the keeper's midnight still takes 0.7 kB."
)
IDLE = (
    "the bare window used less than the 1 ms that is taken for it. Ours is told by the system when another program "
    "writes to the store; it looks itself each half minute, which takes 0.3 to 0.5 ms where the processor comes to it "
    "after seconds of nothing, and shows the rack anew when a minute begins. As long as it looked each 1.5 s, and "
    "noted what is believed though nothing was new, it took 24.0 ms (standard error 0.5; now 1.4 and 0.14, five runs "
    "of each side by side on a busy machine). The clock stands still, so the advice of each new minute is left out, a "
    "tenth of a second behind the window."
)
ROWS = (
    Row("memory", "Memory after 10,000 entries", "after 1,000", 1.05, _memory, MEMORY),
    Row("idle", "Processor time of an idle window, 60 s", "bare Qt window, idle", 2.0, _idle, IDLE),
    Row("timers", "A second", "the shortest timer of an idle window", 1.0, _timer),
)
