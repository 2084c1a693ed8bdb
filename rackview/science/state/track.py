"""The estimate as it was believed over the past, for trend lines."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rackview.core.dataclass import dataclass
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.science.state import belief as bel
from rackview.science.state import normal
from rackview.science.state.estimate import Estimate
from rackview.science.state.growth import Prior
from rackview.science.state.held import reckon

LEVELS = (0.05, 0.5, 0.95)


@dataclass(frozen=True, eq=False)
class Track:
    """Density per mL at `days` (days since 1970-01-01T00:00Z): median and 90 % band; NaN where unknown."""

    days: NDArray[np.float64]
    low90: NDArray[np.float64]
    median: NDArray[np.float64]
    high90: NDArray[np.float64]


def track(log: Node, profile: StrainProfile, from_day: float, to_day: float, steps: int) -> Track:
    """The estimate at `steps` moments from `from_day` to `to_day`, each with what was recorded up to then."""
    days = np.linspace(from_day, to_day, steps)
    return track_of(days, estimates(log, profile, days.tolist()))


def track_of(days: NDArray[np.float64], believed: Sequence[Estimate]) -> Track:
    """The densities of these estimates, one for each day."""
    bands = np.full((len(LEVELS), len(days)), np.nan)
    for i, one in enumerate(believed):
        if one.belief.held is not None:
            bands[:, i] = np.exp(normal.quantiles(*bel.components(one.belief.held.numbers), LEVELS))
        elif one.belief.state == bel.EMPTY:
            bands[:, i] = 0.0
    return Track(days, *bands)


def estimates(log: Node, profile: StrainProfile, days: Sequence[float]) -> list[Estimate]:
    """The estimate on each of these days, in rising order, each with what was recorded up to then.

    The history is gone through once, however many days are asked for.
    """
    prior = Prior.of(profile)
    key, start, step = bel.folding(prior)
    nodes = [n for n in log.upto(days[-1]).back(days[0]) if n.day > days[0]]
    nodes.reverse()
    belief = bel.believe(log.upto(days[0]), profile)
    found = []
    done = 0
    for day in days:
        while done < len(nodes) and nodes[done].day <= day:
            other = nodes[done].partner
            belief = step(belief, nodes[done], None if other is None else other.fold(key, start, step))
            done += 1
        found.append(Estimate(belief.at(prior, day), prior))
    # the newest first: its steps pass by all others, which then are one step off them and are taken side by side
    reckon(one.belief.held for one in reversed(found) if one.belief.held is not None)
    return found
