"""What a vessel gave and took, against what was put into the record by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from rackview.advice.record.compare import by_kit, by_vessel, compare
from rackview.core.rack import Rack
from rackview.core.tables import Stock
from rackview.core.vessel import Kit, Vessel

STOCK = (Stock("algae", "concentrate", 0.1, 1000.0, "mL", date(2026, 2, 20), None, 3.0, 50.0),)
VESSELS = (
    Vessel("A", "rotifer-L", "1", 1, 20.0, kit=Kit("bottle", origin="home-made")),
    Vessel("B", "rotifer-L", "1", 2, 20.0, kit=Kit("bottle", origin="home-made")),
    Vessel("C", "rotifer-L", "1", 3, 20.0, kit=Kit("cylinder", origin="bought")),
)
DAYS = 24


def steady(at, vessel: str, days: int = DAYS, share: float = 0.25) -> list[dict[str, object]]:
    """Each morning 200 per mL, a quarter harvested, 10 mL of algae fed: it grows back by -ln(0.75) = 0.288 a day."""
    found: list[dict[str, object]] = []
    for day in range(days):
        found += [
            {"at": at(day), "vessel": vessel, "kind": "count", "tallies": "200 202 198 201", "aliquot_ml": 1.0},
            {"at": at(day, 5), "vessel": vessel, "kind": "harvest", "volume_l": 20 * share, "refill_l": 20 * share},
            {"at": at(day, 6), "vessel": vessel, "kind": "feed", "feed": "algae", "amount": 10.0, "unit": "mL"},
        ]
    return found


def of(found, name):
    return next(p for p in found if p.vessel.vessel == name)


def test_a_steady_culture_gives_what_was_harvested_and_grows_by_what_was_taken(at):
    rack = Rack.build(VESSELS, stock=STOCK).record(*steady(at, "A"))
    one = of(compare(rack, at(DAYS - 1, 60), 14.0), "A")
    assert one.days == pytest.approx(14.0, abs=0.01)
    assert one.growth_per_day == pytest.approx(0.2877, rel=0.06)
    (line,) = by_vessel((one,))
    assert line.per_litre_day == pytest.approx(200e3 * 5 / 20, rel=0.06), "a million a day from 20 L"
    assert line.g_per_million == pytest.approx(1.0, rel=0.05), "10 mL at 0.1 g per mL for a million"
    assert line.cost_per_million == pytest.approx(0.5, rel=0.05), "50 for 1000 mL"
    assert line.losses == 0


def test_moving_culture_makes_and_loses_nothing(at):
    """Over all vessels what was grown is what was harvested and what stands more, whatever was moved between them."""
    rack = Rack.build(VESSELS, stock=STOCK).record(*steady(at, "A"), *steady(at, "B"))
    rack = rack.record(
        {"at": at(15, 30), "vessel": "C", "kind": "return"},
        {"at": at(15, 31), "vessel": "A", "kind": "split", "to_vessel": "C", "volume_l": 8.0},
        {"at": at(18, 30), "vessel": "B", "kind": "restart", "from_vessel": "A", "volume_l": 6.0},
    )
    now, since = at(20, 60), at(14, 60)
    found = compare(rack, now, 6.0)
    standing = 0.0
    for moment, sign in ((now, 1.0), (since, -1.0)):
        for name in rack.vessels:
            seen = _seen(rack, name, moment)
            standing += sign * seen
    poured_away = _seen(rack, "B", at(18, 29))
    grown = sum(p.harvested for p in found) + standing + poured_away
    assert sum(p.produced for p in found) == pytest.approx(grown, rel=0.02)


def _seen(rack, name, moment) -> float:
    from rackview import assess

    found = assess(rack, name, moment)
    return 0.0 if found.density_per_ml is None else found.density_per_ml.median * found.level_l * 1000.0


def test_a_culture_given_up_under_its_floor_is_a_loss_and_one_renewed_in_time_is_not(at):
    gone = {"at": at(20, 1), "vessel": "A", "kind": "count", "tallies": "0 1 0 0"}
    again = [{**gone, "at": at(20, k)} for k in (1, 2, 3)]
    restart = {"at": at(20, 30), "vessel": "A", "kind": "restart", "from_vessel": "B", "volume_l": 5.0}
    both = Rack.build(VESSELS, stock=STOCK).record(*steady(at, "A", 20), *steady(at, "B"))
    assert of(compare(both.record(*again, restart), at(21, 60), 10.0), "A").losses == 1
    assert of(compare(both.record(restart), at(21, 60), 10.0), "A").losses == 0


def test_kits_are_weighed_by_what_their_vessels_gave(at):
    rack = Rack.build(VESSELS, stock=STOCK).record(*steady(at, "A"), *steady(at, "B", share=0.4), *steady(at, "C"))
    found = compare(rack, at(DAYS - 1, 60), 14.0)
    bottle, cylinder = by_kit(found)
    assert (bottle.name, bottle.vessels, cylinder.name) == ("bottle, home-made", 2, "cylinder, bought")
    a, b = of(found, "A"), of(found, "B")
    assert bottle.g_per_million == pytest.approx(1e6 * (a.fed_g + b.fed_g) / (a.harvested + b.harvested))
    assert bottle.per_litre_day == pytest.approx((a.produced + b.produced) / (20 * (a.days + b.days)))


def test_a_feed_without_a_price_gives_no_cost_and_a_vessel_never_used_no_line(at):
    free = Rack.build(VESSELS, stock=(replace(STOCK[0], price=None),)).record(*steady(at, "A"))
    found = compare(free, at(DAYS - 1, 60), 14.0)
    assert [p.vessel.vessel for p in found] == ["A"]
    assert by_vessel(found)[0].cost_per_million is None
    assert compare(Rack.build(VESSELS), at(3), 14.0) == ()
