"""What was left in the tanks corrects the need: towards what is eaten, with doubt that shrinks."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import pytest

from rackview.core.profile import groups
from rackview.core.rack import Rack
from rackview.core.tables import Brood, TankEntry
from rackview.core.vessel import Vessel
from rackview.planner.appetite import Appetite, learn, left_by_day
from rackview.planner.constants import EMPTY_MORE, LEAST_GONE, LOOK_SD, USUAL_SD
from rackview.planner.demand import appetite, brood_demand, needs

HATCH = date(2026, 3, 1)
FISH = Brood("one", "anemonefish", hatched=HATCH, tank_l=40.0, larvae=300)


def day(k: int) -> date:
    return HATCH + timedelta(days=k)


def rack(*left: tuple[int, float]) -> Rack:
    tanks = [TankEntry(day(k), "one", per_ml) for k, per_ml in left]
    return Rack.build([Vessel("A", "rotifer-L", "1", 1, 20.0)], broods=[FISH], tanks=tanks)


def test_nobody_looked_so_nothing_is_learned():
    assert appetite(rack(), FISH, day(3)) == Appetite(0.0, USUAL_SD, 0)
    (need,) = needs(rack(), day(3), 1).values()
    assert need.spread == 0.0


def test_a_tank_in_which_as_much_is_missing_as_was_reckoned_changes_only_the_doubt():
    # 8 per mL wanted and 3 left is the refill of 200,000 in 40 L that is reckoned with (Treece & Davis 2000, SRAC 701)
    found = appetite(rack((1, 3.0), (2, 3.0), (3, 3.0)), FISH, day(3))
    assert found.factor == pytest.approx(1.0, abs=1e-9)
    assert found.looks == 3
    assert found.log_sd < USUAL_SD
    assert found.low90 < 1.0 < found.high90


def test_more_left_is_less_eaten_and_the_other_way_round():
    factors = [appetite(rack(*((k, left) for k in (1, 2, 3))), FISH, day(3)).factor for left in (6.0, 3.0, 1.0, 0.0)]
    assert factors == sorted(factors)
    assert factors[0] < 0.75
    assert factors[-1] > 1.2


def test_the_more_looks_the_surer_and_the_nearer_to_what_is_seen():
    found = [appetite(rack(*((k, 6.0) for k in range(1, n + 1))), FISH, day(n)) for n in (1, 3, 6)]
    assert [a.looks for a in found] == [1, 3, 6]
    assert found[0].log_sd > found[1].log_sd > found[2].log_sd
    assert found[0].factor > found[1].factor > found[2].factor > 2.0 / 5.0 * 0.99


def test_later_looks_and_those_of_other_tanks_do_not_count():
    other = (*rack((1, 3.0), (2, 0.0)).tanks, TankEntry(day(1), "two", 9.0))
    assert left_by_day(other, "one") == {day(1): 3.0, day(2): 0.0}
    assert appetite(rack((1, 3.0), (2, 0.0)), FISH, day(1)).looks == 1


def test_nothing_is_learned_where_nothing_is_fed_or_the_tank_is_unknown():
    assert learn({day(1): 3.0}, 8.0, 0.0, lambda _: 1e5) == Appetite()
    assert learn({day(1): 3.0}, 8.0, 4e4, lambda _: 0.0) == Appetite()
    assert appetite(rack((0, 3.0)), FISH, day(1)).looks == 0, "before its first feed there is nothing to be left"


def test_todays_need_is_what_is_missing_in_the_tank():
    three = needs(rack((3, 3.0)), day(3), 2)
    assert three[day(3), "rotifer-L"].animals == pytest.approx(200_000)
    full = needs(rack((3, 8.0)), day(3), 2)
    assert (day(3), "rotifer-L") not in full, "it is full"
    empty = needs(rack((3, 0.0)), day(3), 2)
    assert empty[day(3), "rotifer-L"].animals == pytest.approx(320_000)


def test_the_days_ahead_follow_the_appetite_and_carry_its_doubt():
    plain, less = needs(rack(), day(4), 2), needs(rack((2, 6.0), (3, 6.0)), day(4), 2)
    eats = appetite(rack((2, 6.0), (3, 6.0)), FISH, day(4))
    for k in (4, 5):
        assert less[day(k), "rotifer-L"].animals == pytest.approx(eats.factor * plain[day(k), "rotifer-L"].animals)
        assert less[day(k), "rotifer-L"].spread == eats.log_sd


def test_looks_and_what_is_known_without_them_weigh_by_their_precision():
    """The normal mean with known variances (Gelman et al. 2013, Bayesian Data Analysis, 2.5, from memory)."""
    found = learn({day(2): 4.0, day(4): 2.0}, 8.0, 40_000.0, lambda _: 100_000.0)
    said = [math.log(160_000 / 100_000), math.log(240_000 / 100_000)]
    known, each = 1.0 / USUAL_SD**2, 1.0 / LOOK_SD**2
    assert found.log_factor == pytest.approx(each * sum(said) / (known + 2.0 * each))
    assert found.log_sd == pytest.approx((known + 2.0 * each) ** -0.5)
    assert math.log(found.high90 / found.low90) == pytest.approx(2.0 * 1.6449 * found.log_sd, rel=1e-3)


def test_an_empty_tank_says_more_and_less_surely_and_what_was_over_the_wanted_density_is_counted_from_there():
    empty = learn({day(2): 0.1}, 8.0, 40_000.0, lambda _: 100_000.0)
    known, unsure = 1.0 / USUAL_SD**2, 1.0 / (2.0 * LOOK_SD) ** 2
    said = math.log(EMPTY_MORE * 7.9 * 40_000 / 100_000)
    assert empty.log_factor == pytest.approx(unsure * said / (known + unsure))
    dense = learn({day(2): 12.0, day(3): 4.0}, 8.0, 40_000.0, lambda _: 320_000.0)
    first, second = math.log(LEAST_GONE), 0.0  # nothing gone, then 12 - 4 of 8
    each = 1.0 / LOOK_SD**2
    assert dense.log_factor == pytest.approx(each * (first + second) / (known + 2.0 * each))


def test_todays_need_of_a_crowd_is_what_it_eats_by_its_appetite_less_what_is_there():
    """3,000 larvae in 1 L eat several tanks full a day: what they eat, not what fills the tank, says what to bring."""
    crowd = replace(FISH, tank_l=1.0, larvae=3000)
    looks = [TankEntry(day(k), "one", left) for k, left in ((4, 5.0), (5, 4.0))]
    one = Rack.build([Vessel("A", "rotifer-L", "1", 1, 20.0)], broods=[crowd], tanks=looks)
    eats = appetite(one, crowd, day(5))
    assert eats.factor < 0.9, "much is left"
    whole = brood_demand(crowd, groups()["anemonefish"], 5)
    (need,) = needs(one, day(5), 1).values()
    assert need.animals == pytest.approx(eats.factor * whole - 4.0 * 1000.0)
    assert need.animals > 2.0 * 8.0 * 1000.0


def test_two_broods_add_up_and_their_doubts_as_independent_ones():
    other = replace(FISH, brood="two", tank_l=20.0)
    looks = [TankEntry(day(2), "one", 6.0), TankEntry(day(2), "two", 4.0)]
    one = Rack.build([Vessel("A", "rotifer-L", "1", 1, 20.0)], broods=[FISH, other], tanks=looks)
    eats = [appetite(one, b, day(3)) for b in (FISH, other)]
    (need,) = needs(one, day(3), 1).values()
    each = [eats[0].factor * 200_000, eats[1].factor * 100_000]
    assert need.animals == pytest.approx(sum(each))
    assert need.spread == pytest.approx(
        math.hypot(*(e.log_sd * n for e, n in zip(eats, each, strict=True))) / sum(each)
    )
    assert need.full == pytest.approx(480_000)
