"""Days that can be reckoned by hand: what play makes of cultures, transfers and worths, against sums on paper."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from rackview.core.outlook import Outlook
from rackview.planner import constants as c
from rackview.planner.choose import _with_starter
from rackview.planner.culture import Culture, NeedAhead, Problem
from rackview.planner.futures import Futures, sample
from rackview.planner.rollout import Acts, Bench, Starts, play
from rackview.planner.value import Worth

WORTH = Worth(brood=100.0, vessel=20.0, strain=50.0, starter=40.0, feed_g=0.5, minute=2.0, spare_m=0.25, mouth_m=3.0)
SIZE = 4


def bench(
    *millions: float, days: int = 4, need: NeedAhead | None = None, full: float = 10.0, rate: float = 0.0
) -> Bench:
    """Vessels of 20 L that hold so much of `full`, that grow by `rate` where thin, and to which nothing happens."""
    look = Outlook(0.0, 0.0, 0.5, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0)
    cultures = tuple(Culture(f"V{k}", 20.0, 20.0, look, ration=2.0) for k in range(len(millions)))
    problem = Problem(cultures, need or NeedAhead(), WORTH)
    drawn = sample(problem, SIZE, days)
    asked = np.array((*problem.need.millions, *[0.0] * days)[:days], np.float32)
    n = np.repeat(np.array(millions, np.float32)[:, None], SIZE, axis=1)
    calm = replace(
        drawn, animals=n, rate=0.0 * drawn.rate + rate, per_full=0.0 * drawn.per_full + np.float32(1.0 / full),
        bend=0.0 * drawn.bend, growth=0.0 * drawn.growth, hazard=0.0 * drawn.hazard, luck=0.0 * drawn.luck + 1.0,
        depth=0.0 * drawn.depth + math.log(0.5), falls_on=0.0 * drawn.falls_on + 99.0, prone=0.0 * drawn.prone,
        swift=0.0 * drawn.swift + 1.0, closes=0.0 * drawn.closes, hands=0.0 * drawn.hands + 1.0,
        need=np.repeat(asked[:, None, None], SIZE, axis=2),
    )  # fmt: skip
    return replace(Bench.of(problem, calm), per_m=1.0)


def acts(cultures: int, *moves: tuple[int, int, float], cost: float = 0.0, starts: Starts | None = None) -> Acts:
    """One way to act: nothing taken today, transfers from vessel to vessel."""
    giver, taker, share = np.full((3, 1), -1), np.full((3, 1), -1), np.zeros((3, 1))
    for m, (i, j, part) in enumerate(moves):
        giver[m, 0], taker[m, 0], share[m, 0] = i, j, part
    return Acts(np.zeros((cultures, 1)), giver, taker, share, np.ones(1), np.array([cost]), np.ones(1), starts)


def played(one: Bench, done: Acts, *taken: tuple[float, ...]):
    """Days on which the shares given are taken, none on the others; what is worth what, and what stood."""
    script = np.zeros((one.futures.days, one.futures.animals.shape[0], 1))
    for t, shares in enumerate(taken):
        script[t, :, 0] = shares
    found = play(one, replace(done, take=script[0]), full=True, script=script)
    assert float(np.ptp(found.value)) < 1e-3, "nothing is left to chance"
    return float(found.value.mean()), found


def grown(one: Bench, falls: dict[int, float] | None = None) -> list[float]:
    """Growth of the first vessel day by day (logarithm), with falls under way that come on some days."""
    futures: Futures = one.futures
    for k, day in (falls or {}).items():
        on = futures.falls_on.copy()
        on[k] = day
        futures = replace(futures, falls_on=on)
    _, found = played(replace(one, futures=futures, dead=0.0 * one.dead - 1.0), acts(len(futures.animals)))
    return np.diff(np.log(found.animals[:, 0, 0])).tolist()


def test_what_stands_eats_and_what_is_left_is_worth_live_cultures_and_the_strain():
    """Two cultures of 4 and 6 million that stand still over four days: 10 million x 2 g x 0.5 a day."""
    value, _ = played(bench(4.0, 6.0), acts(2, cost=7.0))
    assert value == pytest.approx(-4 * 10.0 * 2.0 * 0.5 + 2 * 20.0 + 50.0 - 7.0, rel=1e-5)


def test_a_culture_under_a_tenth_of_its_ceiling_is_worth_its_part_and_a_strain_under_a_fiftieth():
    """0.5 of 10 million is half of what counts as alive; 0.1 of a full rack of 10 is half of a strain's worth."""
    value, _ = played(bench(0.5, days=1), acts(1))
    assert value == pytest.approx(-0.5 * 2.0 * 0.5 + 0.5 * 20.0 + 50.0, rel=1e-5)
    few = bench(0.1, days=1)
    value, _ = played(replace(few, dead=0.0 * few.dead), acts(1))
    assert value == pytest.approx(-0.1 * 2.0 * 0.5 + 0.1 * 20.0 + 0.5 * 50.0, rel=1e-5)


