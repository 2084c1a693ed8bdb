"""Whatever was done, undoing it step by step shows each earlier rack again exactly, and redoing each later one."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from rackview import advise
from rackview.core.tables import Brood, Demand, Stock
from rackview.core.vessel import Vessel
from rackview.services.rack_session import RackSession
from rackview.store import Store

NOW = datetime(2026, 3, 10, 8, tzinfo=UTC)
ROWS = (
    {"kind": "count", "tallies": "98 104"},
    {"kind": "count", "tallies": "0"},
    {"kind": "reading", "temperature_c": 24, "ph": 8},
    {"kind": "feed", "feed": "paste", "amount": 5},
    {"kind": "harvest", "volume_l": 5, "refill_l": 5},
    {"kind": "clean", "what": "floss"},
    {"kind": "top_up", "volume_l": 1},
    {"kind": "split", "volume_l": 4, "refill_l": 4},
    {"kind": "restart", "volume_l": 4},
    {"kind": "rest"},
    {"kind": "return"},
    {"kind": "note", "text": "well"},
    {"kind": "decline", "action": "feed"},
)
entries = st.tuples(
    st.sampled_from(["record", "round", "correct", "withdraw", "vessel", "stock", "brood", "demand", "settings"]),
    st.integers(0, 10**6),
    st.integers(0, 10**6),
)


def event(number: int, hours: int) -> dict[str, object]:
    row = {**ROWS[number % len(ROWS)], "at": NOW - timedelta(hours=hours % 200)}
    here, there = ("A1", "A2") if number % 2 else ("A2", "A1")
    other = {"split": "to_vessel", "restart": "from_vessel"}.get(str(row["kind"]))
    return {**row, "vessel": here, **({other: there} if other else {})}


def do(session: RackSession, deed: str, a: int, b: int) -> None:
    """One step of a keeper, told by its name and two numbers."""
    there = list(session.rack.events())
    if deed == "record":
        session.record(event(a, b))
    elif deed == "round":
        session.record([event(a, b), event(a + 1, b), event(a + 2, b + 1)])
    elif deed == "correct" and there:
        old = there[a % len(there)]
        session.correct(old.id, {**event(b, a), "vessel": old.vessel} if b % 3 == 0 else replace(old, note=str(b)))
    elif deed == "withdraw" and there:
        session.withdraw(there[a % len(there)].id)
    elif deed == "vessel":
        session.put_vessel(Vessel("A1", ("rotifer-L", "rotifer-S")[a % 2], "A", 1, 20 + b % 9, note=str(b)))
    elif deed == "stock":
        session.put_stock(Stock(("paste", "yeast")[a % 2], dry_g_per_ml=0.08, amount=b % 900))
    elif deed == "brood":
        session.put_brood(Brood(f"B{a % 2}", "anemonefish", hatched=date(2026, 3, 1 + b % 9), larvae=b % 900))
    elif deed == "demand":
        session.put_demand(Demand(date(2026, 3, 10 + a % 3), "rotifer-L", b % 900))
    elif deed == "settings":
        changed = {("", "floor_per_ml"): 20.0 + b % 9} if a % 2 else {}
        session.put_settings(replace(session.rack.settings, name=str(b), overrides=changed))


def shown(session: RackSession) -> list[object]:
    """All that a keeper can see of a rack."""
    rack = session.rack
    tables = [dict(rack.vessels), rack.stock, rack.broods, rack.demand, rack.settings]
    return [*tables, list(rack.events()), advise(rack, NOW)]


@given(st.lists(entries, min_size=1, max_size=8))
@settings(max_examples=12, deadline=None)
def test_undo_and_redo_go_through_the_very_same_racks(quick_root: Path, steps: list[tuple[str, int, int]]) -> None:
    with tempfile.TemporaryDirectory(dir=quick_root) as folder:
        session = RackSession(Store.open(Path(folder) / "rack.db", "write"), lambda: NOW, pc="shed")
        session.take(vessels=[Vessel("A1", "rotifer-L", "A", 1, 20), Vessel("A2", "rotifer-L", "A", 2, 20)])
        session.forget_steps()
        seen = [shown(session)]
        for step in steps:
            do(session, *step)
            if session.undo_words is not None and shown(session) != seen[-1]:
                seen.append(shown(session))
        for before in reversed(seen[:-1]):
            session.undo()
            assert shown(session) == before
        for after in seen[1:]:
            session.redo()
            assert shown(session) == after
        session.close()
        with Store.open(Path(folder) / "rack.db") as store:
            assert list(store.load().events()) == seen[-1][-2]
