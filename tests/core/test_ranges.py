"""What a sentence says is allowed is what is allowed, to both ends and no further, for every number of every table."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest

from rackview.core import events as ev
from rackview.core import tables
from rackview.core.errors import InputError
from rackview.core.parse import FIELDS, event_from_row
from rackview.core.vessel import Vessel
from tests.core.test_parse import GOOD, row

Taker = Callable[[dict[str, object]], object]
DAY = "2026-03-01"
ROWS: dict[str, tuple[Taker, dict[str, object]]] = {
    "vessel": (Vessel.from_row, {"vessel": "A", "strain": "mixed", "shelf": "A", "position": 1, "volume_l": 9}),
    "stock": (tables.Stock.from_row, {"feed": "yeast"}),
    "brood": (tables.Brood.from_row, {"brood": "one", "hatched": DAY}),
    "demand": (tables.Demand.from_row, {"date": DAY, "strain": "mixed", "animals": 5}),
    "standing": (tables.Standing.from_row, {"consumer": "older fish", "strain": "mixed"}),
    "tanks": (tables.TankEntry.from_row, {"date": DAY, "tank": "one", "feed": "algae", "amount": 2}),
    "settings": (tables.Settings.from_row, {}),
}
COLUMNS = [
    *((kind, name) for kind in ev.KINDS for name in FIELDS[kind]),
    *(("vessel", name) for name in ROWS["vessel"][0](ROWS["vessel"][1]).row()),  # type: ignore[attr-defined]
    *(("stock", f) for f in tables.Stock("x").row()),
    *(("brood", f) for f in tables.Brood("x").row()),
    *(("demand", f) for f in ("animals",)),
    *(("standing", f) for f in tables.Standing("x", "y").row()),
    *(("tanks", f) for f in ("left_per_ml", "amount")),
    *(("settings", f) for f in tables.Settings().row()),
    *(("settings", f"worth:{name}") for name in tables.WORTHS),
]
NUMBER = r"(-?[\d.]+(?:e\d+)?)"


def refused(table: str, column: str, value: object, wanted: str | None = None) -> str | None:
    """What a row that is good otherwise needs in a column instead of a value; None where it needs nothing (of that)."""
    tried = [row(table, **more) for more in GOOD[table]] if table in GOOD else [ROWS[table][1]]
    take = event_from_row if table in GOOD else ROWS[table][0]
    for one in tried:
        try:
            take({**one, column: value})
        except InputError as error:
            if error.field == column and wanted in {None, error.wanted}:
                return error.wanted
    return None


def said(wanted: str) -> tuple[float | None, float | None, bool]:
    """The least and the most that a sentence allows, and whether the least itself is not allowed."""
    if found := re.search(rf"from {NUMBER} to {NUMBER}", wanted):
        return float(found[1]), float(found[2]), False
    above, least = re.search(rf"above {NUMBER}", wanted), re.search(rf"of {NUMBER} or more", wanted)
    most = re.search(rf"at most {NUMBER}", wanted)
    low = above or least
    return float(low[1]) if low else None, float(most[1]) if most else None, above is not None


def ranged() -> Iterator[tuple[str, str, str]]:
    for table, column in COLUMNS:
        if (wanted := refused(table, column, -1e30)) is not None and said(wanted)[:2] != (None, None):
            yield table, column, wanted


RANGED = list(ranged())


def test_the_tables_numbers_are_all_looked_at():
    assert {(t, c) for t, c, _ in RANGED} > {("reading", "ph"), ("count", "aliquot_ml"), ("vessel", "position")}
    assert len(RANGED) > 40


@pytest.mark.parametrize(("table", "column", "wanted"), RANGED)
def test_a_number_is_taken_within_what_is_said_and_refused_beyond(table, column, wanted):
    low, high, open_low = said(wanted)
    if low is not None:
        step = 1e-9 if low == 0.0 else abs(low) * 1e-4
        assert refused(table, column, low - step, wanted)
        assert refused(table, column, low - 1, wanted)
        assert bool(refused(table, column, low, wanted)) == open_low
        if open_low:
            assert not refused(table, column, low + 1.1e-3, wanted)
    if high is not None:
        assert not refused(table, column, high, wanted)
        assert refused(table, column, high * (1 + 1e-7), wanted)
        assert refused(table, column, high + 1, wanted)
