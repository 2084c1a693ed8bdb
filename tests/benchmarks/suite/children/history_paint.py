"""Moves and zooms a history plot of ten years of daily counts; prints the medians as JSON, s."""

import json
import statistics
import time
from datetime import UTC, datetime, timedelta

import numpy as np
from PySide6.QtWidgets import QApplication

from rackview.core.events import Clean, Count, Event, Feed, Harvest
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.ui.theme import fonts
from rackview.ui.theme.colours import LIGHT
from rackview.ui.vessel.history import history
from rackview.ui.vessel.history_plot import HistoryPlot

END = datetime(2026, 6, 1, 10, tzinfo=UTC)
DAYS = 3650
rng = np.random.default_rng(3)
events: list[Event] = []
for day in range(DAYS):
    at = END - timedelta(days=DAYS - day)
    events.append(Count(at=at, vessel="V", tallies=tuple(rng.poisson(200, 3).tolist())))
    events.append(Feed(at=at + timedelta(hours=1), vessel="V", feed="algae", amount=4.0))
    if day % 3 == 0:
        events.append(Harvest(at=at + timedelta(hours=2), vessel="V", volume_l=6.0, refill_l=6.0))
    if day % 7 == 0:
        events.append(Clean(at=at + timedelta(hours=3), vessel="V", what="floss"))
painted: list[object] = []


class Plot(HistoryPlot):
    """Notes each of its paintings."""

    def paintEvent(self, event: object) -> None:
        painted.append(event)
        super().paintEvent(event)


app = QApplication([])
fonts.load_fonts()
rack = Rack.build([Vessel("V", "rotifer-L", "A", 1, 20.0)], events)
shown = history(rack, "V", END, None)
plot = Plot(LIGHT)
plot.resize(1200, 700)
plot.show()
plot.show_history(shown, timedelta(0))
app.processEvents()


def frames(ranges: list[tuple[float, float]]) -> float:
    """The median time of one frame: another range, laid out and painted once, as after a move of the mouse."""
    times = []
    for low, high in ranges:
        painted.clear()
        begun = time.process_time()
        plot.main.setXRange(low, high, padding=0)
        while not painted:
            app.processEvents()
        times.append(time.process_time() - begun)
        if len(painted) != 1:
            raise RuntimeError(f"painted {len(painted)} times")
    return statistics.median(times[3:])


first, last = shown.first, shown.last
wide = last - first
pan = frames([(first + n * wide / 80, first + (n + 40) * wide / 80) for n in range(40)])
zoom = frames([(last - wide * 0.88**n, last) for n in range(40)])
print(json.dumps({"pan": pan, "zoom": zoom}), flush=True)
