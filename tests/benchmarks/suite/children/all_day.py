"""Entries, repaints and replans of a day in the program's own window; prints memory after a tenth of them and all, MB.

all_day.py STORE ENTRIES

An entry comes as soon as the one before is recorded, so that the window never rests; it looks at its store after each,
as it does several times from one to the next when 10,000 come in a day.
"""

import gc
import sys
from datetime import datetime, timedelta
from pathlib import Path

from rackview import app as rackview

STORE, ENTRIES = Path(sys.argv[1]), int(sys.argv[2])
end = [datetime.fromisoformat(STORE.with_name("end").read_text())]
rackview.now = lambda: end[0]
KINDS = (
    {"kind": "count", "tallies": "200 190 210"},
    {"kind": "feed", "feed": "algae", "amount": 4.0},
    {"kind": "harvest", "volume_l": 0.1, "refill_l": 0.1},
    {"kind": "note", "text": "looked at"},
)


def resident() -> float:
    gc.collect()
    with Path("/proc/self/status").open(encoding="ascii") as status:
        return next(int(line.split()[1]) for line in status if line.startswith("VmRSS")) / 1024


app = rackview.application()
program = rackview.Program(app)
program.open(STORE)
names = list(program._session.rack.vessels)
for n in range(1, ENTRIES + 1):
    end[0] += timedelta(days=1) / ENTRIES
    program._session.record({"at": end[0], "vessel": names[n % len(names)], **KINDS[n % len(KINDS)]})
    app.processEvents()
    program._window._ask_others()
    if n % 50 == 0:
        program._session.plan(7)
        program._window.repaint()
    if n in {ENTRIES // 10, ENTRIES}:
        print(f"{resident():.1f}", flush=True)
program._leave_session()
