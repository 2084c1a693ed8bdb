"""Repaints and scrolls a rack of 5,004 tiles; prints the 99th percentiles as JSON, s.

Processor time of the whole program, so that other work on the machine does not count.
"""

import json
import time
from dataclasses import replace

from PySide6.QtWidgets import QApplication

from rackview.core.assessment import Severity
from rackview.ui.rack.rack_state import Shelf, Trend
from rackview.ui.rack.tile import FlagMark, Gauge, TileState
from rackview.ui.rack.view import RackView
from rackview.ui.theme import fonts
from rackview.ui.theme.colours import LIGHT

app = QApplication([])
fonts.load_fonts()
line = tuple((n / 20, 0.5 + 0.04 * (n % 7)) for n in range(17))
fan = tuple((0.83 + n / 40, 0.2, 0.4, 0.6, 0.8) for n in range(7))
one = TileState("v", "A1", "Brill", "L rotifer", "rising 0.31 a day", density="210", interval="180-250", age="today",
    care="floss 2 d", gauge=Gauge(0.7, 0.66, 0.73, (0.5, 0.8)), signs="eggs 0.31",
    trend=Trend((0.4, 0.6), (line,), line[::2], fan, (0.83, 0.5)), marks=(FlagMark(Severity.today, "egg ratio", "x"),),
    actions=("Harvest 5.2 L", "feed 4 mL"), accessible="x", tooltip="x")  # fmt: skip


def rack(turn: int) -> tuple[Shelf, ...]:
    """Every tile with numbers of its own, as on a real rack."""
    return tuple(
        Shelf(
            str(s),
            tuple(
                replace(
                    one,
                    vessel=f"{s} {n}",
                    name=f"B{s} {n}",
                    place=f"{s}{n}",
                    density=f"{100 + (7 * s + n + turn) % 900}",
                )
                for n in range(12)
            ),
        )
        for s in range(417)
    )


view = RackView(LIGHT)
view.resize(2560, 1600)
view.show_shelves(rack(0))
view.show()
app.processEvents()
for height in range(1600, 12_000, 100):  # as high as 200 tiles need
    rows = len({view.rowAt(y) for y in range(0, view.viewport().height(), 10)} - {-1})
    if rows * view.rack.columnCount() >= 200:
        break
    view.resize(2560, height)
    app.processEvents()


def share(times: list[float]) -> float:
    return sorted(times)[int(0.99 * len(times))]


repaints, scrolls = [], []
for turn in range(60):
    if turn % 10 == 0:
        view.show_shelves(rack(turn))
    app.processEvents()
    begun = time.process_time()
    view.viewport().repaint()
    repaints.append(time.process_time() - begun)
tiles = rows * view.rack.columnCount()
view.resize(1440, 900)
app.processEvents()
bar = view.verticalScrollBar()
for _ in range(300):  # notch by notch of a wheel
    begun = time.process_time()
    bar.setValue(bar.value() + 120)
    app.processEvents()
    scrolls.append(time.process_time() - begun)
print(json.dumps({"repaint": share(repaints[5:]), "scroll": share(scrolls[5:]), "said": f"{tiles} tiles"}), flush=True)
