"""The simulator as a test bench: repeatable, honest in its books, and with the scatter and the luck that it claims."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from rackview.core.events import Clean, Count, Feed, Harvest, Rest, Restart, Split, TopUp
from rackview.core.profile import groups
from rackview.core.rack import Rack
from rackview.core.tables import Brood
from rackview.core.vessel import Vessel
from rackview.demo.chance import Climate
from rackview.demo.larvae import LarvalTank
from rackview.demo.simulator import SIEVE_LOSS, Simulator

START = datetime(2026, 1, 1, tzinfo=UTC)
TWO = (Vessel("one", "rotifer-L", "A", 1, 20.0), Vessel("two", "rotifer-L", "A", 2, 20.0))
CALM = Climate(hazard=0.0, ciliate_arrivals=0.0, air_failures=0.0, upsets=0.0, miscounts=0.0)


def make(seed=1, climate=CALM, **densities):
    return Simulator(seed, TWO, START, densities=densities or {"one": 180.0}, feeds={"algae": 0.1}, climate=climate)


def animals(simulator, vessel):
    """Of all free stages, now."""
    culture = simulator.culture(vessel)
    return culture.density * culture.level_l * 1000.0


def keep(simulator, vessel, days, share=0.3, rinse=True):
    """Days of a plain routine; returns the counts made."""
    counts = []
    for _ in range(days):
        simulator.step(1.0)
        at = simulator.now
        counts.append(simulator.observe(vessel, at, dilution=5.0))
        litres = 20.0 * share
        simulator.apply(Harvest(at=at, vessel=vessel, volume_l=litres, refill_l=litres, to="discard"))
        if rinse:
            simulator.apply(Clean(at=at, vessel=vessel, what="floss"))
        missing = 20.0 - simulator.culture(vessel).level_l
        simulator.apply(TopUp(at=at, vessel=vessel, volume_l=max(0.01, missing)))
        grams = animals(simulator, vessel) * 0.5e-6
        simulator.apply(Feed(at=at, vessel=vessel, feed="algae", amount=grams / 0.1))
    return counts


def test_the_same_seed_lives_the_same_life_and_another_does_not():
    lives = []
    for seed in (1, 1, 2):
        simulator = make(seed)
        counts = keep(simulator, "one", 12)
        lives.append(([c.tallies for c in counts], simulator.culture("one").density))
    assert lives[0] == lives[1]
    assert lives[0] != lives[2]


def test_the_weather_and_luck_do_not_depend_on_what_is_done():
    busy, idle = make(3, Climate()), make(3, Climate())
    keep(busy, "one", 10)
    idle.step(10.0)
    assert busy.room_c() == idle.room_c()
    assert busy.culture("one").luck == idle.culture("one").luck
    assert busy.culture("one").ph_drift == idle.culture("one").ph_drift


def test_days_may_be_stepped_in_any_pieces():
    whole, pieces = make(), make()
    whole.step(3.0)
    for part in (0.5, 1.25, 0.25, 1.0):
        pieces.step(part)
    assert pieces.culture("one").density == pytest.approx(whole.culture("one").density, rel=1e-9)


def test_the_past_is_closed():
    simulator = make()
    simulator.step(2.0)
    with pytest.raises(ValueError, match="lies before"):
        simulator.apply(Clean(at=START + timedelta(days=1), vessel="one"))


def test_harvest_split_and_restart_keep_count_of_every_animal():
    simulator = make(one=200.0, two=120.0)
    simulator.step(1.0)
    at = simulator.now

    def both():
        return animals(simulator, "one") + animals(simulator, "two")

    before = both()
    density = simulator.culture("one").density
    simulator.apply(Harvest(at=at, vessel="one", volume_l=5.0, refill_l=5.0, to="discard"))
    assert both() == pytest.approx(before - 5000.0 * density)
    assert simulator.harvested == pytest.approx(5000.0 * density)
    before = both()
    moved = simulator.apply(Split(at=at, vessel="one", to_vessel="two", volume_l=4.0, refill_l=4.0))
    assert both() == pytest.approx(before)
    assert moved == pytest.approx(4000.0 * density * (1 - 5.0 / simulator.vessels["one"].volume_l), rel=0.02)
    theirs = animals(simulator, "two")
    density = simulator.culture("one").density
    before = both()
    simulator.apply(Restart(at=at, vessel="two", from_vessel="one", volume_l=6.0))
    assert both() == pytest.approx(before - theirs)
    assert simulator.culture("two").density == pytest.approx(density * 6.0 / 20.0)
    simulator.apply(Rest(at=at, vessel="two"))
    assert animals(simulator, "two") == 0.0


def test_a_restart_from_a_starter_has_the_stated_density():
    simulator = make()
    simulator.apply(Restart(at=START, vessel="two", starter="cysts", density_per_ml=40.0))
    assert simulator.culture("two").density == pytest.approx(40.0)


def test_its_events_build_a_rack():
    simulator = make()
    counts = keep(simulator, "one", 3)
    reading = simulator.read("one", oxygen=True)
    rack = Rack.build(TWO, [*counts, reading])
    assert len(list(rack.events())) == 4
    assert reading.temperature_c == pytest.approx(simulator.culture("one").temperature_c, abs=1.0)
    assert reading.oxygen_mg_l == pytest.approx(simulator.culture("one").oxygen, abs=1.0)


def test_counts_scatter_as_negative_binomials_around_the_truth():
    """Aliquots vary by mean + mean^2 / k, and all aliquots of a sample share the unevenness of the sample."""
    simulator = make(climate=Climate(scatter_k=8.0, sample_sd=0.0, miscounts=0.0))
    mean = simulator.culture("one").density / 10.0
    tallies = np.concatenate([simulator.observe("one", dilution=10.0, aliquots=40).tallies for _ in range(60)])
    assert tallies.mean() == pytest.approx(mean, rel=0.05)
    assert tallies.var() == pytest.approx(mean + mean**2 / 8.0, rel=0.15)


def test_miscounts_are_as_rare_as_stated():
    simulator = make(climate=Climate(scatter_k=1e6, sample_sd=0.01, miscounts=0.1))
    true = simulator.culture("one").density
    found = [simulator.observe("one", aliquots=20, females=0).animals / 20.0 / true for _ in range(400)]
    off = np.mean(np.abs(np.log(found)) > 0.1)
    assert 0.04 < off < 0.14


def test_the_egg_check_finds_the_true_share():
    simulator = make()
    culture = simulator.culture("one")
    share = culture.egg_bearing * culture.adults / (culture.adults + culture.half_grown)
    checks = [simulator.observe("one", females=50, dilution=2.0) for _ in range(80)]
    assert sum(c.with_eggs for c in checks) / sum(c.females_checked for c in checks) == pytest.approx(share, abs=0.03)


def test_stages_add_up_to_all():
    vessel = Vessel("pods", "copepod-benthic", "C", 1, 12.0)
    simulator = Simulator(1, [vessel], START, densities={"pods": 12.0}, climate=CALM)
    parts = {
        s: simulator.observe("pods", stage=s, aliquot_ml=500.0).animals for s in ("nauplii", "copepodites", "adults")
    }
    whole = simulator.observe("pods", aliquot_ml=500.0).animals
    assert sum(parts.values()) == pytest.approx(whole, rel=0.25)
    assert all(n > 0 for n in parts.values())


def test_looking_changes_nothing():
    looked, left = make(), make()
    for _ in range(5):
        looked.observe("one")
        looked.read("one")
    looked.step(4.0)
    left.step(4.0)
    assert looked.culture("one").density == left.culture("one").density


def test_shared_tools_carry_ciliates_and_own_tools_do_not():
    def carried(own_tools):
        simulator = make(one=180.0, two=180.0)
        simulator.culture("one").ciliates = 500.0
        for name in ("one", "two"):
            simulator.apply(simulator.observe(name), own_tools=own_tools)
        return simulator.culture("two").ciliates

    assert carried(own_tools=False) == pytest.approx(500.0 * 0.0004 / 20.0)
    assert carried(own_tools=True) == 0.0


def test_tools_are_dry_by_the_next_day():
    simulator = make(one=180.0, two=180.0)
    simulator.culture("one").ciliates = 500.0
    simulator.apply(simulator.observe("one"))
    simulator.step(1.0)
    simulator.apply(simulator.observe("two"))
    assert simulator.culture("two").ciliates == 0.0


def test_a_split_out_of_a_contaminated_vessel_takes_the_ciliates_along():
    simulator = make(one=180.0)
    simulator.culture("one").ciliates = 100.0
    simulator.apply(Split(at=START, vessel="one", to_vessel="two", volume_l=8.0, fill_l=0.0))
    assert simulator.culture("two").ciliates == pytest.approx(100.0)


def collapses(seeds):
    """Truth and egg-bearing share, day by day, of neglected vessels until half their animals went in three days."""
    found = []
    for seed in seeds:
        simulator = make(seed, Climate(hazard=2.0, upsets=0.0, air_failures=0.0, ciliate_arrivals=0.0, miscounts=0.0))
        culture = simulator.culture("one")
        culture.biofilm = 0.7
        truth, rows = [], []
        for _ in range(80):
            keep(simulator, "one", 1, share=0.25, rinse=False)
            truth.append(simulator.culture("one").density)
            rows.append(culture.egg_bearing)
            if len(truth) > 12 and truth[-1] < 0.5 * truth[-4]:
                found.append((truth, rows))
                break
    return found


def test_eggs_fall_before_most_collapses_and_neglect_brings_collapses():
    found = collapses(range(8))
    assert len(found) >= 4
    early = 0
    for truth, eggs in found:
        usual = np.median(eggs[-12:-4])
        two_days_before = len(truth) - 3
        early += eggs[two_days_before] < 0.8 * usual and truth[two_days_before] > 0.75 * np.median(truth[-12:-4])
    assert early >= len(found) / 2


def brood(name="amber", hatched=date(2026, 1, 2)):
    return LarvalTank(Brood(name, "anemonefish", "", None, hatched, 60.0, 300), groups()["anemonefish"], hatched)


def raise_brood(deliver):
    simulator = make(one=200.0)
    tank = brood()
    simulator.add_brood(tank)
    for day in range(11):
        simulator.step(1.0)
        if deliver(day):
            simulator.apply(Harvest(at=simulator.now, vessel="one", volume_l=4.0, refill_l=4.0, to="tank"))
            tank.add(tank.wanted())
            simulator.apply(Feed(at=simulator.now, vessel="one", feed="algae", amount=20.0))
    return simulator, tank


def test_larvae_fed_every_day_live_and_larvae_without_prey_are_lost():
    _, fed = raise_brood(lambda day: True)
    _, starved = raise_brood(lambda day: False)
    assert fed.larvae > 0.8 * fed.hatch
    assert not fed.lost
    assert starved.lost


def test_a_missed_day_costs_larvae_and_three_cost_the_brood():
    left = [raise_brood(lambda day, gap=gap: day not in gap)[1] for gap in ((), (3,), (3, 4, 5))]
    assert left[0].larvae > left[1].larvae + 0.1 * left[0].hatch
    assert left[2].lost


def test_what_a_brood_gets_is_what_was_harvested_less_the_sieve():
    simulator = make(one=200.0)
    tank = brood(hatched=date(2026, 1, 1))
    simulator.add_brood(tank)
    got = simulator.apply(Harvest(at=START, vessel="one", volume_l=3.0, refill_l=3.0, to="amber"))
    assert got == pytest.approx(3.0 * 1000.0 * 200.0 * (1.0 - SIEVE_LOSS))
    assert tank.prey_per_ml * tank.tank_l * 1000.0 == pytest.approx(got)
    assert simulator.delivered == pytest.approx(got)


def test_the_keeper_learns_of_a_brood_when_it_is_spawned_and_sees_it_shrink():
    simulator = make()
    tank = LarvalTank(
        Brood("amber", "anemonefish", spawned=date(2026, 1, 3)), groups()["anemonefish"], date(2026, 1, 9)
    )
    simulator.add_brood(tank)
    assert simulator.broods() == ()
    simulator.step(3.0)
    assert simulator.broods()[0].hatched is None
    simulator.step(10.0)
    known = simulator.broods()[0]
    assert known.hatched == date(2026, 1, 9)
    assert known.larvae < 400


def test_a_count_is_an_event_like_any_other():
    count = make().observe("one", aliquots=4, dilution=5.0)
    assert isinstance(count, Count)
    assert len(count.tallies) == 4
    assert count.looked_at_ml == pytest.approx(0.8)
