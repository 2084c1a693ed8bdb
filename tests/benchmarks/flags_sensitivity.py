"""How far a tenth more in each constant of the chance of a fall moves that chance.

    python tests/benchmarks/flags_sensitivity.py [--seeds 6-7] [--every 6] [NAME ...]

Mornings of invented racks (`rackview.demo`): the chance at every vessel, with what its rack has taught by then. A tenth
is added to each constant (`tenth.more`; all entries alike where it has several), one at a time, the racks are watched
anew, and the table gives the mean absolute change of the log odds and of the chance, in points of a hundred.
The mean chance is the reference of the same run. What the coefficients would be if fitted anew is not asked, and what
is derived from a constant when it is loaded (`LOG_FALL`, `DUE`) stays.
"""

from __future__ import annotations

import argparse
import importlib
import math
import statistics
from datetime import UTC, date, datetime
from types import ModuleType

from tenth import more

from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.demo.rack import demo
from rackview.science.risk import constants, model, record, watch

DAY = date(2026, 6, 1)
FIRST = 21
"""Days of a record before it is asked."""
Asked = list[tuple[Rack, float]]


def racks(seeds: range, every: int) -> Asked:
    """Invented racks with the mornings to ask for; new ones, of which nothing is remembered."""
    found: Asked = []
    now = day_number(datetime(DAY.year, DAY.month, DAY.day, 8, tzinfo=UTC))
    for seed in seeds:
        one = demo(DAY, seed)
        rack = Rack.build(one.vessels, one.events)
        found += [(rack, now - k) for k in range(0, 90 - FIRST, every)]
    return found


def chances(asked: Asked, by: ModuleType) -> list[float]:
    """The chance of a fall at every vessel on every morning."""
    found = []
    for rack, day in asked:
        logs = [(rack.log(name, day), rack.profile(name)) for name in rack.vessels]
        taught = by.lessons(logs, math.floor(day))
        found += [one.chance for log, profile in logs if (one := by.risk(log, profile, day, taught)) is not None]
    return found


def anew() -> ModuleType:
    """The modules that take constants in when they are loaded, loaded again."""
    for one in (watch, model, record):
        importlib.reload(one)
    return record


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--seeds", default="6-7")
    words.add_argument("--every", type=int, default=6)
    words.add_argument("names", nargs="*", metavar="NAME")
    given = words.parse_args()
    low, high = map(int, given.seeds.split("-"))
    seeds = range(low, high + 1)
    before = chances(racks(seeds, given.every), record)
    print(f"{len(before)} chances, mean {100.0 * statistics.fmean(before):.2f} of 100")
    print(f"{'constant':20}{'log odds':>10}{'chance':>10}")
    for name in given.names or [n for n in vars(constants) if n.isupper() and n != "CALM"]:
        value = getattr(constants, name)
        setattr(constants, name, more(value))
        after = chances(racks(seeds, given.every), anew())
        setattr(constants, name, value)
        odds = [abs(math.log(b / (1.0 - b)) - math.log(a / (1.0 - a))) for a, b in zip(before, after, strict=True)]
        points = [100.0 * abs(b - a) for a, b in zip(before, after, strict=True)]
        print(f"{name:20}{statistics.fmean(odds):10.4f}{statistics.fmean(points):10.3f}", flush=True)
    anew()


if __name__ == "__main__":
    main()
