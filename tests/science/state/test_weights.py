"""What the estimate rests on: weights that sum to one, follow the counts, and leave a slip aside.

The laws tested are those of a weighted mean and of shift: no outside source is needed for them.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from rackview.core.clock import day_number
from rackview.core.events import Clean, Count, Harvest, Restart, TopUp
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state.belief import _scatter, start
from rackview.science.state.estimate import estimate
from rackview.science.state.learned import learned
from rackview.science.state.weights import SOURCES, grounds

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
VESSELS = [Vessel("Brill", "rotifer-L", "A", 1, 20), Vessel("Dab", "rotifer-L", "A", 2, 20)]


def at(days: float) -> datetime:
    return START + timedelta(days=days)


def kept(counts, harvest=4.0):
    """One count a day of these tallies, diluted seven times, and a harvest after each but the last."""
    events = []
    for n, tallies in enumerate(counts):
        events.append(Count(at=at(n), vessel="Brill", tallies=tallies, dilution=7))
        if harvest and n < len(counts) - 1:
            events.append(Harvest(at=at(n + 0.02), vessel="Brill", volume_l=harvest, refill_l=harvest))
    return events


def weighed(events, vessel="Brill", days=None):
    rack = Rack.build(VESSELS, events)
    day = day_number(events[-1].at if days is None else at(days))
    found = grounds(rack.log(vessel), rack.profile(vessel), day)
    assert found is not None
    return found


def total(found) -> float:
    return sum(s.weight for s in found.sources) + found.older + (found.usual or 0.0)


LEVEL = [(30, 31, 29), (33, 30, 31), (28, 32, 30), (31, 31, 33), (30, 29, 32)]


@pytest.mark.parametrize("n", [1, 2, 3, 5])
def test_where_every_source_is_weighed_nothing_is_left_over(n):
    found = weighed(kept(LEVEL[:n]))
    assert len(found.sources) == n
    assert found.older == pytest.approx(0.0, abs=0.02), "counts and the strain's usual make the whole"
    assert found.usual is not None
    assert total(found) == pytest.approx(1.0)


def test_a_single_count_weighs_nearly_all_and_the_strain_less_the_more_animals_were_counted():
    few, many = weighed(kept([(1, 2)])), weighed(kept([(90, 95, 91)]))
    assert few.usual > 3 * many.usual > 0
    assert many.sources[0].weight > 0.85


def test_a_weight_says_by_how_much_the_estimate_would_have_moved():
    events = kept(LEVEL)
    found = weighed(events)
    rack = Rack.build(VESSELS, events)
    day = day_number(events[-1].at)
    before = estimate(rack.log("Brill"), rack.profile("Brill"), day).density_per_ml.median
    newest = events[-1]
    thicker = Count(at=newest.at, vessel="Brill", tallies=newest.tallies, dilution=7 * 1.1)
    other = Rack.build(VESSELS, [*events[:-1], thicker])
    after = estimate(other.log("Brill"), other.profile("Brill"), day).density_per_ml.median
    moved = math.log(after / before) / math.log(1.1)
    assert found.sources[0].event == rack.log("Brill").event
    assert moved == pytest.approx(found.sources[0].weight, abs=0.05)


def test_a_slip_weighs_less_than_the_good_count_before_it():
    good, slip = weighed(kept(LEVEL)), weighed(kept([*LEVEL[:-1], (3, 2, 4)]))
    assert good.sources[0].weight > good.sources[1].weight
    assert slip.sources[0].weight < 0.7 * slip.sources[1].weight
    high = weighed(kept([*LEVEL[:-1], (300, 290, 320)]))
    assert high.sources[0].weight < 0.5 * high.sources[1].weight, "nothing grows tenfold in a day"


def test_only_the_newest_are_weighed_one_by_one_and_the_rest_together():
    found = weighed(kept(LEVEL * 3))
    assert len(found.sources) == SOURCES
    assert found.older > 0.0
    days = [s.event.day for s in found.sources]
    assert days == sorted(days, reverse=True)


def test_actions_since_the_newest_count_are_named_with_what_they_did():
    events = [
        *kept(LEVEL),
        Harvest(at=at(4.1), vessel="Brill", volume_l=5, refill_l=3),
        Clean(at=at(4.2), vessel="Brill", what="floss"),
        TopUp(at=at(5.0), vessel="Brill", volume_l=2),
    ]
    found = weighed(events)
    assert [m.event.kind for m in found.moved] == ["harvest", "top_up"]
    assert [m.factor for m in found.moved] == [pytest.approx(15 / 18, abs=1e-3), pytest.approx(18 / 20, abs=1e-3)]


def test_a_culture_started_from_another_vessel_rests_on_it():
    events = [*kept(LEVEL), Restart(at=at(4.5), vessel="Dab", from_vessel="Brill", volume_l=8)]
    found = weighed(events, "Dab")
    assert [s.event.kind for s in found.sources] == ["restart"]
    assert found.sources[0].weight > 0.8
    assert total(found) == pytest.approx(1.0)


def test_counts_of_one_stage_do_not_count_where_all_are_counted():
    events = [
        *kept(LEVEL[:2], harvest=0),
        Count(at=at(2), vessel="Brill", tallies=(9, 8), stage="adults"),
    ]
    assert [s.event.stage for s in weighed(events).sources] == ["all", "all"]


def test_nothing_rests_on_nothing():
    rack = Rack.build(VESSELS)
    assert grounds(rack.log("Brill"), rack.profile("Brill"), day_number(START)) is None


def lessons(events, vessel="Brill"):
    rack = Rack.build(VESSELS, events)
    profile = rack.profile(vessel)
    return learned(estimate(rack.log(vessel), profile, day_number(events[-1].at)), profile)


def test_what_is_learned_comes_from_the_vessel_more_and_more():
    growing = [(round(20 * 1.25**n),) * 3 for n in range(10)]
    found = [lessons(kept(growing[:n], harvest=0)) for n in (1, 3, 10)]
    shares = [one.growth.share for one in found]
    assert shares == sorted(shares)
    assert shares[0] < 0.2 < 0.5 < shares[-1]
    assert found[0].growth.value.median == pytest.approx(found[0].growth.usual.median, abs=0.15)


def test_growth_is_found_again_where_it_is_known():
    held = [(30, 31, 30)] * 25  # a quarter taken every day and always back: growth -ln(0.75) a day near 210 per mL
    found = lessons(kept(held, harvest=5.0))
    here = found.growth.value
    thinned = -math.log(0.75)
    assert here.low90 < here.median < here.high90
    assert here.median > thinned, "at 120 per mL it is less crowded than at 210"
    assert here.median == pytest.approx(thinned + 0.1, abs=0.12)


def test_even_aliquots_teach_a_small_scatter_and_uneven_ones_a_large_one():
    even = lessons(kept([(30, 31, 30)] * 12)).scatter
    uneven = lessons(kept([(15, 45, 30)] * 12)).scatter
    assert even.cv < 0.05 < 0.25 < uneven.cv
    assert 0.3 < even.share < lessons(kept([(30, 31, 30)] * 25)).scatter.share
    assert lessons(kept([(30,)])).scatter.share == 0.0


def test_aliquots_for_a_precision_are_those_of_the_normal_approximation():
    even = lessons(kept([(30, 31, 30)] * 40)).scatter
    assert even.cv == pytest.approx(0.0, abs=0.02)
    # n = (z / precision)^2 animals in all for a Poisson count: Lund, Kipling & Le Cren 1958, 96 animals for 20 %
    assert even.aliquots(32, 0.2) == pytest.approx((1.96 / 0.2) ** 2 / 32, abs=1)
    assert even.precision(96.04, 1) == pytest.approx(0.2, abs=0.01)


def test_the_scatter_taught_by_two_aliquots_is_right_on_average() -> None:
    """Counts from a gamma mixture of Poissons, the negative binomial, whose squared CV beyond Poisson is 1/k."""
    draws, k, mean = np.random.default_rng(4), 50.0, 200.0
    rates = draws.gamma(k, mean / k, size=(4000, 2))
    blank, taught = start(VESSELS[0]), []
    for pair in draws.poisson(rates).tolist():
        extra, weight = _scatter(blank, Count(at=START, vessel="Brill", tallies=tuple(pair)))
        taught.append(extra / weight)
    error = np.std(taught) / math.sqrt(len(taught))
    assert error < 0.001
    assert np.mean(taught) == pytest.approx(1.0 / k, abs=0.002)
