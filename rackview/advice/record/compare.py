"""What each vessel gave over the last weeks and what it took, so that vessels and kits can be compared by result."""

from __future__ import annotations

import math

from rackview.advice.constants import RECORD_DAYS
from rackview.advice.feeding.costs import price_of
from rackview.advice.moment import when
from rackview.core.dataclass import dataclass
from rackview.core.events import Feed, Harvest, Restart, Split
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel, natural
from rackview.rules.view import dry_g
from rackview.science.state.estimate import estimate

A_MOMENT = 1e-6
"""Days before an event at which the estimate is that of the culture as it came to it."""


@dataclass(frozen=True, slots=True)
class Performance:
    """One vessel over `days` days in use.

    `produced` is animals grown: harvested and given away, less what came in, more what stands now than stood at first.
    `harvested` is animals taken out for larvae or others. `growth_per_day` is the mean net growth per animal and day,
    harvests and moves left out; None where too little is known. `fed_g` is dry matter, `feed_cost` in the keeper's
    currency, None where a feed has no price. `losses` counts restarts of a culture that had fallen under its floor.
    """

    vessel: Vessel
    days: float
    produced: float
    harvested: float
    growth_per_day: float | None
    fed_g: float
    feed_cost: float | None
    losses: int


def compare(rack: Rack, at: object, days: float = RECORD_DAYS) -> tuple[Performance, ...]:
    """Every vessel that was in use in the `days` days before `at` (datetime or ISO 8601 text), in the rack's order."""
    now = when(at).day
    found = (_performance(rack, vessel, now, now - days) for vessel in rack.vessels.values())
    return tuple(one for one in found if one is not None)


def _performance(rack: Rack, vessel: Vessel, now: float, since: float) -> Performance | None:
    head, profile = rack.log(vessel.vessel, now), rack.profile(vessel.vessel)
    nodes = [n for n in head.back(since) if n.event is not None][::-1]
    if not nodes:
        return None
    course = _Course(profile, since, head.upto(since))
    fed_g, cost, losses = 0.0, 0.0, 0
    for node in nodes:
        event = node.event
        if isinstance(event, Feed):
            fed_g += dry_g(event, rack.stock)
            price = price_of(rack, event)
            cost += math.nan if price is None else price
        elif isinstance(event, Harvest | Split | Restart):
            losses += course.move(node, event)
    course.end(head, now)
    if course.days <= 0.0:
        return None
    growth = course.log_growth / course.days if course.days >= 1.0 else None
    return Performance(
        vessel,
        course.days,
        course.out + course.standing - course.came_in,
        course.harvested,
        growth,
        fed_g,
        None if math.isnan(cost) else cost,
        losses,
    )


class _Course:
    """A vessel's culture from one move to the next: how much it grew, what was taken and what came in."""

    def __init__(self, profile: StrainProfile, since: float, before: Node) -> None:
        self.profile = profile
        self.days = self.log_growth = self.out = self.came_in = self.harvested = self.standing = 0.0
        self._day, (self._per_ml, litres) = since, _holds(before, profile, since)
        self.came_in = self._per_ml * litres * 1000.0

    def move(self, node: Node, event: Harvest | Split | Restart) -> int:
        """Take in one harvest or move of culture; 1 if a culture under its floor was given up with it."""
        before = node.previous or node
        per_ml, litres = _holds(before, self.profile, node.day - A_MOMENT)
        self._grow(per_ml, node.day)
        lost = 0
        if isinstance(event, Restart) and not node.incoming:
            self.out += per_ml * litres * 1000.0
            lost = int(litres > 0.0 and per_ml < self.profile.floor_per_ml and self._per_ml > 0.0)
        elif isinstance(event, Harvest):
            taken = per_ml * min(event.volume_l, litres) * 1000.0
            self.out += taken
            self.harvested += taken
        elif node.incoming == isinstance(event, Restart):  # this vessel gave: its own split, another's restart
            self.out += per_ml * min(event.volume_l or 0.0, litres) * 1000.0
        after_per_ml, after_l = _holds(node, self.profile, node.day)
        if isinstance(event, Restart | Split) and node.incoming == isinstance(event, Split):
            self.came_in += after_per_ml * after_l * 1000.0 - (
                per_ml * litres * 1000.0 if isinstance(event, Split) else 0.0
            )
        self._per_ml, self._day = after_per_ml, node.day
        return lost

    def end(self, head: Node, now: float) -> None:
        """Take in the time since the last move."""
        per_ml, litres = _holds(head, self.profile, now)
        self._grow(per_ml, now)
        self.standing = per_ml * litres * 1000.0

    def _grow(self, per_ml: float, day: float) -> None:
        if self._per_ml > 0.0 and per_ml > 0.0:
            self.log_growth += math.log(per_ml / self._per_ml)
            self.days += day - self._day


def _holds(node: Node, profile: StrainProfile, day: float) -> tuple[float, float]:
    """Animals per mL (0 where none is known of) and litres in a vessel at `day`, by its history up to `node`."""
    found = estimate(node, profile, day)
    return found.median_per_ml or 0.0, found.level_l


@dataclass(frozen=True, slots=True)
class Compared:
    """Several vessels, or one, as one line to compare; each figure as in `Performance`, weighed by what it rests on."""

    name: str
    strain: str
    vessels: int
    days: float
    growth_per_day: float | None
    per_litre_day: float
    g_per_million: float | None
    cost_per_million: float | None
    losses: int


def by_vessel(found: tuple[Performance, ...]) -> tuple[Compared, ...]:
    """A line for each vessel, strain by strain."""
    return tuple(_together(f"{one.vessel.place} {one.vessel.vessel}", (one,)) for one in _sorted(found))


def by_kit(found: tuple[Performance, ...]) -> tuple[Compared, ...]:
    """A line for each kit within its strain: vessel type, home-made or bought; vessels without one are left out."""
    kits: dict[tuple[str, str], list[Performance]] = {}
    for one in _sorted(found):
        kit = one.vessel.kit
        name = ", ".join(filter(None, (kit.vessel_type, kit.origin)))
        if name:
            kits.setdefault((one.vessel.strain, name), []).append(one)
    return tuple(_together(name, tuple(ones)) for (_, name), ones in kits.items())


def _sorted(found: tuple[Performance, ...]) -> list[Performance]:
    return sorted(found, key=lambda p: (p.vessel.strain, natural(p.vessel.shelf), p.vessel.position))


def _together(name: str, ones: tuple[Performance, ...]) -> Compared:
    days = sum(p.days for p in ones)
    litre_days = sum(p.days * p.vessel.volume_l for p in ones)
    harvested = sum(p.harvested for p in ones)
    known = [p for p in ones if p.growth_per_day is not None]
    costs = [p.feed_cost for p in ones]
    growth_days = sum(p.days for p in known)
    return Compared(
        name,
        ones[0].vessel.strain,
        len(ones),
        days,
        sum(p.days * (p.growth_per_day or 0.0) for p in known) / growth_days if growth_days else None,
        sum(p.produced for p in ones) / litre_days,
        1e6 * sum(p.fed_g for p in ones) / harvested if harvested else None,
        1e6 * sum(c for c in costs if c is not None) / harvested if harvested and None not in costs else None,
        sum(p.losses for p in ones),
    )