def test_without_larvae_what_is_taken_goes_to_mouths_for_a_minute_and_a_half_a_vessel():
    """A quarter of 4 and of 8 million, on the second day: 3 million at 3 each, two harvests, less to feed for a day."""
    plain, _ = played(bench(4.0, 8.0, days=2), acts(2))
    taken, found = played(bench(4.0, 8.0, days=2), acts(2), (0.0, 0.0), (0.25, 0.25))
    assert taken - plain == pytest.approx(3 * 3.0 - 2 * 1.5 * 2.0 + 3 * 2.0 * 0.5, rel=1e-4)
    assert found.takes[1, :, 0] == pytest.approx([1.0, 2.0])
    assert found.given[:, 0, 0] == pytest.approx([0.0, 3.0])


def test_with_larvae_what_is_over_the_need_is_thrown_away_or_given_to_mouths_first():
    """2 million of 8 where 0.5 are needed: 1.5 to throw away at 0.25 each; or 1 of them to mouths at 0.4."""
    need = NeedAhead((0.5, 0.0), (False,) * 2)
    met, _ = played(bench(8.0, days=2, need=need), acts(1), (0.0625,))
    over, found = played(bench(8.0, days=2, need=need), acts(1), (0.25,))
    assert found.met[0, 0] == pytest.approx(1.0)
    less_fed = 2 * 1.5 * 2.0 * 0.5
    left = (
        c.LEFT_SHARE * 100.0 * np.subtract(*(np.exp(-n / 10.0 / bench(8.0, need=need).left_stock) for n in (7.5, 6.0)))
    )
    assert over - met == pytest.approx(-1.5 * 0.25 + less_fed + left, rel=1e-3)
    mouths = replace(bench(8.0, days=2, need=need), mouths_m=1.0, mouth_worth=0.4)
    given, _ = played(mouths, acts(1), (0.25,))
    assert given - over == pytest.approx(1.0 * (0.4 + 0.25), rel=1e-3)


def test_a_transfer_moves_its_share_gives_up_what_stood_there_and_takes_the_givers_illness_along():
    one = bench(8.0, 1.0, 5.0)
    ill = replace(one.futures, falls_on=one.futures.falls_on.copy())
    ill.falls_on[0] = 2.0
    _, found = played(replace(one, futures=ill), acts(3, (0, 1, 0.25)))
    assert found.animals[1, :, 0] == pytest.approx([6.0, 2.0, 5.0])
    assert found.animals[3, :, 0] == pytest.approx([3.0, 1.0, 5.0], rel=1e-5), "both lose the half that a fall takes"
    _, twice = played(one, acts(3, (0, 1, 0.25), (2, 0, 0.2)))
    assert twice.animals[1, :, 0] == pytest.approx([1.0, 2.0, 4.0])


