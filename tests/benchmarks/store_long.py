"""Ten years of twelve vessels: an import, a check, an entry of eight years ago, and closing.

    python tests/benchmarks/store_long.py [YEARS [VESSELS]]

Prints how long a keeper waits for each, in seconds of the wall clock and of the processor, as others may be using the
machine, and beside them how long this machine takes to append the same lines to a file and sync it, as a measure of it.
Ends with status 1 if a bound is broken: 20 s of the processor for the import of 100,000 events (in proportion for
another number), 10 s for the check, 0.5 s until an entry of eight years ago or a change of a vessel returns, and on the
clock 0.3 s until a window is closed, whatever runs beside it.
"""

from __future__ import annotations

import csv
import os
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from rackview.core.vessel import Vessel
from rackview.services import memory
from rackview.services.files import import_files
from rackview.services.rack_session import RackSession
from rackview.services.sessions import open_session
from rackview.store.verify import check

START = datetime(2016, 1, 1, 8, tzinfo=UTC)
CLOSING = ("close at once", "close after it", "close", "close then")
BOUNDS = {"import": 20.0, "check": 10.0, "entry": 0.5, "vessel added": 0.5, "vessel changed": 0.5}
BOUNDS |= dict.fromkeys(CLOSING, 0.3)


def events(days: int, vessels: int) -> Iterator[dict[str, object]]:
    """A day at each vessel: a count and a feed, every other day a harvest, now and then a cleaning or a split."""
    names = [f"V{i:02}" for i in range(vessels)]
    for day in range(days):
        for i, name in enumerate(names):
            at = START + timedelta(days=day, minutes=i)
            level = 95 + (day * 7 + i * 13) % 30
            yield {"at": at, "vessel": name, "kind": "count", "tallies": f"{level} {level + 4} {level - 3}"}
            yield {"at": at + timedelta(hours=1), "vessel": name, "kind": "feed", "feed": "algae", "amount": 4.0}
            if (day + i) % 2 == 0:
                at += timedelta(hours=2)
                yield {"at": at, "vessel": name, "kind": "harvest", "volume_l": 4.0, "refill_l": 4.0}
            if (day + i) % 6 == 0:
                yield {"at": at + timedelta(hours=3), "vessel": name, "kind": "clean", "what": "floss"}
            if (day + i) % 97 == 0:
                other = names[(i + 1) % vessels]
                at += timedelta(hours=4)
                yield {"at": at, "vessel": name, "kind": "split", "to_vessel": other, "volume_l": 2.0}


