"""Racks to ask: vessels counted every morning, with densities as given."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, timedelta

import pytest

from rackview.advice.done import events_for
from rackview.core.rack import Rack
from rackview.core.tables import Stock
from rackview.core.vessel import Vessel

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
STOCK = (Stock("algae", "concentrate", 0.1, 5000.0, "mL", date(2026, 2, 20), date(2026, 12, 1), 3.0),)


MADE: dict[tuple[object, ...], Rack] = {}
"""Racks made before; a rack never changes, so tests may share it and what was worked out from it."""


def morning(day: int, minutes: float = 0.0) -> datetime:
    """Eight o'clock and so many minutes on the day of that number."""
    return START + timedelta(days=day, minutes=minutes)


def counted(at: datetime, vessel: str, per_ml: float, **more: object) -> dict[str, object]:
    """A count of three aliquots of 1 mL."""
    n = round(per_ml)
    signs = {"with_eggs": 18, "females_checked": 60, "swimming": 4, "ciliates": "none", "tint": 1}
    return {"at": at, "vessel": vessel, "kind": "count", "tallies": f"{n} {n + 2} {max(n - 2, 0)}", **signs, **more}


@pytest.fixture
def at():
    """Mornings by number of day, with minutes."""
    return morning


@pytest.fixture
def count():
    """A count as a row."""
    return counted


@pytest.fixture
def by_vessel():
    """The suggestions of one action by the vessel they stand at."""
    return lambda suggestions, action: {s.vessel: s for s in suggestions if s.action == action}


@pytest.fixture
def do():
    """The rack after doing some suggestions."""
    return lambda rack, suggestions, at: rack.record(*(e for s in suggestions for e in events_for(s, at, rack=rack)))


@pytest.fixture
def build() -> Callable[..., Rack]:
    """A rack: vessels as name to (strain, shelf, position, volume, density or list of densities, one a day).

    Each vessel is counted at eight; on all days but the last it is harvested by 30 %, rinsed and fed, with a water
    reading every fifth day. A density of None leaves the vessel without events; a trailing "reserve" marks it.
    """

    def make(vessels: Mapping[str, tuple], days: int = 8, stock=STOCK) -> Rack:
        key = (repr(vessels), days, stock)
        if key not in MADE:
            MADE[key] = fresh(vessels, days, stock)
        return MADE[key]

    def fresh(vessels: Mapping[str, tuple], days: int, stock: tuple[Stock, ...]) -> Rack:
        rack = Rack.build([Vessel(n, v[0], v[1], v[2], v[3], "reserve" in v) for n, v in vessels.items()], stock=stock)
        events: list[dict[str, object]] = []
        for day in range(days):
            for name, vessel in vessels.items():
                density = vessel[4]
                if density is None:
                    continue
                per_ml = density[day] if isinstance(density, list) else density
                events.append(counted(morning(day), name, per_ml))
                if day % 5 == 0:
                    reading = {"temperature_c": 25.0, "ph": 7.9, "tan_mg_l": 1.0, "salinity": 29.0}
                    events.append({"at": morning(day, 5), "vessel": name, "kind": "reading", **reading})
                if day < days - 1:
                    litres = round(0.3 * vessel[3], 2)
                    take = {"kind": "harvest", "volume_l": litres, "refill_l": litres}
                    if "reserve" not in vessel:
                        events.append({"at": morning(day, 30), "vessel": name, **take})
                    events.append({"at": morning(day, 31), "vessel": name, "kind": "clean", "what": "floss"})
                    feed = {"kind": "feed", "feed": "algae", "amount": 12.0, "unit": "mL"}
                    events.append({"at": morning(day, 32), "vessel": name, **feed})
        return rack.record(*events)

    return make


@pytest.fixture
def three(build) -> Rack:
    """Three thriving vessels of one strain and their reserve."""
    return build(
        {
            "A": ("rotifer-L", "1", 1, 20.0, 210.0),
            "B": ("rotifer-L", "1", 2, 20.0, 180.0),
            "C": ("rotifer-L", "2", 1, 15.0, 240.0),
            "R": ("rotifer-L", "3", 1, 8.0, 150.0, "reserve"),
        }
    )


@pytest.fixture
def spare(build):
    """A dense vessel beside an empty one, and a third."""
    return build(
        {
            "A": ("rotifer-L", "1", 1, 20.0, 360.0),
            "B": ("rotifer-L", "1", 2, 20.0, 200.0),
            "E": ("rotifer-L", "2", 1, 20.0, None),
        }
    )
