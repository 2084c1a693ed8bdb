"""Many vessels at once against the one-vessel path."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from rackview.core import events as ev
from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import batch, belief, forms, kernel, mixture
from rackview.science.state.carrier import ARRAYS, SCALARS
from rackview.science.state.forecast import project
from rackview.science.state.growth import Prior

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
LEVELS = [0.05, 0.25, 0.5, 0.75, 0.95]


def rack() -> Rack:
    rng = np.random.default_rng(3)
    vessels = [Vessel(f"V{i}", "rotifer-L", "A", i + 1, 20.0) for i in range(4)]
    signs = [{}, {"swimming": 3}, {"with_eggs": 9, "females_checked": 30}, {"with_eggs": 9, "females_checked": 30}]
    signs[3]["swimming"] = 4
    return Rack.build(
        vessels,
        [
            ev.Count(at=START + timedelta(days=d), vessel=v.vessel, tallies=tuple(rng.poisson(60, 2).tolist()), **more)
            for v, more in zip(vessels, signs, strict=True)
            for d in range(8)
        ],
    )


def test_a_rack_forecast_at_once_is_that_of_each_vessel() -> None:
    found, day = rack(), day_number(START) + 7.4
    prior = Prior.of(found.profile("V0"))
    beliefs = [belief.believe(found.log(v), found.profile(v)).at(prior, day) for v in found.vessels]
    together = batch.project_all(prior, beliefs, day, [1, 2, 5], LEVELS)
    for k, v in enumerate(found.vessels):
        alone = project(found.log(v), found.profile(v), day, [1, 2, 5], LEVELS)
        assert together[k] == pytest.approx(alone, rel=1e-7)


@pytest.mark.parametrize("mean", [2.0, 300.0])
def test_counts_in_many_vessels_are_those_of_each(mean: float) -> None:
    found = rack()
    prior = Prior.of(found.profile("V0"))
    model = prior.model
    beliefs = [belief.believe(found.log(v), found.profile(v)) for v in ("V0", "V0", "V0")]
    many, alone = batch.stacked(beliefs), beliefs[1].mix
    for n in np.random.default_rng(1).poisson(mean, (12, 3)).astype(float):
        many, likes, slips = batch.counted(model, batch.carried(model, many, 1.0), n, 2.0, 0.01)
        alone = mixture.elapsed(model, alone, 1.0, [], [], SCALARS)
        alone, like, slip = mixture.counted(model, alone, kernel.Tally.of(n[1], 2.0, SCALARS), 0.01, SCALARS)
        assert likes[1] == pytest.approx(like, abs=1e-9)
        assert slips[1] == pytest.approx(slip, abs=1e-9)
    for k, part in enumerate(alone.parts):
        assert [v[k, 1] for v in many.parts[0].m] == pytest.approx(part.m, abs=1e-9)
        assert many.parts[0].sound[k, 1] == pytest.approx(part.sound, abs=1e-9)


def test_log_gamma_without_scipy() -> None:
    from scipy.special import gammaln

    x = np.array([0.5, 1.0, 2.0, 6.5, 100.0, 1e6])
    assert ARRAYS.log_gamma(x) == pytest.approx(gammaln(x), rel=1e-13, abs=1e-10)


def arrays(mix: mixture.Mixture) -> list[np.ndarray]:
    part = mix.parts[0]
    cov = [value for line in part.p for value in line]
    return [np.broadcast_to(a, part.sound.shape) for a in (*part.m, *cov, *part[2:], *mix.fall)]


@pytest.mark.parametrize("signed", [False, True])
@pytest.mark.parametrize("scattered", [False, True])
def test_written_out_straight_it_gives_the_very_same_arrays(signed: bool, scattered: bool) -> None:
    found = rack()
    model = Prior.of(found.profile("V0")).model
    mix = batch.stacked(
        [belief.believe(found.log(v), found.profile(v)) for v in ("V3" if signed else "V0", "V0", "V1")]
    )
    rng = np.random.default_rng(2)
    push, shows = [[rng.normal(0.0, 0.1, 3) for _ in range(len(mix.parts[0].m) - kernel.BASE)] for _ in range(2)]
    animals, ml = rng.poisson(500, 3).astype(float), np.array([1.0, 2.0, 3.0]) if scattered else 2.0
    cv2 = np.array([0.01, 0.02, 0.05]) if scattered else 0.01
    tally = kernel.Tally.of(animals, ml, ARRAYS)
    carried, counted = batch.write_carried(model, mix, 1.0, push), batch.write_counted(model, mix, tally, cv2)
    for days in (1.0, 0.4, 1.0):
        plain = mixture.elapsed(model.stacked, mix, days, push, shows, ARRAYS)
        for one, other in zip(arrays(carried(mix, days, push, shows)), arrays(plain), strict=True):
            assert np.array_equal(one, other)
        mix, like, slip = mixture.counted(model.stacked, plain, tally, cv2, ARRAYS)
        after, straight_like, straight_slip = counted(plain, tally[:-1], cv2)
        for one, other in zip(arrays(after), arrays(mix), strict=True):
            assert np.array_equal(one, other)
        assert np.array_equal(straight_like, like)
        assert np.array_equal(straight_slip, slip)


def test_arrays_with_a_variance_to_be_bounded_or_few_animals_go_the_plain_way() -> None:
    found = rack()
    model = Prior.of(found.profile("V0")).model
    beliefs = [belief.believe(found.log(v), found.profile(v)) for v in ("V0", "V0")]
    mix = batch.stacked(beliefs)
    wide = mix._replace(parts=(mix.parts[0]._replace(p=[[20.0 * v for v in line] for line in mix.parts[0].p]),))
    wide.parts[0].p[0][0] = wide.parts[0].p[0][0] + mixture.WIDEST
    assert batch.write_carried(model, wide, 1.0, [])(wide, 1.0, [], []) is None
    for _ in range(forms.OFTEN + 2):
        bounded = batch.carried(model, wide, 1.0)
        few, _, _ = batch.counted(model, mix, np.array([3.0, 4.0]), 2.0, 0.01)
    assert bounded.parts[0].p[0][0].max() == pytest.approx(mixture.WIDEST)
    plain, _, _ = mixture.counted(model.stacked, mix, kernel.Tally.of(np.array([3.0, 4.0]), 2.0, ARRAYS), 0.01, ARRAYS)
    assert all(np.array_equal(a, b) for a, b in zip(arrays(few), arrays(plain), strict=True))