def test_a_culture_that_is_gone_is_started_anew_the_day_after_from_the_fullest():
    """0.3 of 8 million; six minutes and a vessel; nothing before and nothing more after."""
    one = bench(8.0, 0.1, 5.0)
    value, found = played(one, acts(3))
    assert found.animals[:3, 0, 0] == pytest.approx([8.0, 8.0, 8.0 * (1.0 - c.GIVEN)])
    assert found.animals[:3, 1, 0] == pytest.approx([0.1, 0.1, 8.0 * c.GIVEN])
    alone, _ = played(replace(one, dead=0.0 * one.dead), acts(3))
    less_fed, more_left = 3 * 0.1 * 2.0 * 0.5, 20.0 - 0.1 * 20.0
    assert value - alone == pytest.approx(-6.0 * 2.0 - 20.0 + less_fed + more_left, rel=1e-3)


def test_who_stands_under_a_third_of_its_ceiling_starts_nobody_in_the_days_ahead():
    _, found = played(bench(2.9, 0.1), acts(2))
    assert found.animals[3, :, 0] == pytest.approx([2.9, 0.1])


def test_what_comes_from_outside_is_there_on_its_day_and_takes_nothing_from_what_stands():
    starts = Starts(np.array([2]), np.array([1]), np.array([3.0]))
    one = bench(8.0, 1.0)
    _, found = played(one, acts(2, starts=starts))
    assert found.animals[:, 1, 0] == pytest.approx([1.0, 1.0, 1.0, 3.0])
    _, dense = played(one, acts(2, starts=replace(starts, vessel=np.array([0]))))
    assert dense.animals[:, 0, 0] == pytest.approx([8.0] * 4)


def test_a_culture_about_to_fall_hardly_grows_loses_its_share_and_mends_day_by_day():
    found = grown(bench(0.001, 5.0, days=9, rate=0.5), {0: 2.0})
    mending = [0.5 * min(c.WEAK_GROWTH + k * c.MENDS, 1.0) for k in range(5)]
    assert found == pytest.approx([0.5 * c.SICK_GROWTH] * 2 + [math.log(0.5)] + mending, abs=2e-3)
    late = grown(bench(0.001, days=6, rate=0.5), {0: 4.0})
    assert late == pytest.approx([0.5] * 4 + [math.log(0.5)], abs=2e-3), "four days before nothing shows"


def test_a_culture_as_good_as_gone_hardly_grows_by_itself():
    _, found = played(bench(0.1, days=3, rate=0.4), acts(1))
    assert np.diff(np.log(found.animals[:, 0, 0])) == pytest.approx(0.4 * c.GONE_GROWTH, rel=0.03)


def test_what_stands_over_its_ceiling_shrinks_but_no_faster_than_it_can():
    """By Verhulst 1 - n / K of its rate, where crowding is taken for no more than 1.6; and 0.4 a day at most."""
    over = grown(bench(13.0, days=2, rate=0.5))
    assert over == pytest.approx([0.5 * (1.0 - 1.3)], abs=1e-3)
    assert grown(bench(30.0, days=2, rate=0.5)) == pytest.approx([0.5 * (1.0 - c.CROWDED_MOST)], abs=1e-3)
    assert grown(bench(30.0, days=2, rate=1.0)) == pytest.approx([c.SHRINKS], abs=1e-3)


def test_a_change_of_crowding_is_felt_by_its_share_of_a_day():
    """Growth of 0.5 (1 - p): p is n / K from the start, and 0.3 of a change to it is felt on the day of the change."""
    one = bench(8.0, rate=0.5)
    one = replace(one, futures=replace(one.futures, swift=0.0 * one.futures.swift + 0.3))
    assert grown(one)[0] == pytest.approx(0.5 * (1.0 - 0.8), abs=1e-3)
    _, found = played(one, acts(1), (0.5,))
    felt = 0.8 + 0.3 * (0.4 - 0.8)
    assert found.animals[1, 0, 0] == pytest.approx(4.0 * math.exp(0.5 * (1.0 - felt)), rel=1e-3)


