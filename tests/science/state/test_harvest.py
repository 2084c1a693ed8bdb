"""Growth seen through harvests: the rate is that of the animals, not of the bucket."""

from __future__ import annotations

import pytest

from rackview.core.clock import as_utc, day_number
from rackview.core.rack import Rack
from rackview.science.state.estimate import estimate

VESSELS = [{"vessel": "A1", "strain": "rotifer-L", "shelf": "A", "position": 1, "volume_l": 20}]


def event(at: str, kind: str, **more: object) -> dict[str, object]:
    return {"at": at, "vessel": "A1", "kind": kind, **more}


def estimated(at: str, *events: dict[str, object]):
    rack = Rack.from_frames(VESSELS, events)
    day = day_number(as_utc(at))
    return estimate(rack.log("A1", day), rack.profile("A1"), day)


@pytest.mark.parametrize("tallies", [("100", "130"), ("98 104 101 97", "131 128 133 129")])
def test_a_replaced_third_is_not_taken_for_a_loss(tallies: tuple[str, str]) -> None:
    # ln(130 / (100 * 14 / 20)) / 2 = 0.3095 per day by the two counts and the harvest alone (textbook algebra)
    found = estimated(
        "2026-03-03T09:00",
        event("2026-03-01T08:00", "count", tallies=tallies[0]),
        event("2026-03-01T08:30", "harvest", volume_l=6, refill_l=6),
        event("2026-03-03T08:00", "count", tallies=tallies[1]),
    )
    assert 0.15 < found.net_per_day.median < 0.40
    assert found.net_per_day.low90 < 0.3095 < found.net_per_day.high90
    assert 110 < found.density_per_ml.median < 150


def test_a_harvest_moves_the_density_by_its_share_and_leaves_the_level() -> None:
    count = event("2026-03-01T08:00", "count", tallies="200 210 190")
    before = estimated("2026-03-01T08:00", count)
    after = estimated("2026-03-01T08:00", count, event("2026-03-01T08:00", "harvest", volume_l=5, refill_l=5))
    assert after.density_per_ml.median == pytest.approx(0.75 * before.density_per_ml.median, rel=1e-9)
    assert after.level_l == 20


def test_culture_taken_without_refill_lowers_the_level_only() -> None:
    count = event("2026-03-01T08:00", "count", tallies="200 210 190")
    before = estimated("2026-03-01T08:00", count)
    after = estimated("2026-03-01T08:00", count, event("2026-03-01T08:00", "harvest", volume_l=5))
    assert after.density_per_ml.median == pytest.approx(before.density_per_ml.median, rel=1e-12)
    assert after.level_l == 15


def test_what_a_harvest_took_is_remembered_as_what_was_believed_just_before_it() -> None:
    count = event("2026-03-01T08:00", "count", tallies="200 210 190")
    before = estimated("2026-03-02T08:00", count)
    taken = [event(f"2026-03-0{day}T08:00", "harvest", volume_l=5, refill_l=5) for day in (2, 3)]
    after = estimated("2026-03-03T09:00", count, *taken).belief.taken
    assert [one.harvest.volume_l for one in after] == [5, 5]
    assert after[0].per_ml == pytest.approx(before.density_per_ml.median, rel=1e-9)
    assert after[0].kept().per_ml == after[0].per_ml
    assert isinstance(after[0].kept().before, float)
    assert (
        len(estimated("2026-03-09T09:00", count, *taken, event("2026-03-09T08:00", "harvest", volume_l=5)).belief.taken)
        == 1
    )
