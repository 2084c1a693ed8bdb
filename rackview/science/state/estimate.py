"""The estimate: what is in a vessel now, how fast it grows, and how sure that is."""

from __future__ import annotations

import math
from functools import cached_property

import numpy as np

from rackview.core.assessment import Interval
from rackview.core.dataclass import dataclass
from rackview.core.events import Count
from rackview.core.log import Node
from rackview.core.outlook import Outlook
from rackview.core.profile import StrainProfile
from rackview.language import _
from rackview.science.fecundity import ROTIFER_CLUTCH, births_from_share
from rackview.science.state import constants as c
from rackview.science.state import filter as kalman
from rackview.science.state import hunger, members, normal, signs
from rackview.science.state.belief import EMPTY, Belief, begin_culture, believe, components
from rackview.science.state.growth import Prior
from rackview.science.state.held import Held
from rackview.science.state.model import SOUND
from rackview.science.state.normal import Components

MIDDLE, ENDS = (0.5,), (0.05, 0.95)
"""Levels of the median and of the ends of the 90 % interval."""
Z90 = normal.probit(0.95)
LEVEL = 0.95
"""Confidence of what one count tells, unless another is asked for."""


@dataclass(frozen=True, repr=False)
class Estimate:
    """What is believed of one vessel at one moment; None where nothing is known.

    Densities are animals per mL, rates per day. It is a belief and the strain's prior; all else is read from those
    two, when it is first asked for and then once, as few readers want it all.
    """

    belief: Belief
    prior: Prior

    def __repr__(self) -> str:
        return _("Estimate(density_per_ml={density_per_ml}, net_per_day={net_per_day}, level_l={level_l})").format(
            density_per_ml=self.density_per_ml, net_per_day=self.net_per_day, level_l=self.level_l
        )

    @cached_property
    def density_per_ml(self) -> Interval | None:
        """Animals per mL."""
        median = self.median_per_ml
        if median is None or self.belief.held is None:
            return None if median is None else Interval(0.0, 0.0, 0.0)
        return Interval(median, *map(math.exp, normal.quantiles(*self._ahead(0.0), ENDS)))

    @cached_property
    def median_per_ml(self) -> float | None:
        """The median of `density_per_ml`, which is all that most readers want of it."""
        if self.belief.held is None:
            return 0.0 if self.belief.state == EMPTY else None
        return math.exp(normal.quantiles(*self._ahead(0.0), MIDDLE)[0])

    @cached_property
    def net_per_day(self) -> Interval | None:
        """Births less losses."""
        median, net = self.median_net_per_day, self._net
        return None if median is None or net is None else Interval(median, *normal.quantiles(*net, ENDS))

    @cached_property
    def median_net_per_day(self) -> float | None:
        """The median of `net_per_day`, which is all that most readers want of it."""
        return None if self._net is None else normal.quantiles(*self._net, MIDDLE)[0]

    @cached_property
    def _net(self) -> Components | None:
        """Births less losses, per day."""
        numbers = self.belief.numbers
        if numbers is None:
            return None
        warmth = self.prior.warmth(self.belief.temperature(self.prior))
        rates, to = kalman.growth(self.prior.model, numbers.now, np.array([warmth]))
        var = kalman.spread_of(numbers.now, to)
        starving, sd = hunger.rate(self.hungry_days)
        if starving:
            rates[:SOUND] += starving
            var[:SOUND] += sd * sd
        return numbers.now.w[:, 0].tolist(), rates[:, 0].tolist(), np.sqrt(var[:, 0]).tolist()

    @property
    def birth_per_day(self) -> Interval | None:
        """Births, from the eggs of rotifers where they are looked at."""
        return None if self._turnover is None else self._turnover[0]

    @property
    def loss_per_day(self) -> Interval | None:
        """Losses, from the strain's life span where births are not known."""
        return None if self._turnover is None else self._turnover[1]

    @cached_property
    def ceiling_per_ml(self) -> float | None:
        """The density at which growth would stop."""
        numbers = self.belief.numbers
        if numbers is None:
            return None
        usual = self.prior.ceiling
        top = max(usual + c.CEILING_WITHIN, float(numbers.more[members.PEAK, 0]))
        found = np.clip(kalman.ceilings(self.prior.model, numbers.now), usual - c.CEILING_WITHIN, top)
        return math.exp(float((numbers.now.w * found).sum()))

    @property
    def level_l(self) -> float:
        """Water in the vessel, L."""
        return self.belief.water.level_l

    @property
    def ovigerous_share(self) -> float | None:
        """The smoothed share of checked females that carry eggs."""
        return self.belief.eggs

    @property
    def counts_so_far(self) -> int:
        """How many counts the vessel's history holds."""
        return self.belief.counts

    @property
    def aliquot_cv(self) -> float:
        """How much aliquots differ beyond chance, a coefficient of variation."""
        return math.sqrt(self.belief.aliquot_cv2)

    @property
    def surprise(self) -> float:
        """By how much the variance of what was foretold of this vessel's next counts was found too small."""
        numbers = self.belief.numbers
        return 1.0 if numbers is None else float(members.spreads(numbers.more)[0, 0])

    @property
    def collapse_chance(self) -> float:
        """Probability that the culture is failing."""
        numbers = self.belief.numbers
        return 0.0 if numbers is None else float(numbers.now.w[SOUND:].sum())

    @property
    def miscount_chance(self) -> float:
        """Probability that the newest count was a slip, from `RECOUNT` on worth a recount."""
        numbers = self.belief.numbers
        return 0.0 if numbers is None else float(numbers.more[members.SLIP, 0])

    @property
    def hungry_days(self) -> float:
        """Days without food so far, by the record."""
        return self.belief.hungry_days(self.belief.day)

    @property
    def newest_count(self) -> Count | None:
        """The newest count."""
        return self.belief.last_count

    @cached_property
    def outlook(self) -> Outlook | None:
        """The culture as a few numbers for whoever looks ahead; None where nothing is known of one."""
        from rackview.science.state.outlook import outlook_of

        return outlook_of(self)

    def counted(self, count: Count, level: float = LEVEL) -> tuple[float, float, float]:
        """Density that one count alone tells, animals per mL, and the ends of its interval at that confidence.

        The interval is that of the scatter between aliquots as far as this vessel has shown it.
        """
        from rackview.science.state.scatter import density_interval

        return density_interval(count.animals, count.looked_at_ml, count.aliquots, self.aliquot_cv, level)

    @property
    def highest_per_ml(self) -> float | None:
        """The highest density this culture was begun or counted at; None if it never held an animal that was seen."""
        numbers = self.belief.numbers
        peak_log_density = -math.inf if numbers is None else float(numbers.more[members.PEAK, 0])
        return None if peak_log_density == -math.inf else math.exp(peak_log_density)

    def chance_below(self, floor_per_ml: float, days: float) -> float:
        """Probability that the density is under `floor_per_ml` in `days` days if nothing is done."""
        if self.belief.state == EMPTY:
            return 1.0
        return normal.below(math.log(max(floor_per_ml, c.TINY)), *self._ahead(days))

    def _ahead(self, days: float) -> Components:
        """The log density in `days` days, of an unknown culture as the profile expects it.

        Remembered, as one floor is seldom the only one asked about.
        """
        if days not in self._known:
            self._known[days] = components(self.held_in(days).numbers)
        return self._known[days]

    @cached_property
    def _known(self) -> dict[float, Components]:
        return {}

    def held_in(self, days: float) -> Held:
        """What is held of the vessel in `days` days if nothing is done, reckoned when it is asked for or beside others.

        Of an unknown culture it is what the profile expects.
        """
        if days not in self._held:
            now = self.belief.held or begin_culture(self.prior, self.belief, self.prior.start, c.UNKNOWN_SD)
            if days > 0.0:
                now = self.belief._replace(held=now).carried(self.prior, days) or now
            self._held[days] = now
        return self._held[days]

    @cached_property
    def _held(self) -> dict[float, Held]:
        return {}

    @cached_property
    def _turnover(self) -> tuple[Interval, Interval] | None:
        return None if self.net_per_day is None else _turnover(self.belief, self.prior, self.net_per_day)


