"""How soon the window stands on the screen, as a ratio to a bare Qt window on the same machine.

    python tests/benchmarks/first_paint.py [rounds]

Three starts, each in a process of its own: a bare QWidget; the program as the keeper starts it, for writing and on the
demo rack, up to its first paint, the shelves with their vessels; and up to the paint that shows every estimate.
Processor time, so that a busy machine does not count; the median of the rounds. A last line times one repaint of 144
tiles out of 5,000.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

BARE = """
import sys, time
from PySide6.QtWidgets import QApplication, QWidget
class Bare(QWidget):
    def paintEvent(self, event):
        print(time.process_time(), flush=True)
        app.quit()
app = QApplication([])
window = Bare()
window.resize(1280, 720)
window.show()
app.exec()
"""

OURS = """
import sys, time
from pathlib import Path
from rackview import app as rackview
app = rackview.application()
program = rackview.Program(app)
from rackview.ui.rack.screen import RackScreen
def painted():
    app.processEvents()
    print(time.process_time(), flush=True)
whole = RackScreen.work_out
if sys.argv[2] == "estimates":
    RackScreen.work_out = lambda screen: (whole(screen), painted(), app.quit())
else:
    RackScreen.work_out = lambda screen: (painted(), app.quit())
program.open(Path(sys.argv[1]))
program.run()
"""

REPAINT = """
import time
from dataclasses import replace
from PySide6.QtWidgets import QApplication
app = QApplication([])
from rackview.ui.rack.view import RackView
from rackview.ui.theme import LIGHT
from rackview.ui.rack.tile_state import Gauge, Shelf, TileState, Trend
line = tuple((n / 90, 0.5 + 0.01 * (n % 7)) for n in range(90))
one = TileState("v", "A1", "Brill", "L rotifer", "rising 0.31 a day", density="210", interval="180-250", age="today",
    care="floss 2 d", gauge=Gauge(0.7, 0.66, 0.73, (0.5, 0.8)), trend=Trend((0.4, 0.6), (line,), line[::6]),
    actions=("Harvest 5.2 L", "feed 4 mL"), accessible="x")
shelves = tuple(Shelf(str(s), tuple(replace(one, vessel=f"{s} {n}", place=f"{s}{n}") for n in range(12)))
    for s in range(417))
view = RackView(LIGHT)
view.resize(1840, 1500)
view.show_shelves(shelves)
view.show()
app.processEvents()
times = []
for _ in range(15):
    start = time.process_time()
    view.viewport().repaint()
    times.append(time.process_time() - start)
rows = len({view.rowAt(y) for y in range(0, view.viewport().height(), 10)} - {-1})
print(rows * view.rack.columnCount(), sorted(times)[7])
"""


def run(code: str, *arguments: str) -> str:
    """What a fresh interpreter prints for a piece of code."""
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], env=environment, capture_output=True, text=True, check=True
    )
    return done.stdout.strip()


def main(rounds: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = Path(folder) / "rack.db"
        subprocess.run([sys.executable, "-m", "rackview", "demo", str(store)], check=True, capture_output=True)
        cases = {
            "bare window": (BARE,),
            "shelves": (OURS, str(store), "shelves"),
            "estimates": (OURS, str(store), "estimates"),
        }
        times: dict[str, list[float]] = {name: [] for name in cases}
        for _ in range(rounds):
            for name, case in cases.items():
                times[name].append(float(run(*case)))
        bare = statistics.median(times["bare window"])
        for name, found in times.items():
            middle = statistics.median(found)
            print(f"{name:12} {middle * 1000:7.0f} ms   {middle / bare:5.2f} x bare")
    tiles, seconds = run(REPAINT).split()
    print(f"repaint of {tiles} tiles of 5,004: {float(seconds) * 1000:.1f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