def tried(one: Bench, limits: dict[int, float]) -> Bench:
    """The same where a hazard of 0.01 a squared day of strain brings a fall if it is over the limit of its day."""
    luck = 0.0 * one.futures.luck + 1.0
    for t, limit in limits.items():
        luck[t] = limit
    return replace(one, futures=replace(one.futures, prone=0.0 * one.futures.prone + 0.01, luck=luck))


@pytest.mark.parametrize(
    ("per_full", "strain", "falls"),
    [(0.7, 0.1, None), (0.92, 2.9, 3), (0.92, 3.1, 4), (1.0, 2.7, 2), (1.0, 2.9, 3), (1.4, 1.45, 1), (1.4, 1.55, 2)],
)
def test_days_near_the_ceiling_add_up_to_a_fall(per_full: float, strain: float, falls: int | None):
    """A day's strain is (n / K - 0.72) / 0.2, and 1.5 at most; the first day begins without any."""
    found = grown(tried(bench(10.0 * per_full, days=6), dict.fromkeys(range(6), 0.01 * strain**2)))
    assert next((t for t, grows in enumerate(found) if grows < -0.1), None) == falls


@pytest.mark.parametrize(("least", "left"), [(0.0, 4.2), (6.5, 6.5)])
def test_on_later_days_no_culture_is_thinned_under_its_least(least: float, left: float):
    """Of 8 million without larvae to 0.42 of a ceiling of 10, or to what it is started at."""
    one = bench(8.0)
    found = play(replace(one, least=0.0 * one.least + least), acts(1), full=True)
    assert found.animals[:, 0, 0] == pytest.approx([8.0, 8.0, left, left])


@pytest.mark.parametrize(("later", "taken"), [(1.0, 2.0), (1.25, 2.5), (0.5, 1.6)])
def test_on_later_days_larvae_get_the_share_of_their_need_that_is_kept_to(later: float, taken: float):
    """2 million from 8 under an aim of 0.64 of the ceiling: 1.6 are over it and taken whatever is needed."""
    one = bench(8.0, need=NeedAhead((0.0, 2.0, 0.0, 0.0), (False,) * 4))
    one = replace(one, aim=0.0 * one.aim + 0.64)
    found = play(one, replace(acts(1), later=np.array([later])), full=True)
    assert found.takes[1, 0, 0] == pytest.approx(taken, rel=1e-4)
    assert found.given[1, 0] == pytest.approx(taken, rel=1e-4)


def test_a_bought_starter_fills_one_vessel_and_leaves_the_others_as_they_are():
    look = Outlook(math.log(150.0), 0.1, 0.1, 0.1, math.log(350.0), 0.25, 0.1, 0.0, 0.0)
    cultures = tuple(Culture(name, 20.0, 20.0, look, takes="restart") for name in "ABC")
    problem = Problem(cultures, NeedAhead((0.5,) * 12, (False,) * 12), starter_days=3.0)
    one, futures, found = _with_starter(problem, acts(3), 1, 16)
    assert one.vessel == "B"
    assert found.animals[0, :, 0] == pytest.approx([3.0, 0.0, 3.0], rel=0.05)
    assert found.animals[:5, 1, 0] == pytest.approx([0.0, 0.0, 0.0, 0.0, found.animals[4, 1, 0]])
    assert found.animals[4, 1, 0] > 2.0, "100 per mL in 20 L, and a day's growth"
    assert futures.size == 16


@pytest.mark.parametrize(("strain", "falls"), [(0.75, True), (0.79, False)])
def test_strain_fades_once_a_culture_is_thinned(strain: float, falls: bool):
    """One day at the ceiling is 1.4, of which 0.55 is left after a day at half of it: 0.77."""
    one = tried(bench(10.0, days=4), {2: 0.01 * strain**2})
    _, found = played(one, acts(1), (0.0,), (0.5,))
    assert found.animals[:, 0, 0] == pytest.approx([10.0, 10.0, 5.0, 2.5 if falls else 5.0])
