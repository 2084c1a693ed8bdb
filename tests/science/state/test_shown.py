"""Eggs as what shows passing growth, where a culture swings by itself."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from rackview.advice.api import forecast
from rackview.core.clock import day_number
from rackview.core.events import Count
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import kernel, mixture
from rackview.science.state.belief import believe
from rackview.science.state.carrier import SCALARS
from rackview.science.state.estimate import EARLY_SIGN
from rackview.science.state.kernel import BASE, U
from rackview.science.state.mixture import Mixture
from rackview.science.state.model import MODEL, Model

Swings = Callable[..., tuple[np.ndarray, np.ndarray]]
AT = datetime(2026, 1, 1, 8, tzinfo=UTC)
SCALES = 0.55, 0.45, 0.4, 0.3


def state(scale: float, scale_sd: float) -> tuple[list[float], list[list[float]]]:
    """Means and covariances with one sign, whose row is not yet told anything."""
    rng = np.random.default_rng(3)
    root = 0.3 * rng.standard_normal((BASE, BASE))
    p = np.zeros((BASE + 1, BASE + 1))
    p[:BASE, :BASE], p[BASE, BASE] = root @ root.T, scale_sd**2
    return [4.0, 0.2, 0.1, 0.3, scale], p.tolist()


def test_with_a_scale_that_is_known_it_is_kalmans_update() -> None:
    m, p = state(0.5, 0.0)
    mean, cov, left = kernel.shown(m, p, BASE, 0.4, 0.02, 1.0)
    h = np.zeros(BASE + 1)
    h[U] = 0.5
    spread = h @ p @ h + 0.02
    gain = p @ h / spread
    assert mean == pytest.approx(m + gain * (0.4 - 0.1), rel=1e-12)
    assert np.array(cov) == pytest.approx(np.array(p) - np.outer(gain, p @ h), abs=1e-15)
    off = 0.4 - h @ mean
    assert left == pytest.approx(off**2 + h @ np.array(cov) @ h, rel=1e-12)


@pytest.mark.parametrize("departed", [0.1, 0.15, 0.25])
def test_growth_and_scale_are_told_as_bayes_theorem_tells_them(departed: float) -> None:
    u, sd_u, k, sd_k, var = 0.3, 0.25, 0.4, 0.15, 0.01
    m, p = [4.0, u, 0.1, 0.3, k], np.diag([0.1, sd_u**2, 0.01, 0.01, sd_k**2]).tolist()
    mean, cov, *_ = kernel.shown(m, p, BASE, departed, var, 1.0)
    us, ks = np.meshgrid(np.linspace(u - 6 * sd_u, u + 6 * sd_u, 801), np.linspace(k - 6 * sd_k, k + 6 * sd_k, 801))
    w = np.exp(-0.5 * (((us - u) / sd_u) ** 2 + ((ks - k) / sd_k) ** 2 + (departed - ks * us) ** 2 / var))
    w /= w.sum()
    for row, values, before in ((U, us, sd_u), (BASE, ks, sd_k)):
        wanted = float((w * values).sum())
        assert mean[row] == pytest.approx(wanted, abs=0.15 * before)
        sd = math.sqrt(float((w * (values - wanted) ** 2).sum()))
        assert math.sqrt(cov[row][row]) == pytest.approx(sd, abs=0.1 * before)


def test_a_look_against_expectation_makes_the_scale_doubtful_before_it_turns_growth_about() -> None:
    m, p = [4.0, 0.6, 0.1, 0.3, 0.4], np.diag([0.1, 0.04, 0.01, 0.01, 0.09]).tolist()
    mean, *_ = kernel.shown(m, p, BASE, -0.3, 0.01, 1.0)
    assert mean[BASE] < 0.1
    assert mean[U] > 0.3


@pytest.mark.parametrize("x", [4.0, 5.5])
def test_eggs_show_growth_as_it_will_be_when_they_have_hatched(x: float) -> None:
    """What is shown is what the equation makes of passing growth meanwhile, the density as it is."""
    days, delayed = 0.3, 9.0
    p = np.diag([1e-9, 1e-3, 1e-9, 1e-9, 1e-9]).tolist()
    m = [x, 0.2, 0.01, 0.05, 0.4]
    later = kernel.soon(m, p, 5.0, MODEL.eta, days, SCALARS, delayed, swings=True)[0]
    h = math.expm1(MODEL.eta * (x - 5.0)) / MODEL.eta
    assert later[U] == pytest.approx(0.2 + days * delayed * (0.01 - 0.05 * h), abs=1e-6)
    assert [later[0], *later[2:]] == [m[0], *m[2:]]


def test_what_is_foreseen_and_taken_back_is_what_it_was() -> None:
    factor = np.random.default_rng(1).normal(size=(5, 5))
    m, p = [4.3, 0.2, 0.01, 0.05, 0.4], (0.01 * factor @ factor.T).tolist()
    there = kernel.soon(m, p, 5.0, MODEL.eta, 0.3, SCALARS, 9.0, swings=True)
    assert there[0][U] != m[U]
    back = kernel.soon(*there, 5.0, MODEL.eta, -0.3, SCALARS, 9.0, swings=True)
    assert back[0] == pytest.approx(m, rel=1e-12)
    assert np.array(back[1]) == pytest.approx(np.array(p), rel=1e-9, abs=1e-15)


def test_where_nobody_looked_nothing_is_told() -> None:
    m, p = state(0.4, 0.3)
    mean, cov, *_ = kernel.shown(m, p, BASE, 0.9, 0.01, 0.0)
    assert mean == m
    assert cov == p


def fresh() -> Mixture:
    return mixture.fresh(MODEL, 4.0, 0.1, 5.0, 0.3, 0.1, [SCALES])


def test_ways_of_swinging_are_told_of_growth_and_which_way_it_is_stays_with_the_counts() -> None:
    before, after = fresh(), mixture.shown(MODEL, fresh(), BASE, 0.6, 0.003, SCALARS)
    assert {one.swings for one in MODEL.alternatives if one.shown} == {True}
    for one, old, new in zip(MODEL.alternatives, before.parts, after.parts, strict=True):
        assert (new.m[U] > 0.1) == one.shown
        assert (new.p == old.p) == (not one.shown)
        assert new.sound == old.sound


def test_what_tells_of_failing_shifts_the_odds_of_each_alternative_and_leaves_their_weights_to_the_counts() -> None:
    before, after = fresh(), mixture.hinted(MODEL, fresh(), 5.0, 2.0, SCALARS)
    assert {one.delayed > 1.0 for one in MODEL.alternatives if one.swings} == {True}
    for one, old, new in zip(MODEL.alternatives, before.parts, after.parts, strict=True):
        odds = new.failing / new.sound / (old.failing / old.sound)
        assert odds == pytest.approx(2.0 if one.swings else 5.0, rel=1e-12)
        assert new.sound + new.failing == pytest.approx(old.sound + old.failing, rel=1e-12)


def test_without_eggs_it_does_not_matter_what_they_would_show() -> None:
    *others, shows = MODEL.alternatives
    assert shows.shown
    found = []
    for model in (MODEL, Model((*others, replace(shows, shown=False)))):
        mix = mixture.fresh(model, 4.0, 1.0, 5.0, 0.3, 0.1, [])
        for n in (120, 260, 90, 0, 14):
            mix, *_ = mixture.counted(model, mix, kernel.Tally.of(float(n), 2.0, SCALARS), 0.01, SCALARS)
            mix = mixture.elapsed(model, mix, 1.0, [], [], SCALARS)
        found.append((*mixture.level(mix), mix.parts[-1].sound))
    assert found[0] == found[1]


def carrying(growth: np.ndarray) -> np.ndarray:
    """The share of females with eggs where births follow growth."""
    return np.clip(np.expm1((0.45 + 0.35 * growth) * 0.75), 0.02, 0.95)


def swinging(animals: np.ndarray, share: np.ndarray, rng: np.random.Generator) -> list[Count]:
    """Daily counts with forty females checked for eggs."""
    return [
        Count(
            at=AT + timedelta(days=d),
            vessel="V",
            tallies=(int(rng.poisson(5.0 * n)) + 1,),
            aliquot_ml=5.0,
            with_eggs=int(rng.binomial(40, eggs)),
            females_checked=40,
        )
        for d, (n, eggs) in enumerate(zip(animals, share, strict=True))
    ]


def test_eggs_that_come_and_go_as_a_culture_swings_raise_no_alarm(late_logistic: Swings) -> None:
    """One day in twenty would be a sign too many; told as of a steady culture they gave one in fourteen."""
    chances = []
    for seed in range(6):
        animals, growth = late_logistic(1.6, 60, luck=0.5, seed=seed)
        counts = swinging(animals, carrying(growth), np.random.default_rng(seed))
        rack = Rack.build([Vessel("V", "rotifer-L", "A", 1, 20.0)], counts)
        profile = rack.profile("V")
        chances += [believe(rack.log("V", day_number(one.at)), profile).mix.failing for one in counts[20:]]
    assert np.mean(np.array(chances) > EARLY_SIGN) < 0.03


def errors(counts: list[Count]) -> float:
    """Mean error of the log density foretold for the next day, over the second half of two months."""
    rack = Rack.build([Vessel("V", "rotifer-L", "A", 1, 20.0)], counts)
    days = range(len(counts) // 2, len(counts) - 1)
    foretold = [forecast(rack, "V", counts[d].at + timedelta(minutes=10), [1.0], [0.5])[0, 0] for d in days]
    animals = [counts[d + 1].animals / counts[d + 1].looked_at_ml for d in days]
    return float(np.abs(np.log(foretold) - np.log(animals)).mean())


@pytest.fixture(scope="module")
def worth(late_logistic: Swings) -> dict[str, float]:
    """By how much a forecast is better than one without eggs: eggs that follow growth, and eggs that follow nothing."""
    found: dict[str, list[float]] = {"growth": [], "nothing": []}
    for seed in range(4):
        animals, growth = late_logistic(1.6, 60, luck=0.5, seed=seed)
        rng = np.random.default_rng(seed)
        plain = [
            Count(at=AT + timedelta(days=d), vessel="V", tallies=(int(rng.poisson(5.0 * n)) + 1,), aliquot_ml=5.0)
            for d, n in enumerate(animals)
        ]
        without = errors(plain)
        shares = carrying(growth), rng.uniform(0.1, 0.7, len(plain))
        for name, share in zip(found, shares, strict=True):
            eggs = rng.binomial(40, share).tolist()
            seen = [replace(one, with_eggs=e, females_checked=40) for one, e in zip(plain, eggs, strict=True)]
            found[name].append(1.0 - errors(seen) / without)
    return {name: float(np.mean(gains)) for name, gains in found.items()}


def test_where_luck_drives_a_swinging_culture_eggs_foretell_it(worth: dict[str, float]) -> None:
    assert worth["growth"] > 0.15


def test_eggs_that_follow_nothing_do_little_harm(worth: dict[str, float]) -> None:
    assert worth["nothing"] > -0.05
