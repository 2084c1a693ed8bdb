"""Rules of the whole rack: contacts in a broken order, reserves, one shelf, a common cause."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from rackview.advice.api import rack_flags
from rackview.advice.moment import when
from rackview.advice.situation import situation
from rackview.core.assessment import Severity
from rackview.core.rack import Rack
from rackview.core.tables import Settings, Stock
from rackview.core.vessel import Vessel


@pytest.fixture
def rack():
    vessels = [
        Vessel(n, "rotifer-L", s, p, 20.0, n == "R")
        for n, s, p in (("A", "1", 1), ("B", "1", 2), ("C", "2", 1), ("R", "2", 2))
    ]
    return Rack.build(vessels)


def counted(at, vessel, minutes=0, **more):
    return {"at": at + timedelta(minutes=minutes), "vessel": vessel, "kind": "count", "tallies": "200 205 195", **more}


def flags_of(rack, at, vessel):
    return {f.code: f for f in situation(rack, when(at)).findings[vessel]}


def test_served_after_a_suspect_vessel_is_remembered(rack, moment):
    day = moment(0)
    rack = rack.record(counted(day, "A", ciliates="many"), counted(day, "B", 20), counted(day, "C", 200))
    at = day + timedelta(hours=5)
    found = flags_of(rack, at, "B")["contact"]
    assert found.values["other"] == "A"
    assert found.events
    assert "contact" not in flags_of(rack, at, "C"), "over three hours later the tools are dry"
    assert "contact" not in flags_of(rack, at, "A")


def test_served_before_the_suspect_vessel_is_no_contact(rack, moment):
    day = moment(0)
    rack = rack.record(counted(day, "B"), counted(day, "A", 20, ciliates="many"))
    assert "contact" not in flags_of(rack, day + timedelta(hours=1), "B")


def test_what_is_only_noticed_in_a_vessel_makes_nobody_suspect(rack, moment):
    """Some ciliates are no reason to look at every vessel served later; many are."""
    day = moment(0)
    rack = rack.record(counted(day, "A", ciliates="some"), counted(day, "B", 20))
    at = day + timedelta(hours=1)
    assert flags_of(rack, at, "A")["ciliates"].severity is Severity.notice
    assert "contact" not in flags_of(rack, at, "B")


def test_a_vessel_that_has_been_suspect_for_days_is_no_news_to_the_next(rack, moment):
    many = rack.record(*(counted(moment(k), "A", ciliates="many") for k in range(3)))
    assert "contact" in flags_of(many.record(counted(moment(1), "B", 20)), moment(1.1), "B")
    assert "contact" not in flags_of(many.record(counted(moment(2), "B", 20)), moment(2.1), "B")


def test_a_clean_look_later_and_time_both_end_a_contact(rack, moment):
    day = moment(0)
    rack = rack.record(counted(day, "A", ciliates="many"), counted(day, "B", 20))
    looked = rack.record(counted(moment(1), "B", -60, ciliates="none"))
    assert "contact" in flags_of(rack, moment(1), "B")
    assert "contact" not in flags_of(looked, moment(1), "B")
    assert "contact" not in flags_of(rack, moment(5.5), "B")


def rack_codes(rack, at):
    return {f.code: f for f in situation(rack, when(at)).rack_findings}


def test_a_strain_without_a_reserve_is_told(rack, moment):
    rack = rack.record(*(counted(moment(0), n) for n in "ABCR"))
    assert "no_reserve" not in rack_codes(rack, moment(0.1))
    plain = rack.with_vessels([replace(v, reserve=False) for v in rack.vessels.values()])
    assert rack_codes(plain, moment(0.1))["no_reserve"].values == {"strains": ["L rotifer"]}
    off = plain.with_settings(replace(plain.settings, keep_reserve=False))
    assert "no_reserve" not in rack_codes(off, moment(0.1))
    single = Rack.build([Vessel("A", "rotifer-L", "1", 1, 20.0)]).record(counted(moment(0), "A"))
    assert "no_reserve" not in rack_codes(single, moment(0.1))


def test_a_strain_all_on_one_shelf_is_told(rack, moment):
    one = rack.record(*(counted(moment(0), n) for n in "AB"))
    assert rack_codes(one, moment(0.1))["one_place"].values["shelf"] == "1"
    two = rack.record(*(counted(moment(0), n) for n in "ABC"))
    assert "one_place" not in rack_codes(two, moment(0.1))


def test_what_is_wrong_with_several_strains_alike_is_said_once(moment):
    shelves = {"A": ("rotifer-L", "1"), "B": ("rotifer-L", "1"), "C": ("rotifer-S", "1"), "D": ("rotifer-S", "1")}
    vessels = [Vessel(name, strain, shelf, n, 20.0) for n, (name, (strain, shelf)) in enumerate(shelves.items(), 1)]
    rack = Rack.build([*vessels, Vessel("E", "rotifer-SS", "2", 1, 20.0)])
    rack = rack.record(*(counted(moment(0), n) for n in rack.vessels))
    found = [f for f in situation(rack, when(moment(0.1))).rack_findings if f.code != "common"]
    assert [f.code for f in found] == ["no_reserve", "one_place"]
    assert all(f.vessels == ("A", "B", "C", "D") for f in found)
    bare, together = (flag.text for flag in rack_flags(rack, moment(0.1)) if flag.code != "common")
    assert bare == "No reserve of L rotifer, S rotifer. Mark one vessel of each as reserve and keep it apart."
    assert together == "All vessels of L rotifer, S rotifer stand on shelf 1. Move one of each to another shelf."


def sick(at, vessel, **values):
    return {"at": at + timedelta(minutes=5), "vessel": vessel, "kind": "reading", **values}


@pytest.mark.parametrize(
    ("values", "cause"),
    [({"temperature_c": 35.0}, "temperature"), ({"salinity": 45.0}, "salt"), ({"oxygen_mg_l": 1.0}, "unknown")],
)
def test_many_that_fail_together_have_one_cause(rack, moment, values, cause):
    day = moment(0)
    counts = [counted(day, n) for n in "ABCR"]
    two = rack.record(*counts, *(sick(day, n, **values) for n in "AB"))
    assert "common" not in rack_codes(two, moment(0.1))
    three = rack.record(*counts, *(sick(day, n, **values) for n in "ABC"))
    assert rack_codes(three, moment(0.1))["common"].values["cause"] == cause
    assert situation(three, when(moment(0.1))).rack_findings[0].code == "common"


@pytest.mark.parametrize(("of", "common"), [(9, False), (8, True)])
def test_three_are_many_only_where_they_are_more_than_a_third(moment, of, common):
    names = [f"V{n}" for n in range(of)]
    rack = Rack.build([Vessel(n, "rotifer-L", "1", k + 1, 20.0) for k, n in enumerate(names)])
    day = moment(0)
    rack = rack.record(*(counted(day, n) for n in names), *(sick(day, n, oxygen_mg_l=1.0) for n in names[:3]))
    assert ("common" in rack_codes(rack, moment(0.1))) is common


def test_a_fresh_bottle_is_suspected_when_all_were_fed_from_it(rack, moment):
    day = moment(0)
    fed = [{"at": day, "vessel": n, "kind": "feed", "feed": "algae", "amount": 5.0, "unit": "mL"} for n in "ABCR"]
    rack = rack.record(*(counted(day, n) for n in "ABCR"), *fed, *(sick(day, n, oxygen_mg_l=1.0) for n in "ABC"))
    for opened, cause in ((day.date() - timedelta(days=2), "bottle"), (day.date() - timedelta(days=30), "unknown")):
        stocked = rack.with_stock([Stock("algae", "", 0.1, 500.0, "mL", opened)])
        assert rack_codes(stocked, moment(0.1))["common"].values["cause"] == cause


def test_how_long_hands_and_tools_carry_is_the_keepers_own(rack, moment):
    day = moment(0)
    rack = rack.record(counted(day, "A", ciliates="many"), counted(day, "B", 20), counted(day, "C", 200))

    def touched(at, vessel, **values):
        settings = Settings(overrides={(vessel, name): value for name, value in values.items()})
        return "contact" in flags_of(rack.with_settings(settings), at, vessel)

    assert touched(day + timedelta(hours=5), "C", contact_hours=4.0)
    assert not touched(day + timedelta(hours=5), "B", contact_hours=0.2)
    assert touched(moment(2), "B")
    assert not touched(moment(2), "B", contact_days=1.0)


def test_a_strain_of_one_vessel_stands_where_it_stands(moment):
    vessels = [Vessel("A", "rotifer-L", "1", 1, 20.0), Vessel("B", "rotifer-S", "2", 1, 20.0)]
    alone = Rack.build(vessels).record(*(counted(moment(0), n) for n in "AB"))
    assert "one_place" not in rack_codes(alone, moment(0.1))
