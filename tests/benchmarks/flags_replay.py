"""New flags per vessel-day on the recorded seasons of `flags_worlds.py`, what followed, which falls were flagged."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field

import numpy as np
from bridge import morning
from flags_worlds import Season

from rackview.advice.api import assess_all
from rackview.core.assessment import Flag, Severity
from rackview.rules.flags.collapse import CODES

SPEAK = {"crash", "failing", "drop", *CODES}
"""Flags that speak of a fall; a mere notice of ciliates or ammonia does not."""


@dataclass
class Told:
    """Of some seasons, by code: new flags, those that want a hand today, those followed by a fall within three days.

    `mornings` counts (a fall followed, a flag spoke of one); `rates` are new flags per vessel-day, season by season.
    """

    new: Counter[str] = field(default_factory=Counter)
    today: Counter[str] = field(default_factory=Counter)
    fell: Counter[str] = field(default_factory=Counter)
    mornings: Counter[tuple[bool, bool]] = field(default_factory=Counter)
    rates: list[float] = field(default_factory=list)

    def add(self, other: Told) -> None:
        """Take in what was told of other seasons."""
        self.new += other.new
        self.today += other.today
        self.fell += other.fell
        self.mornings += other.mornings
        self.rates += other.rates

    def __str__(self) -> str:
        days, flags = sum(self.mornings.values()), max(sum(self.new.values()), 1)
        error = np.std(self.rates, ddof=1) / len(self.rates) ** 0.5 if len(self.rates) > 1 else float("nan")

        found, other = (
            100 * self.mornings[fell, True] / max(self.mornings[fell, True] + self.mornings[fell, False], 1)
            for fell in (True, False)
        )
        by_code = ", ".join(f"{c} {n} ({100 * self.fell[c] / n:.0f} %)" for c, n in self.new.most_common())
        return (
            f"new {sum(self.new.values()) / days:.3f} +- {error:.3f} today {sum(self.today.values()) / days:.4f}"
            f" per vessel-day of {days} in {len(self.rates)} seasons; found {found:.0f} %, other"
            f" {other:.1f} %, followed {100 * sum(self.fell.values()) / flags:.0f} %: {by_code};"
            f" today: {', '.join(f'{c} {n}' for c, n in self.today.most_common())}"
        )


def speaks(flags: Collection[Flag]) -> bool:
    """Whether one of the flags speaks of a fall."""
    return any(f.code in SPEAK and (f.severity > Severity.notice or f.code == "drop") for f in flags)


def replay(season: Season) -> Told:
    """What a program beside the keeper would have flagged, morning by morning."""
    told = Told()
    before: dict[str, dict[str, Severity]] = defaultdict(dict)
    names = list(season.rack.vessels)
    for day in range(season.days):
        for name, found in assess_all(season.rack, morning(day).replace(minute=30)).items():
            now = {f.code: f.severity for f in found.flags}
            i = names.index(name)
            for code in now.keys() - before[name].keys():
                told.new[code] += 1
                told.fell[code] += bool(season.fell[day, i])
            for code, severity in now.items():
                if severity is Severity.today and before[name].get(code) is not Severity.today:
                    told.today[code] += 1
            before[name] = now
            if season.in_use[day, i]:
                told.mornings[bool(season.fell[day, i]), speaks(found.flags)] += 1
    told.rates.append(sum(told.new.values()) / sum(told.mornings.values()))
    return told


def table(seasons: list[Season]) -> None:
    """Print new flags by world, keeper and code; the budget is 0.10 per vessel-day and 0.02 for today."""
    every = Told()
    for key in dict.fromkeys((s.world, s.keeper, s.kind) for s in seasons):
        total = Told()
        for season in seasons:
            if (season.world, season.keeper, season.kind) == key:
                total.add(replay(season))
        print(*key, total, flush=True)
        every.add(total)
    print("all:", every)
