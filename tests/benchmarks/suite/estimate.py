"""The estimate of a thousand vessels from nothing, against statsmodels' smoother."""

from __future__ import annotations

import time

from suite.row import Found, Row, Size, medians

DAYS = 365


def _from_nothing(size: Size) -> Found:
    import numpy as np
    from statsmodels.tsa.statespace.structural import UnobservedComponents

    from rackview.core.rack import Rack
    from rackview.core.vessel import Vessel
    from rackview.science.state import numbers as num
    from rackview.science.state.growth import Prior

    rng = np.random.default_rng(1)
    vessels = size.many_vessels
    prior = Prior.of(Rack.build([Vessel("V", "rotifer-L", "A", 1, 20.0)]).profile("V"))
    start = num.new_numbers(prior.model, prior.start, 1.0, prior.ceiling, -np.inf)
    first = num.Numbers.joined([start] * vessels)
    counts = rng.poisson(300, (DAYS, vessels)).astype(float)
    rows = np.repeat(np.array(num.Row(dt=1.0, ml=3.0))[:, None], vessels, axis=1)
    place = num.Row._fields.index("n")
    y = np.log(counts[:, 0] / 3.0)

    def ours() -> float:
        begun, numbers = time.process_time(), first
        for n in counts:
            rows[place] = n
            numbers = num.advance(prior.model, numbers, rows)
        return (time.process_time() - begun) / vessels

    def theirs() -> float:
        begun = time.process_time()
        for _ in range(5):
            model = UnobservedComponents(y, "lltrend", loglikelihood_burn=0)
            model.ssm.initialize_known(np.array([y[0], 0.0]), np.diag([0.25, 0.04]))
            model.smooth([0.01, 0.0004, 0.0009])
        return (time.process_time() - begun) / 5

    mine, reference = medians(min(size.rounds, 3), ours, theirs)
    return Found(1000 * mine, 1000 * reference, "ms", f"{reference / mine:.0f} times as fast")


SHORT = (
    "a step carries all components of the filter and all members of the pool, where the smoother carries two numbers; "
    "side by side in numpy that costs about as much for a vessel as the smoother's compiled loop does for a series."
)
ROWS = (
    Row(
        "estimate", "Estimate from nothing, 1,000 vessels x 365 counts, per vessel", "statsmodels smoother, per series",
        1 / 40, _from_nothing, SHORT,
    ),
)  # fmt: skip
