"""Calibration and skill of the forecast on simulated racks, and what each kind of sign brings.

    python tests/benchmarks/estimate_racks.py            all racks
    python tests/benchmarks/estimate_racks.py ablation   with kinds of signs left out

The actions that the keeper took within the horizon are passed to the forecast as planned. Persistence is scored twice:
as it is, and thinned by the same actions.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Collection
from dataclasses import replace

import numpy as np
from estimate_keeper import RACKS, Played, play
from estimate_scores import LEVELS, climatology, crps, drawn_counts, flat, log_linear, normal_crps

from rackview.core import events as ev
from rackview.core.clock import day_number
from rackview.core.log import Node
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state.estimate import estimate
from rackview.science.state.forecast import project

HORIZONS = (1, 2, 3, 5)
BURN_IN = 5
OF_A_COUNT_CV2 = 0.06**2
"""Squared coefficient of variation between a sample and its vessel."""
ABLATIONS = {
    "all signs": None,
    "no signs": frozenset(),
    "eggs only": frozenset({"eggs"}),
    "swimming only": frozenset({"swimming"}),
    "all but eggs": frozenset({"swimming", "ciliates", "tint", "water"}),
}


def without(events: list[ev.Event], keep: Collection[str] | None) -> list[ev.Event]:
    """The events with all signs but those in `keep` left out."""
    if keep is None:
        return events
    found: list[ev.Event] = []
    for event in events:
        if isinstance(event, ev.Count):
            event = replace(
                event,
                with_eggs=event.with_eggs if "eggs" in keep else None,
                females_checked=event.females_checked if "eggs" in keep else None,
                swimming=event.swimming if "swimming" in keep else None,
                ciliates=event.ciliates if "ciliates" in keep else "",
                tint=event.tint if "tint" in keep else None,
            )
        if not isinstance(event, ev.Reading) or "water" in keep:
            found.append(event)
    return found


def thinned(event: ev.Event | None, vessel: Vessel) -> float:
    """Log of what is left of the density after an action."""
    if isinstance(event, ev.Harvest) and event.refill_l:
        left = vessel.volume_l - event.volume_l
        return math.log(left / (left + event.refill_l))
    return 0.0


def next_count(log: Node, rack: Rack, node: Node, rng: np.random.Generator) -> tuple[float, float]:
    """The probability of less than was counted and of no more than that."""
    event, profile = node.event, rack.profile(log.vessel.vessel)
    gap = node.day - log.day
    quantiles = project(log, profile, log.day, [gap], LEVELS.tolist())[0]
    cv2 = OF_A_COUNT_CV2 + estimate(log, profile, log.day).aliquot_cv ** 2 / len(event.tallies)
    n = drawn_counts(quantiles, cv2, event.looked_at_ml, rng, 400)
    return float(np.mean(n < event.animals)), float(np.mean(n <= event.animals))


class Scores:
    """What one rack's forecasts were worth."""

    def __init__(self) -> None:
        self.rows: dict[int, list[tuple[str, float, float, float, float, float, float]]] = {h: [] for h in HORIZONS}
        self.pit: list[tuple[float, float]] = []

    def table(self, name: str) -> None:
        print(f"\n{name}\n  next count  {flat(self.pit)}")
        print("  days  model   persist. gain   thinned gain   line    climat.  90 %   50 %")
        for h, rows in self.rows.items():
            _, score, u, y, last, by, line = (np.array(c) for c in zip(*rows, strict=True))
            score, u, y, last, by, line = (c.astype(float) for c in (score, u, y, last, by, line))
            names = [r[0] for r in rows]
            still, thin = normal_crps(y - last), normal_crps(y - last - by)
            habit = np.average(
                [climatology([v for v, n in zip(y, names, strict=True) if n == one]) for one in dict.fromkeys(names)],
                weights=[names.count(one) for one in dict.fromkeys(names)],
            )
            model = float(score.mean())
            inside = [np.mean((u > a) & (u < 1 - a)) for a in (0.05, 0.25)]
            print(
                f"  {h:4d}  {model:.4f}  {still:.4f} {100 * (1 - model / still):4.0f} %  {thin:.4f} "
                f"{100 * (1 - model / thin):4.0f} %  {normal_crps(y - line):.4f}  {habit:.4f}   "
                f"{inside[0]:.3f}  {inside[1]:.3f}"
            )


def score(played: Played, scores: Scores, label: str, keep: Collection[str] | None = None) -> None:
    rack = Rack.build(played.vessels, without(played.events, keep))
    rng = np.random.default_rng(0)
    for vessel in played.vessels:
        rounds = [day_number(played.rounds[vessel.vessel, d]) for d in range(played.days)]
        nodes = list(rack.log(vessel.vessel).back())[::-1]
        days: list[float] = []
        logs: list[float] = []
        for i, node in enumerate(nodes):
            event = node.event
            if not isinstance(event, ev.Count):
                continue
            if len(days) >= 3:
                scores.pit.append(next_count(nodes[i - 1], rack, node, rng))
            days.append(node.day)
            logs.append(math.log((event.animals + 0.5) / event.looked_at_ml))
            today = int(np.argmin(np.abs(np.array(rounds) - node.day)))
            if today >= BURN_IN:
                look(played, scores, label, vessel, rack, node, nodes[i + 1 : i + 80], (days, logs), rounds, today)


def look(
    played: Played,
    scores: Scores,
    label: str,
    vessel: Vessel,
    rack: Rack,
    now: Node,
    later: list[Node],
    counted: tuple[list[float], list[float]],
    rounds: list[float],
    today: int,
) -> None:
    """Score the forecast from one count; it ends where culture is moved in or out."""
    days, logs = counted
    actions = [n for n in later if not isinstance(n.event, ev.Count | ev.Reading | ev.Feed)]
    end = min((n.day for n in actions if n.partner is not None or isinstance(n.event, ev.Restart)), default=math.inf)
    own = [n.event for n in actions if n.day < end and n.event is not None]
    ahead = [h for h in HORIZONS if today + h < played.days and rounds[today + h] <= end]
    profile = rack.profile(vessel.vessel)
    found = project(now, profile, now.day, [rounds[today + h] - now.day for h in ahead], LEVELS.tolist(), own)
    for h, quantiles in zip(ahead, np.log(np.maximum(found, 1e-3)), strict=True):
        then = rounds[today + h]
        y = math.log(max(played.truth[vessel.vessel, today + h], 1e-3))
        by = sum(thinned(n.event, vessel) for n in actions if n.day <= then)
        line = log_linear(days, logs, then - days[-1])
        under = float(np.interp(y, quantiles, LEVELS, left=0.0, right=1.0))
        scores.rows[h].append((f"{label}{vessel.vessel}", crps(quantiles, y), under, y, logs[-1], by, line))


def main() -> None:
    chosen = ABLATIONS if "ablation" in sys.argv[1:] else {"all signs": None}
    for name, (habits, seeds) in RACKS.items():
        racks = [play(seed, habits) for seed in seeds]
        for what, keep in chosen.items():
            scores = Scores()
            for seed, played in zip(seeds, racks, strict=True):
                score(played, scores, str(seed), keep)
            scores.table(f"{name}: {what}")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
