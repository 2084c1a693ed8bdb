"""The forecast: true densities in the days ahead, as quantiles, given planned actions."""

from __future__ import annotations

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
    have taught about the signs' scales. Shape (len(days), len(quantiles)).
    """
    prior = Prior.of(profile)
    node = log.upto(day)
    belief = informed(prior, bel.believe(node, profile).at(prior, day), pool)
    belief = belief._replace(fed=None)  # from here on they are fed as usual
    planned = sorted(actions, key=Event.order)
    levels = [min(max(float(q), 1e-9), 1.0 - 1e-9) for q in quantiles]
    found = np.zeros((len(days), len(quantiles)))
    done = 0
    for row in np.argsort(np.asarray(days, dtype=float), kind="stable"):
        then = day + float(days[row])
        while done < len(planned) and planned[done].day <= then:
            node = Node(log.vessel, planned[done], node)
            belief = bel.step(prior, belief, node, None)
            done += 1
        belief = belief.at(prior, then)
        held = belief.held
        if held is None and belief.state == bel.UNKNOWN:
            held = bel.begun(prior, belief, prior.start, bel.UNKNOWN_SD)
        if held is not None:
            found[row] = np.exp(normal.quantiles(*held.components, levels))
    return found
