"""What is believed of one vessel, carried along its history event by event."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace
from typing import Any

from rackview.core import events as ev
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.core.vessel import Vessel
from rackview.science.state import kernel
from rackview.science.state.growth import Prior
from rackview.science.state.kernel import Gauss
from rackview.science.state.water import Water

EMPTY = "empty"
UNKNOWN = "unknown"
KNOWN = "known"

UNKNOWN_SD = 1.2
"""Spread of the log density of a culture that nobody counted and of a starter of unknown strength."""
STATED_SD = 0.15
"""Spread of the log density of a restart whose density was stated."""


@dataclass(frozen=True, slots=True)
class Belief:
    """The belief at `day`: `state` is empty, unknown or known; `gauss` is there when it is known.

    `eggs` is the smoothed share of females with eggs, `eggs_weight` how much it rests on.
    """

    day: float
    state: str
    water: Water
    gauss: Gauss | None = None
    last_count: ev.Count | None = None
    counts: int = 0
    eggs: float | None = None
    eggs_weight: float = 0.0

    def at(self, prior: Prior, day: float) -> Belief:
        """The belief at a later `day` at which nothing else happened."""
        if day <= self.day:
            return self
        gauss = None if self.gauss is None else kernel.predict(self.gauss, prior, day - self.day)
        return replace(self, day=day, gauss=gauss)


def believe(log: Node, profile: StrainProfile) -> Belief:
    """The belief after the newest event of a history, remembered along the history."""
    prior = Prior.of(profile)
    found: Belief = log.fold(*folding(prior))
    return found


def folding(prior: Prior) -> tuple[Hashable, Callable[[Vessel], Belief], Callable[[Belief, Node, Any], Belief]]:
    """Key, start and step with which `Node.fold` carries the belief."""
    return ("estimate", prior), start, lambda value, node, partner: step(prior, value, node, partner)


def start(vessel: Vessel) -> Belief:
    """The belief before anything was recorded."""
    return Belief(-math.inf, UNKNOWN, Water(vessel.volume_l, vessel.volume_l))


def step(prior: Prior, belief: Belief, node: Node, partner: Belief | None) -> Belief:
    """The belief after one more event; `partner` is the other vessel's belief before a split or restart."""
    event = node.event
    if event is None:
        return belief
    handle = HANDLERS.get(type(event))
    if handle is None:
        return belief
    now = belief.at(prior, node.day)
    if partner is not None:
        partner = partner.at(prior, node.day)
    return handle(prior, replace(now, day=max(now.day, node.day)), node, event, partner)


def _count(prior: Prior, belief: Belief, node: Node, event: ev.Count, partner: Belief | None) -> Belief:
    gauss, water = belief.gauss, belief.water
    if gauss is None:
        if belief.state == EMPTY and event.animals == 0:
            return replace(belief, last_count=event, counts=belief.counts + 1, water=water.counted(node.day))
        gauss = kernel.fresh(prior, prior.start, 2.0 * UNKNOWN_SD)
        if water.level_l <= 0.0:
            water = water.filled(node.vessel.volume_l, node.day)
    gauss = kernel.update(gauss, event.animals, event.looked_at_ml)
    eggs, weight = belief.eggs, belief.eggs_weight
    if event.females_checked:
        if belief.last_count is not None:
            weight *= math.exp(-(node.day - belief.last_count.day) / 3.0)
        total = weight + event.females_checked
        eggs = ((eggs or 0.0) * weight + (event.with_eggs or 0)) / total
        weight = total
    return Belief(node.day, KNOWN, water.counted(node.day), gauss, event, belief.counts + 1, eggs, weight)


def _harvest(prior: Prior, belief: Belief, node: Node, event: ev.Harvest, partner: Belief | None) -> Belief:
    return _out(belief, node, event.volume_l, event.refill_l)


def _out(belief: Belief, node: Node, volume_l: float, refill_l: float) -> Belief:
    water, by = belief.water.taken(volume_l).added(refill_l, node.day)
    if belief.water.level_l <= volume_l:
        return replace(belief, water=water, gauss=None, state=EMPTY)
    return _shifted(replace(belief, water=water), by)


def _shifted(belief: Belief, by: float) -> Belief:
    return belief if belief.gauss is None else replace(belief, gauss=kernel.shift(belief.gauss, by))


def _top_up(prior: Prior, belief: Belief, node: Node, event: ev.TopUp, partner: Belief | None) -> Belief:
    water, by = belief.water.added(event.volume_l, node.day)
    return _shifted(replace(belief, water=water), by)


def _split(prior: Prior, belief: Belief, node: Node, event: ev.Split, partner: Belief | None) -> Belief:
    if not node.incoming:
        return _out(belief, node, event.volume_l, event.refill_l)
    moved, level = event.volume_l, belief.water.level_l
    water = belief.water.filled(level + moved, node.day)
    if belief.state == EMPTY or level <= 0.0:
        return _started(replace(belief, water=water), partner)
    if partner is not None and partner.state == EMPTY:
        return _shifted(replace(belief, water=water), math.log(level / (level + moved)))
    if belief.gauss is None or partner is None or partner.gauss is None:
        return replace(belief, water=water, gauss=None, state=UNKNOWN)
    return replace(belief, water=water, gauss=kernel.merge(belief.gauss, level, partner.gauss, moved))


def _started(belief: Belief, donor: Belief | None) -> Belief:
    if donor is None:
        return replace(belief, gauss=None, state=UNKNOWN)
    return replace(belief, gauss=donor.gauss, state=donor.state)


def _restart(prior: Prior, belief: Belief, node: Node, event: ev.Restart, partner: Belief | None) -> Belief:
    if node.incoming:
        taken = event.volume_l or 0.0
        return _out(belief, node, min(taken, belief.water.level_l), 0.0)
    full = node.vessel.volume_l
    water = Water(full, full, full_day=node.day)
    empty = replace(belief, water=water, gauss=None, state=EMPTY, eggs=None, eggs_weight=0.0)
    if event.density_per_ml is not None:
        if event.density_per_ml <= 0.0:
            return empty
        gauss = kernel.fresh(prior, math.log(event.density_per_ml), STATED_SD)
        return replace(empty, gauss=gauss, state=KNOWN)
    if partner is not None and event.volume_l is not None:
        return _shifted(_started(empty, partner), math.log(min(event.volume_l / full, 1.0)))
    return replace(empty, gauss=kernel.fresh(prior, prior.start, UNKNOWN_SD), state=KNOWN)


def _rest(prior: Prior, belief: Belief, node: Node, event: ev.Event, partner: Belief | None) -> Belief:
    water = Water(0.0, node.vessel.volume_l)
    return replace(belief, water=water, gauss=None, state=EMPTY, eggs=None, eggs_weight=0.0)


HANDLERS: dict[type[ev.Event], Callable[[Prior, Belief, Node, Any, Belief | None], Belief]] = {
    ev.Count: _count,
    ev.Harvest: _harvest,
    ev.TopUp: _top_up,
    ev.Split: _split,
    ev.Restart: _restart,
    ev.Rest: _rest,
    ev.Return: _rest,
}
