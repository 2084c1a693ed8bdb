"""How long it takes to open ten years of 50 vessels against 90 days of 10 vessels.

    python tests/benchmarks/store_open.py [YEARS [VESSELS]]

Fills both stores with the same day at each vessel (a count, a feed, now and then a cleaning) and notes snapshots
as a window does when it closes, but for the tip, without which a start has the most to read. Opens each nine times in a
process of its own; the medians of the processor's time count, as others may be using the machine. Ends with status 1 if
the ratio is 2.5 or more.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from rackview.core.events import Clean, Count, Event, Feed
from rackview.core.vessel import Vessel
from rackview.store import Store, TableRow, snapshot

START = datetime(2016, 1, 1, 8, tzinfo=UTC)
OPEN = """
import sys, time
from rackview.core import profile
from rackview.services.memory import remember
from rackview.store import Store
profile.strains(), profile.groups()
begun, real = time.process_time(), time.perf_counter()
with Store.open(sys.argv[1]) as store:
    rack, last = store.read(remember)
    heads = [rack.log(name).day for name in rack.vessels]
print(time.process_time() - begun, time.perf_counter() - real)
"""


def fill(path: Path, days: int, vessels: int) -> int:
    """A store of so many days and vessels, with its snapshots; return how many events it has."""
    names = [f"V{i:02}" for i in range(vessels)]
    rows = [TableRow("vessel", n, Vessel(n, "rotifer-L", n[1], int(n[2]) + 1, 20.0).row(), START) for n in names]
    events: list[Event] = []
    total = 0
    with Store.open(path, "write") as store:
        store.write(rows=rows)
        for day in range(days):
            for i, name in enumerate(names):
                at = START + timedelta(days=day, minutes=i)
                said = {"at": at, "vessel": name, "entered_at": at, "entered_by": "Ann", "entered_on": "shed"}
                events.append(Count(tallies=(98, 104, 101, 90 + day % 20), with_eggs=30, females_checked=100, **said))
                events.append(Feed(feed="algae concentrate", amount=4.0, **said))
                if (day + i) % 6 == 0:
                    events.append(Clean(what="floss", **said))
            if len(events) > 20_000 or day == days - 1:
                total += len(store.append(events))
                events = []
        rack, last = store.read_whole()
        store.keep([c for c in snapshot.snapshots_of(rack, last, None) if not c.tip], [])
    return total


def opened(path: Path) -> float:
    """The median processor time of nine openings, seconds."""
    times = []
    for _ in range(9):
        done = subprocess.run([sys.executable, "-c", OPEN, str(path)], capture_output=True, text=True, check=True)
        times.append(float(done.stdout.split()[0]))
    return statistics.median(times)


def main(words: list[str]) -> int:
    """Fill both, open both, and compare; see the module's text."""
    years, vessels = (int(w) for w in (*words, *("10", "50")[len(words) :]))
    with tempfile.TemporaryDirectory() as folder:
        begun = time.perf_counter()
        small, large = Path(folder) / "small.db", Path(folder) / "large.db"
        few, many = fill(small, 90, 10), fill(large, 365 * years, vessels)
        print(f"filled in {time.perf_counter() - begun:.0f} s: {few} and {many} events", flush=True)
        a, b = opened(small), opened(large)
        print(f"90 days x 10 vessels opens in {1000 * a:.0f} ms, {years} years x {vessels} in {1000 * b:.0f} ms")
        print(f"that is {b / a:.2f} times as long")
        return int(b >= 2.5 * a)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
