"""What else a keeper sees: eggs, swimming, ciliates, ammonia, temperature.

Each sign is followed on its own as a departure from the vessel's habit, which fades between looks. How much it tells
about growth is not assumed: its scale is a part of the state that the counts teach. What it tells about a culture
that is failing enters as a likelihood ratio between the two regimes. Where a culture swings by itself, eggs come and go
with its passing growth: there they are not one cause of it more, but show it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache, partial
from typing import NamedTuple

from rackview.core import events as ev
from rackview.science import ammonia, development


@dataclass(frozen=True, slots=True)
class Sign:
    """One kind of sign.

    `habit` is what is usual before the vessel has told, worth `habit_weight` looks; a departure fades in `days`, is
    seen with an error of `error` and has standard deviation `sd` before the vessel has told. `scale` and `scale_sd`
    are the prior of the growth per day that one unit of departure brings; without a spread the sign speaks of failing
    alone. `shown` and `shown_sd` are that of the departure that comes with one unit of passing growth, for a sign that
    may show it. A failing culture departs by `failing` on average, at once or, where that is `slow`, by and by as
    departures fade: then only what is new since the look before speaks of failing.
    """

    habit: float
    habit_weight: float
    sd: float
    days: float
    error: float
    scale: float = 0.0
    scale_sd: float = 0.0
    failing: float = 0.0
    slow: bool = False
    shown: float = 0.0
    shown_sd: float = 0.0


SIGNS = {
    "eggs": Sign(0.45, 1.0, 0.11, 2.0, 0.05, 0.55, 0.45, failing=-0.15, shown=0.4, shown_sd=0.3),
    "swimming": Sign(4.0, 2.0, 0.4, 3.0, 0.5, 0.04, 0.04, failing=-1.2),
    "ciliates": Sign(0.2, 2.0, 0.33, 8.0, 0.4, failing=1.5, slow=True),
    "ammonia": Sign(0.2, 2.0, 0.22, 8.0, 0.2, failing=0.5, slow=True),
    "temperature": Sign(25.0, 3.0, 0.8, 10.0, 0.6, 0.022, 0.012),
}
"""Priors of the signs. Temperature: filtration rose by 42 % from 18 to 23.5 degC (Schlosser and Anger 1982,
Helgolander Meeresunters. 35:215-225), so a rate of 0.35 per day gains about 0.022 per degree. Eggs are turned into
births per day, so a full unit would be 1, less for young and old animals that carry none; where a culture swings,
growth swings wider than they do, as the hungry also die. Lags and
sensitivity of eggs and swimming: Snell et al. 1987, J. World Aquacult. Soc. 18:270-277. The rest is common practice,
no source, with a spread wide enough for the counts to overrule it."""

TEACHING = tuple(name for name, kind in SIGNS.items() if kind.scale_sd > 0.0)
"""The signs whose scale is learned. Ciliates and ammonia showed no steady relation to growth when they were tried so;
tint (food left, or food not eaten) told neither way and is left to the rules."""
SHOWING = tuple(name for name, kind in SIGNS.items() if kind.shown_sd > 0.0)
"""The signs that may show growth."""
HABIT_MOST = 30.0
"""A habit forgets looks older than about this many."""
SPREAD_WEIGHT = 3.0
"""Looks that the prior spread of a sign's departures is worth."""
FAR = 3.0
"""Squared departures tell of the spread only up to so many times what was expected: a collapse is no habit. What is
found so is up to two fifths less than the variance, the spread on most days."""
LEAST_SPREAD = 0.5
"""Share of the prior variance of departures that is left however steady a sign is."""
PLAINEST = 5.0
"""Log of the odds of failing that one look may tell at most; more would be a matter of one mark set wrongly."""


class Seen(NamedTuple):
    """One sign as followed at one vessel: habit and its weight in looks, departure `e` with variance `var` at `day`.

    `spread` is the variance of its departures, as far as the looks so far have told.
    """

    habit: float
    weight: float
    e: float
    var: float
    day: float
    spread: float

    def at(self, kind: Sign, day: float) -> tuple[float, float]:
        """Departure and its variance at a later day."""
        gap = day - self.day
        if gap <= 0.0:
            return self.e, self.var
        keep = math.exp(-gap / kind.days)
        return self.e * keep, self.spread + (self.var - self.spread) * keep * keep

    def mean(self, kind: Sign, day: float, dt: float) -> float:
        """Mean departure expected over `dt` days from `day` on."""
        e, _ = self.at(kind, day)
        x = dt / kind.days
        return e * (-math.expm1(-x) / x if x > 1e-9 else 1.0)


_seen: Callable[[tuple[float, ...]], Seen] = partial(tuple.__new__, Seen)


