"""The estimate as it was believed over the past, for trend lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.science.state import belief as bel
from rackview.science.state import normal
from rackview.science.state.growth import Prior

LEVELS = (0.05, 0.25, 0.5, 0.75, 0.95)


@dataclass(frozen=True, eq=False)
class Track:
    """Density per mL at `days` (days since 1970-01-01T00:00Z): median, 50 % and 90 % band; NaN where unknown."""

    days: NDArray[np.float64]
    low90: NDArray[np.float64]
    low50: NDArray[np.float64]
    median: NDArray[np.float64]
    high50: NDArray[np.float64]
    high90: NDArray[np.float64]


def track(log: Node, profile: StrainProfile, from_day: float, to_day: float, steps: int) -> Track:
    """The estimate at `steps` moments from `from_day` to `to_day`, each with what was recorded up to then."""
    prior = Prior.of(profile)
    key, start, step = bel.folding(prior)
    days = np.linspace(from_day, to_day, steps)
    nodes = [n for n in log.upto(to_day).back(from_day) if n.day > from_day]
    nodes.reverse()
    belief = bel.believe(log.upto(from_day), profile)
    bands = np.full((5, steps), np.nan)
    done = 0
    for i, day in enumerate(days.tolist()):
        while done < len(nodes) and nodes[done].day <= day:
            other = nodes[done].partner
            belief = step(belief, nodes[done], None if other is None else other.fold(key, start, step))
            done += 1
        then = belief.at(prior, day)
        if then.held is not None:
            bands[:, i] = np.exp(normal.quantiles(*bel.components(then.held.numbers), LEVELS))
        elif then.state == bel.EMPTY:
            bands[:, i] = 0.0
    return Track(days, *bands)
