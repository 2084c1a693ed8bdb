"""Entries in the program's own window: prints as JSON the median times from each to its durability, tile and list.

entries.py STORE NUMBER [DAYS_AGO]
"""

import json
import statistics
import sys
import time
from datetime import datetime, timedelta
from pathlib import Path

from rackview import app as rackview
from rackview.ui.rack import rail, screen
from rackview.ui.rack import view as rack_view

STORE, NUMBER = Path(sys.argv[1]), int(sys.argv[2])
AGO = timedelta(days=float(sys.argv[3])) if len(sys.argv) > 3 else timedelta(0)
END = datetime.fromisoformat(STORE.with_name("end").read_text())
BEGUN = time.perf_counter()
PACE = timedelta(seconds=20)
"""From one entry to the next: every third is the first of its minute, before the window's own timer saw to it."""
leaps = [timedelta(0)]
rackview.now = lambda: END + leaps[0] + timedelta(seconds=time.perf_counter() - BEGUN)
marks: dict[str, float] = {}
show_shelves, show_day, show_first = rack_view.RackView.show_shelves, rail.Rail.show_day, screen.RackScreen.show_first


def worked_in() -> bool:
    """Whether what is shown may have an entry of years ago in it: until then it is that of before."""
    return program._session is None or not program._session.recounting


def shelves_shown(view: rack_view.RackView, shelves: tuple) -> None:
    show_shelves(view, shelves)
    if all(p.tooltip for shelf in shelves for p in shelf.places if hasattr(p, "tooltip")) and worked_in():
        view.viewport().repaint()
        marks.setdefault("tile", time.perf_counter())


def shown_first(one: screen.RackScreen, change: object) -> None:
    """The tile of the vessel that was counted is painted before the others."""
    before = one.view.rack.shelves
    show_first(one, change)
    if one.view.rack.shelves is not before:
        marks.setdefault("tile", time.perf_counter())


def day_shown(one: rail.Rail, *words: object, **more: object) -> None:
    show_day(one, *words, **more)
    if not more.get("waiting") and worked_in():
        marks.setdefault("list", time.perf_counter())


screen.RackScreen.show_first = shown_first
rack_view.RackView.show_shelves, rail.Rail.show_day = shelves_shown, day_shown
app = rackview.application()
program = rackview.Program(app)
program.open(STORE)


def until(name: str) -> None:
    """Let the window work until that was shown; note its longest stop."""
    while name not in marks:
        begun = time.perf_counter()
        app.processEvents()
        marks["stop"] = max(marks.get("stop", 0.0), time.perf_counter() - begun)
        time.sleep(0.0005)


until("list")
time.sleep(3.0)
app.processEvents()
found: dict[str, list[float]] = {"entry": [], "tile": [], "list": [], "minute": [], "stop": []}
names = list(program._session.rack.vessels)
for n in range(NUMBER + 1):
    marks.clear()
    minute = rackview.now().minute
    leaps[0] += PACE
    anew = rackview.now().minute != minute
    begun = time.perf_counter()
    at = END - AGO - timedelta(minutes=NUMBER - n)
    tallies = f"{180 + n} 190 205"
    program._session.record({"at": at, "vessel": names[n % len(names)], "kind": "count", "tallies": tallies})
    back = time.perf_counter()
    until("tile")
    until("list")
    if n:  # the first loads what only writing needs
        found["entry"].append(back - begun)
        found["tile"].append(marks["tile"] - begun)
        found["minute" if anew else "list"].append(marks["list"] - begun)
        found["stop"].append(max(back - begun, marks.get("stop", 0.0)))
print(json.dumps({k: statistics.median(v) if k != "stop" else max(v) for k, v in found.items() if v}), flush=True)
program._leave_session()
