"""Days on which larvae go short or vessels are doubted: what is made good, who still gives, what is started anew."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest

from rackview import advise, assess
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


def test_a_doubted_vessel_feeds_larvae_rather_than_that_they_go_hungry(build, at, count, by_vessel):
    now = at(DAY, NOON)
    rack = hungry(two(build), at).record(
        count(at(DAY, 20), "A", 240.0, **FEW), count(at(DAY, 20), "B", 220.0, swimming=1)
    )
    found = advise(rack, now)
    harvests = [s for s in found if s.action == "harvest" and s.to == "larvae"]
    assert sum(s.amount * s.density_per_ml * 1e3 for s in harvests) >= 0.97 * 4e5
    for given in harvests:
        assert given.code == "doubted"
        assert given.own_tools
        assert "doubted" in given.why
        assert any("sieve" in c for c in given.cautions)
        assert any(f.events for f in given.evidence)
        assert given.vessel not in by_vessel(found, "hold"), "one word on a vessel, not two"


def test_what_is_full_of_ciliates_feeds_nobody_even_then(build, at, count, by_vessel):
    rack = hungry(two(build), at).record(*(count(at(DAY, 20), n, 230.0, ciliates="many") for n in "AB"))
    assert all(s.to == "discard" for s in by_vessel(advise(rack, at(DAY, NOON)), "harvest").values())


def test_nothing_is_taken_from_the_doubted_without_need(build, at, count, by_vessel):
    doubted = [count(at(DAY, 20), n, 230.0, **FEW) for n in "AB"]
    plain = two(build).record(*doubted)
    assert not by_vessel(advise(plain, at(DAY, NOON)), "harvest")


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
    assert "S" not in by_vessel(advise(doubted, at(8, NOON)), "restart")


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
    assert [s.other_vessel for s in found if s.action == "split"] == ["E"]
    assert {s.code for s in found if s.action == "harvest" and s.to == "larvae"} == {"demand"}
