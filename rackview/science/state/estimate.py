"""The estimate: what is in a vessel now, how fast it grows, and how sure that is."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from rackview.core.assessment import Interval
from rackview.core.events import Count
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.science.state import kernel
from rackview.science.state.belief import EMPTY, UNKNOWN_SD, Belief, believe
from rackview.science.state.growth import Prior

if TYPE_CHECKING:
    from rackview.science.counts import CountDensity

Z90 = 1.6448536269514722


@dataclass(frozen=True)
class Estimate:
    """What is believed of one vessel at one moment; None where nothing is known.

    Densities are animals per mL, rates per day, `level_l` is the water in the vessel, L. `egg_ratio` is the smoothed
    share of checked females that carry eggs. `counts_so_far` counts all counts of the vessel's history.
    `collapse_chance` is the probability of a collapse within two days.
    """

    density_per_ml: Interval | None
    net_per_day: Interval | None
    birth_per_day: Interval | None
    loss_per_day: Interval | None
    ceiling_per_ml: float | None
    level_l: float
    egg_ratio: float | None
    counts_so_far: int
    collapse_chance: float
    newest_count: Count | None = field(repr=False)
    belief: Belief = field(repr=False)
    prior: Prior = field(repr=False)

    @property
    def last_count(self) -> CountDensity | None:
        """Density and interval of the newest count alone."""
        from rackview.science import counts

        c = self.newest_count
        return None if c is None else counts.density(c.tallies, c.aliquot_ml, c.dilution, c.fixative)

    def chance_below(self, floor_per_ml: float, days: float) -> float:
        """Probability that the density is under `floor_per_ml` in `days` days if nothing is done."""
        if self.belief.state == EMPTY:
            return 1.0
        now = self.belief.gauss or kernel.fresh(self.prior, self.prior.start, UNKNOWN_SD)
        gauss = kernel.predict(now, self.prior, days)
        return 0.5 * math.erfc((gauss.x - math.log(max(floor_per_ml, 1e-300))) / math.sqrt(2.0 * gauss.xx))


def estimate(log: Node, profile: StrainProfile, day: float, pool: object = None) -> Estimate:
    """What the history says of the vessel at `day`, given the strain's profile."""
    prior = Prior.of(profile)
    belief = believe(log.upto(day), profile).at(prior, day)
    gauss = belief.gauss
    density = net = birth = loss = None
    if belief.state == EMPTY:
        density = Interval(0.0, 0.0, 0.0)
    if gauss is not None:
        sd = math.sqrt(gauss.xx)
        density = Interval(*(math.exp(gauss.x + z * sd) for z in (0.0, -Z90, Z90)))
        drift = gauss.r - kernel.THETA * (gauss.x - prior.ceiling + 0.5)
        spread = Z90 * math.sqrt(max(gauss.rr + kernel.THETA**2 * gauss.xx - 2 * kernel.THETA * gauss.xr, 0.0))
        net = Interval(drift, drift - spread, drift + spread)
        usual_loss = 0.15
        loss = Interval(max(usual_loss, -drift), 0.0, max(usual_loss, -drift) + spread)
        birth = Interval(*(max(n + loss.median, 0.0) for n in (net.median, net.low90, net.high90)))
    return Estimate(
        density_per_ml=density,
        net_per_day=net,
        birth_per_day=birth,
        loss_per_day=loss,
        ceiling_per_ml=None if gauss is None else math.exp(prior.ceiling),
        level_l=belief.water.level_l,
        egg_ratio=belief.eggs,
        counts_so_far=belief.counts,
        collapse_chance=0.0,
        newest_count=belief.last_count,
        belief=belief,
        prior=prior,
    )
