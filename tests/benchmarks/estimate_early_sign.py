"""The early sign: how many simulated collapses are flagged a day or more ahead, at how many false flags.

    python tests/benchmarks/estimate_early_sign.py

A collapse begins on the first day on which the true density, harvests taken out, is under half of its best in the four
days before and goes on to under a quarter within four days. A flag within the six days before that day is in time; a
flag from seven days before to twelve after is not false. The rival is a careful keeper who acts on two falls in a row
of over 30 % each, harvests taken out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from estimate_keeper import RACKS, Played, play
from estimate_racks import thinned

from rackview.core import events as ev
from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.science.state import belief as bel
from rackview.science.state import normal
from rackview.science.state.belief import Belief
from rackview.science.state.growth import Prior
from rackview.science.state.model import SOUND

EARLY_SIGN = 0.07
"""Chance of a failing culture from which it would be flagged by the filter alone."""


@dataclass(frozen=True)
class Life:
    """One vessel: chance of failing after each day's count, log counts, logs of thinning, days collapses begin."""

    chance: np.ndarray
    counts: np.ndarray
    thinned: np.ndarray
    collapses: list[int]
    covered: list[bool]
    """Whether the 90 % interval of a forecast from one, two and three days before a collapse held its first day."""


def ahead(rack: Rack, prior: Prior, vessel: str, since: float, then: float) -> Belief:
    """What was expected of `then` at `since`, the keeper's actions between known, the counts not."""
    folding = bel.folding(prior)
    now = rack.log(vessel, since).fold(*folding)._replace(fed=None)
    for node in reversed([n for n in rack.log(vessel, then).back() if n.day > since]):
        if not isinstance(node.event, ev.Count | ev.Reading):
            now = bel.step(prior, now, node, None if node.partner is None else node.partner.fold(*folding))
    return now.at(prior, then)


def covered(rack: Rack, prior: Prior, vessel: str, rounds: np.ndarray, truth: np.ndarray, day: int) -> list[bool]:
    found = []
    for back in (1, 2, 3):
        counts = [n for n in rack.log(vessel, rounds[day - back] + 0.01).back() if isinstance(n.event, ev.Count)]
        then = ahead(rack, prior, vessel, counts[0].day, rounds[day]) if counts else None
        if then is not None and then.held is not None:
            under = normal.below(math.log(max(truth[day], 1e-3)), *bel.components(then.held.numbers))
            found.append(0.05 < under < 0.95)
    return found


def lives(played: Played) -> list[Life]:
    rack = Rack.build(played.vessels, played.events)
    found = []
    for vessel in played.vessels:
        prior = Prior.of(rack.profile(vessel.vessel))
        folding = bel.folding(prior)
        rounds = np.array([day_number(played.rounds[vessel.vessel, d]) for d in range(played.days)])
        chance, counts = np.zeros(played.days), np.full(played.days, np.nan)
        by, restarts = np.zeros(played.days), []
        now = bel.start(vessel)
        for node in list(rack.log(vessel.vessel).back())[::-1]:
            now = folding[2](now, node, None if node.partner is None else node.partner.fold(*folding))
            day = int(np.argmin(np.abs(rounds - node.day)))
            by[day] += thinned(node.event, vessel)
            if isinstance(node.event, ev.Restart) and not node.incoming:
                restarts.append(day)
            if isinstance(node.event, ev.Count) and now.numbers is not None:
                chance[day] = max(chance[day], float(now.numbers.now.w[SOUND:].sum()))
                counts[day] = math.log(max(node.event.animals, 0.5) / node.event.looked_at_ml)
        truth = np.array([played.truth[vessel.vessel, d] for d in range(played.days)])
        begins = [d for d in collapses(truth, by) if not any(d - 4 <= r <= d for r in restarts)]
        held = [one for d in begins for one in covered(rack, prior, vessel.vessel, rounds, truth, d)]
        found.append(Life(chance, counts, by, begins, held))
    return found


def collapses(truth: np.ndarray, by: np.ndarray) -> list[int]:
    level = np.log(np.maximum(truth, 1e-3)) - np.concatenate([[0.0], np.cumsum(by)[:-1]])
    found, day = [], 5
    while day < len(level):
        best = level[max(0, day - 4) : day].max()
        if level[day] < best - math.log(2) and level[day : day + 5].min() < best - math.log(4):
            found.append(day)
            day += 12
        day += 1
    return found


def two_falls(life: Life) -> np.ndarray:
    flags = np.zeros(len(life.chance), bool)
    days = np.flatnonzero(~np.isnan(life.counts))
    for a, b, c in zip(days, days[1:], days[2:], strict=False):
        first = life.counts[b] - life.counts[a] - life.thinned[a:b].sum()
        second = life.counts[c] - life.counts[b] - life.thinned[b:c].sum()
        flags[c] = max(first, second) < math.log(0.7)
    return flags


def judge(all_lives: list[Life], flags: list[np.ndarray]) -> str:
    hits = collapsed = false = quiet = 0
    for life, flag in zip(all_lives, flags, strict=True):
        fine = np.ones(len(flag), bool)
        for day in life.collapses:
            fine[max(0, day - 7) : day + 12] = False
            hits += bool(flag[max(4, day - 6) : day].any())
        collapsed += len(life.collapses)
        quiet += int(fine.sum())
        false += sum(bool(flag[d] and fine[d] and not flag[max(0, d - 3) : d].any()) for d in range(4, len(flag)))
    return f"{hits:3d} of {collapsed:3d} ({100 * hits / max(collapsed, 1):3.0f} %), {100 * false / quiet:.2f} false"


def main() -> None:
    for name, (habits, seeds) in RACKS.items():
        played = [life for seed in seeds for life in lives(play(seed, habits))]
        print(f"\n{name} (flagged a day or more ahead; false flags per 100 vessel-days)")
        print(f"  two falls of 30 %  {judge(played, [two_falls(life) for life in played])}")
        held = [one for life in played for one in life.covered]
        print(f"  90 % interval from 1, 2, 3 days before holds the first day of {np.mean(held):.0%} (n {len(held)})")
        for threshold in (0.01, 0.02, 0.05, EARLY_SIGN, 0.1, 0.2, 0.5):
            print(f"  chance > {threshold:4.2f}      {judge(played, [life.chance > threshold for life in played])}")


if __name__ == "__main__":
    main()
