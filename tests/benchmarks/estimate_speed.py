"""How long the estimate takes; CPU time, as other work on the machine must not count.

python tests/benchmarks/estimate_speed.py
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import numpy as np

from rackview.core import events as ev
from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import batch, kernel
from rackview.science.state import belief as bel
from rackview.science.state.carrier import ARRAYS
from rackview.science.state.forecast import project
from rackview.science.state.growth import Prior
from rackview.science.state.model import MODEL

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
WARM = 300
"""Counts after which the filter has its straight form, as in any program that has run for a while."""


def cpu(work: Callable[[], object], times: int) -> float:
    """Median CPU seconds of some work."""
    found = []
    for _ in range(times):
        began = time.process_time()
        work()
        found.append(time.process_time() - began)
    return statistics.median(found)


def one_event(rng: np.random.Generator) -> None:
    for signs in (False, True):
        vessel = Vessel("V", "rotifer-L", "A", 1, 20.0)
        more = {"with_eggs": 12, "females_checked": 40, "swimming": 4, "ciliates": "none"} if signs else {}
        events = [
            ev.Count(at=START + timedelta(days=d), vessel="V", tallies=tuple(rng.poisson(100, 3).tolist()), **more)
            for d in range(2 * WARM)
        ]
        rack = Rack.build([vessel], events)
        prior = Prior.of(rack.profile("V"))
        nodes = list(rack.log("V").back())[::-1]
        belief, taken = bel.start(vessel), []
        for node in nodes:
            began = time.perf_counter(), time.process_time()
            belief = bel.step(prior, belief, node, None)
            assert belief.mix is not None  # asked for, so reckoned
            taken.append((time.perf_counter() - began[0], time.process_time() - began[1]))
        wall = statistics.median(t for t, _ in taken[WARM:])
        print(f"one new count{' with signs' if signs else ''}: {1e3 * wall:.3f} ms median wall, "
              f"{1e3 * statistics.mean(t for _, t in taken[WARM:]):.3f} ms mean CPU (wanted: 0.2 ms)")  # fmt: skip


def many(rng: np.random.Generator) -> float:
    vessels, days = 1000, 365
    start = Rack.build([Vessel("V", "rotifer-L", "A", 1, 20.0)])
    prior = Prior.of(start.profile("V"))
    first = bel.Belief(0.0, bel.KNOWN, bel.start(start.vessel("V")).water)
    first = first._replace(held=bel.begun(prior, first, prior.start, 1.0))
    counts = rng.poisson(300, (days, vessels)).astype(float)

    def run() -> None:
        mix = batch.stacked([first] * vessels)
        for n in counts:
            mix, _, _ = batch.counted(prior.model, batch.carried(prior.model, mix, 1.0), n, 3.0, 0.01)

    taken = cpu(run, 3)
    print(f"{vessels} vessels x {days} daily counts: {taken:.2f} s CPU (wanted: 1 s)")
    return taken / vessels


def smoothers(y: np.ndarray) -> list[Callable[[], object]]:
    """What the mixture carries, one straightened model each, as statsmodels' smoother at its leanest.

    Log density, passing and lasting growth and crowding for every alternative; log density and its rate for the fall.
    """
    from statsmodels.tsa.statespace.kalman_smoother import KalmanSmoother

    def ready(move: np.ndarray, noise: list[float], begin: list[float]) -> Callable[[], object]:
        n = len(move)
        model = KalmanSmoother(k_endog=1, k_states=n, k_posdef=n)
        model.bind(np.ascontiguousarray(y[:, None]))
        model["design", 0, 0], model["transition"], model["selection"] = 1.0, move, np.eye(n)
        model["state_cov"], model["obs_cov"] = np.diag(noise), np.array([[0.01]])
        model.initialize_known(np.array([y[0], *[0.0] * (n - 1)]), np.diag(begin))
        return model.smooth

    found = []
    for one, noise in zip(MODEL.alternatives, MODEL.noises, strict=True):
        keep = np.exp(-one.phi)
        move = np.array([[1.0 - one.theta, 1.0, 1.0, 0.1], [-one.delayed, keep, 0.0, 0.0], [0, 0, 1, 0], [0, 0, 0, 1]])
        found.append(ready(move, [noise.x, noise.u, noise.a, noise.theta], [0.25, one.growth_sd**2, 0.04, 0.01]))
    fall = np.array([[1.0, 1.0], [0.0, np.exp(-MODEL.phi)]])
    return [*found, ready(fall, [MODEL.fall_walk**2, 0.1], [0.25, MODEL.fall_sd**2])]


def against_statsmodels(ours: float, rng: np.random.Generator) -> None:
    """One model that both have, a local linear trend; then the whole mixture against as many models smoothed."""
    from statsmodels.tsa.statespace.structural import UnobservedComponents

    y = np.log(rng.poisson(300, (365, 1000)) / 3.0)

    def theirs() -> None:
        model = UnobservedComponents(y[:, 0], "lltrend", loglikelihood_burn=0)
        model.ssm.initialize_known(np.array([y[0, 0], 0.0]), np.diag([0.25, 0.04]))
        model.smooth([0.01, 0.0004, 0.0009])

    lapse, noise = kernel.Lapse.of(1.0, 0.0, ARRAYS), kernel.Noise(u=0.0009, x=0.0004)

    def trend() -> None:
        zero = np.zeros(1000)
        m = [y[0], zero, zero, zero]
        p = [[zero + (0.25, 0.04, 0.0, 0.0)[i] * (i == j) for j in range(4)] for i in range(4)]
        for now in y:
            gain = p[0][0] / (p[0][0] + 0.01)
            m, p = kernel.told(m, p, m[0] + gain * (now - m[0]), 0.01 * gain)
            m, p, _ = kernel.ahead(m, p, 0.0, 1.0, lapse, noise, [], ARRAYS)

    smoother, filtered = cpu(theirs, 9), cpu(trend, 3) / y.shape[1]
    ready = smoothers(y[:, 0])
    all_of_it = cpu(lambda: [smooth() for smooth in ready], 9)
    print(f"per series of 365, a local linear trend: statsmodels' smoother {1e3 * smoother:.2f} ms, ours "
          f"{1e3 * filtered:.3f} ms, {smoother / filtered:.0f} times as fast (wanted: 20)")  # fmt: skip
    print(f"the whole mixture of counts {1e3 * ours:.2f} ms, {smoother / ours:.1f} times as fast as that smoother; "
          f"its {len(ready)} parts by statsmodels {1e3 * all_of_it:.2f} ms, {all_of_it / ours:.0f} times")  # fmt: skip


def forecasts(rng: np.random.Generator) -> None:
    vessels = [Vessel(f"V{i}", "rotifer-L", "A", i + 1, 20.0) for i in range(48)]
    events = [
        ev.Count(at=START + timedelta(days=d), vessel=v.vessel, tallies=tuple(rng.poisson(100, 3).tolist()))
        for v in vessels
        for d in range(10)
    ]
    rack = Rack.build(vessels, events)
    day = day_number(START) + 9.5
    prior = Prior.of(rack.profile("V0"))
    levels = [0.05, 0.25, 0.5, 0.75, 0.95]
    beliefs = [bel.believe(rack.log(v.vessel), rack.profile(v.vessel)).at(prior, day) for v in vessels]
    batch.project_all(prior, beliefs, day, [1, 2, 3, 4, 5], levels)
    together = cpu(lambda: batch.project_all(prior, beliefs, day, [1, 2, 3, 4, 5], levels), 15)
    single = cpu(lambda: project(rack.log("V0"), rack.profile("V0"), day, [1, 2, 3, 4, 5], levels), 15)
    print(
        f"forecast of 48 vessels x 5 days: {1e3 * together:.1f} ms CPU (wanted: 20 ms); one alone {1e3 * single:.1f} ms"
    )


def main() -> None:
    rng = np.random.default_rng(1)
    one_event(rng)
    against_statsmodels(many(rng), rng)
    forecasts(rng)


if __name__ == "__main__":
    main()
