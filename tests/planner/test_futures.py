"""The sampled futures are distributed as they are said to be: moments, shares and days by their definitions."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from scipy import stats

from rackview.core.outlook import Outlook
from rackview.planner import constants as c
from rackview.planner.culture import Culture, Falls, NeedAhead, Problem
from rackview.planner.futures import days_for, quantile, sample

SIZE = 1500
"""Futures: a share of a half is known to 0.013, a mean to 0.026 of its standard deviation."""
DAYS = 14
LOOK = Outlook(math.log(200.0), 0.2, 0.5, 0.08, math.log(900.0), 0.25, 0.06, 0.0, 0.0)
CALM = Falls(dense=0.5, caught=0.0, often=0.0)


def rack(*looks: Outlook | None, need: NeedAhead | None = None, falls: Falls = CALM) -> Problem:
    """Vessels of 20 L that hold 16."""
    cultures = tuple(Culture(f"V{k}", 20.0, 16.0, look) for k, look in enumerate(looks))
    return Problem(cultures, need or NeedAhead(), falls=falls)


def needed(need: NeedAhead, days: int = DAYS, size: int = SIZE) -> np.ndarray:
    """Millions needed: (days, futures)."""
    return sample(rack(LOOK, need=need), size, days).need[:, 0].astype(float)


def test_the_normal_quantile_is_that_of_the_tables():
    """Abramowitz & Stegun 1964, 26.2.23: within 4.5e-4. The reference is scipy's."""
    p = np.linspace(1e-4, 1.0 - 1e-4, 2001)
    assert np.abs(quantile(p) - stats.norm.ppf(p)).max() < 5e-4


def test_what_is_believed_of_a_culture_is_what_is_drawn():
    found = sample(rack(LOOK, LOOK), SIZE, DAYS)
    for k in range(2):
        density = np.log(found.animals[k] * 1e3 / 16.0)
        ceiling = np.log(1e3 / 20.0 / found.per_full[k, 0])
        for drawn, middle, sd in (
            (density, LOOK.log_density, LOOK.log_density_sd),
            (found.rate[k, 0], LOOK.rate_per_day, LOOK.rate_sd),
            (ceiling, LOOK.log_ceiling, LOOK.log_ceiling_sd),
        ):
            assert float(np.mean(drawn)) == pytest.approx(middle, abs=0.1 * sd)
            assert float(np.std(drawn)) == pytest.approx(sd, rel=0.1)
    assert abs(np.corrcoef(np.log(found.animals[0]), np.log(found.animals[1]))[0, 1]) < 0.1
    rates = np.corrcoef(found.rate[0, 0], found.rate[1, 0])[0, 1]
    assert rates == pytest.approx(c.ALIKE, abs=0.08)


def test_a_culture_does_not_stand_far_over_the_ceiling_drawn_for_it():
    full = replace(LOOK, log_density=math.log(900.0))
    found = sample(rack(full), SIZE, DAYS)
    part = found.animals[0] * (20.0 / 16.0) * found.per_full[0, 0]
    assert float(part.max()) == pytest.approx(1.0 / c.OVER_CEILING, rel=1e-4)


def test_daily_growth_has_its_spread_is_remembered_for_days_and_in_part_the_racks():
    growth = sample(rack(LOOK, LOOK), SIZE, DAYS).growth[:, :, 0].astype(float)
    for t in (0, 1, DAYS - 1):
        assert growth[t].std() == pytest.approx(LOOK.daily_sd, rel=0.07)
        assert np.corrcoef(growth[t, 0], growth[t, 1])[0, 1] == pytest.approx(c.SHARED, abs=0.08)
    for lag in (1, 2):
        along = np.corrcoef(growth[3, 0], growth[3 + lag, 0])[0, 1]
        assert along == pytest.approx(c.MEMORY**lag, abs=0.08)


