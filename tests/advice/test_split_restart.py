"""Which vessel is split or restarted, what it is filled from, and what it holds then."""

from __future__ import annotations

from datetime import timedelta

import pytest

from rackview import advise, assess
from rackview.core.tables import Demand

DAY = 7
NOON = 60.0


LEAST_START = 0.7


def test_a_dense_vessel_is_split_into_an_empty_one_and_not_harvested(spare, at, by_vessel, do):
    rack = spare.record({"at": at(1), "vessel": "E", "kind": "rest"}, {"at": at(5), "vessel": "E", "kind": "return"})
    found = advise(rack, at(DAY, NOON))
    split = by_vessel(found, "split")["A"]
    assert split.other_vessel == "E"
    assert "A" not in by_vessel(found, "harvest")
    start = split.amount * assess(rack, "A", at(DAY, NOON)).density_per_ml.median / 20.0
    assert start >= rack.profile("E").start_per_ml
    after = do(rack, [split], at(DAY, NOON))
    young = assess(after, "E", at(DAY, NOON + 1))
    assert young.density_per_ml.median == pytest.approx(start, rel=0.05)
    assert young.level_l == pytest.approx(20.0)
    assert assess(after, "A", at(DAY, NOON + 1)).level_l == pytest.approx(20.0)


def test_a_split_is_taken_from_the_vessel_that_gains_by_it(build, at, count, by_vessel):
    """From the one over its band, though another grows faster."""
    vessels = {"A": ("rotifer-L", "1", 1, 20.0, 320.0), "B": ("rotifer-L", "1", 2, 20.0, 230.0)}
    rack = build(vessels | {"E": ("rotifer-L", "2", 1, 20.0, None)})
    days = ((1, 330.0, 300.0), (2, 332.0, 230.0), (3, 334.0, 300.0), (4, 335.0, 230.0), (5, 336.0, 300.0))
    for day, slow, fast in days:
        rack = rack.record(count(at(DAY + day), "A", slow), count(at(DAY + day), "B", fast))
        if fast > 250.0:
            thinned = {"kind": "harvest", "volume_l": 8.0, "refill_l": 8.0}
            rack = rack.record({"at": at(DAY + day, 10), "vessel": "B", **thinned})
    now = at(DAY + 5, NOON)
    slower, faster = (assess(rack, name, now).net_rate_per_day.median for name in "AB")
    assert slower < 0.3 * faster
    split = by_vessel(advise(rack, now), "split")["A"]
    assert (split.other_vessel, split.code) == ("E", "dense")


def test_an_unused_place_is_filled_once_the_rack_runs(spare, at, by_vessel):
    assert by_vessel(advise(spare, at(DAY, NOON)), "split")["A"].other_vessel == "E"


def test_a_vessel_to_be_counted_again_gives_no_split_meanwhile(spare, at, count, by_vessel):
    wild = spare.record(count(at(DAY + 1), "A", 1400.0), count(at(DAY + 1), "B", 200.0))
    found = advise(wild, at(DAY + 1, NOON))
    assert by_vessel(found, "count")["A"].code == "recount"
    assert "A" not in by_vessel(found, "split")
    again = wild.record(count(at(DAY + 1, 20), "A", 380.0))
    assert by_vessel(advise(again, at(DAY + 1, NOON)), "split")["A"].other_vessel == "E"


def test_a_place_never_used_holds_what_was_split_into_it(spare, at):
    """The new vessel is believed to hold the donor's culture, not something unknown that filled it before."""
    given = assess(spare, "A", at(DAY, NOON)).density_per_ml.median
    moved = {"at": at(DAY, NOON), "vessel": "A", "kind": "split", "to_vessel": "E", "volume_l": 8.0, "refill_l": 8.0}
    noted = spare.record({"at": at(3), "vessel": "E", "kind": "note", "text": "washed"})
    for rack in (spare, noted):
        young = assess(rack.record(moved), "E", at(DAY, NOON + 1))
        assert young.level_l == 20.0, "filled up, as nothing else was said"
        assert young.density_per_ml.median == pytest.approx(0.4 * given, rel=0.02)
        young = assess(rack.record({**moved, "fill_l": 0.0}), "E", at(DAY, NOON + 1))
        assert young.level_l == 8.0
        assert young.density_per_ml.median == pytest.approx(given, rel=0.02)
        filled = {"at": at(DAY, NOON + 1), "vessel": "E", "kind": "top_up", "volume_l": 12.0}
        for said in ({}, {"fill_l": 0.0}):
            young = assess(rack.record({**moved, **said}, filled), "E", at(DAY, NOON + 2))
            assert young.level_l == 20.0
            assert young.density_per_ml.median == pytest.approx(0.4 * given, rel=0.02)
    fed = spare.record({"at": at(3), "vessel": "E", "kind": "feed", "feed": "algae", "amount": 3.0})
    assert assess(fed.record(moved), "E", at(DAY, NOON + 1)).density_per_ml is None, "who is fed held something"


