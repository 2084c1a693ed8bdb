"""The axes of a vessel's plots: days, densities, rates and the lanes of what was done."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QDate, QLocale

from rackview.language import _

LANES = {"harvest": 3, "feed": 2, "clean": 1, "top_up": 0, "reading": 0}
TICK_ROOM = 24.0
"""Least room between two ticks of rates, px."""


class Days(pg.AxisItem):  # type: ignore[misc]  # pyqtgraph has no types
    """A time axis of calendar days in the keeper's zone."""

    offset = timedelta(0)

    def tickValues(self, low: float, high: float, size: float) -> list[tuple[float, list[float]]]:
        """Midnights, as many as there is room for."""
        shift = self.offset / timedelta(days=1)
        room = max(2, int(size / 84))
        step = next((s for s in (1, 2, 7, 14, 28, 91, 182, 365) if (high - low) / s <= room), 365 * 2)
        first = math.ceil((low + shift) / step) * step
        return [(float(step), [d - shift for d in np.arange(first, high + shift, step).tolist()])]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        """Day and month of each tick."""
        epoch = datetime(1970, 1, 1, tzinfo=UTC)
        dates = [(epoch + timedelta(days=v) + self.offset).date() for v in values]
        return [QLocale().toString(QDate(d.year, d.month, d.day), "d MMM") for d in dates]


class Densities(pg.AxisItem):  # type: ignore[misc]  # pyqtgraph has no types
    """A density axis whose values are logarithms to base 10; ticks at 1, 2 and 5."""

    def tickValues(self, low: float, high: float, size: float) -> list[tuple[float, list[float]]]:
        """1, 2, 5, 10 ... while there is room, else powers of ten."""
        steps = (1, 2, 5) if (high - low) * 3 <= size / 26 else (1,)
        powers = range(math.floor(low), math.ceil(high) + 1)
        found = [p + math.log10(s) for p in powers for s in steps]
        return [(1.0, [v for v in found if low <= v <= high])]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        """The densities themselves."""
        return [f"{10**v:g}" if 10**v < 9_999 else f"{10**v:,.0f}" for v in values]


class Rates(pg.AxisItem):  # type: ignore[misc]  # pyqtgraph has no types
    """An axis of rates and shares, from 0 on."""

    def tickValues(self, low: float, high: float, size: float) -> list[tuple[float, list[float]]]:
        """As many round numbers as there is room for."""
        room = max(1.0, size / TICK_ROOM)
        step = next((s for s in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0) if (high - low) / s <= room), 10.0)
        return [(step, [n * step for n in range(math.ceil(low / step), math.floor(high / step) + 1)])]


def lane_words() -> dict[int, str]:
    """What each lane of actions is called."""
    return {3: _("harvest"), 2: _("feed"), 1: _("clean"), 0: _("water")}


class Lanes(pg.AxisItem):  # type: ignore[misc]  # pyqtgraph has no types
    """Names of the lanes of actions."""

    def tickValues(self, low: float, high: float, size: float) -> list[tuple[float, list[float]]]:
        """One tick per lane."""
        return [(1.0, [float(n) for n in set(LANES.values())])]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        """The actions of the lanes."""
        words = lane_words()
        return [words.get(round(v), "") for v in values]


class ValueAxis(pg.AxisItem):  # type: ignore[misc]  # pyqtgraph has no types
    """An axis of any quantity in a low row: round numbers, no more than there is room for, two at least."""

    def tickValues(self, low: float, high: float, size: float) -> list[tuple[float, list[float]]]:
        """Steps of 1, 2 or 5 of a power of ten."""
        room = max(2.5, size / TICK_ROOM + 1)
        power = 10.0 ** math.floor(math.log10((high - low) / room))
        step = next(s * power for s in (1, 2, 5, 10) if (high - low) / (s * power) <= room)
        return [(step, [n * step for n in range(math.ceil(low / step), math.floor(high / step) + 1)])]
