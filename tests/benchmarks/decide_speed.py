"""How long the choice takes: six vessels, 24 vessels, and the days ahead on a hundred futures.

    python tests/benchmarks/decide_speed.py

Processor time in ms, the median of several; beside it five products of two matrices of 300 by 300, so that
machines can be compared. The racks are invented.
"""

from __future__ import annotations

import math
import statistics
import time
from collections.abc import Callable

import numpy as np

from rackview.core.outlook import Outlook
from rackview.planner.ahead import prospects
from rackview.planner.choose import choose, look_ahead
from rackview.planner.culture import Culture, NeedAhead, Problem

NEED = (1.0, 1.4, 1.8, 2.2, 2.4, 2.4, 2.4, 2.4)


def rack(vessels: int) -> Problem:
    """Cultures of 20 L at several densities, the last place empty, larvae that need an eighth of the stock a day."""
    found = []
    for n in range(vessels - 1):
        look = Outlook(math.log(110.0 + 40.0 * (n % 5)), 0.1, 0.5, 0.12, math.log(350.0), 0.3, 0.1, 0.02, 1.0 / 120.0)
        found.append(Culture(f"V{n}", 20.0, 20.0, look))
    found.append(Culture(f"V{vessels}", 20.0, 20.0, None, takes="split"))
    times = vessels / 6.0
    return Problem(tuple(found), NeedAhead(tuple(times * m for m in NEED), (False,) * len(NEED), more=True))


def timed(work: Callable[[], object], times: int = 9) -> float:
    """Median processor time in ms; the first time, in which draws are made and kept, does not count."""
    work()
    spent = []
    for _ in range(times):
        began = time.process_time()
        work()
        spent.append(1e3 * (time.process_time() - began))
    return statistics.median(spent)


def main() -> None:
    """Measure and print."""
    square = np.random.default_rng(1).standard_normal((300, 300))
    base = timed(lambda: [square @ square for _ in range(5)])
    small, large = rack(6), rack(24)
    chosen = choose(large)
    starving = NeedAhead(tuple(4.0 * m for m in large.need.millions), large.need.early)
    ahead = look_ahead(large, chosen, starving, 14)
    rows = (
        ("the choice, six vessels (wanted under 40)", lambda: choose(small)),
        ("the choice, 24 vessels (wanted under 300)", lambda: choose(large)),
        ("24 vessels, 14 days, 100 futures (wanted under 2000)", lambda: look_ahead(large, chosen, large.need, 14)),
        ("one more culture on any of its days", lambda: prospects(large, chosen, starving, ahead, {"one": range(14)})),
    )
    for name, work in rows:
        spent = timed(work)
        print(f"{name}: {spent:.1f} ms, {spent / base:.2f} times five products")


if __name__ == "__main__":
    main()
