"""The chance of a fall: a watch that knows what is usual, lessons that add up, and how well it holds elsewhere."""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from scipy.special import expit

from rackview.core.clock import day_number
from rackview.core.profile import strains
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.risk import constants as c
from rackview.science.risk import model
from rackview.science.risk.causes import CAUSES, SHIFTS
from rackview.science.risk.constants import USUAL_PER_DAY
from rackview.science.risk.record import risk, taught_together, watch

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
L = strains()["rotifer-L"]


def day(k):
    return day_number(START + timedelta(days=k))


def rack_of(*rows, vessels=("A",)):
    rack = Rack.build([Vessel(n, "rotifer-L", "1", k + 1, 20.0) for k, n in enumerate(vessels)])
    return rack.record(*({"at": START + timedelta(days=r.pop("day")), "vessel": "A"} | r for r in map(dict, rows)))


def look(k, per_ml=150, eggs=18, swimming=4, **more):
    tallies = " ".join(str(round(per_ml) + d) for d in (-4, 5, 0))
    seen = {"with_eggs": eggs, "females_checked": 60, "swimming": swimming, "ciliates": "none"}
    return {"day": k, "kind": "count", "tallies": tallies, **seen, **more}


def said(rack, k, vessel="A", taught=model.UNTAUGHT):
    return risk(rack.log(vessel, day(k)), L, day(k), taught)


# --- what is usual ---


def test_nothing_is_said_of_a_vessel_never_looked_at():
    assert said(rack_of(), 3.0) is None
    assert said(rack_of({"day": 0.0, "kind": "feed", "feed": "algae", "amount": 5.0}), 3.0) is None


def test_fewer_eggs_are_expected_of_a_denser_culture():
    rows, per_ml = [], 60.0
    for k in range(30):
        rows.append(look(float(k), per_ml, eggs=round(60 * (0.6 - 0.001 * per_ml))))
        per_ml = 60.0 if per_ml > 350 else per_ml * 1.35
        if per_ml == 60.0:
            rows.append({"day": k + 0.1, "kind": "harvest", "volume_l": 16.0, "refill_l": 16.0})
    w = watch(rack_of(*rows).log("A"), L)
    thin, full = w.copy(), w.copy()
    thin.x, full.x = math.log(80.0), math.log(350.0)
    assert thin.expected_egg_share() > 1.4 * full.expected_egg_share()


def test_a_habit_of_swimming_is_learned_and_a_departure_from_it_counts():
    slow = [look(float(k), swimming=3) for k in range(20)]
    lively = [look(float(k), swimming=5) for k in range(20)]
    falls = said(rack_of(*lively, look(20.0, swimming=3)), 20.1).signs["swimming"]
    stays = said(rack_of(*slow, look(20.0, swimming=3)), 20.1).signs["swimming"]
    assert falls > stays + 0.3


def test_a_harvest_is_no_loss_and_a_loss_is_seen():
    calm = [look(float(k)) for k in range(6)]
    half = {"day": 5.1, "kind": "harvest", "volume_l": 10.0, "refill_l": 10.0}
    after = watch(rack_of(*calm, half).log("A"), L)
    before = watch(rack_of(*calm).log("A"), L)
    assert after.x == pytest.approx(before.x - math.log(2.0), abs=0.05)
    assert after.x - after.shift == pytest.approx(before.x - before.shift, abs=0.05)
    lost = watch(rack_of(*calm, look(6.0, 60)).log("A"), L)
    assert lost.count_e < -2.0


@pytest.mark.parametrize(
    ("row", "shift"),
    [
        ({"kind": "harvest", "volume_l": 5.0, "refill_l": 5.0}, math.log(15 / 20)),
        ({"kind": "harvest", "volume_l": 5.0, "refill_l": 0.0}, 0.0),
        ({"kind": "top_up", "volume_l": 3.0}, 0.0),  # evaporation made good
    ],
)
def test_water_in_and_out_shifts_the_density_by_what_it_dilutes(row, shift):
    w = watch(rack_of(look(0.0), {"day": 0.1, **row}).log("A"), L)
    assert w.shift == pytest.approx(shift)


def test_thinning_a_crowded_culture_lowers_the_chance():
    crowded = [look(float(k), min(60 * 1.3**k, 480), eggs=max(20 - k, 3)) for k in range(18)]
    harvest = {"day": 17.1, "kind": "harvest", "volume_l": 9.0, "refill_l": 9.0}
    full = said(rack_of(*crowded), 17.5)
    thin = said(rack_of(*crowded, harvest), 17.5)
    assert full.signs["crowded"] > 0.0
    assert thin.signs["crowded"] < full.signs["crowded"]


