"""How far a tenth more or less in each constant of the estimate moves the scores, and what tuning would bring.

    python tests/benchmarks/estimate_sensitivity.py [--seeds 2010-2010] [--every 12] [--ground FOLDER] [NAME ...]

Seasons of the careful keeper in the training ground, forecasts of the whole pool with the chance of a fall in them, the
mean over worlds and 1 to 5 days of log-CRPS against persistence. A tenth is added to and taken from each constant (all
entries alike where it has several), nothing is fitted anew. Standard errors are over the worlds: a constant whose tenth
helps some worlds as much as it harms others has none of them in it.

Then each world is left out once: every constant goes a tenth the way that the other five worlds want, all at once, and
the one left out is scored. Where it gains what they gain the constants are short of their best; where it loses, the
five tell nothing of the sixth and more tuning is luck.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from rackview.core.clock import as_utc, day_number
from rackview.core.parse import event_from, identified
from rackview.core.rack import Rack
from rackview.science.risk.record import risk, taught_together
from rackview.science.state import belief, constants, forecast, model, signs
from rackview.science.state.held import reckon

ABOVE = [p / "shared" / "gym" for p in Path(__file__).resolve().parents[3:]]
GROUND = next((p for p in ABOVE if p.exists()), ABOVE[0])
DAYS = [1.0, 2.0, 3.0, 4.0, 5.0]
FIRST, FIVE = 12, 5 / 1440
CONSTANTS = (
    "WEIGHTS", "ETA", "ROOM", "OFF", "GROWTH_SD", "PHI", "WALK", "SCATTER", "RATE", "RATE_SD", "RATE_WALK", "THETA",
    "THETA_CV", "THETA_WALK", "FAIL", "MEND", "FALL", "FALL_SD", "FALL_PHI", "FALL_WALK", "FALL_SCATTER", "SLIP",
    "SLIP_VAR", "SHIFTS", "SHIFT", "SHIFT_VAR", "BIRTHS", "EGGS_SHOW", "EGGS_NOISE", "EGGS_FALL", "SWIMMING_FALL",
    "LOG_PRIOR", "START_VAR", "DRIFT", "KEEP", "FORGET", "OF_A_COUNT", "SOONER", "ODD", "ODD_SD", "SPREAD_PRIOR",
    "SPREAD_WORTH", "STRANGE_PRIOR", "APART", "CLOSE", "KEPT_ON",
)  # fmt: skip


class Season:
    """One keeper's season as forecasts to make: history, profile, moment, planned harvests, chance of a fall, truth."""

    def __init__(self, foretold: Any, bridge: Any, world: str, seed: int, every: int) -> None:
        env, policy = foretold.WORLDS[world](seed), foretold.Careful()
        obs = env.reset()
        policy.reset(env, obs)
        seen, acts, rows = [], [], []
        while not obs["done"]:
            act = policy.act(obs)
            seen.append(obs)
            acts.append(act)
            rows += [e for v in obs["vessels"] for e in bridge.sight(bridge.morning(obs["day"]), v)]
            rows += bridge.done(obs["day"], obs, act)
            obs = env.step(act)
        self.rack: Rack = bridge.new_rack(env.volume, [v["in_use"] for v in seen[0]["vessels"]]).record(*rows)
        self.world, self.asked = world, []
        last = np.full(env.vessels, np.nan)
        for d, (o, a) in enumerate(zip(seen, acts, strict=True)):
            for i, v in enumerate(o["vessels"]):
                if v["tallies"]:
                    last[i] = np.log(max(np.mean(v["tallies"]), 0.5))
            if d >= FIRST and d % every == 0 and d + 5 < env.days:
                self._ask(foretold, bridge, env, seen, acts, d, last)
            for i, x in a["vessels"].items():
                last[i] += np.log(1 - x.get("harvest", 0.0))
                if x.get("restart") is not None:
                    last[i] = np.nan

    def _ask(self, foretold: Any, bridge: Any, env: Any, seen: list, acts: list, d: int, last: np.ndarray) -> None:
        at = day_number(as_utc(bridge.morning(d))) + FIVE
        logs = [(self.rack.log(name, at), self.rack.profile(name)) for name in self.rack.vessels]
        taught = taught_together(logs, at - FIVE - 1 / 3)
        later = [e for k in range(5) for e in bridge.done(d + k, seen[d + k], acts[d + k])
                 if k == 0 or e["kind"] == "harvest"]  # fmt: skip
        for i, (log, profile) in enumerate(logs):
            valid = foretold.untouched(i, seen[d : d + 5], acts[d : d + 5])
            if not valid or np.isnan(last[i]):
                continue
            truth = np.log(np.maximum(env.trail[d + 1 : d + 6, i], 0.5))
            truth[valid:] = np.nan
            left = np.cumsum([np.log(1 - acts[d + k]["vessels"].get(i, {}).get("harvest", 0.0)) for k in range(5)])
            own = [identified(event_from(e)) for e in later if e["vessel"] == bridge.name(i)]
            found = risk(log, profile, at, taught)
            self.asked.append((log, profile, at, own, found and found.chance, truth, last[i] + left))

    def forget(self) -> None:
        for name in self.rack.vessels:
            node = self.rack.log(name, np.inf)
            while node is not None:
                node.memo.clear()
                node = node.previous


