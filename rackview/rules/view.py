"""What the rules look at: one vessel with its profile, its facts, its estimate and its water at one moment."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import field
from functools import cached_property
from typing import Any, TypeVar

from rackview.core.assessment import Interval, Water
from rackview.core.dataclass import dataclass
from rackview.core.events import Count, Feed
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.core.tables import Stock
from rackview.core.vessel import Vessel
from rackview.rules.care import Care, newest_counts
from rackview.rules.constants import EGG_RATIO_DAYS, USUAL_DRY_G_PER_ML, USUAL_PRECISION, Z90
from rackview.science.risk.model import UNTAUGHT, Taught
from rackview.science.risk.record import Risk, risk
from rackview.science.state.estimate import Estimate, estimate

T = TypeVar("T")


@dataclass(frozen=True)
class View:
    """One vessel at the moment `day`; `today` is the day number of the keeper's last midnight."""

    vessel: Vessel
    profile: StrainProfile
    log: Node
    care: Care
    estimate: Estimate
    water: Water
    day: float
    today: float
    stock: Sequence[Stock] = ()
    precision: float = USUAL_PRECISION
    taught: Taught = UNTAUGHT
    """What the mornings of all vessels with this profile had taught of falls by the keeper's last midnight."""
    memo: dict[Any, Any] = field(default_factory=dict, repr=False, compare=False)
    """What was worked out from this view."""

    def once(self, work: Callable[[View], T]) -> T:
        """What a function says of this view, worked out the first time only."""
        if work not in self.memo:
            self.memo[work] = work(self)
        found: T = self.memo[work]
        return found

    @cached_property
    def stocked(self) -> bool:
        """Whether a culture should be in the vessel."""
        return self.care.use == "stocked"

    @cached_property
    def count_nodes(self) -> list[Node]:
        """The nodes of the newest counts of the present culture, oldest first."""
        return newest_counts(self.log, self.care)

    @cached_property
    def density(self) -> Interval | None:
        """Animals per mL now, where anything is known of a culture."""
        return self.estimate.density_per_ml if self.stocked else None

    @cached_property
    def per_ml(self) -> float | None:
        """The median of `density` alone, which takes a third of the time."""
        return self.estimate.median_per_ml if self.stocked else None

    @cached_property
    def fill(self) -> float:
        """How full the vessel stands, at most 1: what is harvested is made good with new water up to the full level."""
        return min(self.estimate.level_l / self.vessel.volume_l, 1.0)

    @cached_property
    def animals(self) -> float:
        """Animals in the vessel now (median); 0 where nothing is known."""
        return 0.0 if self.per_ml is None else self.per_ml * self.estimate.level_l * 1000.0

    @cached_property
    def risk(self) -> Risk | None:
        """The chance of a fall within three days; None where nothing was ever looked at."""
        return risk(self.log, self.profile, self.day, self.taught) if self.stocked else None

    def below(self, per_ml: float, days: float = 0.0) -> float | None:
        """Probability of a density under `per_ml` in `days` days, or None where nothing is known."""
        if self.per_ml is None:
            return None
        chance = self.estimate.chance_below(per_ml, days)
        return None if math.isnan(chance) else chance

    def dry_g(self, feed: Feed) -> float:
        """Grams of dry matter in a feeding."""
        return dry_g(feed, self.stock)


def dry_g(feed: Feed, stock: Sequence[Stock]) -> float:
    """Grams of dry matter in a feeding, by the stock table; an unlisted liquid counts as a usual concentrate."""
    for one in stock:
        if one.feed == feed.feed and one.dry_g_per_ml:
            return feed.amount * one.dry_g_per_ml
    return feed.amount * (USUAL_DRY_G_PER_ML if feed.unit == "mL" else 1.0)


def chance_under(value: Interval | None, limit: float) -> float | None:
    """Probability that a quantity with this 90 % interval, taken as normal, is under `limit`."""
    if value is None:
        return None
    sd = (value.high90 - value.low90) / (2.0 * Z90)
    if sd <= 0.0:
        return 1.0 if value.median < limit else 0.0
    return 0.5 * math.erfc((value.median - limit) / (sd * math.sqrt(2.0)))


def share_with_eggs(count: Count) -> float | None:
    """Egg-bearing share of the females checked in one count."""
    if not count.females_checked or count.with_eggs is None:
        return None
    return count.with_eggs / count.females_checked


def least_egg_ratio(count: Count) -> float | None:
    """Eggs per female in one count as tallied, else one on each female that carries any: there are at least so many."""
    if count.eggs is None or not count.females_checked:
        return share_with_eggs(count)
    return count.eggs / count.females_checked


def recent_egg_ratio(looks: Sequence[Count], day: float) -> float | None:
    """Eggs per female over the tallies up to three days before the newest; None where no eggs were tallied."""
    tallied = [c for c in looks if c.eggs is not None and c.females_checked and c.day <= day]
    if not tallied:
        return None
    newest = max(c.day for c in tallied)
    together = [c for c in tallied if newest - c.day < EGG_RATIO_DAYS]
    return sum(c.eggs or 0 for c in together) / sum(c.females_checked or 0 for c in together)


def estimate_at(node: Node, profile: StrainProfile) -> Estimate:
    """The estimate just after the node's event."""
    found: Estimate = estimate(node, profile, node.day)
    return found
