"""Calibration and skill of the forecast on simulated racks, and what each kind of sign brings.

    python tests/benchmarks/estimate_racks.py            all racks
    python tests/benchmarks/estimate_racks.py ablation   with crowding, then the kinds of signs, left out

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

from rackview.advice.taught import taught
from rackview.core import events as ev
from rackview.core.clock import day_number
from rackview.core.log import Node
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import belief as bel
from rackview.science.state import model, normal
from rackview.science.state.belief import Belief
from rackview.science.state.growth import Prior
from rackview.science.state.model import MODEL
from rackview.science.state.pool import Pool, informed

HORIZONS = (1, 2, 3, 5)
BURN_IN = 5
UNCROWDED = "all signs, growth as if never crowded"
ALONE = "all signs, each vessel's own record only"
ABLATIONS = {
    "all signs": None,
    UNCROWDED: None,
    ALONE: None,
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


def next_count(believed: Belief, event: ev.Count, rng: np.random.Generator, draws: int = 400) -> tuple[float, float]:
    """The probability of less than was counted and of no more than that."""
    n = drawn_counts(believed, event.looked_at_ml, len(event.tallies), rng, draws)
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


def score(played: Played, scores: Scores, label: str, keep: Collection[str] | None = None, alone: bool = False) -> None:
    rack = Rack.build(played.vessels, without(played.events, keep))
    pools: dict[int, Pool] = {}
    rng = np.random.default_rng(0)
    for vessel in played.vessels:
        prior = Prior.of(rack.profile(vessel.vessel))
        folding = bel.folding(prior)
        rounds = [day_number(played.rounds[vessel.vessel, d]) for d in range(played.days)]
        nodes = list(rack.log(vessel.vessel).back())[::-1]
        now = bel.start(vessel)
        days: list[float] = []
        logs: list[float] = []
        for i, node in enumerate(nodes):
            event = node.event
            counting = isinstance(event, ev.Count)
            if counting and now.counts >= 3 and now.held is not None:
                scores.pit.append(next_count(now.at(prior, node.day), event, rng))
            now = folding[2](now, node, None if node.partner is None else node.partner.fold(*folding))
            if not counting:
                continue
            days.append(node.day)
            logs.append(math.log((event.animals + 0.5) / event.looked_at_ml))
            today = int(np.argmin(np.abs(np.array(rounds) - node.day)))
            if today >= BURN_IN:
                if today not in pools:
                    pools[today] = taught(rack, vessel.vessel, node.day)
                told = now if alone else informed(prior, now, pools[today], vessel.vessel)
                look(played, scores, label, vessel, prior, told, nodes[i + 1 : i + 80], (days, logs), rounds, today)


def look(
    played: Played,
    scores: Scores,
    label: str,
    vessel: Vessel,
    prior: Prior,
    now: Belief,
    later: list[Node],
    counted: tuple[list[float], list[float]],
    rounds: list[float],
    today: int,
) -> None:
    """Score the forecast from one count; it ends where the vessel is restarted."""
    days, logs = counted
    actions = [n for n in later if not isinstance(n.event, ev.Count | ev.Reading | ev.Feed)]
    end = min((n.day for n in actions if isinstance(n.event, ev.Restart) and not n.incoming), default=math.inf)
    by, done = 0.0, 0
    now = now._replace(fed=None)  # a forecast takes for granted that they are fed as usual
    for h in HORIZONS:
        if today + h >= played.days or rounds[today + h] > end:
            break
        then = rounds[today + h]
        while done < len(actions) and actions[done].day <= then:
            node = actions[done]
            other = None if node.partner is None else node.partner.fold(*bel.folding(prior))
            now = bel.step(prior, now, node, other)
            by += thinned(node.event, vessel)
            done += 1
        now = now.at(prior, then)
        if now.held is None:
            break
        y = math.log(max(played.truth[vessel.vessel, today + h], 1e-3))
        parts = now.held.components
        got = crps(np.array(normal.quantiles(*parts, LEVELS.tolist())), y)
        line = log_linear(days, logs, then - days[-1])
        scores.rows[h].append((f"{label}{vessel.vessel}", got, normal.below(y, *parts), y, logs[-1], by, line))


def main() -> None:
    loose = tuple(replace(alternative, theta=1e-3, delayed=0.0) for alternative in MODEL.alternatives)
    uncrowded = replace(MODEL, alternatives=loose, theta_walk=0.0)
    chosen = ABLATIONS if "ablation" in sys.argv[1:] else {"all signs": None}
    for name, (habits, seeds) in RACKS.items():
        racks = [play(seed, habits) for seed in seeds]
        for what, keep in chosen.items():
            scores = Scores()
            model.MODEL = uncrowded if what == UNCROWDED else MODEL
            model.paced.cache_clear()
            for seed, played in zip(seeds, racks, strict=True):
                score(played, scores, str(seed), keep, what == ALONE)
            scores.table(f"{name}: {what}")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
