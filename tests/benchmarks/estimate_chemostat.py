"""What egg counts bring where rotifers and algae chase each other: a simulated chemostat with eggs counted daily.

    python tests/benchmarks/estimate_chemostat.py

Nitrogen, algae, breeding and all rotifers after Fussmann, G.F., Ellner, S.P., Shertzer, K.W. & Hairston, N.G. 2000,
Science 290:1358-1360 (form and parameters from memory, unverified), with a fecundity that wanders and counts that
scatter: a little, with 50 females looked at, and much, with 20 of half the water. Nothing is harvested but what the
constant dilution takes, of which the estimate is not told. A birth in the model is either an egg that hatches, so that
those carried are the births to come, or one that is laid, so that they are the births gone by; the truth is in between.
Eggs in any order, which tell nothing, should do no harm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from estimate_series import Series, score

STEPS = 96
DAYS, BURN_IN = 90, 30
EGG_DAYS = 0.6


@dataclass(frozen=True)
class World:
    """How far fecundity wanders (log, per square root of a day), how counts scatter, and how much is looked at."""

    luck: float
    scatter: float
    ml: float
    females: int


WORLDS = {"calm": World(0.12, 0.1, 10.0, 50), "restless": World(0.4, 0.2, 5.0, 20)}


def chemostat(world: World, seed: int, dilution: float, hatching: bool = False) -> Series:
    """One run at a dilution rate per day; births are eggs laid or, if so wanted, eggs `hatching`."""
    rng = np.random.default_rng(seed)
    nitrogen, algae, breeding, rotifers, luck = 40.0, 20.0, 3.0, 6.0, 0.0
    dt = 1.0 / STEPS
    births: list[float] = []
    animals: list[tuple[float, float]] = []
    for _ in range((DAYS + BURN_IN + 1) * STEPS):
        luck += -0.5 * luck * dt + world.luck * math.sqrt(dt) * rng.standard_normal()
        uptake, birth = 3.3 * nitrogen / (4.3 + nitrogen), 2.25 * algae / (15.0 + algae) * math.exp(luck)
        births.append(birth)
        nitrogen = max(nitrogen + dt * (dilution * (80.0 - nitrogen) - uptake * algae), 1e-3)
        algae = max(algae + dt * (uptake * algae - birth * rotifers - dilution * algae), 0.05)
        breeding, rotifers = (
            max(breeding + dt * (birth - dilution - 0.455) * breeding, 0.01),
            max(rotifers + dt * (birth * breeding - (dilution + 0.055) * rotifers), 0.02),
        )
        animals.append((breeding, rotifers))
    counts: list[int] = []
    eggs: list[tuple[int, int]] = []
    shape, within = world.scatter**-2, round(EGG_DAYS * STEPS)
    for now in range((BURN_IN + 1) * STEPS, (DAYS + BURN_IN + 1) * STEPS, STEPS):
        breeding, rotifers = animals[now - 1]
        until = now + within * hatching
        carried = float(np.mean(births[until - within : until])) * EGG_DAYS * breeding / rotifers
        counts.append(int(rng.poisson(rotifers * world.ml * rng.gamma(shape, 1.0 / shape))))
        checked = min(world.females, max(counts[-1], 1))
        eggs.append((int(rng.binomial(checked, 1.0 - math.exp(-carried))), checked))
    return Series(f"{dilution} {seed}", [float(day) for day in range(DAYS)], counts, world.ml, eggs)


def shuffled(run: Series) -> Series:
    """The same with its eggs in any order."""
    eggs = run.eggs or []
    return replace(run, eggs=[eggs[i] for i in np.random.default_rng(3).permutation(len(eggs))])


def main() -> None:
    for kind, world in WORLDS.items():
        hatching, laid = (
            [chemostat(world, seed, dilution, so) for dilution in (0.45, 0.55, 0.64, 0.9) for seed in range(3)]
            for so in (True, False)
        )
        for name, series in {
            "with eggs that hatch": hatching,
            "with eggs that were laid": laid,
            "with eggs in any order": [shuffled(run) for run in laid],
            "without eggs": [replace(run, eggs=None) for run in laid],
        }.items():
            print(f"\n{kind} chemostats, {name}")
            score(series)


if __name__ == "__main__":
    main()