def test_a_restart_begins_a_culture_and_keeps_habits():
    rows = [*(look(float(k), swimming=5) for k in range(15))]
    anew = {"day": 15.0, "kind": "restart", "starter": "bought", "volume_l": 5.0, "density_per_ml": 80.0}
    w = watch(rack_of(*rows, anew).log("A"), L)
    assert w.x is None
    assert w.looks == ()
    assert w.swim_habit > 4.6
    assert said(rack_of(*rows, anew), 15.5) is None


# --- the model ---


def test_the_model_is_the_weighted_logistic_regressions_it_says_it_is():
    x = said_numbers = model.watch_numbers(watch(rack_of(*(look(float(k)) for k in range(5))).log("A"), L), day(4.0))
    z = np.array(list(CAUSES.values())) @ np.array(said_numbers)
    shifts, weights = np.array(list(SHIFTS)), np.array(list(SHIFTS.values()))
    expected = np.mean(expit(z[:, None] + shifts) @ (weights / weights.sum()))
    assert model.UNTAUGHT.chance(model.logits(x)) == pytest.approx(expected, rel=1e-9)


def test_every_cause_has_a_coefficient_for_every_number():
    assert {len(beta) for beta in CAUSES.values()} == {len(model.NUMBERS)}
    assert set(c.CALM) == set(model.NUMBERS)
    assert {n for members in model.SIGNS.values() for n in members} < set(model.NUMBERS)


def test_the_causes_that_nobody_taught_are_eggs_and_swimming_twice_as_loud_as_in_the_mean():
    usual = dict(zip(model.NUMBERS, CAUSES["usual"], strict=True))
    calm = np.array([c.CALM[name] for name in model.NUMBERS])
    heard = {"signs": set(), "signs and counts": {"count"}, "signs and crowding": {"crowded"}}
    for name, more in heard.items():
        of = {number for sign in {"eggs", "swimming"} | more for number in model.SIGNS[sign]}
        for number, beta in zip(model.NUMBERS[1:], CAUSES[name][1:], strict=True):
            assert beta == pytest.approx(2 * usual[number] if number in of else 0.0, abs=0.011), (name, number)
        assert calm @ CAUSES[name] == pytest.approx(calm @ CAUSES["usual"], abs=0.02)


@pytest.mark.parametrize(
    ("loss", "error", "over"),
    [(-1.5, 0.15, 20.0), (math.log(0.5), 0.15, 5.0), (0.0, 0.15, None), (-0.36, 0.5, None)],
)
def test_later_counts_speak_for_a_fall_as_far_as_they_can_tell(loss, error, over):
    ratio = model.speaks(loss, error)
    if over is None:
        assert ratio < 4.0
    else:
        assert ratio > over
    assert model.speaks(loss - 0.1, error) >= ratio


def test_bands_of_chance_are_tallied_in_order():
    assert [model.band(p) for p in (0.0, 0.0199, 0.02, 0.07, 0.15, 0.3, 0.4, 1.0)] == [0, 0, 1, 2, 3, 4, 5, 5]


# --- lessons ---


def falling(at_days, ill, n=60):
    """A vessel that falls by three quarters after each of `at_days`, with `ill` seen the morning before."""
    rows, per_ml = [], 150.0
    for k in range(n):
        before = any(k == d for d in at_days)
        rows.append(look(float(k), per_ml, **(ill if before else {})))
        if any(k in (d, d + 1) for d in at_days):
            per_ml *= 0.5
        else:
            per_ml = min(per_ml * 1.25, 150.0)
    return rows


def test_a_rack_on_which_a_sign_was_followed_by_falls_believes_it_more():
    days = [10, 20, 30, 40, 50]
    ill = {"eggs": 5, "swimming": 2}
    true, false = falling(days, ill), falling([], {})
    false = [look(r["day"], 150, **ill) if r["day"] in days else r for r in false]
    for rows in (true, false):
        rows.append(look(60.0, 150, **ill))
    chances = []
    for rows in (true, false):
        rack = rack_of(*rows)
        taught = taught_together([(rack.log("A"), L)], day(59.9))
        chances.append(said(rack, 60.1, taught=taught).chance)
    assert chances[0] > 2.0 * chances[1]


def test_lessons_of_vessels_add_up_whatever_their_order():
    rack = rack_of(*falling([10, 20], {"eggs": 4}), vessels=("A", "B"))
    rows = [{"at": START + timedelta(days=r.pop("day")), **r, "vessel": "B"} for r in falling([15], {"swimming": 2})]
    rack = rack.record(*rows)
    logs = [(rack.log(n), L) for n in "AB"]
    one, other = taught_together(logs, day(60.0)), taught_together(logs[::-1], day(60.0))
    assert one.log_weights == pytest.approx(other.log_weights)
    assert sum(n for n, _ in one.tally) == pytest.approx(2 * (60 - 3))
    assert one.weights == pytest.approx(other.weights)
    assert sum(one.weights) == pytest.approx(1.0)
    assert min(one.weights) > 0.0, "no cause is ever ruled out"