def look(kind: Sign, seen: Seen, day: float, value: float, error: float) -> tuple[Seen, float]:
    """Take in one look; returns the sign as followed and the log-likelihood ratio of failing against sound."""
    habit, weight, e, var, then, spread = seen
    keep = math.exp((then - day) / kind.days) if day > then else 1.0
    e, var = e * keep, spread + (var - spread) * keep * keep
    departed = value - habit
    noise = error * error
    gain, usual = var / (var + noise), spread + noise
    ratio = 0.0
    if kind.slow:
        by = kind.failing * (1.0 - keep)
        ratio = by * (departed - e - 0.5 * by) / (var + noise)
    elif kind.failing:
        ratio = kind.failing * (departed - 0.5 * kind.failing) / usual
    ratio = -PLAINEST if ratio < -PLAINEST else min(ratio, PLAINEST)
    looks = weight - kind.habit_weight + 1.0
    spread += (min(departed * departed, FAR * usual) - usual) / (looks + SPREAD_WEIGHT)
    spread = max(spread, LEAST_SPREAD * kind.sd * kind.sd)
    weight = weight + 1.0 if weight < HABIT_MOST - 1.0 else HABIT_MOST
    return _seen((habit + departed / weight, weight, e + gain * (departed - e), var * (1.0 - gain), day, spread)), ratio


Followed = tuple[tuple[str, Seen], ...]
"""Signs by name in the order in which they were first seen."""
Looks = list[tuple[str, float, float]]
"""What was seen of signs: name, value and error."""


Odds = tuple[float, float]
"""How much likelier what was seen is in a failing culture than in a sound one that is steady, and that swings."""
EVEN: Odds = 1.0, 1.0


def looked(followed: Followed, looks: Looks, day: float, usual_c: float) -> tuple[Followed, list[str], Odds]:
    """The signs after some looks, those that are new and teach, and what all says of failing."""
    if not looks:
        return followed, [], EVEN
    found, new, steady, swings = dict(followed), [], 0.0, 0.0
    for name, value, error in looks:
        kind, before = SIGNS[name], found.get(name)
        if before is None:
            usual = usual_c if name == "temperature" else kind.habit
            spread = kind.sd * kind.sd
            before = Seen(usual, kind.habit_weight, 0.0, spread, day, spread)
            if name in TEACHING:
                new.append(name)
        found[name], ratio = look(kind, before, day, value, error)
        steady += ratio
        if name not in SHOWING:
            swings += ratio
    return tuple(found.items()), new, (math.exp(steady), math.exp(swings))


UNSHOWN = -1, 0.0, 1.0
"""What `shown` says where there was nothing to see."""


def shown(before: Followed, looks: Looks) -> tuple[int, float, float]:
    """Place among the signs that teach, departure and its variance of a look at a sign that may show growth.

    `UNSHOWN` without such a look, or where none before it told of a habit.
    """
    for name, value, error in looks:
        if name in SHOWING:
            place = 0
            for followed, seen in before:
                if followed == name:
                    return place, value - seen.habit, error * error
                place += followed in TEACHING
    return UNSHOWN


def pushes(rows: Followed, day: float, dt: float) -> tuple[list[float], list[float]]:
    """Mean departure of each sign over `dt` days from `day` on, and the same of those alone that may show growth."""
    means = [one.mean(SIGNS[name], day, dt) for name, one in rows]
    return means, [mean if name in SHOWING else 0.0 for mean, (name, _) in zip(means, rows, strict=True)]


def teaching(seen: Followed) -> Followed:
    """The signs that have a row in the state, in its order."""
    return tuple([pair for pair in seen if pair[0] in TEACHING])


def births(event: ev.Count, temperature_c: float, rotifer: bool) -> tuple[float, float]:
    """Births per day that the share of females with eggs stands for, and the standard error of its counting."""
    n = event.females_checked or 1
    share = ((event.with_eggs or 0) + 0.3) / (n + 1.0)
    days = _egg_days(min(max(temperature_c, 15.0), 25.0), rotifer)
    se = math.sqrt(share * (1.0 - share) / (n + 1.0)) / ((1.0 + share) * days)
    return math.log1p(share) / days, se


@lru_cache(1024)
def _egg_days(temperature_c: float, rotifer: bool) -> float:
    """Days to hatching, remembered, as a vessel without a new reading keeps its temperature."""
    return development.egg_days(temperature_c, "Brachionus plicatilis" if rotifer else "Acartia tonsa")


def of_count(event: ev.Count, temperature_c: float, rotifer: bool) -> Looks:
    """The signs in a count."""
    found: Looks = []
    if event.females_checked:
        value, se = births(event, temperature_c, rotifer)
        found.append(("eggs", value, math.hypot(se, SIGNS["eggs"].error)))
    if event.swimming is not None:
        found.append(("swimming", float(event.swimming), SIGNS["swimming"].error))
    if event.ciliates:
        found.append(("ciliates", float(ev.CILIATES.index(event.ciliates)), SIGNS["ciliates"].error))
    return found


def of_reading(event: ev.Reading, temperature_c: float) -> Looks:
    """The signs in a reading; ammonia as log(1 + mg/L of un-ionised ammonia / 0.1), at pH 8 where none was read."""
    found: Looks = []
    if event.temperature_c is not None:
        found.append(("temperature", event.temperature_c, SIGNS["temperature"].error))
        temperature_c = event.temperature_c
    if event.tan_mg_l is not None:
        t, ph = min(max(temperature_c, 5.0), 35.0), min(max(event.ph or 8.0, 5.0), 10.0)
        share = float(ammonia.unionised_fraction(ph, t, 30.0))
        found.append(("ammonia", math.log1p(event.tan_mg_l * share / 0.1), SIGNS["ammonia"].error))
    return found
