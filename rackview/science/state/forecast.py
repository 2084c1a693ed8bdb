"""The forecast: true densities in the days ahead, as quantiles, given planned actions."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rackview.core.events import Event
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.science.state import belief as bel
from rackview.science.state import normal
from rackview.science.state.growth import Prior
from rackview.science.state.pool import Pool, informed


def project(
    log: Node,
    profile: StrainProfile,
    day: float,
    days: Sequence[float],
    quantiles: Sequence[float],
    actions: Sequence[Event] = (),
    pool: Pool | None = None,
) -> NDArray[np.float64]:
    """Quantiles of the true density, animals per mL, `days` days after `day`.

    `actions` are planned events at or after `day`. A vessel known to be empty gives zeros; one that was never
    counted gives what the strain's profile expects of any culture. `pool` adds what the rack's vessels of the strain
    have taught each other. Shape (len(days), len(quantiles)).
    """
    course = Course(log, profile, day, pool)
    planned = sorted(actions, key=Event.order)
    found = np.zeros((len(days), len(quantiles)))
    done = 0
    for row in np.argsort(np.asarray(days, dtype=float), kind="stable"):
        then = day + float(days[row])
        while done < len(planned) and planned[done].day <= then:
            course.do(planned[done])
            done += 1
        found[row] = course.densities(then, quantiles)
    return found


class Course:
    """The days ahead of one vessel, gone through once: it is asked and told of actions in order of time."""

    def __init__(self, log: Node, profile: StrainProfile, day: float, pool: Pool | None = None) -> None:
        self._prior = Prior.of(profile)
        self._node = log.upto(day)
        now = bel.believe(self._node, profile).at(self._prior, day)
        told = informed(self._prior, now, pool, log.vessel.vessel)
        self._belief = told._replace(fed=None)  # from here on they are fed as usual

    def do(self, action: Event) -> None:
        """Let an action of this vessel alone be done when it is planned for."""
        self._node = Node(self._node.vessel, action, self._node)
        self._belief = bel.step(self._prior, self._belief, self._node, None)

    def densities(self, day: float, quantiles: Sequence[float]) -> list[float]:
        """Quantiles of the true density per mL at a day, not before the last that was asked about."""
        prior = self._prior
        belief = self._belief = self._belief.at(prior, day)
        held = belief.held
        if held is None and belief.state == bel.UNKNOWN:
            held = bel.begun(prior, belief, prior.start, bel.UNKNOWN_SD)
        if held is None:
            return [0.0] * len(quantiles)
        levels = [min(max(float(q), 1e-9), 1.0 - 1e-9) for q in quantiles]
        return [math.exp(x) for x in normal.quantiles(*held.components, levels)]
