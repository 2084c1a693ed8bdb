"""100 000 lines taken in: our own table and a keeper's, as CSV and XLSX, each by a process of its own.

    python tests/benchmarks/import_large.py [lines]

Prints processor time of process and child, time on the clock, and the most memory of the two together. The reference in
the same run is pandas reading the same file into a frame. Bounds: 20 s, 400 MB.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

READ = """
import resource, sys, time
from datetime import datetime, UTC
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.services import files
start = time.perf_counter()
rack = Rack.build([Vessel(f"A{n}", "rotifer-L", "A", n, 20.0) for n in range(1, 13)])
found = files.draft(files.open_files([sys.argv[1]]), rack, datetime(2034, 1, 1, tzinfo=UTC))
assert not found.open and not found.intake.refused, (found.open, found.intake.refused[:3])
took = time.perf_counter() - start
used = [resource.getrusage(w) for w in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
peak = next(int(l.split()[1]) for l in open("/proc/self/status") if l.startswith("VmHWM")) / 1000
child = used[1].ru_maxrss / 1000 if used[1].ru_utime else 0
print(len(found.intake.events), round(took, 1), round(sum(u.ru_utime for u in used), 1), round(peak), round(child))
"""
PANDAS = "import sys, pandas; (pandas.read_csv if sys.argv[1].endswith('csv') else pandas.read_excel)(sys.argv[1])"


def rows(lines: int, foreign: bool) -> list[list[object]]:
    """A dozen vessels counted day by day."""
    head = (
        ["Date", "Time", "Tank", "Density (per mL)", "Notes"]
        if foreign
        else ["at", "vessel", "kind", "tallies", "note"]
    )
    found: list[list[object]] = [list(head)]
    start = datetime(2006, 1, 1, 8, tzinfo=UTC)
    for n in range(lines):
        at, vessel = start + timedelta(hours=2 * n), f"A{n % 12 + 1}"
        if foreign:
            found.append([f"{at:%m/%d/%Y}", f"{at:%I:%M %p}", vessel, 90 + n % 60, "clear" if n % 7 else "cloudy"])
        else:
            found.append([f"{at:%Y-%m-%dT%H:%M}", vessel, "count", f"{90 + n % 60} {88 + n % 50}", f"n{n % 9}"])
    return found


def write(path: Path, table: list[list[object]]) -> None:
    if path.suffix == ".csv":
        path.write_text("".join(",".join(map(str, row)) + "\n" for row in table), encoding="utf-8")
        return
    import openpyxl

    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("events")
    for row in table:
        sheet.append(row)
    book.save(path)


def main() -> None:
    lines = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    print(f"{lines} lines{'':14} {'events':>8} {'clock s':>8} {'CPU s':>6} {'MB':>5} {'child MB':>9} {'pandas s':>9}")
    with tempfile.TemporaryDirectory() as folder:
        for foreign in (False, True):
            table = rows(lines, foreign)
            for suffix in ("csv", "xlsx"):
                path = Path(folder) / f"table.{suffix}"
                write(path, table)
                done = subprocess.run([sys.executable, "-c", READ, path], capture_output=True, text=True, check=False)
                if done.returncode:
                    sys.exit(done.stderr)
                start = time.perf_counter()
                subprocess.run([sys.executable, "-c", PANDAS, path], capture_output=True, check=False)
                alone = time.perf_counter() - start
                events, clock, used, own, child = done.stdout.split()
                what = f"{'a keeper’s table' if foreign else 'our own table'}, {suffix}"
                print(f"{what:26} {events:>8} {clock:>8} {used:>6} {own:>5} {child:>9} {alone:9.1f}", flush=True)


if __name__ == "__main__":
    main()
