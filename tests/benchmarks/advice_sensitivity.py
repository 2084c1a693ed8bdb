"""How far a tenth more in each constant of the advice moves what is suggested.

    python tests/benchmarks/advice_sensitivity.py [--seeds 1-2] [--every 4] [NAME ...]

Mornings, every so many days, of two invented racks for each seed: the demo rack, which is kept well and has larvae,
standing needs and a few accidents, and a season of the replays, in which a keeper does what is advised and more goes
wrong. A tenth is added to each
constant (`tenth.more`), one at a time; the table gives how many suggestions of 100 are others than before
(vessel, action, other vessel, for whom), how many of the same have another amount, and how large that difference is at
the median. The reference of the same run is the constant as it stands: no difference. The standard error is over racks.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta

from replay_literal import Literal
from replay_season import START, Bench, season
from tenth import more

from rackview.advice import api, constants, situation
from rackview.core.rack import Rack
from rackview.demo.rack import demo

DAY = date(2026, 6, 1)
NAMES = (
    "FRESH_DAYS", "CARD_TOP_MG_L", "CARD_BEYOND", "RINSE_TOP", "RINSE_NOTICE", "RINSE_ACT",
    "CILIATES_DAYS", "UNUSED_DAYS", "LOWEST", "MOST_MORE", "MOST_SHARE", "DOUBTED_SEED", "AGE_WORTH", "AGE_PAUSE_DAYS",
    "WAITS_DAYS", "TOO_THIN", "STUNTED", "MOST_FALLING", "DENSE_WITHIN", "CAUGHT_WITHIN", "OFTEN_WITHIN", "LEAST_LEFT",
    "MOST_POURED", "SLACK", "FITS", "STEP",
)  # fmt: skip
Key = tuple[str, str, str | None, str | None]


def demo_mornings(seed: int, every: int) -> list[tuple[Rack, datetime]]:
    """An invented rack with ninety days of entries."""
    one = demo(DAY, seed)
    rack = Rack.build(
        one.vessels, one.events, broods=one.broods, stock=one.stock, demand=one.demand, standing=one.standing,
        tanks=one.tanks, settings=one.settings,
    )  # fmt: skip
    now = datetime(DAY.year, DAY.month, DAY.day, 8, tzinfo=UTC)
    return [(rack, now - timedelta(days=k)) for k in range(0, 70, every)]


def season_mornings(seed: int, every: int) -> list[tuple[Rack, datetime]]:
    """A season played as advised, asked again on its mornings right after the counts."""
    bench = Bench(season(seed, 60))
    keeper = Literal(bench)
    bench.play(keeper)
    return [(keeper.rack, START + timedelta(days=k, hours=8, minutes=1)) for k in range(5, 60, every)]


@contextmanager
def changed(name: str) -> Iterator[None]:
    """A constant a tenth larger wherever it is used."""
    value = getattr(constants, name)
    users = [m for key, m in sys.modules.items() if key.startswith("rackview.advice") and hasattr(m, name)]
    for module in users:
        setattr(module, name, more(value))
    try:
        yield
    finally:
        for module in users:
            setattr(module, name, value)


def suggested(rack: Rack, at: datetime) -> dict[Key, float | None]:
    """What is suggested on a morning, reckoned anew."""
    situation._kept.clear()
    return {(s.vessel, s.action, s.other_vessel, s.to): s.amount for s in api.advise(rack, at)}


def differences(one: dict[Key, float | None], other: dict[Key, float | None]) -> tuple[int, list[float]]:
    """How many suggestions are others, and by how much of themselves the amounts of the same ones differ."""
    alike = one.keys() & other.keys()
    amounts = [
        abs(b - a) / a
        for k in alike
        if (a := one[k]) is not None and a > 0.0 and (b := other[k]) is not None and a != b
    ]
    return len(one.keys() - alike), amounts


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--seeds", default="1-2")
    words.add_argument("--every", type=int, default=4)
    words.add_argument("names", nargs="*", metavar="NAME")
    given = words.parse_args()
    low, high = map(int, given.seeds.split("-"))
    asked = [
        (2 * seed + k, rack, at)
        for seed in range(low, high + 1)
        for k, mornings in enumerate((demo_mornings, season_mornings))
        for rack, at in mornings(seed, given.every)
    ]
    before = [suggested(rack, at) for _, rack, at in asked]
    total = sum(map(len, before))
    print(f"{len(asked)} mornings of {2 * (high - low + 1)} racks, {total} suggestions")
    print(f"{'constant':18}{'others, of 100':>16}{'se':>7}{'amounts, of 100':>17}{'median change':>15}")
    for name in given.names or NAMES:
        with changed(name):
            after = [suggested(rack, at) for _, rack, at in asked]
        others, amounts = 0, []
        by_rack: dict[int, list[int]] = {}
        for (seed, _, _), a, b in zip(asked, before, after, strict=True):
            number, sizes = differences(a, b)
            others += number
            amounts += sizes
            own = by_rack.setdefault(seed, [0, 0])
            own[0] += number
            own[1] += len(a)
        shares = [100.0 * n / m for n, m in by_rack.values()]
        se = statistics.stdev(shares) / len(shares) ** 0.5 if len(shares) > 1 else 0.0
        middle = 100.0 * statistics.median(amounts) if amounts else 0.0
        print(f"{name:18}{100.0 * others / total:16.2f}{se:7.2f}{100.0 * len(amounts) / total:17.2f}{middle:14.1f}%")


if __name__ == "__main__":
    main()
