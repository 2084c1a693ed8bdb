"""The plan's days ahead: broods and by when something must begin, new salt water and the salt in it."""

from __future__ import annotations

import json
import math
from datetime import timedelta

import pytest

from rackview import plan
from rackview.advice.rows import plan_rows
from rackview.core.tables import Brood, Settings
from rackview.science.seawater import g_per_litre

DAY = 7
NOON = 60.0


@pytest.fixture
def few(build):
    """One culture and its reserve: a brood that needs much can't be sure of its food."""
    return build({"A": ("rotifer-L", "1", 1, 20.0, 200.0), "R": ("rotifer-L", "3", 1, 8.0, 150.0, "reserve")})


def hatching(at, days, tank_l, name="fish 9"):
    return Brood(name, "anemonefish", hatched=(at(DAY) + timedelta(days=days)).date(), tank_l=tank_l, larvae=300)


def endangered(rack, at, settings=None):
    """The plan of the smallest brood that one more culture would make safe."""
    for tank_l in (150.0, 200.0, 250.0, 300.0, 350.0, 400.0, 500.0):
        asked = rack.with_broods([hatching(at, 10, tank_l)])
        found = plan(asked if settings is None else asked.with_settings(settings), at(DAY, NOON), 20)
        if found.broods[0].state == "start":
            return found
    raise AssertionError("no brood of these sizes could be helped")


def test_a_safe_brood_is_said_to_be_so_and_no_more(three, at):
    found = plan(three.with_broods([hatching(at, 2, 60.0)]), at(DAY, NOON), 12)
    (one,) = found.broods
    assert (one.brood, one.strain, one.state) == ("fish 9", "rotifer-L", "safe")
    assert one.first == at(DAY + 2).date()
    assert [day for day, _ in one.chances] == [at(DAY + k).date() for k in range(2, 10)]
    assert one.chance_short >= max(chance for _, chance in one.chances)
    assert one.last_safe is one.order_by is None
    assert not any("fish 9" in note for note in found.notes)


def test_the_last_safe_day_and_the_day_to_order_are_said_in_words_and_numbers(few, at):
    found = endangered(few, at)
    (one,) = found.broods
    assert at(DAY).date() <= one.last_safe <= one.last
    assert one.order_by == one.last_safe - timedelta(days=7)
    (note,) = [n for n in found.notes if "fish 9" in n]
    assert "One more culture of rotifer-L started" in note
    assert f"{one.last_safe:%d %b}" in note
    row = json.loads(json.dumps(plan_rows(found), allow_nan=False))["broods"][0]
    assert row["last_safe"] == one.last_safe.isoformat()
    assert row["order_by"] == one.order_by.isoformat()


def test_how_long_a_starter_takes_moves_the_day_to_order_and_what_comes_too_late_is_said(few, at):
    quick = endangered(few, at, Settings(starter_days=0.0))
    slow = endangered(few, at, Settings(starter_days=60.0))
    assert quick.broods[0].order_by == quick.broods[0].last_safe
    assert any("order a starter by" in n for n in quick.notes)
    assert slow.broods[0].last_safe == quick.broods[0].last_safe
    assert any("comes too late" in n for n in slow.notes)


def test_a_brood_beyond_help_is_told_to_be(few, at):
    found = plan(few.with_broods([hatching(at, 2, 4000.0)]), at(DAY, NOON), 12)
    assert found.broods[0].state == "late"
    assert found.broods[0].last_safe is None
    assert any("raise fewer larvae" in n for n in found.notes)


def test_new_water_is_what_the_days_take_and_its_salt_is_that_of_sea_water(three, at):
    found = plan(three, at(DAY, NOON), 5)
    taken = {}
    for day in found.days:
        for give in day.gives:
            taken[day.date] = taken.get(day.date, 0.0) + give.volume_l
    assert {w.date: w.volume_l for w in found.water} == pytest.approx(taken)
    for one in found.water:  # 29 measured at 25 degC; density by TEOS-10 where the plan takes EOS-80
        assert one.salt_g / one.volume_l == pytest.approx(g_per_litre(29.0, 25.0), rel=1e-4)


def test_a_split_fills_a_vessel_up(build, at):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 420.0), "B": ("rotifer-L", "1", 2, 20.0, None)}, days=9)
    found = plan(rack, at(DAY + 1, NOON), 2)
    assert found.splits
    moved = sum(s.amount for s in found.splits)
    gives = sum(g.volume_l for d in found.days if d.date == at(DAY + 1).date() for g in d.gives)
    assert found.water[0].volume_l == pytest.approx(gives + 20.0, rel=0.05)
    assert moved < 20.0
    assert not math.isnan(found.water[0].salt_g)
