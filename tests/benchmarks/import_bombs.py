"""Each file that means harm, read in a process of its own: what it says, how long it takes, how much memory.

Run it with `python tests/benchmarks/import_bombs.py`; a share of a name runs only those. Bounds: one sentence, 10 s,
512 MB for the reading process and its child together. Last come honest workbooks, against the same cells read by
python-calamine alone.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "exchange"))

READ = """
import resource, sys
from datetime import datetime, UTC
from pathlib import Path
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.exchange.draft import draft_of, read_all
rack = Rack.build([Vessel("A1", "rotifer-L", "A", 1, 20.0)])
draft = draft_of(read_all([Path(sys.argv[1])]), rack, datetime(2026, 3, 10, 8, tzinfo=UTC))
own, child = (resource.getrusage(w).ru_maxrss / 1000 for w in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
said = [line.sentence for line in draft.intake.refused] or [q.text for one in draft.foreign for q in one.open] or [""]
print(len(draft.intake.refused) + len(draft.foreign), len(draft.intake.events), round(own + child), said[0])
"""
ALONE = """
import sys, python_calamine
book = python_calamine.CalamineWorkbook.from_path(sys.argv[1])
for name in book.sheet_names:
    book.get_sheet_by_name(name).to_python(skip_empty_area=False)
"""


def bombs(wanted: str) -> bool:
    """Read each and print a line; whether all kept the bounds."""
    from bombs import BOMBS

    good = True
    print(f"{'file':52} {'on disk':>9} {'s':>6} {'MB':>5}  says")
    for name, (ending, make) in BOMBS.items():
        if wanted not in name:
            continue
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"bomb.{ending}"
            path.write_bytes(make())
            start = time.perf_counter()
            done = subprocess.run([sys.executable, "-c", READ, path], capture_output=True, text=True, check=False)
            took = time.perf_counter() - start
            refused, events, memory, said = (done.stdout.strip() or "0 0 9999 (died)").split(" ", 3)
            kept = took < 10 and int(memory) < 512 and refused == "1" and events == "0"
            good &= kept
            mark = "" if kept else "  <-- BOUND BROKEN"
            print(f"{name:52} {path.stat().st_size:9} {took:6.2f} {memory:>5}  {said[:90]}{mark}", flush=True)
    return good


def honest() -> None:
    """Honest workbooks: all of the reading against the bare reader, both as processes."""
    import openpyxl

    print(f"\n{'honest workbook, rows':30} {'reader alone s':>15} {'whole import s':>15} {'MB':>5}")
    for rows in (100, 5_000, 100_000):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "honest.xlsx"
            book = openpyxl.Workbook(write_only=True)
            sheet = book.create_sheet("events")
            sheet.append(["at", "vessel", "kind", "tallies", "aliquot_ml", "note"])
            for n in range(rows):
                sheet.append(
                    [f"2025-{n % 12 + 1:02}-{n % 28 + 1:02}T08:{n % 60:02}", "A1", "count", f"{n % 90} 98", 1, f"n{n}"]
                )
            book.save(path)
            times = []
            for code in (ALONE, READ):
                start = time.perf_counter()
                done = subprocess.run([sys.executable, "-c", code, path], capture_output=True, text=True, check=True)
                times.append(time.perf_counter() - start)
            print(f"{rows:30} {times[0]:15.2f} {times[1]:15.2f} {done.stdout.split()[2]:>5}")


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    fine = bombs(sys.argv[1] if len(sys.argv) > 1 else "")
    honest()
    sys.exit(not fine)
