"""Following the advice against two keepers without a program, over many seasons of the demo simulator.

    python tests/benchmarks/replay_advice.py [--seasons 200] [--days 75] [--first 1] [--workers 2] [--causes]

Three keepers meet the same seasons: one does literally and daily what the program says; one harvests a fixed 35 % a
day and cleans every third day; one holds a target density, feeds per million and stops when the density fell 30 %.
The table gives means per season with standard errors, and what the first keeper was alarmed with.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Callable, Iterable
from multiprocessing import get_context

import numpy as np
from replay_keepers import Careful, FixedShare
from replay_literal import Literal
from replay_season import Bench, Tally, season

KEEPERS: dict[str, Callable[[Bench], object]] = {
    "the advice": Literal,
    "fixed 35 %": FixedShare,
    "careful": Careful,
}


def play(task: tuple[int, int, str]) -> tuple[int, str, Tally]:
    """One season with one keeper."""
    seed, days, name = task
    bench = Bench(season(seed, days))
    return seed, name, bench.play(KEEPERS[name](bench))  # type: ignore[arg-type]


ROWS: tuple[tuple[str, Callable[[Tally], float]], ...] = (
    ("broods lost, %", lambda t: 100.0 * t.lost / max(1, t.broods)),
    ("larvae raised, %", lambda t: 100.0 * t.larvae / max(1.0, t.hatched)),
    ("vessels crashed per 100 vessel-days", lambda t: 100.0 * t.crashes / max(1, t.vessel_days)),
    ("prey wanted that was met, %", lambda t: 100.0 * t.met / max(1.0, t.wanted)),
    ("prey delivered, million", lambda t: t.delivered / 1e6),
    ("prey wanted, million", lambda t: t.wanted / 1e6),
)


def table(results: dict[str, dict[int, Tally]]) -> None:
    """Means and standard errors per keeper, and the paired difference to the advice."""
    names = list(results)
    print(f"{'':38}" + "".join(f"{n:>22}" for n in names))
    base = results.get("the advice")
    for title, value in ROWS:
        cells = []
        for name in names:
            seeds = sorted(results[name])
            found = np.array([value(results[name][s]) for s in seeds])
            cells.append(f"{found.mean():12.2f} ± {_error(found):7.2f}")
        print(f"{title:38}" + "".join(f"{c:>22}" for c in cells))
        if base is None:
            continue
        cells = [" " * 22]
        for name in names[1:]:
            gap = np.array([value(results[name][s]) - value(base[s]) for s in sorted(base)])
            cells.append(f"{gap.mean():+12.2f} ± {_error(gap):7.2f}".rjust(22))
        print(f"{'    more than with the advice':38}" + "".join(cells))


def alarms(tallies: Iterable[Tally]) -> None:
    """New flags per vessel-day by severity and the most frequent codes."""
    found: Counter[str] = Counter()
    days = 0
    for tally in tallies:
        found.update(tally.flags)
        days += tally.vessel_days
    print(f"\nnew flags over {days} vessel-days (budget: 0.1 per vessel-day, 0.05 of severity today)")
    for severity in ("all", "today", "week", "notice"):
        print(f"  {severity:8}{found.get(severity, 0) / max(1, days):8.4f} per vessel-day")
    for code, number in found.most_common():
        if ":" in code:
            print(f"    {code:40}{number / max(1, days):8.4f}")


def causes(results: dict[str, dict[int, Tally]]) -> None:
    """The crashes with what was wrong in the water, and the lost broods with what they got, one per line."""
    for name, tallies in results.items():
        print(f"\n{name}")
        for seed, tally in sorted(tallies.items()):
            for line in tally.events:
                print(f"  season {seed}: {line}")


def _error(values: np.ndarray) -> float:
    return float(values.std(ddof=1) / np.sqrt(values.size)) if values.size > 1 else float("nan")


def main() -> None:
    """Parse the options, play, print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seasons", type=int, default=200)
    parser.add_argument("--days", type=int, default=75)
    parser.add_argument("--first", type=int, default=1, help="seed of the first season")
    parser.add_argument("--workers", type=int, default=2, choices=(1, 2))
    parser.add_argument("--keepers", nargs="*", choices=tuple(KEEPERS), default=list(KEEPERS))
    parser.add_argument("--causes", action="store_true", help="list every crash and lost brood")
    chosen = parser.parse_args()
    tasks = [(s, chosen.days, k) for s in range(chosen.first, chosen.first + chosen.seasons) for k in chosen.keepers]
    results: dict[str, dict[int, Tally]] = {k: {} for k in chosen.keepers}
    with get_context("spawn").Pool(chosen.workers) as pool:
        for seed, name, tally in pool.imap_unordered(play, tasks):
            results[name][seed] = tally
    print(f"{chosen.seasons} seasons of {chosen.days} days")
    table(results)
    if "the advice" in results:
        alarms(results["the advice"].values())
    if chosen.causes:
        causes(results)


if __name__ == "__main__":
    main()
