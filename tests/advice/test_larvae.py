"""Larvae: broods are served as far as the rack can, shortages are said, and the plan has a day for each strain."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from rackview import advise, assess, plan
from rackview.core.tables import Brood, Demand

DAY = 7
NOON = 60.0


def broods(at, tank_l=300.0):
    return [Brood("fish 1", "anemonefish", hatched=at(DAY).date(), tank_l=tank_l, larvae=300)]


def test_a_brood_is_served_and_named(three, at):
    found = advise(three.with_broods(broods(at, 60.0)), at(DAY, NOON))
    served = [s for s in found if s.action == "harvest" and s.code == "demand"]
    assert served
    assert served[0].to == "fish 1"
    assert "fish 1" in served[0].why
    assert served[0].priority == 2
    others = [s for s in found if s.action == "harvest" and s.code != "demand"]
    assert all(s.to == "discard" for s in others)


def test_what_can_be_met_is_met_and_never_more_than_the_most_is_taken(three, at, by_vessel):
    """Stock is 11.5 million; what of it may be taken in a day is 6.3."""
    for animals in (1e5, 5e5, 1e6, 2e6, 4e6):
        need = [Demand(at(DAY).date(), "rotifer-L", animals)]
        found = by_vessel(advise(three.with_demand(need), at(DAY, NOON)), "harvest")
        given = sum(s.amount * s.density_per_ml * 1e3 for s in found.values())
        assert given >= 0.97 * animals
        for name, s in found.items():
            level = assess(three, name, at(DAY, NOON)).level_l
            assert s.amount <= (three.profile(name).share_most + 0.06) * level


def test_what_was_delivered_today_counts_against_the_need(three, at, do):
    rack = three.with_broods(broods(at, 150.0))
    now = at(DAY, NOON)
    first = [s for s in advise(rack, now) if s.action == "harvest"][:1]
    after = do(rack, first, now)
    left = [s for s in advise(after, at(DAY, NOON + 5)) if s.action == "harvest"]
    before = [s for s in advise(rack, now) if s.action == "harvest"]
    assert sum(s.amount for s in left) <= sum(s.amount for s in before) - 0.5 * first[0].amount


def test_a_shortage_is_said(three, at):
    rack = three.with_broods(broods(at, 1100.0))
    found = [s for s in advise(rack, at(DAY, NOON)) if s.action == "harvest"]
    assert {s.code for s in found} == {"short"}
    assert all("short" in s.why for s in found)
    assert {s.priority for s in found} == {1}


def test_nothing_is_thrown_away_before_a_hatch_that_needs_it(three, at):
    ahead = [Brood("fish 2", "anemonefish", hatched=(at(DAY) + timedelta(days=2)).date(), tank_l=700.0)]
    plain = sum(s.amount for s in advise(three, at(DAY, NOON)) if s.action == "harvest")
    found = advise(three.with_broods(ahead), at(DAY, NOON))
    assert sum(s.amount for s in found if s.action == "harvest") < 0.6 * plain


def test_plan_has_a_day_per_strain_and_books_todays_harvests(three, at):
    found = plan(three.with_broods(broods(at, 150.0)), at(DAY, NOON), 5)
    assert [d.date for d in found.days] == [(at(DAY) + timedelta(days=k)).date() for k in range(5)]
    assert found.days[0].demand == pytest.approx(1.2e6)
    assert found.days[0].for_broods == ("fish 1",)
    today = {
        s.vessel: s.amount for s in advise(three.with_broods(broods(at, 150.0)), at(DAY, NOON)) if s.action == "harvest"
    }
    assert {g.vessel for g in found.days[0].gives} == set(today)
    for give in found.days[0].gives:
        assert give.volume_l == pytest.approx(today[give.vessel], rel=0.06)
    for day in found.days:
        assert day.supply.low90 <= day.supply.median <= day.supply.high90
        assert 0.0 <= day.chance_short <= 1.0


def test_plan_says_when_it_falls_short_and_what_it_cannot_reckon(three, at):
    short = plan(three.with_broods(broods(at, 3000.0)), at(DAY, NOON), 4)
    assert short.days[-1].chance_short > 0.5
    assert any("chance of a shortfall" in note for note in short.notes)
    assert not any("100 % chance" in note for note in short.notes), "nothing is certain"
    other = plan(three.with_demand([Demand(at(DAY).date(), "rotifer-SS", 1e5)]), at(DAY, NOON), 2)
    assert any("no vessel" in note for note in other.notes)
    assert next(d for d in other.days if d.strain == "rotifer-SS").chance_short == 1.0
    odd = plan(three.with_broods([Brood("x", hatched=at(DAY).date())]), at(DAY, NOON), 2)
    assert any("Brood x" in note for note in odd.notes)


@pytest.mark.parametrize(
    ("count", "tank_l", "says"),
    [(1, 3000.0, None), (2, 60.0, None), (4, 1000.0, "of the 4 broods in full"), (2, 3000.0, "any of the 2 broods")],
)
def test_plan_says_how_many_broods_a_great_shortage_can_raise(three, at, count, tank_l, says):
    many = [replace(broods(at, tank_l)[0], brood=f"fish {k}") for k in range(count)]
    notes = plan(three.with_broods(many), at(DAY, NOON), 4).notes
    assert [says in note for note in notes if "in full" in note] == ([] if says is None else [True])