def tables(folder: Path, days: int, vessels: int) -> tuple[list[Path], int]:
    """The same as tables to import; return them and how many events they hold."""
    listed, table = folder / "vessels.csv", folder / "events.csv"
    with listed.open("w", newline="", encoding="utf-8") as out:
        rows = csv.writer(out)
        rows.writerow(["vessel", "strain", "shelf", "position", "volume_l"])
        rows.writerows([f"V{i:02}", "rotifer-L", "AB"[i % 2], i // 2 + 1, 20] for i in range(vessels))
    columns = ["at", "vessel", "kind", "tallies", "feed", "amount", "volume_l", "refill_l", "what", "to_vessel"]
    total = 0
    with table.open("w", newline="", encoding="utf-8") as out:
        rows = csv.DictWriter(out, columns)
        rows.writeheader()
        for event in events(days, vessels):
            rows.writerow({**event, "at": event["at"].isoformat()})
            total += 1
    return [listed, table], total


class Watch:
    """Notes how long a block took."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}

    @contextmanager
    def of(self, name: str) -> Iterator[None]:
        begun, busy = time.perf_counter(), time.thread_time()
        yield
        wall, own = time.perf_counter() - begun, time.thread_time() - busy
        self.seconds[name] = wall if name.startswith("close") else own
        print(f"{name:24}{wall:8.2f} s  {own:8.2f} s of the processor", flush=True)


def plain(folder: Path, table: Path) -> None:
    """Append every line of a table to a file, and sync it now and then."""
    with (folder / "plain.txt").open("ab", buffering=0) as out:
        for number, line in enumerate(table.read_bytes().splitlines(keepends=True)):
            out.write(line)
            if number % 2000 == 0:
                os.fsync(out.fileno())


def seen(session: RackSession) -> None:
    """What a window asks for at its first picture."""
    session.assessments()
    session.suggestions()


def _left() -> None:
    """Wait for threads that a program which ends would do away with."""
    for thread in threading.enumerate():
        if thread is not threading.current_thread():
            thread.join()


def _recounted(session: RackSession, watch: Watch, name: str) -> None:
    """Wait for what is worked out behind, as the window's timer asks for it."""
    with watch.of(name):
        while session.recounting:
            time.sleep(0.1)
            session.poll()


def _taken_in(paths: list[Path], path: Path, clock: Callable[[], datetime], watch: Watch) -> bool:
    """Import the tables and check the store; whether all were taken."""
    with watch.of("plain append"):
        plain(path.parent, paths[1])
    with watch.of("import and beliefs"), ExitStack() as answered:
        answered.enter_context(watch.of("import"))
        found = import_files(paths, path, clock, taken=lambda _: answered.close())
    if found.open or found.intake.refused:
        print(found.open, *found.intake.refused[:3], sep="\n")
        return False
    with watch.of("check"):
        wrong = check(path)
    print(*wrong, sep="\n")
    return True


def _come_and_go(path: Path, clock: Callable[[], datetime], watch: Watch) -> None:
    """Open the store on another day and close it, before the first picture and after it."""
    with watch.of("open"):
        session = open_session(path, clock, recent=True)  # the check and the copy of the day run beside
    with watch.of("close at once"):
        session.close()
    session = open_session(path, clock, recent=True)
    with watch.of("first picture"):
        seen(session)
    with watch.of("close after it"):
        session.close()
    _left()


def _changed(path: Path, clock: Callable[[], datetime], old: datetime, watch: Watch) -> None:
    """Add a vessel, change one, enter a count of long ago, and close."""
    session = open_session(path, clock, recent=True)
    seen(session)
    with watch.of("vessel added"):
        session.put_vessel(Vessel("New", "rotifer-L", "Z", 1, 20.0))
    with watch.of("vessel changed"):
        session.put_vessel(replace(session.rack.vessels["V01"], volume_l=25.0))
    with watch.of("picture of it"):
        seen(session)
    _recounted(session, watch, "recount behind it")
    with watch.of("entry"):
        session.record({"at": old, "vessel": "V03", "kind": "count", "tallies": "88 92 97"})
    with watch.of("picture after it"):
        seen(session)
    with watch.of("close"):
        session.close()
    _left()


def _opened_again(path: Path, clock: Callable[[], datetime], watch: Watch) -> None:
    """Open the store after those changes, and by another version of the program."""
    with watch.of("open after it"):
        session = open_session(path, clock, recent=True)
    with watch.of("first picture after it"):
        seen(session)
    _recounted(session, watch, "recount behind that")
    with watch.of("picture with it"):
        seen(session)
    session.close()
    memory._program = lambda: "another"  # what was kept is another program's now
    with watch.of("open after an update"):
        session = open_session(path, clock, recent=True)
    with watch.of("first picture then"):
        seen(session)
    with watch.of("close then"):
        session.close()


def main(words: list[str]) -> int:
    """Import, check, enter, close; see the module's text."""
    years, vessels = (int(w) for w in (*words, *("10", "12")[len(words) :]))
    days = int(365.25 * years)
    now = START + timedelta(days=days)
    watch = Watch()
    with tempfile.TemporaryDirectory(prefix="rackview-long-") as name:
        path = Path(name) / "rack.db"
        paths, total = tables(path.parent, days, vessels)
        print(f"{total} events of {vessels} vessels in {years} years", flush=True)
        if not _taken_in(paths, path, lambda: now, watch):
            return 1
        _come_and_go(path, lambda: now + timedelta(days=1), watch)
        _changed(path, lambda: now, START + timedelta(days=int(365.25 * max(years - 8, 0.2))), watch)
        _opened_again(path, lambda: now, watch)
    bounds = {**BOUNDS, "import": BOUNDS["import"] * total / 100_000}
    broken = [
        f"{k} took {watch.seconds[k]:.2f} s, more than {b:.1f}" for k, b in bounds.items() if watch.seconds[k] > b
    ]
    print("\n".join(broken) or "all within their bounds")
    print(f"{threading.active_count()} thread at the end")
    return int(bool(broken))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
