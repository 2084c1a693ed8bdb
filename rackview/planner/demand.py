"""What the larvae need: broods, through their larval groups, to animals of a strain per day.

The keeper's own word for a day and strain overrides what the broods imply.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date, timedelta

from rackview.core.dataclass import dataclass
from rackview.core.profile import LarvalGroup
from rackview.core.rack import Rack
from rackview.core.tables import Brood
from rackview.planner.appetite import Appetite, learn, left_by_day
from rackview.planner.constants import (
    FIRST_DAY,
    LAST_DAY,
    MOST_EATEN_PER_DAY,
    PREY_PER_ML,
)


@dataclass(frozen=True, slots=True)
class Need:
    """Animals of one strain on one day, for which broods; `own_word` if the keeper said so.

    `full` is what fills the tanks from nothing to the wanted density. `spread` is the doubt left by what was found in
    the tanks, a standard deviation of the logarithm; 0 where nobody looked.
    """

    date: date
    strain: str
    animals: float
    broods: tuple[str, ...] = ()
    own_word: bool = False
    full: float = 0.0
    spread: float = 0.0


Needs = Mapping[tuple[date, str], Need]


def needs(rack: Rack, first: date, days: int) -> dict[tuple[date, str], Need]:
    """What is needed from `first` on for `days` days, by date and strain; days without need are left out."""
    if not (rack.broods or rack.demand):
        return {}
    wanted = [first + timedelta(days=k) for k in range(days)]
    found: dict[tuple[date, str], Need] = {}
    for brood in rack.broods:
        group = rack.groups.get(brood.group)
        strain = brood.strain or (group.strain if group else "")
        hatch = hatch_date(brood, group)
        if hatch is None or not strain:
            continue
        eats = appetite(rack, brood, first)
        left = left_by_day(rack.tanks, brood.brood).get(first) if eats.looks else None
        for day in wanted:
            age = (day - hatch).days
            animals = brood_demand(brood, group, age) * (eats.factor if age > fed_ages(brood, group)[0] else 1.0)
            if day == first and left is not None and animals > 0.0:
                animals = _missing(brood, group, age, left, eats)
            if animals > 0.0:
                need = Need(day, strain, animals, (brood.brood,), full=max(filling(brood, group), animals),
                            spread=eats.log_sd if eats.looks else 0.0)  # fmt: skip
                before = found.get((day, strain))
                found[day, strain] = need if before is None else _both(before, need)
    inside = set(wanted)
    for one in rack.demand:
        if one.date in inside:
            before = found.get((one.date, one.strain))
            found[one.date, one.strain] = Need(
                one.date, one.strain, one.animals, before.broods if before else (), own_word=True, full=one.animals
            )
    return {key: need for key, need in found.items() if need.animals > 0.0}


def _both(one: Need, other: Need) -> Need:
    animals = one.animals + other.animals
    spread = math.hypot(one.spread * one.animals, other.spread * other.animals) / animals
    broods, full = (*one.broods, *other.broods), one.full + other.full
    return Need(one.date, one.strain, animals, broods, full=full, spread=spread)


def appetite(rack: Rack, brood: Brood, until: date) -> Appetite:
    """What a brood eats against what is reckoned, by what was left in its tank up to a day."""
    group = rack.groups.get(brood.group)
    hatch = hatch_date(brood, group)
    left = {day: n for day, n in left_by_day(rack.tanks, brood.brood).items() if day <= until}
    if hatch is None or not left:
        return Appetite()
    return learn(
        left, _wanted_per_ml(brood, group), (brood.tank_l or 0.0) * 1000.0,
        lambda day: brood_demand(brood, group, (day - hatch).days),
    )  # fmt: skip


def _missing(brood: Brood, group: LarvalGroup | None, age: int, left_per_ml: float, eats: Appetite) -> float:
    """Animals that bring a tank in which so much was left back to the wanted density, or feed it over the day."""
    there = left_per_ml * (brood.tank_l or 0.0) * 1000.0
    return max(filling(brood, group) - there, _eaten(brood, group, age) * eats.factor - there, 0.0)


def hatch_date(brood: Brood, group: LarvalGroup | None) -> date | None:
    """The day of hatching: recorded, or reckoned from the spawning by the group's time to hatch."""
    if brood.hatched is not None:
        return brood.hatched
    if brood.spawned is None or group is None:
        return None
    return brood.spawned + timedelta(days=round(group.hatch_days))


def fed_ages(brood: Brood, group: LarvalGroup | None) -> tuple[int, int]:
    """The first and the last age, days after hatching, at which a brood is fed live prey."""
    first = brood.first_day if brood.first_day is not None else (group.first_day if group else FIRST_DAY)
    last = brood.last_day if brood.last_day is not None else (group.last_day if group else LAST_DAY)
    return first, last


def brood_demand(brood: Brood, group: LarvalGroup | None, age: int) -> float:
    """Animals that one brood needs on the day it is `age` days old; 0 before its first and after its last day.

    The first day fills the tank to the wanted density. Later days make good what falls away between feeds (from the
    wanted density to that at which one refills) or what the larvae eat, whichever is more. Plan from tank volume and
    density, with the ration as lower bound: published rations per larva differ 6 to 30 times.
    """
    first, last = fed_ages(brood, group)
    if not first <= age <= last or brood.larvae == 0:
        return 0.0
    fill = filling(brood, group)
    eaten = _eaten(brood, group, age)
    if age == first:
        return max(fill, eaten)
    prey = _wanted_per_ml(brood, group)
    again = max(prey - group.refill_below_per_ml, 0.5 * prey) if group else 0.5 * prey
    return max(fill * again / prey, eaten)


def filling(brood: Brood, group: LarvalGroup | None) -> float:
    """Animals that fill the brood's tank from nothing to the wanted density."""
    return _wanted_per_ml(brood, group) * (brood.tank_l or 0.0) * 1000.0


def _wanted_per_ml(brood: Brood, group: LarvalGroup | None) -> float:
    return brood.prey_per_ml or (group.prey_per_ml if group else PREY_PER_ML)


def _eaten(brood: Brood, group: LarvalGroup | None, age: int) -> float:
    if group is None:
        return 0.0
    larvae = float(brood.larvae if brood.larvae is not None else group.eggs_per_brood)
    each = group.eaten_per_larva * math.exp(group.eaten_growth_per_day * (age - group.eaten_at_day))
    return larvae * group.survival_per_day ** max(age, 0) * min(each, MOST_EATEN_PER_DAY)
