"""What else a keeper sees: swimming, ciliates, ammonia, temperature, eggs.

Each sign but eggs is followed on its own as a departure from the vessel's habit. What it says of a collapse enters as a
likelihood ratio between the two regimes. Eggs are turned into births per day, which the filter compares with the growth
that it expects of this density, harvest and temperature: a dense culture with few eggs is crowded, not sick.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

from rackview.core import events as ev
from rackview.core.dataclass import dataclass
from rackview.science import ammonia, development
from rackview.science.state import constants as c


@dataclass(frozen=True, slots=True)
class Sign:
    """One kind of sign.

    `habit` is what is usual before the vessel has told, worth `habit_weight` looks; its departures have the variance
    `var` before the vessel has told. In a collapse it departs by `failing` on average, at once or, where that is
    `slow`, by and by: then only what is new since the look before, of error `error`, speaks of one.
    """

    habit: float
    habit_weight: float
    var: float
    failing: float = 0.0
    slow: bool = False
    error: float = 0.0


SIGNS = {
    "swimming": Sign(4.0, 2.0, 0.4, c.SWIMMING_FALL),
    "ciliates": Sign(0.2, 2.0, 0.27, 1.5, slow=True, error=0.4),
    "ammonia": Sign(0.2, 2.0, 0.09, 0.5, slow=True, error=0.2),
    "temperature": Sign(25.0, 3.0, 1.0),
}
"""Priors of the signs: common practice, no source, with a spread that the vessel's own looks soon overrule."""


class SignState(NamedTuple):
    """One sign as followed at one vessel: habit and its weight in looks, the newest value and its day.

    `spread` is the variance of its departures, as far as the looks so far have told.
    """

    habit: float
    weight: float
    last: float
    day: float
    spread: float


def look(kind: Sign, seen: SignState, day: float, value: float) -> tuple[SignState, float]:
    """Take in one look; returns the sign as followed and the log-likelihood ratio of a collapse against none."""
    habit, weight, last, then, spread = seen
    departed, ratio = value - habit, 0.0
    if kind.slow:
        by = kind.failing * -math.expm1((then - day) / c.SLOW_DAYS)
        ratio = by * (value - last - 0.5 * by) / (2.0 * kind.error**2 + c.SLOW_SPREAD * spread)
    elif kind.failing:
        ratio = kind.failing * (departed - 0.5 * kind.failing) / spread
    looks = weight - kind.habit_weight + 1.0
    spread += (min(departed * departed, c.ODD_LOOK * spread) - spread) / (looks + c.SIGN_WEIGHT)
    spread = max(spread, c.LEAST_SPREAD * kind.var)
    weight = min(weight + 1.0, c.HABIT_MOST)
    now = last + c.NEWEST * (value - last)
    return SignState(habit + departed / weight, weight, now, day, spread), min(max(ratio, -c.PLAINEST), c.PLAINEST)


Followed = tuple[tuple[str, SignState], ...]
"""Signs by name in the order in which they were first seen."""
Looks = list[tuple[str, float]]
"""What was seen of signs: name and value."""


def looked(followed: Followed, looks: Looks, day: float, usual_c: float) -> tuple[Followed, float]:
    """The signs after some looks, and the log of the odds that all say of a collapse."""
    if not looks:
        return followed, 0.0
    found, odds = dict(followed), 0.0
    for name, value in looks:
        kind, before = SIGNS[name], found.get(name)
        if before is None:
            usual = usual_c if name == "temperature" else kind.habit
            before = SignState(usual, kind.habit_weight, usual, day, kind.var)
        found[name], ratio = look(kind, before, day, value)
        odds += ratio
    return tuple(found.items()), odds


def births(event: ev.Count, temperature_c: float, rotifer: bool) -> tuple[float, float]:
    """Births per day that the share of females with eggs stands for at one egg each, and its standard error.

    A sign, weighed by coefficients that were chosen for it; the births that are told count the clutch (`estimate`).
    """
    n = event.females_checked or 1
    share = ((event.with_eggs or 0) + c.EGGS_UNSEEN) / (n + 1.0)
    days = hatching_days(temperature_c, rotifer)
    se = math.sqrt(share * (1.0 - share) / (n + 1.0)) / ((1.0 + share) * days)
    return math.log1p(share) / days, se


def hatching_days(temperature_c: float, rotifer: bool) -> float:
    """Days to hatching at a temperature, taken for one from 15 to 25 degC."""
    return _egg_days(round(min(max(temperature_c, c.HATCH_LOW_C), c.HATCH_HIGH_C), 1), rotifer)


@lru_cache(maxsize=1024)
def _egg_days(temperature_c: float, rotifer: bool) -> float:
    return development.egg_days(temperature_c, "Brachionus plicatilis" if rotifer else "Acartia tonsa")


def eggs_on(
    event: ev.Count, share: float | None, weight: float, clutch: float | None, days: float
) -> tuple[float | None, float, float | None]:
    """The share of females with eggs, the females it rests on, and the eggs of a female that has any.

    The first two of all looks, those of `days` ago fading; the clutch None unless this look tallied eggs.
    """
    if not event.females_checked:
        return share, weight, clutch
    weight *= math.exp(-days / c.EGG_DAYS)
    total = weight + event.females_checked
    before, seen, told = (share or 0.0) * weight, event.with_eggs or 0, None
    if event.eggs is not None:
        eggs, on = float(event.eggs), float(seen)
        if clutch is not None:
            eggs, on = eggs + clutch * before, on + before
        told = eggs / on if on else 1.0
    return min((before + seen) / total, 1.0), total, told


def of_count(event: ev.Count) -> Looks:
    """The signs in a count but for eggs."""
    found: Looks = []
    if event.swimming is not None:
        found.append(("swimming", float(event.swimming)))
    if event.ciliates:
        found.append(("ciliates", float(ev.CILIATES.index(event.ciliates))))
    return found


def of_reading(event: ev.Reading, temperature_c: float) -> Looks:
    """The signs in a reading; ammonia as log(1 + mg/L of un-ionised ammonia / 0.1), at pH 8 where none was read."""
    found: Looks = []
    if event.temperature_c is not None:
        found.append(("temperature", event.temperature_c))
        temperature_c = event.temperature_c
    if event.tan_mg_l is not None:
        (coldest, warmest), (least, most) = c.AMMONIA_C, c.AMMONIA_PH
        t, ph = min(max(temperature_c, coldest), warmest), min(max(event.ph or c.USUAL_PH, least), most)
        share = float(ammonia.unionised_fraction(ph, t, c.SALINITY))
        found.append(("ammonia", math.log1p(event.tan_mg_l * share / c.AMMONIA_UNIT)))
    return found