def test_a_vessel_half_full_gives_only_what_it_spares_once_filled_up(build, at, by_vessel):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 240.0), "B": ("rotifer-L", "1", 2, 20.0, 240.0)})
    full = by_vessel(advise(rack, at(DAY, NOON)), "harvest")["A"]
    drawn = {
        "at": at(DAY, NOON - 5),
        "vessel": "A",
        "kind": "split",
        "to_vessel": "B",
        "volume_l": 4.0,
        "refill_l": 0.0,
    }
    less = rack.record(drawn)
    found = by_vessel(advise(less, at(DAY, NOON)), "harvest").get("A")
    level, per_ml = assess(less, "A", at(DAY, NOON)).level_l, assess(less, "A", at(DAY, NOON)).density_per_ml.median
    assert level == pytest.approx(16.0)
    assert found is not None
    assert found.amount < 0.6 * full.amount
    left = per_ml * (level - found.amount) / (level - found.amount + found.refill_l)
    assert left >= rack.profile("A").start_per_ml
    drained = less.record({**drawn, "at": at(DAY, NOON - 4), "volume_l": 6.0})
    assert "A" not in by_vessel(advise(drained, at(DAY, NOON)), "harvest")


def test_larvae_come_before_a_split(spare, at, by_vessel):
    need = [Demand((at(DAY) + timedelta(days=k)).date(), "rotifer-L", 5.0e6) for k in range(4)]
    found = advise(spare.with_demand(need), at(DAY, NOON))
    given = sum(s.amount * s.density_per_ml * 1e3 for s in found if s.action == "harvest" and s.to != "discard")
    assert given >= 0.8 * 5.0e6, "of 11 million, with three more such days to come"


GONE = [180.0] * 6 + [2.0, 1.0]
"""Counts of a vessel that crashed the day before."""


def crashed(build):
    """Three vessels and a reserve; B has crashed."""
    return build(
        {
            "A": ("rotifer-L", "1", 1, 20.0, 210.0),
            "B": ("rotifer-L", "1", 2, 20.0, GONE),
            "C": ("rotifer-L", "2", 1, 15.0, 240.0),
            "R": ("rotifer-L", "3", 1, 8.0, 150.0, "reserve"),
        }
    )


def test_a_crashed_vessel_is_restarted_from_the_cleanest(build, at, by_vessel, do):
    gone = crashed(build)
    found = advise(gone, at(DAY, NOON))
    restart = by_vessel(found, "restart")["B"]
    assert restart.other_vessel in {"A", "C"}
    assert {s.action for s in found if s.vessel == "B"} == {"restart", "feed"}
    assert any("label" in c and "zero chlorine" in c for c in restart.cautions)
    after = do(gone, [restart], at(DAY, NOON))
    assert assess(after, "B", at(DAY, NOON + 1)).density_per_ml.median >= 0.95 * LEAST_START * 100.0
    assert assess(after, "B", at(DAY, NOON + 1)).state != "crashed"


def test_the_reserve_seeds_a_restart_only_when_no_other_can(build, at, count, by_vessel):
    bad = [count(at(DAY, 20), n, 200.0, ciliates="some") for n in "AC"]
    found = advise(crashed(build).record(*bad), at(DAY, NOON))
    restart = by_vessel(found, "restart")["B"]
    assert restart.other_vessel == "R"
    assert any("reserve" in c for c in restart.cautions)


def test_a_suspect_vessel_never_seeds_a_clean_one(build, at, count, by_vessel):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 300.0), "B": ("rotifer-L", "1", 2, 20.0, GONE)})
    rack = rack.record(count(at(DAY, 20), "A", 300.0, ciliates="some"))
    found = advise(rack, at(DAY, NOON))
    assert not by_vessel(found, "restart")
    assert by_vessel(found, "hold")["B"].code == "no_donor"


def test_a_failed_vessel_is_started_anew_even_when_larvae_go_short(build, at, by_vessel):
    need = [Demand((at(DAY) + timedelta(days=k)).date(), "rotifer-L", 1e8) for k in range(6)]
    found = advise(crashed(build).with_demand(need), at(DAY, NOON))
    assert "B" in by_vessel(found, "restart")
    assert by_vessel(found, "harvest")


def test_an_old_culture_is_restarted_when_the_rack_can_spare_it(build, at):
    vessels = {n: ("rotifer-L", "1", k + 1, 20.0, 220.0) for k, n in enumerate("ABC")}
    rack = build(vessels, days=46)
    found = [s for s in advise(rack, at(45, NOON)) if s.action == "restart"]
    assert len(found) == 1, "one at a time"
    assert found[0].code == "age"
    need = [Demand((at(45) + timedelta(days=k)).date(), "rotifer-L", 4.5e6) for k in range(8)]
    assert not [s for s in advise(rack.with_demand(need), at(45, NOON)) if s.action == "restart"]


def test_a_giver_is_full_again_after_a_split_and_a_restart(three, at):
    for kind, more in (("split", {"vessel": "A", "to_vessel": "B"}), ("restart", {"vessel": "B", "from_vessel": "A"})):
        moved = {"at": at(DAY, NOON), "kind": kind, "volume_l": 5.0, **more}
        before = assess(three, "A", at(DAY, NOON)).density_per_ml.median
        found = assess(three.record(moved), "A", at(DAY, NOON + 1))
        assert found.level_l == pytest.approx(20.0)
        assert found.density_per_ml.median == pytest.approx(0.75 * before, rel=0.02)
        low = assess(three.record({**moved, "refill_l": 0}), "A", at(DAY, NOON + 1))
        assert low.level_l == pytest.approx(15.0)
        assert low.density_per_ml.median == pytest.approx(before, rel=0.02)
