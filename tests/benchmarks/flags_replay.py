"""New flags per vessel-day on the recorded seasons of `flags_worlds.py`, and what followed."""

from __future__ import annotations

from collections import Counter, defaultdict

import numpy as np
from bridge import morning
from flags_worlds import Season

from rackview.advice.api import assess_all
from rackview.core.assessment import Severity


def replay(season: Season) -> tuple[Counter, Counter, Counter]:
    """New flags, new flags that want a hand today, and those followed by a fall within three days, by code."""
    new, today, fell = Counter(), Counter(), Counter()
    before: dict[str, dict[str, Severity]] = defaultdict(dict)
    names = list(season.rack.vessels)
    for day in range(season.days):
        for name, found in assess_all(season.rack, morning(day).replace(minute=30)).items():
            now = {f.code: f.severity for f in found.flags}
            i = names.index(name)
            for code in now.keys() - before[name].keys():
                new[code] += 1
                fell[code] += bool(season.fell[day, i])
            for code, severity in now.items():
                if severity is Severity.today and before[name].get(code) is not Severity.today:
                    today[code] += 1
            before[name] = now
    return new, today, fell


def table(seasons: list[Season]) -> None:
    """Print new flags by world and code; the budget is 0.10 per vessel-day and 0.02 for today."""
    every: tuple[Counter, Counter, Counter] = (Counter(), Counter(), Counter())
    for world in dict.fromkeys(s.world for s in seasons):
        for keeper, kind in (("careful", ""), ("careful", "room_c"), ("careful", "counter"), ("steady", "")):
            own = [s for s in seasons if (s.world, s.keeper, s.kind) == (world, keeper, kind)]
            if not own:
                continue
            total: tuple[Counter, Counter, Counter] = (Counter(), Counter(), Counter())
            for season in own:
                for sums, one in zip(total, replay(season), strict=True):
                    sums.update(one)
            days = sum(int(np.sum(s.in_use)) for s in own)
            rate = 100 * np.mean(np.concatenate([s.fell.ravel() for s in own]))
            print(
                f"{world:10} {keeper:8} {kind:8} new {sum(total[0].values()) / days:.3f}"
                f" today {sum(total[1].values()) / days:.4f} per vessel-day of {days}; any morning {rate:.1f} %:",
                ", ".join(f"{c} {n / days:.4f} ({100 * total[2][c] / n:.0f} %)" for c, n in total[0].most_common()),
                "; today:",
                ", ".join(f"{c} {n / days:.4f}" for c, n in total[1].most_common()),
                flush=True,
            )
            for sums, one in zip(every, total, strict=True):
                sums.update(one)
    print("all:", ", ".join(f"{c} {n} ({100 * every[2][c] / n:.0f} %)" for c, n in every[0].most_common()))
