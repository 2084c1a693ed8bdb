"""Broods to animals per strain and day; the keeper's own word overrides."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from rackview.core.profile import groups
from rackview.core.rack import Rack
from rackview.core.tables import Brood, Demand
from rackview.core.vessel import Vessel
from rackview.planner.demand import brood_demand, hatch_date, needs

HATCH = date(2026, 3, 1)
FISH = groups()["anemonefish"]


def rack(broods=(), demand=()):
    return Rack.build([Vessel("A", "rotifer-L", "1", 1, 20.0)], broods=broods, demand=demand)


def brood(**more):
    return Brood("one", **{"group": "anemonefish", "hatched": HATCH, "tank_l": 40.0, "larvae": 300} | more)


def test_filling_a_tank_and_topping_it_up():
    # 40 L at 8 per mL is 320,000; from 3 to 8 per mL 200,000: densities of Gopakumar et al. 2001 and Treece & Davis
    # 2000 (SRAC 701), the tank is ours
    assert brood_demand(brood(), FISH, 0) == pytest.approx(320_000)
    assert brood_demand(brood(), FISH, 1) == pytest.approx(200_000)


def test_what_the_larvae_eat_is_the_lower_bound():
    # 62 per larva on day 6 after hatching, growing by 0.2257 a day: summer flounder, University of Rhode Island 1999
    crowd = brood(tank_l=5.0, larvae=3000)
    day = 5
    eaten = 3000 * 0.95**day * 62 * 2.718281828 ** (0.2257 * (day - 6))
    assert brood_demand(crowd, FISH, day) == pytest.approx(eaten, rel=1e-6)
    most = brood_demand(brood(tank_l=0.1, larvae=1000, last_day=40), FISH, 40)
    assert most <= 1000 * 1900  # up to 1,900 a day: Treece & Davis 2000


@pytest.mark.parametrize(("age", "fed"), [(-1, False), (0, True), (7, True), (8, False)])
def test_only_between_the_first_and_the_last_day(age, fed):
    assert (FISH.first_day, FISH.last_day) == (0, 7)
    assert (brood_demand(brood(), FISH, age) > 0) is fed


def test_the_broods_own_values_come_before_the_groups():
    assert brood_demand(brood(prey_per_ml=4.0), FISH, 0) == pytest.approx(160_000)
    assert brood_demand(brood(first_day=2), FISH, 1) == 0.0
    assert brood_demand(brood(last_day=2), FISH, 3) == 0.0
    assert brood_demand(brood(larvae=0), FISH, 1) == 0.0


def test_hatching_is_reckoned_from_spawning_at_the_groups_time():
    # 152 h at 27 to 28 degC: Yasir & Qin 2007, J. Mar. Biol. Ass. UK 87:1025-1033
    spawned = brood(hatched=None, spawned=HATCH)
    assert hatch_date(spawned, FISH) == HATCH + timedelta(days=6)
    assert hatch_date(spawned, None) is None
    assert hatch_date(brood(), None) == HATCH


def test_broods_add_up_by_strain_and_name_themselves():
    two = [
        brood(),
        Brood("two", "small-mouth", hatched=HATCH, tank_l=10.0),
        Brood("three", "anemonefish", hatched=HATCH, tank_l=40.0),
    ]
    found = needs(rack(two), HATCH, 2)
    assert found[HATCH, "rotifer-L"].animals == pytest.approx(640_000)
    assert found[HATCH, "rotifer-L"].broods == ("one", "three")
    assert (HATCH, "rotifer-SS") not in found, "its first day is the day after hatching"
    assert found[HATCH + timedelta(days=1), "rotifer-SS"].broods == ("two",)


def test_the_keepers_own_word_overrides_even_with_nothing():
    own = [Demand(HATCH, "rotifer-L", 5e5), Demand(HATCH + timedelta(days=1), "rotifer-L", 0.0)]
    found = needs(rack([brood()], own), HATCH, 3)
    assert found[HATCH, "rotifer-L"].animals == 5e5
    assert found[HATCH, "rotifer-L"].own_word
    assert (HATCH + timedelta(days=1), "rotifer-L") not in found
    assert found[HATCH + timedelta(days=2), "rotifer-L"].animals == pytest.approx(200_000)


def test_a_brood_of_unknown_group_needs_its_own_numbers():
    assert needs(rack([Brood("x", "gobies", hatched=HATCH, tank_l=20.0)]), HATCH, 3) == {}
    found = needs(rack([Brood("x", "gobies", "rotifer-S", hatched=HATCH, tank_l=20.0, prey_per_ml=10.0)]), HATCH, 3)
    assert found[HATCH, "rotifer-S"].animals == pytest.approx(200_000)


def test_a_need_knows_what_fills_the_tanks_from_nothing():
    found = needs(rack([brood(), Brood("two", "anemonefish", hatched=HATCH, tank_l=10.0)]), HATCH, 2)
    assert found[HATCH, "rotifer-L"].full == pytest.approx(found[HATCH, "rotifer-L"].animals)
    later = found[HATCH + timedelta(days=1), "rotifer-L"]
    assert later.full == pytest.approx(400_000)
    assert later.animals == pytest.approx(250_000)
