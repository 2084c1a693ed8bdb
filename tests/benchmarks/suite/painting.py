"""How long pictures of the rack and of a long history take."""

from __future__ import annotations

import json

from suite.row import FRAME_S, Found, Row, Size, child


def _measured(name: str, part: str) -> Found:
    found = json.loads(child(name).said)
    return Found(1000 * found[part], 1000 * FRAME_S, "ms", found.get("said", ""))


def _repaint(size: Size) -> Found:
    return _measured("rack_paint", "repaint")


def _scroll(size: Size) -> Found:
    return _measured("rack_paint", "scroll")


def _pan(size: Size) -> Found:
    return _measured("history_paint", "pan")


def _zoom(size: Size) -> Found:
    return _measured("history_paint", "zoom")


HISTORY = (
    "the bars of the counts were stroked as one path, in view or not, which took thirty frames; now those in view are "
    "plain lines. This row once painted every frame twice. What is left are the dots of 1,825 counts, the bars and "
    "lines, and pyqtgraph's layout."
)
ROWS = (
    Row(
        "repaint",
        "Full repaint with 200 tiles in view, 99th percentile",
        "a frame, 16.7 ms",
        1.0,
        _repaint,
        "tiles are kept as pictures (it took 175 ms before, on the same busy machine); what is left is a tenth of a "
        "millisecond of Python for each place, which the view asks for its state, its flags and its paint one by one. "
        "The slowest of a hundred frames is as good as the machine's quietest second: within one hour the same program "
        "took 16.8, 20.3 and 24.0 ms, and the one of the day before, which had been measured at 15.8, 20.5 and 24.2.",
    ),
    Row(
        "scroll",
        "Scrolling through 5,000 tiles, 99th percentile",
        "a frame, 16.7 ms",
        1.0,
        _scroll,
        "as a full repaint; within one hour the same program took 17.3, 16.6 and 16.9 ms, and the one of the day "
        "before, which had been measured at 15.7, 16.8 and 12.0.",
    ),
    Row("history-pan", "Moving a history plot of 10 years, median", "a frame, 16.7 ms", 1.0, _pan, HISTORY),
    Row("history-zoom", "Zooming a history plot of 10 years, median", "a frame, 16.7 ms", 1.0, _zoom, HISTORY),
)
