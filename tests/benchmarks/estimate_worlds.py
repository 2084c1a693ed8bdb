"""Calibration and skill of the forecast in the training ground, against persistence and climatology.

    python tests/benchmarks/estimate_worlds.py [--world all|NAME,NAME] [--seeds 20-39] [--every 6] [--room 21]
        [--counter poor] [--ground FOLDER]

Reads the training ground beside the repository, ../shared/gym. Seasons of its careful keeper, forecasts 1 to 5 days
ahead given the harvests as they were done. Log-CRPS as `forecast.py` there scores it: persistence with drift and spread
taken from the same errors, climatology the counts of the vessel so far. Seeds 0-19 were looked at while the constants
were chosen.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

import numpy as np

ABOVE = [p / "shared" / "gym" for p in Path(__file__).resolve().parents[3:]]
GROUND = next((p for p in ABOVE if p.exists()), ABOVE[0])
LEAST_COUNTS = 5


def climatology(foretold: Any, world: str, seed: int, every: int, kind: dict[str, Any]) -> np.ndarray:
    """Score of each vessel's own counts so far as the forecast, (forecasts, 5), in the order of `season`."""
    env, policy = foretold.WORLDS[world](seed, **kind), foretold.Careful()
    obs = env.reset()
    policy.reset(env, obs)
    seen, acts = [], []
    while not obs["done"]:
        act = policy.act(obs)
        seen.append(obs)
        acts.append(act)
        obs = env.step(act)
    past: dict[int, list[float]] = {i: [] for i in range(env.vessels)}
    last = np.full(env.vessels, np.nan)
    found = []
    for d, (o, a) in enumerate(zip(seen, acts, strict=True)):
        for i, v in enumerate(o["vessels"]):
            if v["tallies"]:
                past[i].append(np.log(max(np.mean(v["tallies"]), 0.5)))
                last[i] = past[i][-1]
        if d >= 12 and d % every == 0 and d + 5 < env.days:
            for i in range(env.vessels):
                valid = foretold.untouched(i, seen[d : d + 5], acts[d : d + 5])
                if not valid or np.isnan(last[i]):
                    continue
                truth = np.log(np.maximum(env.trail[d + 1 : d + 6, i], 0.5))
                truth[valid:] = np.nan
                usual = (
                    np.quantile(past[i], foretold.QS)
                    if len(past[i]) >= LEAST_COUNTS
                    else np.full(len(foretold.QS), np.nan)
                )
                found.append(foretold.crps(np.tile(usual, (5, 1)), truth))
        for i, x in a["vessels"].items():
            if x.get("restart") is not None:
                last[i] = np.nan
    return np.array(found)


def main() -> None:
    """Parse the options, play, print a row for each world."""
    ground = argparse.ArgumentParser(add_help=False)
    ground.add_argument("--ground", default=str(GROUND), help="the folder of the training ground")
    sys.path.insert(0, ground.parse_known_args()[0].ground)
    import baselines
    import forecast as foretold

    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter, parents=[ground]
    )
    baselines.options(parser)
    parser.add_argument("--seeds", default="20-39")
    parser.add_argument("--every", type=int, default=6)
    chosen = parser.parse_args()
    kind, seeds = baselines.ground(chosen), baselines.seeds_of(chosen.seeds)
    everything: list[tuple[Any, ...]] = []
    usual: list[np.ndarray] = []
    print(
        "world       better than persistence by, % at 1..5 d   than climatology by      90 % holds          50 % holds"
    )
    for world in list(foretold.WORLDS) if chosen.world == "all" else chosen.world.split(","):
        rows = [row for seed in seeds for row in foretold.season(world, seed, chosen.every, **kind)]
        own = [climatology(foretold, world, seed, chosen.every, kind) for seed in seeds]
        row(foretold, world, rows, own)
        everything += rows
        usual += own
    row(foretold, "all", everything, usual)


def row(foretold: Any, label: str, rows: list[tuple[Any, ...]], own: list[np.ndarray]) -> None:
    """One line of the table."""
    scores = foretold.score(rows)
    usual = np.nanmean(np.concatenate(own), axis=0)
    cells = (
        [f"{100 * (1 - s[0] / s[1]):4.0f}" for s in scores],
        [f"{100 * (1 - s[0] / u):4.0f}" for s, u in zip(scores, usual, strict=True)],
        [f"{100 * s[2]:3.0f}" for s in scores],
        [f"{100 * s[3]:3.0f}" for s in scores],
    )
    print(label.ljust(12), "   ".join(" ".join(cell) for cell in cells), flush=True)


if __name__ == "__main__":
    main()
