"""Each harvest, split, restart and bought starter has its two futures: as advised, and otherwise."""

from __future__ import annotations

import json
from datetime import date, timedelta

import pytest

from rackview import advise
from rackview.advice.rows import suggestion_row
from rackview.advice.what_if.otherwise import compared
from rackview.core.assessment import Expected, Severity
from rackview.core.tables import Brood, Settings

DAY = 7
NOON = 60.0


def brood(at, days, tank_l):
    return Brood("fish 1", "anemonefish", hatched=(at(DAY) + timedelta(days=days)).date(), tank_l=tank_l, larvae=300)


def of(rack, at, action):
    return [s for s in advise(rack, at(DAY, NOON)) if s.action == action]


def same_length(one):
    assert len(one.short) == len(one.met) == len(one.supply) > 7
    assert all(0.0 <= v <= 1.0 for v in (*one.short, *one.met))


def test_a_harvest_has_both(three, at):
    found = of(three.with_broods([brood(at, -2, 900.0)]), at, "harvest")
    assert found
    for one in found:
        same_length(one.as_advised)
        same_length(one.otherwise)
    assert any(s.otherwise.met[0] < s.as_advised.met[0] for s in found)


def test_a_split_has_both_and_the_taker_gives_more_later(build, at):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 420.0), "B": ("rotifer-L", "1", 2, 20.0, None)}, days=9)
    found = [s for s in advise(rack.with_broods([brood(at, 4, 500.0)]), at(DAY + 1, NOON)) if s.action == "split"]
    (one,) = found
    assert one.as_advised.supply[5] > one.otherwise.supply[5]


def test_a_restart_has_both(build, at):
    gone = [180.0] * 6 + [2.0, 1.0]
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 240.0), "B": ("rotifer-L", "1", 2, 20.0, gone)})
    (one,) = of(rack.with_broods([brood(at, 4, 300.0)]), at, "restart")
    same_length(one.as_advised)
    same_length(one.otherwise)
    assert one.as_advised != one.otherwise


def test_a_bought_starter_has_both_and_the_other_one_has_nothing_to_give(build, at):
    gone = [180.0] * 6 + [2.0, 1.0]
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, gone)}).with_settings(Settings(starter_days=2.0))
    (one,) = of(rack.with_broods([brood(at, 6, 60.0)]), at, "restart")
    assert one.code == "starter"
    assert one.severity is Severity.today, "as its flag is, or the list of the day would not begin with it"
    assert one.as_advised.supply[6] > 5.0 * one.otherwise.supply[6]
    assert one.as_advised.met[8] > one.otherwise.met[8]
    assert "Otherwise fish 1 get" in one.why or "Otherwise larvae get" in one.why


def test_a_starter_for_a_rack_too_thin_says_so_and_its_vessel_is_fed_until_then(build, at):
    """Three cultures that stand thin and do not grow, and larvae in five days."""
    thin = [200.0, 145.0, 105.0, 76.0, 58.0, 50.0, 42.0, 36.0]
    rack = build({name: ("rotifer-L", "1", k, 20.0, thin) for k, name in enumerate("ABC", 1)})
    rack = rack.with_settings(Settings(starter_days=2.0)).with_broods([brood(at, 5, 600.0)])
    found = advise(rack, at(DAY, NOON))
    (one,) = [s for s in found if s.code == "starter"]
    assert one.why.startswith("The rack is too thin for what larvae will need.")
    assert "Otherwise" in one.why
    assert any(s.action == "feed" and s.vessel == one.vessel for s in found)


def test_what_is_not_about_stock_has_none(three, at):
    for one in advise(three, at(DAY, NOON)):
        if one.action in {"feed", "clean", "count", "test", "hold"}:
            assert one.as_advised is one.otherwise is None
            assert suggestion_row(one)["as_advised"] is None


def test_rows_and_lines(three, at):
    one = of(three.with_broods([brood(at, -2, 900.0)]), at, "harvest")[0]
    row = json.loads(json.dumps(suggestion_row(one), allow_nan=False))
    assert set(row["as_advised"]) == {"short", "met", "supply"}
    lines = compared(one.as_advised, one.otherwise, at(DAY).date())
    assert all("otherwise" in line or "either way" in line for line in lines)


def test_two_alike_are_said_to_be_alike():
    one = Expected((0.0,) * 4, (1.0,) * 4, (2e6,) * 4)
    lines = compared(one, one, date(2026, 3, 1))
    assert lines[0] == "Larvae get as much either way."
    assert lines[1:] == ("Later as much could be given either way.",)
    more = Expected((0.0,) * 4, (1.0,) * 4, (2e6, 2e6, 2e6, 5e6))
    assert compared(more, one, date(2026, 3, 1))[1:] == ("04 Mar: 5 million could be given, otherwise 2 million",)


@pytest.mark.parametrize("days", [0.0, 30.0])
def test_a_starter_that_takes_longer_comes_later(build, at, days):
    gone = [180.0] * 6 + [2.0, 1.0]
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, gone)}).with_settings(Settings(starter_days=days))
    (one,) = of(rack.with_broods([brood(at, 6, 60.0)]), at, "restart")
    there = one.as_advised.supply[8] > 5.0 * one.otherwise.supply[8]
    assert there == (days == 0.0)
