"""How cultures live in the futures, and what a brood that goes short costs."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from rackview.core.outlook import Outlook
from rackview.planner.constants import BROOD, BROOD_DAYS, THRIFT
from rackview.planner.culture import Culture, NeedAhead, Problem
from rackview.planner.futures import Futures, sample
from rackview.planner.rollout import Acts, Bench, play

DAYS = 9


def rack(per_ml: float, rate: float = 0.5) -> Problem:
    """One vessel of 20 L under a ceiling of 400 per mL."""
    look = Outlook(math.log(per_ml), 0.05, rate, 0.05, math.log(400.0), 0.05, 0.0, 0.0, 0.0)
    return Problem((Culture("A", 20.0, 20.0, look),), NeedAhead((0.0,) * DAYS, (False,) * DAYS))


def undisturbed(found: Futures) -> Futures:
    """The same without falls, lags and luck, and with crowding as in the logistic equation."""
    rate = found.rate
    return replace(
        found, bend=0.0 * found.bend, growth=0.0 * found.growth, hazard=0.0 * found.hazard, luck=0.0 * found.luck + 1.0,
        falls_on=0.0 * found.falls_on + 99.0, prone=0.0 * found.prone, swift=0.0 * found.swift + 1.0,
        closes=0.5 * rate * found.per_full,
    )  # fmt: skip


def scripted(days: int, share: float = 0.0) -> tuple[Acts, np.ndarray]:
    """The same share taken every day."""
    none = np.full((3, 1), -1)
    acts = Acts(np.full((1, 1), share), none, none, np.zeros((3, 1)), np.ones(1), np.zeros(1), np.ones(1))
    return acts, np.full((days, 1, 1), share)


@pytest.mark.parametrize("share", [0.0, 0.1, 0.2])
@pytest.mark.parametrize("rate", [0.25, 0.5, 0.8])
@pytest.mark.parametrize("per_ml", [60.0, 200.0, 350.0])
def test_a_culture_grows_through_its_days_as_the_logistic_equation_has_it(
    per_ml: float, rate: float, share: float
) -> None:
    """Each day's end by the solution of Verhulst's equation, n = K / (1 + (K / n0 - 1) exp(-r t)), a textbook's."""
    problem = rack(per_ml, rate)
    futures = undisturbed(sample(problem, 24, DAYS))
    acts, script = scripted(DAYS, share)
    stock = play(Bench.of(problem, futures), acts, full=True, script=script).animals[:, 0, 0]
    n, full, r = futures.animals[0].astype(float), 1.0 / futures.per_full[0, 0], futures.rate[0, 0]
    for t in range(DAYS):
        assert stock[t] == pytest.approx(n.mean(), rel=0.05)
        n = n * (1.0 - share)
        n = full / (1.0 + (full / n - 1.0) * np.exp(-r))


def test_what_is_swift_stands_under_a_low_ceiling_in_the_futures() -> None:
    """Growth believed at one density leaves growth and ceiling in doubt together, and growth there less."""
    look = Outlook(math.log(180.0), 0.05, 0.5, 0.12, math.log(400.0), 0.25, 0.0, 0.0, 0.0)
    futures = sample(Problem((Culture("A", 20.0, 20.0, look),), NeedAhead()), 192)
    rate, full = futures.rate[0, 0], 1.0 / futures.per_full[0, 0]
    assert np.corrcoef(rate, np.log(full))[0, 1] < -0.4
    assert float(rate.std()) == pytest.approx(0.12, rel=0.15)


def cost_of(short: dict[int, float]) -> float:
    """What it costs that some days of a brood are met by less, in a rack that holds a thousand times what is needed."""
    need = 0.004
    problem = replace(rack(250.0), need=NeedAhead((need,) * DAYS, (False,) * DAYS))
    futures = undisturbed(sample(problem, 24, DAYS))
    futures = replace(futures, need=0.0 * futures.need + need, hands=0.0 * futures.hands + 1.0)
    bench = replace(Bench.of(problem, futures), per_m=0.0)
    acts, script = scripted(DAYS)
    met = np.array([short.get(t, 1.0) for t in range(DAYS)])
    stock = play(bench, acts, full=True, script=script).animals[:, 0, 0]
    script = (1.1 * met * need / stock)[:, None, None] * np.where(met < 1.0, 1.0 / 1.1, 1.0)[:, None, None]
    found = play(bench, replace(acts, take=script[0]), full=True, script=script)
    every, whole = scripted(DAYS, 0.001)
    fed = play(bench, every, full=True, script=whole)
    assert found.met[:, 0].mean(axis=1) == pytest.approx(met, abs=0.05)
    return float(fed.value.mean() - found.value.mean())


def test_a_brood_lost_early_costs_more_than_one_that_is_fed_as_long_as_it_can_be() -> None:
    """So nobody gains by letting go today's larvae because those of a later day cannot be fed."""
    costs = [cost_of({**dict.fromkeys(range(t), 0.8), t: 0.2}) for t in range(DAYS)]
    assert all(early > late for early, late in pairwise(costs))
    assert costs[0] == pytest.approx(BROOD * (1.0 + THRIFT * 0.8 / BROOD_DAYS), rel=0.02)


def test_less_than_all_of_a_day_costs_its_share_and_the_line_far_more() -> None:
    share = BROOD * THRIFT * 0.1 / BROOD_DAYS
    assert share <= cost_of({0: 0.9}) <= 2.0 * share
    assert cost_of({0: 0.6}) > 30.0 * share
