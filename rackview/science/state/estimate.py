"""The estimate: what is in a vessel now, how fast it grows, and how sure that is."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from rackview.core.assessment import Interval
from rackview.core.events import Count
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.science.state import mixture, normal
from rackview.science.state.belief import EMPTY, UNKNOWN_SD, Belief, begun, believe, carried, components
from rackview.science.state.growth import Prior
from rackview.science.state.model import MODEL
from rackview.science.state.signs import SIGNS

if TYPE_CHECKING:
    from rackview.science.counts import CountDensity

LEVELS = (0.5, 0.05, 0.95)


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
        now = self.belief.mix
        if now is None:
            now = begun(self.prior, self.belief, self.prior.start, UNKNOWN_SD)
        w, m, sd = components(carried(now, days, self.belief.day, self.belief.seen) if days > 0.0 else now)
        return normal.below(math.log(max(floor_per_ml, 1e-300)), w, m, sd)


def estimate(log: Node, profile: StrainProfile, day: float, pool: object = None) -> Estimate:
    """What the history says of the vessel at `day`, given the strain's profile."""
    prior = Prior.of(profile)
    belief = believe(log.upto(day), profile).at(prior, day)
    mix = belief.mix
    density = net = birth = loss = None
    failing = 0.0
    if belief.state == EMPTY:
        density = Interval(0.0, 0.0, 0.0)
    if mix is not None:
        w, m, sd = components(mix)
        density = Interval(*map(math.exp, normal.quantiles(w, m, sd, LEVELS)))
        push = [one.at(SIGNS[name], belief.day)[0] for name, one in belief.seen]
        rates, variances = mixture.drifts(mix, MODEL.eta, push)
        net = Interval(*normal.quantiles(w, rates, [math.sqrt(v) for v in variances], LEVELS))
        usual_loss = 0.15
        loss = Interval(max(usual_loss, -net.median), 0.0, max(usual_loss, -net.low90))
        birth = Interval(*(max(n + loss.median, 0.0) for n in (net.median, net.low90, net.high90)))
        failing = mix.failing
    return Estimate(
        density_per_ml=density,
        net_per_day=net,
        birth_per_day=birth,
        loss_per_day=loss,
        ceiling_per_ml=None if mix is None else math.exp(prior.ceiling),
        level_l=belief.water.level_l,
        egg_ratio=belief.eggs,
        counts_so_far=belief.counts,
        collapse_chance=failing,
        newest_count=belief.last_count,
        belief=belief,
        prior=prior,
    )
