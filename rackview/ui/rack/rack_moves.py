"""Where a tile goes that is carried on: by a key to the next place, or dropped on another."""

from __future__ import annotations

from PySide6.QtCore import Qt

from rackview.core.rack import Rack
from rackview.core.vessel import natural
from rackview.ui.rack.rack_state import FreePlace
from rackview.ui.rack.tile import TileState

STEPS = {
    Qt.Key.Key_Left: (0, -1),
    Qt.Key.Key_Right: (0, 1),
    Qt.Key.Key_Up: (-1, 0),
    Qt.Key.Key_Down: (1, 0),
}
"""Arrow to shelves down and places to the right."""


def stepped(rack: Rack, vessel: str, key: Qt.Key) -> tuple[str, int] | None:
    """The place beside a vessel's in the direction of an arrow; None where the rack ends."""
    here = rack.vessels[vessel]
    shelves = sorted({v.shelf for v in rack.vessels.values()}, key=natural)
    down, right = STEPS[key]
    n, position = shelves.index(here.shelf) + down, here.position + right
    return (shelves[n], position) if 0 <= n < len(shelves) and position >= 1 else None


def dropped(rack: Rack, on: TileState | FreePlace | None) -> tuple[str, int] | None:
    """The place on which a tile was dropped."""
    if isinstance(on, FreePlace):
        return on.shelf, on.position
    if isinstance(on, TileState) and on.vessel in rack.vessels:
        there = rack.vessels[on.vessel]
        return there.shelf, there.position
    return None