def test_crowding_swiftness_depths_and_luck_fill_the_ranges_that_are_said():
    found = sample(rack(LOOK), SIZE, DAYS)
    taken = 1.0 - np.exp(found.depth)
    for drawn, low, high in (
        (found.bend, *c.BEND), (found.swift, c.SWIFT, 1.0), (taken, *c.DEPTH), (found.luck, 0.0, 1.0)
    ):  # fmt: skip
        assert low - 1e-6 <= drawn.min() < low + 0.01 * (high - low)
        assert high + 1e-6 >= drawn.max() > high - 0.01 * (high - low)
        assert float(drawn.mean()) == pytest.approx(0.5 * (low + high), abs=0.02 * (high - low))
    assert (found.prone > 0.0).mean() == pytest.approx(0.5, abs=0.002)
    assert found.closes == pytest.approx(0.5 * found.rate * found.swift * found.per_full)


def test_each_first_day_of_luck_is_spread_evenly():
    luck = np.sort(sample(rack(LOOK), SIZE, DAYS).luck[:, 0, 0], axis=1)
    assert np.abs(luck - (np.arange(SIZE) + 0.5) / SIZE).max() <= 1.0 / SIZE


def test_where_nothing_is_known_a_usual_culture_may_be_started():
    found = sample(rack(None, LOOK), SIZE, DAYS)
    assert found.animals[0].max() == 0.0
    assert float(found.rate[0].mean()) == pytest.approx(c.NEW_RATE, abs=0.01)
    assert float(found.rate[0].std()) == pytest.approx(c.NEW_RATE_SD, rel=0.1)
    full = 1.0 / found.per_full[0, 0]
    assert float(np.median(full)) == pytest.approx(c.NEW_CEILING * c.START_PER_ML * 20.0 / 1e3, rel=0.03)
    assert float(np.log(full).std()) == pytest.approx(c.NEW_CEILING_SD, rel=0.1)
    assert float(found.falls_on[0].min()) > DAYS
    assert found.growth[:, 0].std() == pytest.approx(c.NEW_DAILY_SD, rel=0.05)


def falls(problem: Problem, days: int = DAYS) -> np.ndarray:
    """The days of falls that have their cause: (vessels, futures)."""
    return sample(problem, SIZE, days).falls_on.astype(float)


def test_a_fall_under_way_comes_within_days_in_as_many_futures_as_it_is_likely():
    own, calm = falls(rack(replace(LOOK, collapse_chance=0.4), LOOK))
    assert (own < c.FALL_WITHIN).mean() == pytest.approx(0.4, abs=0.02)
    days, times = np.unique(own[own < c.FALL_WITHIN], return_counts=True)
    assert days.tolist() == [0.0, 1.0, 2.0]
    assert times.max() < 1.25 * times.min()
    assert (calm < c.FALL_WITHIN).mean() < 0.02


def test_what_a_neighbour_has_is_caught_later_and_in_its_share():
    ill = replace(LOOK, collapse_chance=0.8)
    for chance in (0.25, 0.75):
        beside = falls(rack(ill, LOOK, falls=replace(CALM, caught=chance)))[1]
        soon = beside < c.FALL_WITHIN + c.CAUGHT_AFTER
        assert soon.mean() == pytest.approx(0.8 * chance, abs=0.03)
        early = (beside < c.CAUGHT_AFTER).mean()
        assert early < 0.01
    both = falls(rack(replace(LOOK, collapse_chance=0.5), ill, falls=replace(CALM, caught=1.0)))[0]
    assert (both < c.FALL_WITHIN + c.CAUGHT_AFTER).mean() == pytest.approx(0.5 + 0.5 * 0.8, abs=0.03)


def test_a_cause_that_all_share_comes_as_often_as_it_is_said_and_hits_its_share():
    days = 60
    found = falls(rack(LOOK, LOOK), days)
    hit = found < days
    lasts = days - 0.5 * c.FALL_WITHIN + 0.5
    comes = 1.0 - (1.0 - c.SHARED_PER_DAY) ** lasts
    for one in hit:
        assert one.mean() == pytest.approx(c.SHARED_HITS * comes, abs=0.02)
    assert hit.all(axis=0).mean() == pytest.approx(c.SHARED_HITS**2 * comes, abs=0.02)
    together = hit.all(axis=0)
    assert np.abs(found[0] - found[1])[together].max() < c.FALL_WITHIN