def test_a_count_of_today_teaches_the_rack_tomorrow():
    rack = rack_of(*(look(float(k)) for k in range(10)))
    later = rack.record({"at": START + timedelta(days=10), "vessel": "A", "kind": "count", "tallies": "150 155 160"})
    midnight = day(9.7)
    assert taught_together([(rack.log("A"), L)], midnight) == taught_together([(later.log("A"), L)], midnight)
    assert taught_together([(later.log("A"), L)], day(10.6)) != taught_together([(later.log("A"), L)], midnight)


def test_a_restart_is_no_fall_and_a_fall_before_it_is_one():
    anew = {"kind": "restart", "starter": "bought", "volume_l": 5.0, "density_per_ml": 20.0}
    calm = rack_of(*(look(float(k)) for k in range(10)), {"day": 9.5, **anew}, look(10.0, 20.0), look(11.0, 22.0))
    falls = sum(f for _, f in watch(calm.log("A"), L).tally)
    lost = rack_of(*(look(float(k)) for k in range(10)), look(10.0, 40.0), {"day": 10.5, **anew}, look(11.0, 20.0))
    assert sum(f for _, f in watch(lost.log("A"), L).tally) > falls + 0.5


def test_the_watch_is_the_same_however_the_record_was_entered():
    rows = falling([10], {"eggs": 4}, n=20)
    whole = watch(rack_of(*rows).log("A"), L)
    rack = rack_of()
    for row in (*rows[::2], *rows[1::2]):
        r = dict(row)
        rack = rack.record({"at": START + timedelta(days=r.pop("day")), "vessel": "A"} | r)
        watch(rack.log("A"), L)
    again = watch(rack.log("A"), L)
    assert (again.x, again.egg_a, *again.taught) == pytest.approx((whole.x, whole.egg_a, *whole.taught), rel=1e-9)


def test_few_eggs_tell_nothing_by_themselves_where_the_animal_is_no_rotifer():
    w = watch(rack_of(*(look(float(k), eggs=1) for k in range(3))).log("A"), strains()["copepod-pelagic"])
    x = dict(zip(model.NUMBERS, model.watch_numbers(w, day(2.0)), strict=True))
    assert x["few_eggs"] == 0.0


def test_a_chance_is_a_fall_within_three_days():
    assert c.WITHIN_DAYS == 3.0
    assert pytest.approx(0.7) == math.exp(c.LOG_FALL)
    found = said(rack_of(*(look(float(k)) for k in range(5))), 4.1)
    assert 1.0 - math.exp(-3.0 * found.hazard_per_day) == pytest.approx(found.chance)


def test_falls_that_no_sign_speaks_of_begin_as_often_as_the_page_on_deciding_says():
    page = (Path(__file__).parents[2] / "docs" / "decide.md").read_text(encoding="utf-8")
    (days,) = re.findall(r"about once in (\d+) vessel-days", page)
    assert pytest.approx(1.0 / float(days)) == USUAL_PER_DAY


def test_a_harvest_tells_of_the_days_after_it_and_no_longer():
    rows = [look(0.0), {"day": 0.1, "kind": "harvest", "volume_l": 10.0, "refill_l": 10.0}]
    w = watch(rack_of(*rows).log("A"), L)
    told = {k: model.watch_numbers(w, day(k))[model.NUMBERS.index("harvest")] for k in (0.2, c.HARVEST_DAYS, 9.0)}
    assert told == pytest.approx({0.2: 0.5, c.HARVEST_DAYS: 0.5, 9.0: 0.0})


def test_what_is_poured_into_a_vessel_raises_its_level_up_to_full():
    split = {"day": 1.0, "kind": "split", "vessel": "B", "to_vessel": "A", "volume_l": 3.0, "refill_l": 3.0}
    low = [look(0.0), {"day": 0.5, "kind": "harvest", "volume_l": 12.0, "refill_l": 0.0}, look(0.0, vessel="B")]
    levels = [
        watch(rack_of(*low, {**split, **more}, vessels=("A", "B")).log("A"), L).level_l
        for more in ({"fill_l": 0.0}, {"fill_l": 2.0}, {"fill_l": 18.0})
    ]
    assert levels == pytest.approx([11.0, 13.0, 20.0])
