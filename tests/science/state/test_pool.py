"""What vessels teach each other."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from rackview.core import events as ev
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import belief
from rackview.science.state.growth import Prior
from rackview.science.state.kernel import BASE
from rackview.science.state.pool import _follow as follow
from rackview.science.state.pool import informed, pooled

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
    """Mean and variance of the growth that one unit of eggs brings, in the quiet alternative."""
    assert found.mix is not None
    part = found.mix.parts[0]
    return float(part.m[BASE]), float(part.p[BASE][BASE])


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
    assert abs(math.log(among[1]) - truth) < 0.7 * abs(math.log(untold[1]) - truth)


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