def test_how_often_falls_begin_is_the_cultures_own_rate_by_what_the_rack_taught():
    look = replace(LOOK, collapses_per_day=0.01)
    for often in (0.5, 2.0):
        found = sample(rack(look, falls=replace(CALM, often=often)), 8, DAYS)
        assert found.hazard == pytest.approx(0.01 * often)


def test_a_need_said_ahead_is_off_by_its_spread_and_todays_is_known():
    known = NeedAhead((2.0,) * DAYS, (False,) * DAYS, done_m=0.5)
    found = needed(known)
    assert found[0] == pytest.approx(1.5)
    off = np.log(found[1:] / 2.0)
    assert off.std(axis=1) == pytest.approx(c.NEED_DAY_SD, rel=0.1)
    assert off.mean(axis=1) == pytest.approx(0.0, abs=0.1 * c.NEED_DAY_SD)
    assert abs(np.corrcoef(off[3], off[4])[0, 1]) < c.MEMORY + 0.08
    unsure = needed(replace(known, spread=0.4))
    shared = np.log(unsure[1:] / found[1:])
    assert unsure[0] == pytest.approx(1.5)
    assert shared.std() == pytest.approx(0.4, rel=0.1)
    assert np.ptp(shared, axis=0).max() < 1e-5, "one brood eats as it eats, on all of its days"
    assert needed(replace(known, done_m=3.0))[0].max() == 0.0


def test_a_hatch_may_come_a_day_sooner_or_later_and_the_brood_goes_with_it():
    said = (0.0,) * 4 + (1.0, 1.2, 1.4, 1.6, 1.8) + (0.0,) * 5
    found = needed(NeedAhead(said, tuple(m > 0.0 for m in said)))
    first = (found > 0.0).argmax(axis=0)
    shares = [(first == day).mean() for day in (3, 4, 5)]
    assert shares == pytest.approx([c.EARLY, 1.0 - c.EARLY - c.HATCH_SHIFT, c.HATCH_SHIFT], abs=0.002)
    fed = (found > 0.0).sum(axis=0)
    assert set(fed[first <= 4]) == {5}
    for day in (3, 4):  # the whole brood moves, larger or smaller as a whole
        level = found[day : day + 5, first == day] / np.array(said[4:9])[:, None]
        assert np.ptp(level, axis=0).max() < 1e-5
        assert np.log(level[0]).std() == pytest.approx(c.NEED_SD, rel=0.12)


def test_a_brood_does_not_hatch_on_a_day_that_has_begun():
    said = (0.0, 1.0, 1.0, 1.0) + (0.0,) * 10
    assert needed(NeedAhead(said, tuple(m > 0.0 for m in said)))[0].max() == 0.0


LONG = 44


def test_broods_that_nobody_announced_come_within_their_days_and_rise():
    found = needed(NeedAhead(more=True), LONG)
    first = (found > 0.0).argmax(axis=0)
    assert set((found > 0.0).sum(axis=0)) == {int(c.BROOD_DAYS)}
    assert found.min() == 0.0
    assert (first.min(), first.max()) == (c.GAP_DAYS[0], c.GAP_DAYS[1] - 1)
    assert first.mean() == pytest.approx(0.5 * (sum(c.GAP_DAYS) - 1.0), abs=0.1)
    each = np.array([found[t : t + 9, s] for s, t in enumerate(first)])
    assert (np.diff(each, axis=1) >= 0.0).all()
    assert each[:, 0] / each[:, -1] == pytest.approx(c.RAMP[0], rel=1e-5)
    assert each[:, 1] / each[:, -1] == pytest.approx(sum(c.RAMP), rel=1e-5)
    full = float(np.median(1.0 / sample(rack(LOOK), SIZE, LONG).per_full[0, 0]))
    height = each[:, -1] / (c.BUILT_FOR * full)
    assert height.min() == pytest.approx(c.HEIGHT[0], abs=0.01)
    assert height.max() == pytest.approx(sum(c.HEIGHT), abs=0.01)


