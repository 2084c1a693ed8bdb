"""One vessel watched: a small filter for its density, and what is usual for each sign at that density.

Few eggs are to be expected of a crowded culture, and slow swimming of one that was always slow; what counts is how far
a look departs from that. All is carried along as plain numbers, one step per event.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import fields
from functools import lru_cache
from operator import attrgetter
from typing import Any

from rackview.core.dataclass import dataclass
from rackview.core.events import CILIATES, Count, Reading
from rackview.core.profile import StrainProfile
from rackview.science.ammonia import unionised_fraction
from rackview.science.risk import constants as c

Pending = tuple[float, tuple[float, ...], float, float, float, float]
"""A morning whose outcome is open: its day, its logits by cause, best log density since with its standard error,
deepest loss since with its standard error."""
Look = tuple[float, tuple[str, ...], tuple[float, ...], tuple[float, ...]]
"""A look at the present culture: its day, the events that were it, its numbers and its logits by cause."""


@dataclass(slots=True)
class Watch:
    """What is known of one vessel. Days are days since 1970-01-01T00:00Z, densities logs of animals per mL.

    `x`, `u` are log density and passing growth per day with their covariance `paa`, `pxu`, `puu`; `top` the log density
    it is thought to bear; `shift` sums what harvests and water did. Departures `egg_e`, `swim_e`, `count_e` add up and
    fade. `taught` and `tally` are what its mornings taught (see `model.Taught`), `before` the same without the newest
    look's lessons, which came at `taught_day`. Treat as read-only; `copy` gives one that may be changed.
    """

    full_l: float
    level_l: float
    rate: float
    temperature_c: float
    few_eggs_tell: bool
    """Whether the share with eggs tells by itself and not against the vessel's habit alone: in rotifers."""
    day: float = -math.inf
    # density
    x: float | None = None
    u: float = 0.0
    paa: float = 0.0
    pxu: float = 0.0
    puu: float = c.PASSING_SD**2
    top: float | None = None
    full: float = 0.0
    shift: float = 0.0
    counts: int = 0
    count_e: float = 0.0
    count_cv2: float = c.COUNT_CV**2
    count_weight: float = c.COUNT_CV_WEIGHT
    harvest: float = 0.0
    harvest_day: float = -math.inf
    look_day: float | None = None
    # eggs: habit and slope with their covariance, spread, the newest log odds and departure
    egg_a: float = c.EGG_HABIT
    egg_b: float = c.EGG_SLOPE
    egg_pa: float = c.EGG_PRIOR_SD**2
    egg_pab: float = 0.0
    egg_pb: float = c.EGG_PRIOR_SD**2
    egg_var: float = c.EGG_SD**2
    egg_looks: int = 0
    egg_odds: float | None = None
    egg_z: float = 0.0
    egg_e: float = 0.0
    # swimming, ciliates, ammonia
    swim: float | None = None
    swim_e: float = 0.0
    swim_habit: float = c.SWIM_HABIT
    swim_weight: float = c.SWIM_WEIGHT
    swim_var: float = c.SWIM_SD**2
    ciliates: int = 0
    ciliate_habit: float = c.CILIATE_HABIT
    ciliate_weight: float = c.CILIATE_WEIGHT
    nh3: float = 0.0
    # mornings
    looks: tuple[Look, ...] = ()
    pending: tuple[Pending, ...] = ()
    taught: tuple[float, ...] = ()
    tally: tuple[tuple[float, float], ...] = ()
    taught_day: float = -math.inf
    before: tuple[tuple[float, ...], tuple[tuple[float, float], ...]] = ((), ())

    @classmethod
    def of(cls, full_l: float, profile: StrainProfile) -> Watch:
        """A vessel of which nothing is known but its volume and strain."""
        rotifer = profile.animal == "rotifer"
        found = cls(full_l, full_l, c.GROWTH_SHARE * profile.rate_per_day, profile.usual_c, rotifer)
        if not rotifer:
            found.egg_pa = c.EGG_PRIOR_OTHER_SD**2
        return found

    def copy(self) -> Watch:
        """A copy that can be changed without changing this one."""
        after: Watch = object.__new__(Watch)
        for name, value in zip(NAMES, ALL(self), strict=True):
            setattr(after, name, value)
        return after

    def begin(self, day: float) -> None:
        """A new culture: what was seen of the old one no longer holds, the vessel's and the keeper's habits do."""
        self.day = day
        self.x = self.look_day = self.egg_odds = self.swim = None
        self.u = self.paa = self.pxu = 0.0
        self.puu = c.PASSING_SD**2
        self.full = self.egg_e = self.egg_z = self.swim_e = self.count_e = 0.0
        self.ciliates, self.nh3, self.harvest, self.harvest_day = 0, 0.0, 0.0, -math.inf
        self.counts, self.looks = 0, ()

    # --- time and water --------------------------------------------------------------------------------------------

    def to(self, day: float) -> None:
        """Carry all to a later day; without a density, time alone passes."""
        dt = day - self.day
        if dt <= 0.0:
            return
        self.day = day
        if self.x is None or self.top is None:
            return
        part = math.exp(min(self.x - self.top, 0.5))
        keep = math.exp(-dt / c.PASSING_DAYS)
        self.x += (self.rate * (1.0 - part) + self.u) * min(dt, c.STEP_DAYS)
        self.u *= keep
        self.paa += dt * (2.0 * self.pxu + dt * self.puu + c.DAY_SD**2)
        self.pxu = keep * (self.pxu + dt * self.puu)
        self.puu = keep * keep * self.puu + c.PASSING_SD**2 * (1.0 - keep * keep)
        fades = math.exp(-dt / c.FULL_DAYS)
        over = min(max((part - c.NEAR_TOP) / c.FULL_WIDTH, 0.0), c.FULL_MOST)
        self.full = self.full * fades + (1.0 - fades) * c.FULL_DAYS * over
        fades = math.exp(-dt / c.MEMORY_DAYS)
        self.egg_e *= fades
        self.swim_e *= fades
        self.count_e *= fades
        self.top -= c.TOP_FADES * dt

    def take(self, volume_l: float, refill_l: float, day: float) -> None:
        """Culture out and animal-free water in."""
        self.to(day)
        before = self.level_l
        if before > 0.0:
            self.harvest, self.harvest_day = min(volume_l / before, c.MOST_TAKEN), day
        self.level_l = max(before - volume_l, 0.0)
        self.add(refill_l, day)

    def add(self, volume_l: float, day: float) -> None:
        """Animal-free water in; what goes in beyond the full level made good what had evaporated."""
        self.to(day)
        room = min(volume_l, max(self.full_l - self.level_l, 0.0))
        if room > 0.0 and self.level_l > 0.0:
            thinner = math.log(self.level_l / (self.level_l + room))
            self.shift += thinner
            if self.x is not None:
                self.x += thinner
        self.level_l += room

    # --- looks -----------------------------------------------------------------------------------------------------

    def count(self, event: Count, day: float, profile: StrainProfile) -> None:
        """Take in a count and what was seen with it."""
        self.to(day)
        if event.stage == "all" and event.looked_at_ml > 0.0:
            self._density(math.log(max(event.animals, 0.5) / event.looked_at_ml), max(event.animals, 1), profile)
        if self.x is None or self.top is None:
            return
        if event.females_checked and event.females_checked >= c.LEAST_CHECKED and event.with_eggs is not None:
            self._eggs(min(event.with_eggs, event.females_checked), event.females_checked, self.x - self.top)
        if event.swimming is not None:
            self._swimming(float(event.swimming))
        if event.ciliates:
            self.ciliates = CILIATES.index(event.ciliates)
            self.ciliate_weight = min(self.ciliate_weight + 1.0, c.HABIT_MOST)
            self.ciliate_habit += (self.ciliates - self.ciliate_habit) / self.ciliate_weight
        self.look_day = day

    def _density(self, y: float, animals: float, profile: StrainProfile) -> None:
        noise = self.count_cv2 + 1.0 / animals
        self.counts += 1
        if self.x is None:
            self.x, self.paa, self.pxu = y, noise, 0.0
            if self.top is None:
                middle = 0.5 * math.log(max(profile.band_low_per_ml * profile.band_high_per_ml, 1e-12))
                self.top = max(middle, y) + c.TOP_ABOVE
            return
        off, var = y - self.x, self.paa + noise
        z = off / math.sqrt(var)
        self.count_e += max(min(z, c.COUNT_MOST), c.COUNT_LEAST)
        if abs(z) < c.SURPRISE:
            self.count_weight = min(self.count_weight + 1.0, c.COUNT_MEMORY)
            cv2 = self.count_cv2 + c.COUNT_LEARNS * (c.COUNT_UNSEEN * off * off - var) / self.count_weight
            self.count_cv2 = min(max(cv2, c.COUNT_CV_LEAST**2), c.COUNT_CV_MOST**2)
        elif z > 0.0:
            noise += off * off / c.SLIP_NOISE
        else:
            noise += off * off / c.LOW_NOISE
            self.paa += off * off / c.LOW_DOUBT
        var = self.paa + noise
        gain, gain_u = self.paa / var, self.pxu / var
        self.x += gain * off
        self.u += max(min(gain_u * off, c.PASSING_STEP), -c.PASSING_STEP)
        self.puu = max(self.puu - gain_u * self.pxu, c.PASSING_VAR_LEAST)
        self.paa *= 1.0 - gain
        self.pxu *= 1.0 - gain
        self.top = self.x if self.top is None else max(self.top, self.x)

    def _eggs(self, found: int, looked_at: int, crowd: float) -> None:
        """The log odds against habit and crowding, by recursive least squares; far departures teach less."""
        missed = looked_at - found
        y = math.log((found + 0.5) / (missed + 0.5))
        at = max(crowd, c.EGG_CROWD_LEAST) + 0.5
        pa, pb = self.egg_pa + self.egg_pab * at, self.egg_pab + self.egg_pb * at
        var = pa + pb * at + self.egg_var + c.EGG_NOISE * (1.0 / (found + 0.5) + 1.0 / (missed + 0.5))
        off = y - self.egg_a - self.egg_b * at
        z = off / math.sqrt(var)
        self.egg_odds, self.egg_z = y, max(min(z, c.EGG_MOST), -c.EGG_MOST)
        self.egg_e += self.egg_z
        less = 1.0 if z > -c.EGG_FAR else -c.EGG_FAR / z
        ka, kb = pa / var * less, pb / var * less
        self.egg_a += ka * off
        self.egg_b = min(max(self.egg_b + kb * off, c.EGG_SLOPE_LEAST), c.EGG_SLOPE_MOST)
        self.egg_pa += c.EGG_DRIFT[0] - ka * pa
        self.egg_pab -= ka * pb
        self.egg_pb += c.EGG_DRIFT[1] - kb * pb
        self.egg_looks += 1
        told = min(off * off, c.EGG_TOLD_MOST * var) * self.egg_var / var
        self.egg_var += (told - self.egg_var) / (min(self.egg_looks, c.EGG_LOOKS_MOST) + c.EGG_SD_WEIGHT)

    def _swimming(self, score: float) -> None:
        off = score - self.swim_habit
        self.swim = score
        self.swim_e += max(min(off / math.sqrt(self.swim_var + c.SWIM_NOISE), c.SWIM_MOST), c.SWIM_LEAST)
        self.swim_weight = min(self.swim_weight + 1.0, c.HABIT_MOST)
        less = 1.0 if off > c.SWIM_FAR else c.SWIM_LESS
        self.swim_habit += less * off / self.swim_weight
        self.swim_var += (
            less * (min(off * off, c.SWIM_TOLD_MOST) - self.swim_var) / (self.swim_weight + c.SWIM_VAR_WEIGHT)
        )

    def reading(self, event: Reading) -> None:
        """Take in ammonia, at pH 8 and the temperature known where none was read."""
        if event.temperature_c is not None:
            self.temperature_c = event.temperature_c
        if event.tan_mg_l is None:
            return
        warm = _within(self.temperature_c, c.CELSIUS_WITHIN)
        ph = _within(c.USUAL_PH if event.ph is None else event.ph, c.PH_WITHIN)
        self.nh3 = math.log1p(event.tan_mg_l * _unionised(ph, warm) / c.NH3_UNIT_MG_L)

    def expected_egg_share(self) -> float:
        """The share of females with eggs that this vessel usually shows at its density now."""
        crowd = 0.0 if self.x is None or self.top is None else min(max(self.x - self.top, c.EGG_CROWD_LEAST), 0.5)
        return 1.0 / (1.0 + math.exp(-self.egg_a - self.egg_b * (crowd + 0.5)))


def _within(value: float, bounds: tuple[float, float]) -> float:
    return min(max(value, bounds[0]), bounds[1])


@lru_cache(maxsize=1024)
def _unionised(ph: float, temperature_c: float) -> float:
    return float(unionised_fraction(ph, temperature_c, c.SALINITY))


NAMES = tuple(f.name for f in fields(Watch))
ALL: Callable[[Any], tuple[Any, ...]] = attrgetter(*NAMES)
