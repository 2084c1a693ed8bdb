"""A density of which nobody wrote down how many animals it rests on: believed, but less than a full count."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from rackview import Rack, advise, assess, forecast
from rackview.core.errors import InputError
from rackview.core.events import PRESUMED_ANIMALS, Count
from rackview.core.parse import event_from_row, row_of
from rackview.core.vessel import Vessel

NOW = datetime(2026, 5, 14, 8, tzinfo=UTC)


def rack(*rows: dict[str, object]) -> Rack:
    events = [{"vessel": "A1", "kind": "count", "at": NOW - timedelta(hours=1), **row} for row in rows]
    return Rack.build([Vessel("A1", "rotifer-L", "A", 1, 20.0)]).record(*events)


def width(one: Rack) -> float:
    found = assess(one, "A1", NOW).density_per_ml
    assert found is not None
    assert 100 < found.median < 140
    return found.high90 / found.low90


def test_it_is_believed_less_than_a_count_of_many_and_more_than_one_of_few() -> None:
    many, alone = width(rack({"tallies": "118 122"})), width(rack({"density_per_ml": 120}))
    few = width(rack({"tallies": "6", "aliquot_ml": 0.05}))
    assert many < alone < few


def test_it_is_told_as_what_it_is() -> None:
    seen = assess(rack({"density_per_ml": 120}), "A1", NOW)
    assert seen.counted_animals is None
    said = [e.text for s in advise(rack({"density_per_ml": 120}), NOW) for e in s.evidence]
    assert any("from an unknown number of animals" in text for text in said)
    assert not any(f"{PRESUMED_ANIMALS} animals" in text for text in said)


def test_a_history_of_densities_and_counts_answers() -> None:
    rows = [
        {"at": NOW - timedelta(days=d), **({"density_per_ml": 100 + d} if d % 2 else {"tallies": "98 104"})}
        for d in range(12, 0, -1)
    ]
    one = rack(*rows, {"density_per_ml": 0, "at": NOW - timedelta(hours=2)}, {"density_per_ml": 5})
    assert assess(one, "A1", NOW).state
    assert forecast(one, "A1", NOW, (1.0, 2.0), (0.05, 0.5, 0.95)).shape == (2, 3)


def test_none_found_is_a_count_of_none() -> None:
    event = event_from_row({"at": NOW, "vessel": "A1", "kind": "count", "density_per_ml": 0})
    assert isinstance(event, Count)
    assert (event.animals, event.seen, event.looked_at_ml) == (0, None, 1.0)
    assert event_from_row(row_of(event)) == event


def test_tallies_and_a_density_are_not_both_taken() -> None:
    row = {"at": NOW, "vessel": "A1", "kind": "count", "density_per_ml": 90, "tallies": "9"}
    with pytest.raises(InputError, match=r"density_per_ml: found “90\.0”, but needs nothing there"):
        event_from_row(row)
