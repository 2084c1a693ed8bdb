"""The estimate: what is in a vessel now, how fast it grows, and how sure that is."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from rackview.core.assessment import Interval
from rackview.core.events import Count
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.science.state import mixture, normal
from rackview.science.state.belief import EMPTY, UNKNOWN_SD, Belief, begun, believe, carried, components
from rackview.science.state.growth import Prior
from rackview.science.state.mixture import Mixture
from rackview.science.state.model import MODEL
from rackview.science.state.pool import Pool, informed
from rackview.science.state.signs import SIGNS, teaching

if TYPE_CHECKING:
    from rackview.science.counts import CountDensity

LEVELS = (0.5, 0.05, 0.95)
Z90 = 1.6448536269514722
EARLY_SIGN = 0.03
"""Chance of a failing culture from which the early sign is worth a flag (see docs/estimate.md)."""
RECOUNT = 0.5
"""Chance of a miscount from which the newest count is worth repeating."""
EGG_TIME_CV = 0.2
"""How well an egg's time at a temperature is known: the sources differ by about this much."""


@dataclass(frozen=True)
class Estimate:
    """What is believed of one vessel at one moment; None where nothing is known.

    Densities are animals per mL, rates per day, `level_l` is the water in the vessel, L. `ceiling_per_ml` is the
    density at which growth would stop. `egg_ratio` is the smoothed share of checked females that carry eggs.
    `counts_so_far` counts the counts of the vessel's history. `collapse_chance` is the probability that the culture
    is failing, from `EARLY_SIGN` on worth a flag; `miscount_chance` that the newest count was a slip, from `RECOUNT`
    on worth a recount. `growth_per_day` is the growth learned for an uncrowded day at this vessel's own temperature
    with its standard deviation, `scatter` the coefficient of variation between this keeper's aliquots beyond chance.
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
    miscount_chance: float
    growth_per_day: tuple[float, float] | None
    scatter: float
    newest_count: Count | None = field(repr=False)
    belief: Belief = field(repr=False)
    prior: Prior = field(repr=False)
    _ahead: dict[float, tuple[Any, ...]] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def last_count(self) -> CountDensity | None:
        """Density and interval of the newest count alone."""
        from rackview.science import counts

        c = self.newest_count
        return None if c is None else counts.density(c.tallies, c.aliquot_ml, c.dilution, c.fixative)

    @property
    def recount(self) -> bool:
        """Whether the newest count fits so badly that it is worth repeating before acting on it."""
        return self.miscount_chance > RECOUNT

    def chance_below(self, floor_per_ml: float, days: float) -> float:
        """Probability that the density is under `floor_per_ml` in `days` days if nothing is done."""
        if self.belief.state == EMPTY:
            return 1.0
        if days not in self._ahead:
            now = self.belief.mix
            if now is None:
                now = begun(self.prior, self.belief, self.prior.start, UNKNOWN_SD)
            if days > 0.0:
                now = carried(self.prior.model, now, days, self.belief.day, self.belief.seen)
            self._ahead[days] = components(now)
        return normal.below(math.log(max(floor_per_ml, 1e-300)), *self._ahead[days])


def estimate(log: Node, profile: StrainProfile, day: float, pool: Pool | None = None) -> Estimate:
    """What the history says of the vessel at `day` (days since 1970-01-01T00:00Z), given the strain's profile.

    `pool` adds what the rack's other vessels have taught about the signs (see `pool.pooled`).
    """
    prior = Prior.of(profile)
    belief = informed(prior, believe(log.upto(day), profile).at(prior, day), pool)
    mix = belief.mix
    density = net = birth = loss = ceiling = growth = None
    if belief.state == EMPTY:
        density = Interval(0.0, 0.0, 0.0)
    if mix is not None:
        density = Interval(*map(math.exp, normal.quantiles(*components(mix), LEVELS)))
        net = _net(belief, mix)
        birth, loss = _turnover(belief, prior, net)
        ceiling = math.exp(mixture.ceiling(mix, MODEL.eta, prior.ceiling))
        growth = mixture.growth(mix)
    return Estimate(
        density_per_ml=density,
        net_per_day=net,
        birth_per_day=birth,
        loss_per_day=loss,
        ceiling_per_ml=ceiling,
        level_l=belief.water.level_l,
        egg_ratio=belief.eggs,
        counts_so_far=belief.counts,
        collapse_chance=0.0 if mix is None else mix.failing,
        miscount_chance=belief.miscount,
        growth_per_day=growth,
        scatter=math.sqrt(belief.aliquot_cv2),
        newest_count=belief.last_count,
        belief=belief,
        prior=prior,
    )


def _net(belief: Belief, mix: Mixture) -> Interval:
    push = [one.at(SIGNS[name], belief.day)[0] for name, one in teaching(belief.seen)]
    rates, variances = mixture.drifts(mix, MODEL.eta, push)
    weights, _, _ = mixture.levels(mix)
    return Interval(*normal.quantiles(weights, rates, [math.sqrt(v) for v in variances], LEVELS))


def _turnover(belief: Belief, prior: Prior, net: Interval) -> tuple[Interval, Interval]:
    """Births and losses per day: births from eggs where they are counted, else losses from the strain's life span.

    What one does not say follows from the net rate; neither can be below nothing.
    """
    spread = (net.high90 - net.low90) / 2.0
    seen = dict(belief.seen).get("eggs")
    if seen is None:
        usual, wide = prior.loss, 0.6 * prior.loss
        middle = max(usual, -net.median)
        loss = _interval(middle, math.hypot(wide, spread if middle > usual else 0.0))
        return _interval(net.median + middle, math.hypot(wide, spread)), loss
    e, var = seen.at(SIGNS["eggs"], belief.day)
    middle = max(seen.habit + e, net.median, 0.0)
    wide = Z90 * math.hypot(math.sqrt(var), EGG_TIME_CV * middle)
    return _interval(middle, wide), _interval(middle - net.median, math.hypot(wide, spread))


def _interval(middle: float, spread: float) -> Interval:
    middle = max(middle, 0.0)
    return Interval(middle, max(middle - spread, 0.0), middle + spread)
