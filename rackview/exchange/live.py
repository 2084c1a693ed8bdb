"""Values that a probe sends one by one, gathered until they are worth one reading: their mean, low and high.

However fast they come, a vessel's column takes the room of four numbers.
"""

from __future__ import annotations

import math
from datetime import datetime

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.parse import event_from
from rackview.exchange.freeform.logger import VALUES, WORDS
from rackview.language import _

MOST_LETTERS = 64
"""Of a value: what is longer is no number that anyone sent."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where the values of one topic belong: a vessel, and a column of its readings."""

    vessel: str
    column: str

    @classmethod
    def named(cls, text: str) -> Place:
        """The place that “VESSEL:COLUMN” names; raises `InputError`."""
        vessel, _unused, column = text.rpartition(":")
        if not vessel or column not in VALUES:
            raise InputError("take", text, _("VESSEL:COLUMN, the column one of ") + ", ".join(VALUES))
        return cls(vessel, column)


@dataclass(slots=True)
class RunningMean:
    """The values of one place since the last reading."""

    number: int = 0
    total: float = 0.0
    low: float = math.inf
    high: float = -math.inf
    first: datetime | None = None
    last: datetime | None = None

    def add(self, value: float, at: datetime) -> None:
        """One value more."""
        self.number += 1
        self.total += value
        self.low, self.high = min(self.low, value), max(self.high, value)
        self.first, self.last = self.first or at, at


class Gathered:
    """What came in since the last reading, by place."""

    def __init__(self) -> None:
        self._sums: dict[Place, RunningMean] = {}
        self.refused: dict[str, str] = {}
        """For each topic the first message that could not be read, as a sentence."""

    def take(self, topic: str, place: Place, payload: bytes, at: datetime) -> None:
        """One message; what is no number, or none that the column can hold, is refused and remembered by its topic."""
        try:
            value = _number(payload, place.column)
            event_from({"at": at, "vessel": place.vessel, "kind": "reading", place.column: value, **_whole(place)})
        except InputError as error:
            self.refused.setdefault(topic, str(error))
            return
        self._sums.setdefault(place, RunningMean()).add(value, at)

    def readings(self) -> list[dict[str, object]]:
        """One reading for each vessel of what came in, at the moment of its newest value; then begin anew."""
        vessels: dict[str, dict[str, RunningMean]] = {}
        for place, found in self._sums.items():
            vessels.setdefault(place.vessel, {})[place.column] = found
        self._sums = {}
        return [_reading(vessel, sums) for vessel, sums in sorted(vessels.items())]


def _whole(place: Place) -> dict[str, object]:
    """What a column needs beside it to be understood."""
    return {"sg_reference": "25/25"} if place.column == "sg" else {}


def _reading(vessel: str, sums: dict[str, RunningMean]) -> dict[str, object]:
    times = [t for s in sums.values() for t in (s.first, s.last) if t is not None]
    row: dict[str, object] = {"vessel": vessel, "kind": "reading", "at": max(times)}
    parts = []
    for column in (c for c in VALUES if c in sums):
        one = sums[column]
        row |= {column: float(f"{one.total / one.number:.5g}"), **_whole(Place(vessel, column))}
        parts.append(_("{words} {low:g} to {high:g}").format(words=WORDS[column], low=one.low, high=one.high))
    number = sum(s.number for s in sums.values())
    row["note"] = _("low to high: {parts}; {number} values, {times:%H:%M} to {times_2:%H:%M}").format(
        parts=", ".join(parts), number=number, times=min(times), times_2=max(times)
    )
    return row


def _number(payload: bytes, column: str) -> float:
    wanted = _("a plain number such as 24.6")
    text = payload[: MOST_LETTERS + 1].decode("utf-8", "replace").strip()
    try:
        value = float(text) if len(payload) <= MOST_LETTERS else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InputError(column, text[:MOST_LETTERS], wanted)
    return value
