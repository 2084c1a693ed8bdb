"""What a million delivered takes of feed and money, by strain and month."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from rackview.advice.feeding.costs import costs
from rackview.advice.feeding.stock import lasting
from rackview.advice.rows import stock_rows
from rackview.core.rack import Rack
from rackview.core.tables import Stock, TankEntry
from rackview.core.vessel import Vessel

ALGAE = Stock("algae", "concentrate", 0.1, 500.0, "mL", date(2026, 2, 1), date(2026, 12, 1), 3.0, 25.0)


@pytest.fixture
def rack():
    """Counted 200 per mL, then 5 L of 20 for larvae at the end of March and 2 L thrown away in April."""
    vessels = [Vessel("A", "rotifer-L", "1", 1, 20.0), Vessel("B", "rotifer-S", "1", 2, 20.0)]
    rows = [
        {"at": "2026-03-30T08:00Z", "vessel": "A", "kind": "count", "tallies": "200 201 199 200"},
        {"at": "2026-03-30T08:10Z", "vessel": "A", "kind": "harvest", "volume_l": 5, "refill_l": 5, "to": "fish 1"},
        {"at": "2026-03-30T08:20Z", "vessel": "A", "kind": "feed", "feed": "algae", "amount": 20},
        {"at": "2026-04-01T08:00Z", "vessel": "A", "kind": "count", "tallies": "200 201 199 200"},
        {"at": "2026-04-01T08:10Z", "vessel": "A", "kind": "harvest", "volume_l": 2, "refill_l": 2, "to": "discard"},
        {"at": "2026-04-01T08:20Z", "vessel": "A", "kind": "feed", "feed": "algae", "amount": 10},
        {"at": "2026-04-01T08:20Z", "vessel": "B", "kind": "feed", "feed": "algae", "amount": 4},
    ]
    return Rack.build(vessels, stock=[ALGAE]).record(*rows)


def test_each_month_has_what_was_fed_delivered_and_thrown_away(rack):
    march, april, other = costs(rack, "2026-04-02T12:00Z")
    assert (march.strain, march.month) == ("rotifer-L", date(2026, 3, 1))
    assert march.delivered == pytest.approx(1e6, rel=0.1)  # 200 per mL in 5 L
    assert march.fed_g == pytest.approx(2.0)  # 20 mL of 0.1 g dry
    assert march.cost == pytest.approx(1.0)  # 20 of 500 mL that cost 25
    assert march.g_per_million == pytest.approx(2.0, rel=0.1)
    assert march.cost_per_million == pytest.approx(1.0, rel=0.1)
    assert april.delivered == 0.0
    assert april.thrown == pytest.approx(4e5, rel=0.15)
    assert april.g_per_million is april.cost_per_million is None
    assert (other.strain, other.month, other.fed_g) == ("rotifer-S", date(2026, 4, 1), pytest.approx(0.4))


def test_what_is_later_or_longer_ago_than_asked_for_does_not_count(rack):
    assert [c.month.month for c in costs(rack, "2026-03-31T12:00Z")] == [3]
    assert {c.month.month for c in costs(rack, "2026-04-02T12:00Z", 1)} == {4}


def test_the_month_is_that_of_the_keepers_calendar():
    one = Rack.build([Vessel("A", "rotifer-L", "1", 1, 20.0)], stock=[ALGAE]).record(
        {"at": "2026-03-31T22:30Z", "vessel": "A", "kind": "feed", "feed": "algae", "amount": 10}
    )
    assert costs(one, "2026-04-02T12:00+02:00")[0].month == date(2026, 4, 1)
    assert costs(one, "2026-04-02T12:00Z")[0].month == date(2026, 3, 1)


def test_a_feed_without_a_price_leaves_the_cost_open(rack):

    found = costs(rack.with_stock([replace(ALGAE, price=None)]), "2026-04-02T12:00Z")
    assert all(c.cost is None and c.cost_per_million is None for c in found)
    assert found[0].g_per_million is not None


def test_algae_dosed_into_larval_tanks_count_towards_the_bottles_end(rack):
    plain, now = lasting(rack, _at(4, 2)), _at(4, 2)
    dosed = rack.with_tanks([TankEntry(date(2026, 4, d), "fish 1", None, "algae", 50.0) for d in (1, 2)])
    green = lasting(dosed, now)
    assert green[0].left == pytest.approx(plain[0].left - 100.0)
    assert green[0].until < plain[0].until
    assert green[0].a_day > plain[0].a_day
    other = rack.with_tanks([TankEntry(date(2026, 4, 1), "fish 1", None, "algae", 50.0, "g")])
    assert lasting(other, now) == plain, "another unit is another bottle"
    later = rack.with_tanks([TankEntry(date(2026, 4, 9), "fish 1", None, "algae", 50.0)])
    assert lasting(later, now) == plain
    assert costs(dosed, now) == costs(rack, now), "they are no feed of the cultures"


def _at(month, day):

    return datetime(2026, month, day, 12, tzinfo=UTC)


def test_rows(rack):
    row = json.loads(json.dumps(stock_rows(lasting(rack, _at(4, 2)), costs(rack, _at(4, 2))), allow_nan=False))
    assert row["feeds"][0]["order_by"] == lasting(rack, _at(4, 2))[0].order_by.isoformat()
    assert [m["month"] for m in row["months"]] == ["2026-03", "2026-04", "2026-04"]
