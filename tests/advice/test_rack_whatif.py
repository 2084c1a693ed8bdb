"""What if: both futures of the whole rack for an act, a vessel lost, a brood added or moved, days away."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from rackview import plan
from rackview.advice.what_if.rack import rack_what_if
from rackview.core.errors import InputError
from rackview.core.tables import Brood

DAY = 7
NOON = 60.0


def brood(at, days, tank_l, name="fish 1"):
    return Brood(name, "anemonefish", hatched=(at(DAY) + timedelta(days=days)).date(), tank_l=tank_l, larvae=300)


@pytest.fixture
def rack(three, at):
    return three.with_broods([brood(at, 3, 250.0)])


def gap(found, side):
    """Chance of falling short of the one brood in one of the futures."""
    return next(b for b in found.broods if b.brood == "fish 1").chance_short[side]


def test_the_first_future_is_the_plan(rack, at):
    found = rack_what_if(rack, at(DAY, NOON), 10, lost=["C"])
    told = plan(rack, at(DAY, NOON), 10)
    assert [(d.date, d.strain, d.chance_short[0], d.supply[0]) for d in found.days] == [
        (d.date, d.strain, d.chance_short, d.supply) for d in told.days
    ]


def test_vessels_lost_leave_less_and_the_more_the_likelier_a_shortfall(rack, at):
    one, two = (rack_what_if(rack, at(DAY, NOON), 10, lost=names) for names in (["A"], ["A", "B", "C"]))
    assert sum(d.supply[1].median for d in one.days) < sum(d.supply[0].median for d in one.days)
    assert gap(two, 1) > gap(one, 1) - 0.02
    assert gap(two, 1) > gap(two, 0) + 0.3
    assert any(line.startswith("fish 1: chance of a shortfall") for line in two.lines)
    assert any("can be given, as it stands" in line for line in two.lines)


def test_a_great_harvest_leaves_less_for_the_days_ahead(rack, at):
    acts = [
        {"at": at(DAY, NOON), "vessel": n, "kind": "harvest", "volume_l": 15, "refill_l": 15, "to": "discard"}
        for n in "ABC"
    ]
    found = rack_what_if(rack, at(DAY, NOON), 10, events=acts)
    assert found.days[1].supply[1].median < found.days[1].supply[0].median


def test_a_split_and_a_restart_can_be_looked_at(build, at):
    two = build({"A": ("rotifer-L", "1", 1, 20.0, 420.0), "B": ("rotifer-L", "1", 2, 20.0, None)}, days=9)
    now = at(DAY + 1, NOON)
    split = {"at": now, "vessel": "A", "kind": "split", "to_vessel": "B", "volume_l": 8}
    restart = {"at": now, "vessel": "B", "kind": "restart", "from_vessel": "A", "volume_l": 8}
    for act in (split, restart):
        found = rack_what_if(two, now, 8, events=[act])
        assert len(found.days) == 8


def test_a_brood_added_is_told_and_one_moved_takes_its_place(rack, at):
    now = at(DAY, NOON)
    added = rack_what_if(rack, now, 12, broods=[brood(at, 4, 800.0, "fish 2")])
    told = {b.brood: b.chance_short for b in added.broods}
    assert told["fish 2"][0] is None
    assert told["fish 2"][1] is not None
    assert told["fish 1"][1] >= told["fish 1"][0] - 0.02
    moved = rack_what_if(rack, now, 12, broods=[replace(rack.broods[0], hatched=at(DAY + 60).date())])
    assert {b.brood: b.chance_short[1] for b in moved.broods} == {"fish 1": None}
    assert any("no longer eats" in line for line in moved.lines)
    assert [b.brood for b in rack.broods] == ["fish 1"], "the rack itself is as it was"


def test_while_nobody_is_there_nobody_is_fed(three, at):
    rack = three.with_broods([brood(at, 0, 250.0), brood(at, 9, 250.0, "later")])
    found = rack_what_if(rack, at(DAY, NOON), 14, away_days=7)
    alone = [d for d in found.days if (d.date - at(DAY).date()).days < 7]
    assert all(d.supply[1].median == 0.0 for d in alone)
    assert all(d.chance_short[1] == 1.0 for d in alone if d.demand[1] > 0.0)
    assert gap(found, 1) == 1.0
    assert len(found.days) == 14
    assert not any(" 0 can be given" in line for line in found.lines), "what can be given once someone is back is told"
    later = next(b for b in found.broods if b.brood == "later").chance_short
    assert later[1] is not None


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({}, "action"),
        ({"away_days": 99}, "away_days"),
        ({"away_days": -1}, "away_days"),
        ({"lost": ["Z"]}, "vessel"),
        ({"events": [{"vessel": "A", "kind": "harvest", "volume_l": 99}]}, "volume_l"),
    ],
)
def test_what_can_t_be_is_said(rack, at, asked, field):
    now = at(DAY, NOON)
    asked = {k: [{"at": now, **e} for e in v] if k == "events" else v for k, v in asked.items()}
    with pytest.raises(InputError) as caught:
        rack_what_if(rack, now, 10, **asked)
    assert caught.value.field == field


def test_the_same_is_answered_again(rack, at):
    first, again = (rack_what_if(rack, at(DAY, NOON), 8, lost=["A"]) for _ in range(2))
    assert first == again
