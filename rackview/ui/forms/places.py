"""Where a new vessel goes, and what it is like until the keeper says otherwise."""

from __future__ import annotations

from rackview.core.rack import Rack
from rackview.core.vessel import Vessel, by_place, natural


def next_free(rack: Rack, shelf: str = "") -> tuple[str, int]:
    """The first free place of a shelf, of the last shelf if none is named; A 1 on an empty rack."""
    named = shelf or max((v.shelf for v in rack.vessels.values()), key=natural, default="A")
    taken = {v.position for v in rack.vessels.values() if v.shelf == named}
    return named, next(n for n in range(1, len(taken) + 2) if n not in taken)


def neighbour(rack: Rack, shelf: str) -> Vessel | None:
    """The vessel that a new one on the shelf is most like: the last of the shelf, else the last of the rack."""
    there = [v for v in rack.vessels.values() if v.shelf == shelf] or list(rack.vessels.values())
    return by_place(there)[-1] if there else None


def set_up(like: Vessel) -> dict[str, object]:
    """What a vessel's set-up says of another of its kind: all but what is that one vessel's own.

    Its former names above all: whoever bears them owns what was recorded under them.
    """
    own = {"vessel", "formerly", "shelf", "position", "reserve", "note", "retired"}
    return {column: value for column, value in like.row().items() if column not in own}