def estimate(log: Node, profile: StrainProfile, day: float) -> Estimate:
    """What the history says of the vessel at `day` (days since 1970-01-01T00:00Z), given the strain's profile."""
    prior, head = Prior.of(profile), log.upto(day)
    return Estimate(believe(head, profile).at(prior, day), prior)


def _turnover(belief: Belief, prior: Prior, net: Interval) -> tuple[Interval, Interval]:
    """Births and losses per day: births from eggs where they are looked at, else losses from the strain's life span.

    What one does not say follows from the net rate; neither can be below nothing. Of copepods eggs say nothing here:
    nauplii are counted among the animals, and how many of those are females is not.
    """
    spread = (net.high90 - net.low90) / 2.0
    if belief.eggs is None or not prior.rotifer:
        usual, wide = prior.loss, c.LOSS_SPREAD * prior.loss
        middle = max(usual, -net.median)
        loss = _interval(middle, math.hypot(wide, spread if middle > usual else 0.0))
        return _interval(net.median + middle, math.hypot(wide, spread)), loss
    days = signs.hatching_days(belief.temperature(prior), prior.rotifer)
    share, n = belief.eggs, max(belief.eggs_weight, 1.0)
    clutch, times = (ROTIFER_CLUTCH.value, c.CLUTCH_SPREAD) if belief.clutch is None else (belief.clutch, 1.0)
    clutch = min(clutch, c.CLUTCH_MOST)
    low, born, high = births_from_share(share, days, clutch, times)
    eggs_var = max(share * (1.0 - share), c.LEAST_EGGS_VAR) * clutch**2 + share * clutch
    se = math.sqrt(eggs_var / n) / ((1.0 + share * clutch) * days)
    middle = max(born, net.median, 0.0)
    wide = Z90 * math.hypot(se, c.EGG_TIME_CV * middle)
    under, over = math.hypot(wide, born - low), math.hypot(wide, high - born)
    births = _interval(middle, under, over)
    return births, _interval(middle - net.median, math.hypot(under, spread), math.hypot(over, spread))


def _interval(middle: float, under: float, over: float | None = None) -> Interval:
    middle = max(middle, 0.0)
    return Interval(middle, max(middle - under, 0.0), middle + (under if over is None else over))