def scores(foretold: Any, seasons: list[Season]) -> dict[str, float]:
    """By world the mean over days ahead of the score against that of persistence."""
    model.paced.cache_clear()
    for season in seasons:
        season.forget()
    heads = [belief.believe(log, profile).held for s in seasons for log, profile, *_ in s.asked]
    for one in heads:
        if one is not None:
            one.kept = True
    reckon(dict.fromkeys(one for one in heads if one is not None))
    found = {}
    for world in dict.fromkeys(s.world for s in seasons):
        asked = [a for s in seasons if s.world == world for a in s.asked]
        fans = [
            forecast.project(g, p, at, DAYS, foretold.QS, acts, collapse_chance=c) for g, p, at, acts, c, _, _ in asked
        ]
        logs = np.log(np.maximum(np.array(fans), 0.5))
        truth, still = np.array([a[5] for a in asked]), np.array([a[6] for a in asked])
        ratios = []
        for h in range(5):
            k = np.isfinite(truth[:, h])
            naive = still[k, h, None] + np.quantile(truth[k, h] - still[k, h], foretold.QS)
            ratios.append(foretold.crps(logs[k, h], truth[k, h]).mean() / foretold.crps(naive, truth[k, h]).mean())
        found[world] = float(np.mean(ratios))
    return found


def scaled(name: str, factor: float) -> Any:
    """Scale a constant; returns what it was."""
    before = getattr(constants, name)
    new = tuple(factor * v for v in before) if isinstance(before, tuple) else factor * before
    put(name, min(new, 1.0) if name in ("KEEP", "FORGET") else new)
    return before


def put(name: str, value: Any) -> None:
    """Give a constant a value, also where a table was made of it."""
    setattr(constants, name, value)
    if name == "SWIMMING_FALL":
        signs.SIGNS["swimming"] = replace(signs.SIGNS["swimming"], failing=value)


def main() -> None:
    """Parse the options, play, print a row for each constant, then one for each world left out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("names", nargs="*", default=CONSTANTS)
    parser.add_argument("--seeds", default="2010-2010")
    parser.add_argument("--every", type=int, default=12)
    parser.add_argument("--ground", default=str(GROUND), help="the folder of the training ground")
    chosen = parser.parse_args()
    sys.path.insert(0, chosen.ground)
    import baselines
    import bridge
    import forecast as foretold

    seeds = baselines.seeds_of(chosen.seeds)
    seasons = [Season(foretold, bridge, w, s, chosen.every) for w in foretold.WORLDS for s in seeds]
    base = scores(foretold, seasons)
    worlds = list(base)
    usual = np.array([base[w] for w in worlds])
    print(f"as shipped, of persistence: {usual.mean():.4f}; " + ", ".join(f"{w} {base[w]:.3f}" for w in worlds))
    moved: dict[str, dict[float, np.ndarray]] = {}
    for name in chosen.names:
        moved[name] = {}
        for factor in (1.1, 0.9):
            before = scaled(name, factor)
            now = scores(foretold, seasons)
            put(name, before)
            moved[name][factor] = 100 * (np.array([now[w] for w in worlds]) / usual - 1)
        cells = [f"{x.mean():+.2f} ± {x.std(ddof=1) / len(x) ** 0.5:.2f} %" for x in moved[name].values()]
        print(f"{name:14} a tenth more {cells[0]:>16}   less {cells[1]:>16}", flush=True)
    for k, world in enumerate(worlds):
        held = []
        for name, by in moved.items():
            best = min((1.1, 0.9), key=lambda f: np.delete(by[f], k).mean())
            if np.delete(by[best], k).mean() < 0.0:
                held.append((name, scaled(name, best)))
        now = 100 * (np.array(list(scores(foretold, seasons).values())) / usual - 1)
        for name, before in held:
            put(name, before)
        print(f"{world:10} left out: {now[k]:+.2f} %, the others {np.delete(now, k).mean():+.2f} %", flush=True)


if __name__ == "__main__":
    main()
