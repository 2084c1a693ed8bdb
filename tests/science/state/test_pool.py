"""What vessels teach each other."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from rackview.core import events as ev
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import belief, mixture
from rackview.science.state.growth import Prior
from rackview.science.state.kernel import BASE, THETA, A
from rackview.science.state.pool import Lesson, Topic, informed, pooled
from rackview.science.state.pool import _follow as follow
from rackview.science.state.pool import _lessons as lessons_of
from rackview.science.state.pool import _others as others_say
from rackview.science.state.pool import _told as told
from rackview.science.state.pool import _whole as whole_of

START = datetime(2026, 1, 1, 8, tzinfo=UTC)


def vessel_days(rng: np.random.Generator, name: str, days: int, scale: float, growth: float) -> list[ev.Event]:
    """Counts of a culture whose growth follows its egg share by `scale`, held near 150 per mL by harvests."""
    x, found = math.log(150.0), []
    for d in range(days):
        at = START + timedelta(days=d)
        share = float(rng.uniform(0.1, 0.6))
        found.append(
            ev.Count(at=at, vessel=name, tallies=tuple(rng.poisson(math.exp(x), 3).tolist()),
                     with_eggs=int(rng.binomial(60, share)), females_checked=60)
        )  # fmt: skip
        out = 20.0 * min(max(1.0 - math.exp(math.log(150.0) - x), 0.0), 0.6)
        if out > 0.5:
            found.append(ev.Harvest(at=at + timedelta(minutes=5), vessel=name, volume_l=out, refill_l=out))
            x += math.log(1.0 - out / 20.0)
        x += growth + scale * (math.log1p(share) / 0.6 - 0.5)
    return found


def rack(scale: float, growth: float = 0.15) -> Rack:
    rng = np.random.default_rng(11)
    vessels = [Vessel(f"V{i}", "rotifer-L", "A", i + 1, 20.0) for i in range(5)]
    events = [e for v in vessels[:4] for e in vessel_days(rng, v.vessel, 40, scale, growth)]
    return Rack.build(vessels, [*events, *vessel_days(rng, "V4", 3, scale, growth)])


def egg_scale(found: belief.Belief) -> tuple[float, float]:
    assert found.mix is not None
    return mixture.row(found.mix, BASE)


@pytest.mark.parametrize("scale", [0.1, 1.2])
def test_a_new_vessel_hears_from_the_others_what_eggs_are_worth(scale: float) -> None:
    found = rack(scale)
    prior = Prior.of(found.profile("V0"))
    beliefs = {v: belief.believe(found.log(v), found.profile(v)) for v in found.vessels}
    pool = pooled(prior, beliefs)
    alone, among = egg_scale(beliefs["V4"]), egg_scale(informed(prior, beliefs["V4"], pool, "V4"))
    taught = sum(egg_scale(beliefs[v])[0] for v in ("V0", "V1", "V2", "V3")) / 4
    assert abs(taught - scale) < abs(prior.scale("eggs")[0] - scale)
    assert abs(among[0] - taught) < abs(alone[0] - taught)
    assert among[1] < alone[1]


def test_a_vessel_does_not_hear_itself() -> None:
    found = rack(1.2)
    prior = Prior.of(found.profile("V0"))
    own = belief.believe(found.log("V0"), found.profile("V0"))
    assert informed(prior, own, pooled(prior, {"V0": own}), "V0") == own


@pytest.mark.parametrize("growth", [0.0, 0.7])
def test_a_forecast_hears_how_cultures_grow_on_this_rack(growth: float) -> None:
    """They hardly grow there, or twice as fast as the strain's profile says."""
    from rackview.advice.api import forecast
    from rackview.core.clock import moment

    found = rack(0.0, growth)
    alone = Rack.build([found.vessel("V4")], [e for e in found.events() if e.vessel == "V4"])
    at = moment(found.log("V4").day + 0.1)
    among, untold = (forecast(r, "V4", at, [0.0, 1.0], [0.5])[:, 0] for r in (found, alone))
    assert among[0] == pytest.approx(untold[0], rel=0.05)
    truth = math.log(untold[0]) + growth
    assert abs(math.log(among[1]) - truth) < 0.6 * abs(math.log(untold[1]) - truth)


