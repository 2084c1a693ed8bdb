"""What counting a vessel is worth: by how much today's choice is expected to gain from knowing its density better.

The expected value of sample information, read off the same futures that the choice is made on: over the futures the
gain of another way to act against the chosen one is regressed on the vessel's density (a parabola), and of what the
regression explains as much is had as the sample would tell (Strong, M., Oakley, J.E., Brennan, A. & Breeze, P. 2015,
Medical Decision Making 35:570-583; after Raiffa, H. & Schlaifer, R. 1961, Applied Statistical Decision Theory; both
from memory). What the same sum gives where densities are shuffled is chance, and is taken off.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.planner.candidates import Way, acts, alternatives, openings
from rackview.planner.choose import search, sifted
from rackview.planner.constants import (
    CLOSE,
    COARSE,
    FINE,
    GAIN,
    LEAST_ALIQUOTS,
    LEAST_COUNTED,
    MINUTES,
    SHUFFLES,
    USUAL_CV,
)
from rackview.planner.futures import days_for, sample
from rackview.planner.rollout import Bench, play

if TYPE_CHECKING:
    from rackview.planner.culture import Culture, Problem
    from rackview.planner.futures import Array


@dataclass(frozen=True, slots=True)
class CountWorth:
    """What counting one vessel is worth, in the keeper's worth: two aliquots, one aliquot more, and what one costs."""

    look: float
    more: float
    costs: float

    @property
    def wanted(self) -> bool:
        """Whether the choice can gain more by two aliquots than they cost and than it takes to change it."""
        return self.look > max(LEAST_ALIQUOTS * self.costs, GAIN)

    @property
    def enough(self) -> bool:
        """Whether one aliquot more can't gain what it costs, nor what it takes to change the choice."""
        return self.more <= max(self.costs, GAIN)


def worth_of_counting(
    problem: Problem, cvs: dict[str, float] | None = None, aliquot_ml: float = 1.0
) -> dict[str, CountWorth]:
    """What counting each vessel is worth today; `cvs` is by vessel how its aliquots differ beyond chance.

    Vessels of which nothing is believed are left out: there is nothing to compare a count with.
    """
    futures = sample(problem, FINE, days_for(problem.need))
    fine = Bench.of(problem, futures)
    coarse = fine.some(COARSE)
    best = search(problem, fine, coarse)
    ways = _others(problem, coarse, best)
    played = play(fine, acts(problem, fine, ways)).value
    gains = played[1:] - played[:1]
    minutes = MINUTES["count"] / LEAST_ALIQUOTS * problem.worth.minute
    found = {}
    for k, culture in enumerate(problem.cultures):
        if culture.outlook is None:
            continue
        drawn = np.log(np.maximum(futures.animals[k], 1e-9))
        scatter = (cvs or {}).get(culture.vessel, USUAL_CV)
        look, more = (_gain(gains, drawn, _told(culture, n, scatter, aliquot_ml)) for n in (LEAST_ALIQUOTS, 1))
        found[culture.vessel] = CountWorth(look, more, minutes)
    return found


def _others(problem: Problem, coarse: Bench, best: Way) -> list[Way]:
    """The chosen way first, then what might be chosen if the densities were others."""
    near = alternatives(problem, best)
    if near:
        means = play(coarse, acts(problem, coarse, near)).value.mean(axis=1)
        near = [near[int(k)] for k in np.argsort(-means, kind="stable")[: 2 * CLOSE]]
    return [best, *sifted(problem, coarse, openings(problem)), *near]


def _told(culture: Culture, aliquots: int, cv: float, aliquot_ml: float) -> float:
    """The share of the doubt about a vessel's log density (as variance) that so many aliquots take away."""
    if culture.outlook is None:
        return 0.0
    animals = max(math.exp(culture.outlook.log_density) * aliquot_ml, LEAST_COUNTED)
    error = (1.0 / animals + cv * cv) / aliquots
    before = culture.outlook.log_density_sd**2
    return before / (before + error)


def _gain(gains: Array, drawn: Array, told: float) -> float:
    """What the choice is expected to gain, of gains (C, S) over the chosen way, by learning of `drawn` (S,)."""
    sd = float(drawn.std())
    if sd <= 1e-9 or not gains.size:
        return 0.0
    z = (drawn - drawn.mean()) / sd
    shuffles = np.random.default_rng(z.size).permuted(np.tile(z, (SHUFFLES, 1)), axis=1)
    chance = sum(_learned(gains, s, told) for s in shuffles) / SHUFFLES
    return max(_learned(gains, z, told) - chance, 0.0)


def _learned(gains: Array, z: Array, told: float) -> float:
    """The best of the gains where it may be chosen by what a sample tells of z, less the best without one."""
    basis = np.stack([np.ones_like(z), z, z * z - (z * z).mean()])
    parts = np.linalg.lstsq(basis.T, gains.T, rcond=None)[0]
    root = math.sqrt(told)
    seen = parts[0][:, None] + root * parts[1][:, None] * z + told * parts[2][:, None] * basis[2]
    best = np.maximum(seen.max(axis=0), 0.0).mean()
    return float(best - max(float(gains.mean(axis=1).max()), 0.0))
