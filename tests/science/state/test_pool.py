"""What vessels teach each other about the signs' scales."""

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
from rackview.science.state.kernel import BASE
from rackview.science.state.pool import informed, pooled

START = datetime(2026, 1, 1, 8, tzinfo=UTC)


def vessel_days(rng: np.random.Generator, name: str, days: int, scale: float) -> list[ev.Event]:
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
        x += 0.15 + scale * (math.log1p(share) / 0.6 - 0.5)
    return found


def rack(scale: float) -> Rack:
    rng = np.random.default_rng(11)
    vessels = [Vessel(f"V{i}", "rotifer-L", "A", i + 1, 20.0) for i in range(5)]
    events = [e for v in vessels[:4] for e in vessel_days(rng, v.vessel, 40, scale)]
    return Rack.build(vessels, [*events, *vessel_days(rng, "V4", 3, scale)])


def egg_scale(found: belief.Belief) -> tuple[float, float]:
    assert found.mix is not None
    return mixture.row(found.mix, BASE)


@pytest.mark.parametrize("scale", [0.1, 1.2])
def test_a_new_vessel_hears_from_the_others_what_eggs_are_worth(scale: float) -> None:
    found = rack(scale)
    prior = Prior.of(found.profile("V0"))
    beliefs = {v: belief.believe(found.log(v), found.profile(v)) for v in found.vessels}
    pool = pooled(prior, beliefs.values())
    alone, told = egg_scale(beliefs["V4"]), egg_scale(informed(prior, beliefs["V4"], pool))
    taught = sum(egg_scale(beliefs[v])[0] for v in ("V0", "V1", "V2", "V3")) / 4
    assert abs(taught - scale) < abs(prior.scale("eggs")[0] - scale)
    assert abs(told[0] - taught) < abs(alone[0] - taught)
    assert told[1] < alone[1]


def test_a_vessel_does_not_hear_itself() -> None:
    found = rack(1.2)
    prior = Prior.of(found.profile("V0"))
    own = belief.believe(found.log("V0"), found.profile("V0"))
    assert informed(prior, own, pooled(prior, [own])) == own


def test_a_forecast_hears_what_the_rack_was_taught() -> None:
    """The new vessel's forecast moves towards what its density's growth with these eggs will be on this rack."""
    from rackview.advice.api import forecast
    from rackview.core.clock import moment

    found = rack(1.2)
    alone = Rack.build([found.vessel("V4")], [e for e in found.events() if e.vessel == "V4"])
    at = moment(found.log("V4").day + 0.1)
    told, untold = (forecast(r, "V4", at, [0.0, 3.0], [0.5])[:, 0] for r in (found, alone))
    eggs = dict(belief.believe(found.log("V4"), found.profile("V4")).seen)["eggs"]
    assert told[0] == pytest.approx(untold[0], rel=0.05)
    assert (told[1] - untold[1]) * eggs.e > 0.0, "eggs above the habit promise more where they are worth more"
