"""What the estimate of a vessel's density rests on: how much each count, each start and the strain's usual weigh.

A weight is an elasticity: had this count been a hundredth higher, the estimate would now be weight hundredths higher.
It is found by moving the density that a source stands for (not its tally, so that its precision stays) and carrying
the belief to the present again, with the odds between the alternatives as they are. Moving all sources together moves
the estimate as much, so the weights sum to 1. A count may pull the other way: a higher one before a later one means
less growth since. A count that is taken for a slip has next to no weight.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from rackview.core.dataclass import dataclass
from rackview.core.events import Count, Event, Restart
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.science.state import filter as kalman
from rackview.science.state import hunger
from rackview.science.state.belief import Belief, believe, folding, step
from rackview.science.state.filter import X
from rackview.science.state.growth import Prior
from rackview.science.state.held import Held, reckon
from rackview.science.state.numbers import Row

STEP = 0.01
"""By how much the log density of a source is moved."""
SOURCES = 6
"""How many of the newest sources are weighed one by one."""
WHOLE = 120
"""Histories of up to this many events are gone through again to tell the strain's usual from the older counts."""
LEAST_MOVE = 0.002
"""Shift of the log density from which an action is named."""


@dataclass(frozen=True, slots=True)
class Source:
    """A count, or a start whose density is known from what was stated or from the donor, and its weight."""

    event: Event
    weight: float


@dataclass(frozen=True, slots=True)
class Moved:
    """An action since the newest source, and by what factor it moved the density."""

    event: Event
    factor: float


@dataclass(frozen=True, slots=True)
class Grounds:
    """What the density at a moment rests on.

    `sources` are the newest ones, newest first. `usual` is the weight of the strain's usual density and ceiling, None
    where the history is too long to tell it from the older counts; `older` the weight of all that is left. All of
    them sum to 1. `moved` are the actions since the newest source, oldest first. `unfed_days` are days without food
    since then, by the record, for which `unfed` of them are left.
    """

    sources: tuple[Source, ...]
    older: float
    usual: float | None
    moved: tuple[Moved, ...]
    unfed_days: float = 0.0

    @property
    def unfed(self) -> float:
        """By what factor hunger moved the density."""
        return math.exp(hunger.hunger_fall(0.0, self.unfed_days)[0])


def grounds(log: Node, profile: StrainProfile, day: float) -> Grounds | None:
    """What the estimate of the density at `day` rests on; None where nothing is known of it."""
    head, prior = log.upto(day), Prior.of(profile)
    belief = believe(head, profile)
    now = belief.at(prior, day).held
    if now is None:
        return None
    unfed = belief.hungry_days(day)
    weighed = _newest_sources(head, profile)
    moved = [_carried(prior, head, node, day) for node in weighed]
    reckon([now, *(one.held for one in moved if one.held is not None)])
    sources = tuple(
        Source(node.event, _moved_by(now, other))
        for node, other in zip(weighed, moved, strict=True)
        if node.event is not None
    )
    usual = None
    if head.length <= WHOLE:
        other = replace(prior, start=prior.start + STEP, ceiling=prior.ceiling + STEP)
        changed: Belief = head.fold(*folding(other))
        usual = _moved_by(now, changed.at(other, day))
    older = 1.0 - sum(s.weight for s in sources) - (usual or 0.0)
    return Grounds(sources, older, usual, _moves(prior, head, weighed), unfed)


def _moved_by(now: Held, other: Belief) -> float:
    """By how much the log density moved, as a share of `STEP`, with the weights of the components as they are."""
    if other.held is None:
        return 0.0
    before, after = now.numbers.now, other.held.numbers.now
    return float((before.w * (after.s[X] - before.s[X])).sum()) / STEP


def _newest_sources(head: Node, profile: StrainProfile) -> list[Node]:
    """The nodes of the newest sources, newest first, back to the start of the present culture."""
    found: list[Node] = []
    for node in head.back():
        if len(found) == SOURCES:
            break
        if _is_source(node, profile):
            found.append(node)
        if isinstance(node.event, Restart) and not node.incoming:
            break
    return found


def _is_source(node: Node, profile: StrainProfile) -> bool:
    event = node.event
    if isinstance(event, Count):
        if event.looked_at_ml <= 0.0 or node.previous is None:
            return False
        last = None if event.stage == "all" else believe(node.previous, profile).last_count
        return last is None or last.stage != "all"  # one stage says nothing of the density where all are counted
    if isinstance(event, Restart):
        return not node.incoming and (event.density_per_ml is not None or node.partner is not None)
    return node.incoming and node.partner is not None


def _carried(prior: Prior, head: Node, source: Node, day: float) -> Belief:
    """The belief now, had the density that `source` stands for been higher by `STEP`."""
    fold = folding(prior)
    chain = []
    node = head
    while node is not source and node.previous is not None:
        chain.append(node)
        node = node.previous
    chain.append(source)
    before: Belief = source.previous.fold(*fold) if source.previous is not None else fold[1](source.vessel)
    belief = before
    for later in reversed(chain):
        partner: Belief | None = None if later.partner is None else later.partner.fold(*fold)
        if later is source:
            belief = step(prior, belief, *_higher(prior, later, partner))
        else:
            belief = step(prior, belief, later, partner)
    return belief.at(prior, day)


def _higher(prior: Prior, node: Node, partner: Belief | None) -> tuple[Node, Belief | None]:
    """The source with a density higher by `STEP`: the same tally in less water, or the donor denser."""
    event = node.event
    if isinstance(event, Count):
        event = replace(event, aliquot_ml=event.aliquot_ml * math.exp(-STEP))
    elif isinstance(event, Restart) and event.density_per_ml is not None:
        event = replace(event, density_per_ml=event.density_per_ml * math.exp(STEP))
    elif partner is not None and partner.held is not None:
        held = partner.held.then(Row(shift=STEP))
        partner = partner._replace(held=held)
    return Node(node.vessel, event, node.previous, node.partner), partner


def _moves(prior: Prior, head: Node, weighed: list[Node]) -> tuple[Moved, ...]:
    """The actions after the newest source that thinned or thickened the culture."""
    if not weighed:
        return ()
    since = []
    for node in head.back():
        if node is weighed[0]:
            break
        since.append(node)
    found = []
    fold = folding(prior)
    for before, node in pairwise([weighed[0], *reversed(since)]):
        kept: Belief = before.fold(*fold)
        after: Belief = node.fold(*fold)
        early, late = _level(kept.at(prior, node.day)), _level(after.at(prior, node.day))
        if early is not None and late is not None and abs(late - early) > LEAST_MOVE and node.event is not None:
            found.append(Moved(node.event, math.exp(late - early)))
    return tuple(found)


def _level(belief: Belief) -> float | None:
    return None if belief.numbers is None else float(kalman.mean_and_variance(belief.numbers.now)[0][0])
