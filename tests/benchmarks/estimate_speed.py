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
from rackview.science.state import belief as bel
from rackview.science.state import numbers as num
from rackview.science.state.forecast import project
from rackview.science.state.growth import Prior
from rackview.science.state.held import reckon
from rackview.science.state.numbers import Row

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
WARM = 300
"""Counts after which timing begins, as in any program that has run for a while."""


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
            assert belief.numbers is not None  # asked for, so reckoned
            taken.append((time.perf_counter() - began[0], time.process_time() - began[1]))
        wall = statistics.median(t for t, _ in taken[WARM:])
        print(f"one new count{' with signs' if signs else ''}: {1e3 * wall:.3f} ms median wall, "
              f"{1e3 * statistics.mean(t for _, t in taken[WARM:]):.3f} ms mean CPU (wanted: 0.2 ms)")  # fmt: skip


def many(rng: np.random.Generator) -> float:
    """CPU seconds per vessel of a year of daily counts of a thousand, side by side."""
    vessels, days = 1000, 365
    prior = Prior.of(Rack.build([Vessel("V", "rotifer-L", "A", 1, 20.0)]).profile("V"))
    start = num.new_numbers(prior.model, prior.start, 1.0, prior.ceiling, -np.inf)
    first = num.Numbers.joined([start] * vessels)
    counts = rng.poisson(300, (days, vessels)).astype(float)
    rows = np.repeat(np.array(Row(dt=1.0, ml=3.0))[:, None], vessels, axis=1)
    place = Row._fields.index("n")

    def run() -> None:
        numbers = first
        for n in counts:
            rows[place] = n
            numbers = num.advance(prior.model, numbers, rows)

    taken = cpu(run, 1)
    print(f"{vessels} vessels x {days} daily counts: {taken:.2f} s CPU (wanted: 1 s)")
    return taken / vessels


def against_statsmodels(ours: float, rng: np.random.Generator) -> None:
    """The whole mixture, and all that foretells beside it, against a local linear trend by statsmodels' smoother."""
    from statsmodels.tsa.statespace.structural import UnobservedComponents

    y = np.log(rng.poisson(300, 365) / 3.0)

    def theirs() -> None:
        model = UnobservedComponents(y, "lltrend", loglikelihood_burn=0)
        model.ssm.initialize_known(np.array([y[0], 0.0]), np.diag([0.25, 0.04]))
        model.smooth([0.01, 0.0004, 0.0009])

    smoother = cpu(theirs, 9)
    print(f"per series of 365: statsmodels' smoother {1e3 * smoother:.2f} ms, ours {1e3 * ours:.2f} ms, "
          f"{smoother / ours:.1f} times as fast (wanted: 40)")  # fmt: skip


def forecasts(rng: np.random.Generator) -> None:
    vessels = [Vessel(f"V{i}", "rotifer-L", "A", i + 1, 20.0) for i in range(48)]
    events = [
        ev.Count(at=START + timedelta(days=d), vessel=v.vessel, tallies=tuple(rng.poisson(100, 3).tolist()))
        for v in vessels
        for d in range(10)
    ]
    rack = Rack.build(vessels, events)
    day = day_number(START) + 9.5
    levels = [0.05, 0.25, 0.5, 0.75, 0.95]
    reckon([bel.believe(rack.log(v.vessel), rack.profile(v.vessel)).held for v in vessels])
    for one in vessels:
        project(rack.log(one.vessel), rack.profile(one.vessel), day, [1, 2, 3, 4, 5], levels)
    single = cpu(lambda: project(rack.log("V0"), rack.profile("V0"), day, [1, 2, 3, 4, 5], levels), 15)
    print(f"forecast of one vessel, 5 days: {1e3 * single:.1f} ms CPU")


def main() -> None:
    rng = np.random.default_rng(1)
    one_event(rng)
    against_statsmodels(many(rng), rng)
    forecasts(rng)


if __name__ == "__main__":
    main()