def test_the_others_say_what_a_joint_normal_distribution_says() -> None:
    """Three vessels, each off from a common value by as much as vessels differ, each known from its counts alone."""
    topic = Topic((0, 1), (0.2, 0.3), (0.1, 0.12), 0.3, (0,))
    rng = np.random.default_rng(4)
    shared = np.diag(np.square(topic.sd))
    differ = 0.09 * shared
    noises = [np.cov(rng.normal(size=(2, 9)) * 0.1) for _ in range(3)]
    seen = [np.array(topic.mean) + rng.normal(size=2) * 0.1 for _ in noises]
    learned = {}
    for i, (noise, y) in enumerate(zip(noises, seen, strict=True)):
        gain = shared @ np.linalg.inv(shared + noise)
        mean = np.array(topic.mean) + gain @ (y - np.array(topic.mean))
        learned[f"V{i}"] = topic, 1.0, mean.tolist(), (shared - gain @ shared).tolist()
    lessons = lessons_of(learned)
    said = others_say(whole_of(lessons.values()), lessons["V0"], topic)
    # of the common value, a flat prior: generalised least squares over the other two, then as much again for V0
    inverses = [np.linalg.inv(noise + differ) for noise in noises[1:]]
    var = np.linalg.inv(sum(inverses))
    mean = var @ sum(inverse @ y for inverse, y in zip(inverses, seen[1:], strict=True))
    assert np.linalg.inv(said.precision) == pytest.approx(var + differ, rel=1e-9)
    assert np.linalg.solve(said.precision, said.weighted) == pytest.approx(mean, rel=1e-9)


def test_a_part_is_told_as_by_a_kalman_update() -> None:
    found = rack(0.1)
    mix = belief.believe(found.log("V0"), found.profile("V0")).mix
    assert mix is not None
    part = mix.parts[0]
    p, m = np.array(part.p), np.array(part.m)
    precision, target = np.array([[40.0, 12.0], [12.0, 90.0]]), np.array([0.3, 0.25])
    h = np.zeros((2, len(m)))
    h[0, A] = h[1, THETA] = 1.0
    gain = p @ h.T @ np.linalg.inv(h @ p @ h.T + np.linalg.inv(precision))
    after = told(mix, [(Topic((A, THETA), (0.0, 0.0), (1.0, 1.0), 0.3, (0,)), Lesson(precision, precision @ target))])
    assert after.parts[0].m == pytest.approx(m + gain @ (target - h @ m), rel=1e-9, abs=1e-12)
    assert np.array(after.parts[0].p) == pytest.approx(p - gain @ h @ p, rel=1e-9, abs=1e-12)
    assert after.parts[1].m == pytest.approx(mix.parts[1].m, rel=1e-9)


def test_what_most_vessels_follow_is_likelier_of_another() -> None:
    """Weights by expectation and maximisation against the likelihood maximised by scipy, prior counted as vessels."""
    from scipy.optimize import minimize

    model = Prior.of(rack(0.1).profile("V0")).model
    before = np.array([10.0 * one.weight for one in model.alternatives])
    rng = np.random.default_rng(2)
    likely = np.exp(rng.normal(size=(9, len(before))))
    likely[:6, 3] *= 50.0
    found = np.array(follow(model, likely.tolist()))

    def against(free: np.ndarray) -> float:
        weights = np.exp(free - free.max())
        weights /= weights.sum()
        return -float(np.log(likely @ weights).sum() + (before * np.log(weights)).sum())

    best = minimize(against, np.log(before), method="BFGS", options={"gtol": 1e-8}).x
    wanted = np.exp(best - best.max())
    assert found / found.sum() == pytest.approx(wanted / wanted.sum(), abs=0.02)
    assert found[3] / found.sum() > 5.0 * model.alternatives[3].weight


def test_what_is_told_leaves_the_chance_of_failing_alone() -> None:
    found = rack(0.1)
    prior = Prior.of(found.profile("V0"))
    beliefs = {v: belief.believe(found.log(v), found.profile(v)) for v in found.vessels}
    before, after = beliefs["V4"].mix, informed(prior, beliefs["V4"], pooled(prior, beliefs), "V4").mix
    assert before is not None
    assert after is not None
    assert after.failing == pytest.approx(before.failing, rel=1e-12)
    assert sum(part.sound for part in after.parts) + after.failing == pytest.approx(1.0, rel=1e-12)
    assert after.parts[0].sound > before.parts[0].sound, "the others grow steadily"
