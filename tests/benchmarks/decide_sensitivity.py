"""How far a tenth more of each constant of the planner moves what is taken in a day.

    python tests/benchmarks/decide_sensitivity.py [--seed 3000] [--every 12] [NAME ...]

Plays one season of each world of the training ground (../shared/gym beside the repository) by the advice, keeps every
so many mornings and makes the choice of each again with one constant a tenth greater, all else as it was. Prints, in
descending order, how much the millions taken from all vessels changed on average, in percent of what is taken, on how
many of the mornings the choice changed at all, and by how much the expected loss of broods did. Constants whose names
begin alike stand for themselves; a tuple is made greater as a whole. What only larvae's needs or counting use moves
nothing here and is left out by itself.
"""

from __future__ import annotations

import argparse
import importlib
import pkgutil
from dataclasses import replace
from typing import Any

import decide_worlds as ground
import numpy as np
from policies import run
from tenth import more
from worlds import WORLDS

import rackview.planner
from rackview.advice.choice import build
from rackview.planner import constants, futures
from rackview.planner.choose import choose
from rackview.planner.culture import Choice, Problem

WORTHS = ("BROOD", "VESSEL", "STRAIN", "STARTER", "FEED_G", "MINUTE", "SPARE_M", "MOUTH_M")
FIXED = (
    "SEED",
    "SHARED_SEED",
    "VESSEL_DRAWS",
    "RACK_DRAWS",
    "RACK_NORMALS",
    "NORMAL_TOP",
    "NORMAL_LOW",
    "NEVER",
    "BAND",
)
"""What is no choice of anybody's."""


class Kept(ground.Heard):
    """Follows the advice and keeps the problems of the mornings."""

    def reset(self, env: Any, obs: Any) -> None:
        super().reset(env, obs)
        self.problems: list[Problem] = []

    def act(self, obs: Any) -> Any:
        inner = build.choose

        def keeps(problem: Problem) -> Choice:
            self.problems.append(problem)
            return inner(problem)

        build.choose = keeps
        try:
            return super().act(obs)
        finally:
            build.choose = inner


def put(name: str, value: Any) -> None:
    """Set a constant wherever a module of the planner has it by name, and forget what was drawn with it."""
    for info in pkgutil.iter_modules(rackview.planner.__path__):
        module = importlib.import_module(f"rackview.planner.{info.name}")
        if hasattr(module, name):
            setattr(module, name, value)
    for one in vars(futures).values():
        if hasattr(one, "cache_clear"):
            one.cache_clear()


def told(problem: Problem, choice: Choice) -> tuple[float, float]:
    """Millions taken and broods expected to be lost."""
    held = {c.vessel: np.exp(c.outlook.log_density) * c.level_l / 1e3 for c in problem.cultures if c.outlook}
    return float(sum(s * held[v] for v, s in choice.shares.items())), choice.expected.lost


def outcome(problems: list[Problem]) -> np.ndarray:
    """Both for each morning: (mornings, 2)."""
    return np.array([told(p, choose(p)) for p in problems])


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--seed", type=int, default=3000)
    parser.add_argument("--every", type=int, default=12)
    asked = parser.parse_args()
    problems: list[Problem] = []
    for world in WORLDS.values():
        policy = Kept()
        run(policy, world(asked.seed))
        problems += policy.problems[5 :: asked.every]
    before = outcome(problems)
    rows = []
    every = {n: v for n, v in vars(constants).items() if n.isupper() and n not in FIXED}
    for name, value in every.items():
        if asked.names and name not in asked.names:
            continue
        if name in WORTHS:
            field = name.lower()
            changed = [replace(p, worth=replace(p.worth, **{field: 1.1 * getattr(p.worth, field)})) for p in problems]
            after = outcome(changed)
        else:
            put(name, more(value))
            after = outcome(problems)
            put(name, value)
        moved = np.abs(after[:, 0] - before[:, 0])
        lost = 100.0 * float((after[:, 1] - before[:, 1]).mean())
        rows.append((100.0 * moved.mean() / before[:, 0].mean(), 100.0 * float((moved > 0.0).mean()), lost, name))
    print(f"{len(problems)} mornings, {before[:, 0].mean():.2f} million taken on one")
    for share, often, lost, name in sorted(rows, reverse=True):
        on = f"on {often:3.0f} % of mornings, broods lost {lost:+.2f} points"
        print(f"{name.ljust(18)} {share:6.2f} % of what is taken, {on}")


if __name__ == "__main__":
    main()
