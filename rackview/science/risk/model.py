"""From the numbers of a watched vessel to the chance of a fall: several causes side by side, weighed by what was seen.

Each cause is a logistic regression on the same numbers. Which of them this rack suffers from, and how often, is not
assumed: each is carried at several frequencies, and what the rack's own mornings were followed by weighs them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property

from rackview.core.dataclass import dataclass
from rackview.science.risk import constants as c
from rackview.science.risk.causes import CAUSES, SHIFTS
from rackview.science.risk.watch import Watch

NUMBERS = (
    "one", "eggs", "eggs_now", "few_eggs", "swimming", "slow", "count", "passing", "crowded", "days_full", "ciliates",
    "more_ciliates", "ammonia", "harvest", "unseen",
)  # fmt: skip
"""What the regressions look at, in the order of their coefficients."""
SIGNS = {
    "eggs": ("eggs", "eggs_now", "few_eggs"),
    "swimming": ("swimming", "slow"),
    "count": ("count", "passing"),
    "crowded": ("crowded", "days_full"),
    "ciliates": ("ciliates", "more_ciliates"),
    "ammonia": ("ammonia",),
}
"""Which numbers belong to one sign that a keeper would name."""
FACTORS = [math.exp(shift) for shift in SHIFTS]
PRIOR = [math.log(w / sum(SHIFTS.values()) / len(CAUSES)) for _ in CAUSES for w in SHIFTS.values()]


def watch_numbers(w: Watch, day: float) -> tuple[float, ...] | None:
    """The numbers at `day`, to which `w` has been carried; None where nothing was ever looked at."""
    if w.x is None or w.top is None or w.look_day is None:
        return None
    stale = max(day - w.look_day, 0.0)
    fresh = math.exp(-max(stale - 0.5, 0.0) / c.STALE_DAYS)
    return (
        1.0,
        min(max(-w.egg_e, c.SUM_LEAST), c.SUM_MOST) * 0.5,
        min(max(-w.egg_z, c.NOW_LEAST), c.NOW_MOST) * fresh,
        0.0
        if w.egg_odds is None or not w.few_eggs_tell
        else min(max(-w.egg_odds - c.FEW_EGGS, c.FEW_LEAST), c.FEW_MOST),
        min(max(-w.swim_e, c.SUM_LEAST), c.SUM_MOST) * 0.5,
        c.WELL_SWIMMING - (c.SWIM_HABIT if w.swim is None else w.swim),
        min(max(-w.count_e, c.SUM_LEAST), c.SUM_MOST),
        -w.u,
        min(max(w.x - w.top, c.CROWDED_LEAST), c.CROWDED_MOST),
        w.full,
        float(w.ciliates),
        (w.ciliates - w.ciliate_habit) * fresh,
        min(w.nh3, c.NH3_MOST),
        w.harvest if day - w.harvest_day <= c.HARVEST_DAYS else 0.0,
        min(stale, c.STALE_MOST),
    )


def logits(x: Sequence[float]) -> tuple[float, ...]:
    """Log odds of a fall by each cause."""
    return tuple([sum([a * b for a, b in zip(x, beta, strict=True)]) for beta in CAUSES.values()])


def chances(by_cause: Sequence[float]) -> list[float]:
    """Chance of a fall by each cause at each frequency."""
    odds = [math.exp(min(max(z, -c.FAR), c.FAR)) for z in by_cause]
    return [one * factor / (1.0 + one * factor) for one in odds for factor in FACTORS]


def speaks(loss: float, error: float) -> float:
    """How much likelier a later `loss` (log, negative) with that standard error is after a fall than without one."""
    z = (c.LOG_FALL - loss) / math.hypot(error, c.SEEN_ERROR)
    constant, under, over, by_error = c.SEEN_FALL
    log_odds = constant + (under if z < 0.0 else over) * z + by_error * error
    return math.exp(min(max(log_odds, c.SEEN_LEAST), c.SEEN_MOST))


def lesson(by_cause: Sequence[float], ratio: float) -> list[float]:
    """Log of how well each cause at each frequency foretold one morning, tempered."""
    return [c.LESSON_WEIGHT * math.log1p(p * (ratio - 1.0)) for p in chances(by_cause)]


@dataclass(frozen=True)
class Taught:
    """What the mornings of some vessels taught: log weights of causes, and (mornings, falls) per band of chance."""

    log_weights: tuple[float, ...] = ()
    tally: tuple[tuple[float, float], ...] = ()

    def __add__(self, other: Taught) -> Taught:
        return Taught(_sum(self.log_weights, other.log_weights), _sum_pairs(self.tally, other.tally))

    @cached_property
    def weights(self) -> tuple[float, ...]:
        """Weights of causes and frequencies that add up to 1."""
        logs = [a + b for a, b in zip(PRIOR, self.log_weights, strict=True)] if self.log_weights else PRIOR
        most = max(logs)
        found = [math.exp(v - most) for v in logs]
        total = sum(found)
        return tuple(
            [(1.0 - c.LEAST_OPEN) * v / total + c.LEAST_OPEN * math.exp(p) for v, p in zip(found, PRIOR, strict=True)]
        )

    def chance(self, by_cause: Sequence[float]) -> float:
        """The chance of a fall within three days."""
        return sum([w * p for w, p in zip(self.weights, chances(by_cause), strict=True)])

    def followed(self, chance: float) -> tuple[float, float]:
        """Mornings here at about this chance, and how many of them were followed by a fall, as far as counts tell."""
        return self.tally[band(chance)] if self.tally else (0.0, 0.0)


def band(chance: float) -> int:
    """In which band of chance a morning is tallied."""
    return sum(chance >= b for b in c.BANDS)


def _sum(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    return tuple([a + b for a, b in zip(one, other, strict=True)]) if one and other else one or other


def _sum_pairs(
    one: tuple[tuple[float, float], ...], other: tuple[tuple[float, float], ...]
) -> tuple[tuple[float, float], ...]:
    if not one or not other:
        return one or other
    return tuple([(a + x, b + y) for (a, b), (x, y) in zip(one, other, strict=True)])


UNTAUGHT = Taught()


def shares(x: Sequence[float], taught: Taught) -> dict[str, float]:
    """By how much each sign raises the log odds over those of a calm culture, averaged over the likely causes."""
    step = len(SHIFTS)
    weights = [sum(taught.weights[k * step : (k + 1) * step]) for k in range(len(CAUSES))]
    found = {}
    calm = [c.CALM[name] for name in NUMBERS]
    by = {name: k for k, name in enumerate(NUMBERS)}
    for sign, members in SIGNS.items():
        places = [by[m] for m in members]
        found[sign] = sum(
            w * sum(beta[k] * (x[k] - calm[k]) for k in places)
            for w, beta in zip(weights, CAUSES.values(), strict=True)
        )
    return found
