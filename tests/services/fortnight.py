"""A rack with a fortnight of entries, a clock that stands after it, and what a session on it knows."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.services import memory
from rackview.services.rack_session import RackSession

START = datetime(2026, 1, 1, 8, tzinfo=UTC)


VESSELS = [
    Vessel("A1", "rotifer-L", "A", 1, 20),
    Vessel("A2", "rotifer-L", "A", 2, 15),
    Vessel("B1", "mixed", "B", 1, 9),
]


NOW = START + timedelta(days=15)


def fortnight() -> list[dict[str, object]]:
    """Fourteen days at three vessels, with readings and splits."""
    rows: list[dict[str, object]] = []
    for day in range(14):
        for i, name in enumerate(("A1", "A2", "B1")):
            at = START + timedelta(days=day, minutes=i)
            rows.append({"at": at, "vessel": name, "kind": "count", "tallies": f"{90 + day} {100 + 3 * i} 95"})
            rows.append({"at": at, "vessel": name, "kind": "feed", "feed": "paste", "amount": 2})
            rows.append({"at": at, "vessel": name, "kind": "harvest", "volume_l": 2, "refill_l": 2})
            if day % 3 == i:
                rows.append({"at": at, "vessel": name, "kind": "reading", "temperature_c": 25, "sg": 1.022, "ph": 8.1})
                rows.append({"at": at, "vessel": name, "kind": "clean", "what": "floss"})
        if day in (4, 9):
            later = START + timedelta(days=day, hours=2)
            rows.append({"at": later, "vessel": "A1", "kind": "split", "to_vessel": "A2", "volume_l": 3})
    return rows


class Late:
    """A clock that stands after the fortnight."""

    def __call__(self) -> datetime:
        return NOW


def events(rack: Rack) -> dict[str, list[tuple[object, ...]]]:
    """All that a history says, node by node."""
    return {
        name: [(n.event, n.length, n.day, None if n.partner is None else n.partner.event) for n in head.back()]
        for name, head in rack.logs.items()
    }


def recent(session: RackSession) -> Rack:
    return session._store.read(memory.remember)[0]


def same(session: RackSession) -> None:
    """The session, a fresh look at the recent history and the whole record agree."""
    whole = session._store.load()
    assert events(session.rack) == events(whole)
    assert events(recent(session)) == events(whole)