@pytest.mark.parametrize(("last", "begin"), [(2, 8), (10, 14)])
def test_they_come_after_those_that_were_announced(last: int, begin: int):
    said = tuple(9.0 if t == last else 0.0 for t in range(LONG))
    found = needed(NeedAhead(said, (False,) * LONG, more=True), LONG)
    later = found[last + 1 :]
    assert (later > 0.0).any(axis=1).argmax() + last + 1 == begin
    assert later.max() == pytest.approx(9.0 * sum(c.HEIGHT), rel=0.01), "as large as the largest that was said"


def test_days_played_cover_the_brood_within_bounds():
    lasts = {t: days_for(NeedAhead((0.0,) * t + (1.0,))) for t in (0, 11, 12, 15, 16, 30)}
    assert lasts == {0: 12, 11: 12, 12: 13, 15: 16, 16: 17, 30: 17}
    cut = NeedAhead((0.0,) * 5 + (1.0,) * 2, said_days=7)
    assert days_for(cut) == 5 + c.FED_DAYS[1]


def test_the_first_futures_are_those_of_the_whole_and_keep_what_is_asked():
    whole = sample(rack(LOOK, None, need=NeedAhead((1.0, 0.0, 1.0), (False,) * 3)), 40, 5)
    part = whole.some(7)
    assert (part.size, part.days) == (7, 5)
    assert part.asked == whole.asked == (True, False, True, False, False)
    for field in fields(whole):
        if field.name != "asked":
            assert np.array_equal(getattr(part, field.name), getattr(whole, field.name)[..., :7])


def test_a_vessels_draws_are_its_own_whatever_stands_behind_it():
    one, two = (sample(rack(*looks), 64, DAYS) for looks in ((LOOK,), (LOOK, LOOK)))
    assert np.array_equal(one.animals[0], two.animals[0])
    assert np.array_equal(one.luck[:, 0], two.luck[:, 0])
    assert not np.array_equal(two.luck[:, 0], two.luck[:, 1])


@pytest.mark.parametrize(
    ("millions", "said", "begin"),
    [
        ((1.0, 1.0), 2, 0), ((0.0, 1.0, 1.0), 3, 1), ((1.0, 0.0, 1.0), 3, 2), ((1.0, 1.0, 0.0), 3, None),
        ((1.0, 1.0, 0.0, 0.0), 2, 0), ((1.0, 1.0), None, None), ((1.0,), 1, None), ((), 0, None), ((1.0, 1.0), 9, 0),
    ],
)  # fmt: skip
def test_a_brood_goes_on_where_it_is_fed_on_the_last_day_that_was_said(millions, said, begin):
    assert NeedAhead(millions, (False,) * len(millions), said_days=said).goes_on == begin


def test_what_has_nothing_to_do_with_each_other_is_drawn_apart():
    """A correlation of 1,500 independent draws is under 0.1 but once in 10,000."""
    brood = tuple(float(3 < t < 9) for t in range(DAYS))
    need = NeedAhead(brood, tuple(m > 0.0 for m in brood))
    found = sample(rack(replace(LOOK, collapse_chance=0.999), need=need), SIZE, DAYS)
    drawn = np.array([
        found.need[6, 0], *found.growth[1:4, 0, 0],
        found.animals[0], found.rate[0, 0], found.bend[0, 0], found.prone[0, 0] > 0.0, found.swift[0, 0],
        found.falls_on[0], found.growth[5, 0, 0], found.luck[5, 0, 0], found.depth[5, 0, 0], found.hands[5, 0],
    ], float)  # fmt: skip
    apart = np.corrcoef(drawn) - np.eye(len(drawn))
    apart[1:4, 1:4] = apart[1:4, -4] = apart[-4, 1:4] = 0.0  # growth is remembered
    assert np.abs(apart).max() < 0.1
