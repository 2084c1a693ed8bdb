"""Days on which larvae go short or vessels are doubted: what is made good, who still gives, what is started anew."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest

from rackview import advise, assess, plan
from rackview.advice.moment import when
from rackview.advice.moves import LEAST_START
from rackview.advice.situation import situation
from rackview.core.tables import Brood, Demand

DAY = 7
NOON = 60.0


def animals(suggestions, fish=True):
    """Animals harvested for larvae (or to be discarded)."""
    found = [s for s in suggestions if s.action == "harvest" and (s.to != "discard") is fish]
    return sum(s.amount * s.density_per_ml * 1000.0 for s in found)


# --- larvae that got too little, and what is thinned out ---


def brood(at, tank_l, hatched=DAY - 3):
    return Brood("fish 1", "anemonefish", hatched=at(hatched).date(), tank_l=tank_l, larvae=300)


def test_what_larvae_missed_yesterday_is_made_good_today_and_said(build, at):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, [210.0] * 8)})
    rack = rack.with_broods([brood(at, 300.0, hatched=DAY - 1)])
    away = {"vessel": "A", "kind": "harvest", "to": "discard"}
    missed = rack.record(
        *(
            {"at": e.at, "volume_l": e.volume_l, "refill_l": e.refill_l, "replaces": e.id, **away}
            for e in rack.events()
            if e.kind == "harvest"
        )
    )
    once = missed.record({"at": at(1, 50), "vessel": "A", "kind": "harvest", "volume_l": 0.5, "refill_l": 0.5})
    day = at(DAY, NOON)
    need = {name: plan(r, day, 1).days[0].demand for name, r in (("once", once), ("well", rack), ("never", missed))}
    plain = 300e3 * 5.0
    assert need["never"] == pytest.approx(plain), "no harvest for larvae was ever recorded, so nothing is known"
    assert plain < need["well"] < need["once"] <= 300e3 * 8.0
    assert need["once"] == pytest.approx(300e3 * 8.0)
    said = [f.text for s in advise(once, day) if s.action == "harvest" for f in s.evidence]
    assert any("too little the day before" in text for text in said)
    assert not any("too little" in f.text for s in advise(missed, day) for f in s.evidence)


def test_what_is_thinned_out_goes_to_the_larvae_up_to_a_whole_filling(three, at):
    small, large = (three.with_broods([brood(at, litres)]) for litres in (20.0, 200.0))
    day = at(DAY, NOON)
    none = advise(three, day)
    assert animals(none) > 0.0
    for rack, litres in ((small, 20.0), (large, 200.0)):
        found = advise(rack, day)
        given = animals(found)
        assert given >= litres * 5e3
        first = max(s.amount * s.density_per_ml * 1000.0 for s in found if s.action == "harvest" and s.to == "fish 1")
        assert given <= max(1.06 * litres * 8e3, first)
    assert animals(advise(small, day), fish=False) > 0.0
    more = [s for s in advise(large, day) if s.action == "harvest" and s.code == "growth" and s.to == "fish 1"]
    assert all("late or missed" in s.why for s in more)


def test_the_keepers_own_word_is_not_overfilled(three, at):
    own = three.with_demand([Demand(at(DAY).date(), "rotifer-L", 3e5)])
    found = [s for s in advise(own, at(DAY, NOON)) if s.action == "harvest"]
    to = {s.to for s in found}
    assert len([s for s in found if s.to == "larvae"]) == 1
    assert to == {"larvae", "discard"}


# --- looking again ---


def test_a_surprise_is_counted_again_at_once_and_then_acted_on(three, at, count, by_vessel):
    now = at(DAY + 1, 10)
    fallen = three.record(count(at(DAY + 1), "A", 70.0), *(count(at(DAY + 1), n, 200.0) for n in "BC"))
    found = advise(fallen, now)
    assert by_vessel(found, "count")["A"].code == "recount"
    assert "A" not in by_vessel(found, "harvest")
    slip = fallen.record(count(at(DAY + 1, 15), "A", 260.0))
    assert "A" not in by_vessel(advise(slip, at(DAY + 1, 20)), "count")
    assert "A" not in by_vessel(advise(fallen.record(count(at(DAY + 1, 15), "A", 72.0)), at(DAY + 1, 20)), "count")


# --- all vessels doubted ---


FEW = {"with_eggs": 0, "females_checked": 60, "swimming": 2}
"""Signs that make a vessel doubted and no more."""


def two(build):
    return build({"A": ("rotifer-L", "1", 1, 20.0, 240.0), "B": ("rotifer-L", "1", 2, 20.0, 220.0)})


def hungry(rack, at):
    return rack.with_demand([Demand((at(DAY) + timedelta(days=k)).date(), "rotifer-L", 4e5) for k in range(3)])


def test_when_no_clean_vessel_can_give_the_least_doubted_one_feeds_the_larvae(build, at, count, by_vessel):
    now = at(DAY, NOON)
    rack = hungry(two(build), at).record(
        count(at(DAY, 20), "A", 240.0, **FEW), count(at(DAY, 20), "B", 220.0, swimming=1)
    )
    found = advise(rack, now)
    harvests = by_vessel(found, "harvest")
    assert set(harvests) == {"A"}
    given = harvests["A"]
    assert given.code == "last_resort"
    assert given.own_tools
    assert given.to == "larvae"
    assert "starve" in given.why
    assert "such mornings" in given.why
    assert any("sieve" in c for c in given.cautions)
    assert any("such mornings" in f.text and f.events for f in given.evidence)
    assert "A" not in by_vessel(found, "hold"), "one word on a vessel, not two"
    assert "B" in by_vessel(found, "hold")
    left = assess(rack, "A", now).density_per_ml.median * (1.0 - given.amount / 20.0)
    assert left >= rack.profile("A").start_per_ml


@pytest.mark.parametrize("signs", [{"swimming": 1}, {"ciliates": "many"}])
def test_a_vessel_that_is_in_trouble_feeds_nobody_even_then(build, at, count, signs, by_vessel):
    rack = hungry(two(build), at).record(*(count(at(DAY, 20), n, 230.0, **signs) for n in "AB"))
    assert not by_vessel(advise(rack, at(DAY, NOON)), "harvest")


def test_nothing_is_taken_from_the_doubted_without_need_or_beside_a_clean_one(build, at, count, by_vessel):
    doubted = [count(at(DAY, 20), n, 230.0, **FEW) for n in "AB"]
    plain = two(build).record(*doubted)
    assert not by_vessel(advise(plain, at(DAY, NOON)), "harvest")
    one = hungry(two(build), at).record(doubted[0])
    assert set(by_vessel(advise(one, at(DAY, NOON)), "harvest")) == {"B"}


def test_a_doubted_vessel_near_its_floor_gives_nothing(build, at, count, by_vessel):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 95.0)})
    rack = hungry(rack, at).record(count(at(DAY, 20), "A", 95.0, **FEW))
    assert not by_vessel(advise(rack, at(DAY, NOON)), "harvest")


# --- starting anew ---


def test_a_started_culture_is_fed_the_same_day(build, at, by_vessel):
    gone = [180.0] * 6 + [2.0, 1.0]
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 240.0), "B": ("rotifer-L", "1", 2, 20.0, gone)})
    found = advise(rack, at(DAY, NOON))
    restart, feed = by_vessel(found, "restart")["B"], by_vessel(found, "feed")["B"]
    assert found.index(restart) < found.index(feed)
    grams = restart.density_per_ml * 20.0 / 1000.0 * rack.profile("B").ration_g_per_million
    assert feed.amount * 0.1 == pytest.approx(grams, rel=0.06)
    assert "started" in feed.why
    assert feed.evidence[0].text.startswith("counted 240"), "the donor's count, not that of the culture that died"


def test_a_vessel_filled_by_a_split_is_fed_after_it(build, at, by_vessel, do):
    rack = build(
        {
            "Z": ("rotifer-L", "2", 1, 20.0, 360.0),
            "B": ("rotifer-L", "2", 2, 20.0, 200.0),
            "E": ("rotifer-L", "1", 1, 20.0, None),
        }
    )
    found = advise(rack, at(DAY, NOON))
    split, feed = by_vessel(found, "split")["Z"], by_vessel(found, "feed")["E"]
    assert split.other_vessel == "E"
    assert found.index(split) < found.index(feed)
    after = do(rack, [split, feed], at(DAY, NOON))
    assert assess(after, "E", at(DAY, NOON + 1)).density_per_ml.median == pytest.approx(split.density_per_ml, rel=0.05)


def test_a_resting_vessel_is_fed_once_the_split_is_in(build, at, by_vessel, do):
    rack = build(
        {
            "A": ("rotifer-L", "1", 1, 20.0, 360.0),
            "B": ("rotifer-L", "1", 2, 20.0, 360.0),
            "E": ("rotifer-L", "2", 1, 20.0, None),
        }
    ).record({"at": at(1), "vessel": "E", "kind": "rest"})
    found = advise(rack, at(DAY, NOON))
    split = by_vessel(found, "split")
    assert {s.other_vessel for s in split.values()} == {"E"}
    assert "E" not in by_vessel(found, "feed")
    after = do(rack, list(split.values()), at(DAY, NOON))
    assert "E" in by_vessel(advise(after, at(DAY, NOON + 5)), "feed")


def test_larvae_and_a_restart_share_the_only_donor(build, at, by_vessel):
    gone = [180.0] * 6 + [2.0, 1.0]
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 260.0), "B": ("rotifer-L", "1", 2, 20.0, gone)})
    alone = by_vessel(advise(rack, at(DAY, NOON)), "restart")["B"]
    need = [Demand((at(DAY) + timedelta(days=k)).date(), "rotifer-L", 2.0e6) for k in range(4)]
    found = advise(rack.with_demand(need), at(DAY, NOON))
    thin = by_vessel(found, "restart")["B"]
    start = rack.profile("B").start_per_ml
    assert alone.density_per_ml > start
    assert LEAST_START * start <= thin.density_per_ml * 1.001 < start
    assert by_vessel(found, "harvest")["A"].amount > 0.0
    assert any("larvae need" in c for c in thin.cautions)
    assert not any("larvae need" in c for c in alone.cautions)


def stalled(build, donor, slow=None):
    slow = slow or [80.0] * 9
    return build(
        {
            "A": ("rotifer-L", "1", 1, 20.0, donor),
            "B": ("rotifer-L", "1", 2, 20.0, donor),
            "S": ("rotifer-L", "2", 1, 10.0, slow, "reserve"),
        },
        days=9,
    )


def test_a_vessel_that_stays_thin_and_does_not_grow_is_restarted_from_one_that_thrives(build, at, by_vessel):
    rack = stalled(build, 240.0)
    found = advise(rack, at(8, NOON))
    restart = by_vessel(found, "restart")["S"]
    assert restart.code == "stalled"
    assert restart.other_vessel in {"A", "B"}
    assert restart.density_per_ml >= 80.0
    assert "hardly growing" in restart.why
    assert restart.evidence[0].events
    grows = [24.0 * math.exp(0.19 * d) for d in range(9)]
    assert "S" not in by_vessel(advise(stalled(build, 240.0, grows), at(8, NOON)), "restart")


def test_a_stalled_vessel_waits_while_larvae_need_the_donors_or_these_are_doubted(build, at, count, by_vessel):
    rack = stalled(build, 200.0)
    need = [Demand((at(8) + timedelta(days=k)).date(), "rotifer-L", 6e6) for k in range(6)]
    assert "S" not in by_vessel(advise(rack.with_demand(need), at(8, NOON)), "restart")
    doubted = rack.record(*(count(at(8, 20), n, 200.0, swimming=2) for n in "AB"))
    well = doubted.record(*(count(at(9), n, 200.0 if n != "S" else 80.0) for n in "ABS"))
    assert "S" not in by_vessel(advise(doubted, at(8, NOON)), "restart")
    assert "S" not in by_vessel(advise(well, at(9, NOON)), "restart"), "doubt outlasts one good look"


def test_the_donor_is_the_one_that_grows_best_and_not_the_fullest(build, at, by_vessel):
    gone = [180.0] * 6 + [2.0, 1.0]
    fading = [250.0 * (1.5 - 0.06 * d) for d in range(8)]
    rack = build(
        {
            "A": ("rotifer-L", "1", 1, 20.0, fading),
            "B": ("rotifer-L", "1", 2, 20.0, 215.0),
            "C": ("rotifer-L", "2", 1, 20.0, gone),
        }
    )
    sit = situation(rack, when(at(DAY, NOON)))
    full, best = sit.views["A"], sit.views["B"]
    assert full.density.median > best.density.median
    assert full.estimate.net_per_day.median < best.estimate.net_per_day.median
    assert by_vessel(advise(rack, at(DAY, NOON)), "restart")["C"].other_vessel == "B"


def test_an_old_culture_is_not_given_up_for_a_donor_that_grows_worse(build, at, by_vessel):
    old = [220.0] * 46
    slow = [220.0 if d < 40 else 220.0 * 0.86 ** (d - 39) for d in range(46)]
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, old), "B": ("rotifer-L", "1", 2, 20.0, slow)}, days=46)
    assert "A" not in by_vessel(advise(rack, at(45, NOON)), "restart")
    twins = build({n: ("rotifer-L", "1", k + 1, 20.0, 220.0) for k, n in enumerate("AB")}, days=46)
    assert [s.code for s in advise(twins, at(45, NOON)) if s.action == "restart"] == ["age"]


def test_a_vessel_that_is_split_today_counts_for_the_days_after(build, at, by_vessel):
    rack = build(
        {
            "A": ("rotifer-L", "1", 1, 20.0, 360.0),
            "B": ("rotifer-L", "1", 2, 20.0, 200.0),
            "E": ("rotifer-L", "2", 1, 20.0, None),
        }
    )
    need = [Demand((at(DAY) + timedelta(days=k)).date(), "rotifer-L", 8e5) for k in range(8)]
    found = advise(rack.with_demand(need), at(DAY, NOON))
    assert by_vessel(found, "split")["A"].other_vessel == "E"
    assert {s.code for s in found if s.action == "harvest" and s.to == "larvae"} == {"demand"}
