"""What is believed of one vessel, carried along its history event by event."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable
from functools import cached_property, partial
from typing import Any, NamedTuple

import numpy as np

from rackview.core import events as ev
from rackview.core.dataclass import dataclass
from rackview.core.log import CHECKPOINT, Node
from rackview.core.profile import StrainProfile
from rackview.core.vessel import Vessel
from rackview.science.state import constants as c
from rackview.science.state import held as hd
from rackview.science.state import hunger, normal, signs
from rackview.science.state.filter import XX, X
from rackview.science.state.growth import Prior
from rackview.science.state.held import Held
from rackview.science.state.hunger import FeedingRhythm
from rackview.science.state.numbers import Numbers, Row
from rackview.science.state.signs import Followed, Looks
from rackview.science.state.water import VesselWater

EMPTY = "empty"
UNKNOWN = "unknown"
KNOWN = "known"


@dataclass(frozen=True)
class Taken:
    """A harvest at `day`, and what was held just before it, or its density where that was asked for before."""

    harvest: ev.Harvest
    day: float
    before: Held | float

    @cached_property
    def per_ml(self) -> float:
        """The density (median) that was harvested, reckoned when somebody asks: few do, and of few harvests."""
        before = self.before
        return (
            before if isinstance(before, float) else math.exp(normal.quantiles(*components(before.numbers), (0.5,))[0])
        )

    def kept(self) -> Taken:
        """The same in a tenth of the room."""
        return Taken(self.harvest, self.day, self.per_ml)


def components(numbers: Numbers) -> normal.Components:
    """What is believed of the log density of one vessel."""
    s, w, _ = numbers.now
    return w[:, 0].tolist(), s[X, :, 0].tolist(), np.sqrt(s[XX, :, 0]).tolist()


class Belief(NamedTuple):
    """The belief at `day`: `state` is empty, unknown or known; `held`, the numbers, are there when it is known.

    `learned` is what an empty vessel keeps of its past (growth and crowding).
    `eggs` is the smoothed share of females with eggs, `eggs_weight` how much it rests on, `clutch` the eggs of a female
    that has any, None where the newest look at eggs did not tally them. `taken` are the harvests of
    the last days, as what was believed then can't be had from what is believed now. `fed` is the habit of feeding,
    None where it is not known or is taken to go on; `visited` is the day of the newest event that tells anything.
    `hazard` is the rate per day at which collapses begin from now on, below 0 that of the model.
    """

    day: float
    state: str
    water: VesselWater
    held: Held | None = None
    held_day: float = -math.inf
    visited: float = -math.inf
    learned: Held | None = None
    last_count: ev.Count | None = None
    counts: int = 0
    eggs: float | None = None
    eggs_weight: float = 0.0
    extra: float = 0.0
    extra_weight: float = 0.0
    seen: Followed = ()
    fed: FeedingRhythm | None = None
    taken: tuple[Taken, ...] = ()
    hazard: float = -1.0
    clutch: float | None = None

    @property
    def numbers(self) -> Numbers | None:
        """The numbers, for which they are reckoned."""
        return None if self.held is None else self.held.numbers

    def at(self, prior: Prior, day: float, visit: bool = False) -> Belief:
        """The belief at a later `day` up to which nothing else happened; `visit` if something does then."""
        if day <= self.day:
            return self
        held = self.held
        if held is not None and day > self.held_day:
            held = self.carried(prior, day - self.held_day)
        visited = day if visit else self.visited
        found = made((day, self.state, self.water, held, day, visited, *self[6:]))
        hungry = self.hungry_days(day)
        return found if hungry <= 0.0 else found.starved(prior, self.hungry_days(self.day), hungry, visit)

    def starved(self, prior: Prior, before: float, days: float, visit: bool) -> Belief:
        """The belief after so many days of hunger, of which `before` are reckoned; `visit` ends them.

        Who then records no feeding either has given up recording them: one more is wanted to speak of a habit again.
        """
        held = self.held
        if held is not None:
            held = held.then(Row(0.0, 1.0, *hunger.hunger_fall(before, days)))
        fed = self.fed
        if visit and fed is not None:
            fed = fed._replace(feeds=c.LEAST_FEEDS - 1)
        return self._replace(held=held, fed=fed)

    def hungry_days(self, day: float) -> float:
        """Days that the culture has been without food at `day`, if nothing happened since."""
        if day - self.visited < c.LATE:
            return 0.0
        return hunger.hungry_days(self.fed, self.visited, day)

    def moved(self, day: float, water: VesselWater, held: Held | None, held_day: float) -> Belief:
        """The belief with what changes most."""
        return made((day, self.state, water, held, held_day, *self[5:]))

    def carried(self, prior: Prior, days: float) -> Held | None:
        """What is held after some days in which nothing happened."""
        if self.held is None or days <= 0.0:
            return self.held
        warmth = prior.warmth(self.temperature(prior))
        return self.held.then(Row(min(days, c.LONGEST), warmth, hazard=self.hazard))

    def temperature(self, prior: Prior) -> float:
        """The vessel's own temperature as it was read lately, degC."""
        for name, seen in self.seen:
            if name == "temperature":
                return seen.last
        return prior.usual_c

    @property
    def aliquot_cv2(self) -> float:
        """Squared coefficient of variation between aliquots on top of Poisson scatter, learned from replicates."""
        return _aliquot_cv2(self.extra, self.extra_weight)


made: Callable[[tuple[Any, ...]], Belief] = partial(tuple.__new__, Belief)
"""A belief of all its fields; a belief by name takes three times as long, and one is made at every event."""


def believe(log: Node, profile: StrainProfile) -> Belief:
    """The belief after the newest event of a history, remembered along the history."""
    prior = Prior.of(profile)
    found: Belief = log.fold(*folding(prior))
    return found


def folding(prior: Prior) -> tuple[Hashable, Callable[[Vessel], Belief], Callable[[Belief, Node, Any], Belief]]:
    """Key, start and step with which `Node.fold` carries the belief."""
    return ("estimate", prior), start, partial(step, prior)


def start(vessel: Vessel) -> Belief:
    """The belief before anything was recorded."""
    return Belief(-math.inf, UNKNOWN, VesselWater(vessel.volume_l, vessel.volume_l))


def step(prior: Prior, belief: Belief, node: Node, partner: Belief | None) -> Belief:
    """The belief after one more event; `partner` is the other vessel's belief before a split or restart."""
    event = node.event
    if event is None:
        return belief
    handle = HANDLERS.get(type(event))
    if handle is None:
        return _fed(prior, belief, node.day) if type(event) is ev.Feed else belief
    if belief.held is None or node.day - belief.held_day > c.ROUND_DAYS:
        belief = belief.at(prior, node.day, visit=True)
    if partner is not None and partner.held is not None and node.day - partner.held_day > c.ROUND_DAYS:
        partner = partner.at(prior, node.day)
    after = handle(prior, belief, node, event, partner)
    held_day = node.day if belief.held is None else belief.held_day
    if after.held is not None and node.length % CHECKPOINT == 0:
        after.held.kept = True
    if after.day == node.day and after.held_day == held_day:
        return after
    return after.moved(node.day, after.water, after.held, held_day)


def _fed(prior: Prior, belief: Belief, day: float) -> Belief:
    """The belief after a feeding: it tells of the habit alone, unless they went hungry before."""
    fed = FeedingRhythm(day) if belief.fed is None else belief.fed.again(day)
    if belief.hungry_days(day) > 0.0:
        belief = belief.at(prior, day)
    return belief._replace(fed=fed)


def begin_culture(prior: Prior, belief: Belief, x: float, sd: float, seen: bool = False) -> Held:
    """A culture freshly begun at log density `x` known to `sd`, with what the vessel has taught before."""
    return hd.begun(prior.model, prior.ceiling, belief.learned, x, sd * sd, seen)


def _count(prior: Prior, belief: Belief, node: Node, event: ev.Count, partner: Belief | None) -> Belief:
    looks = signs.of_count(event)
    if event.stage != "all" and belief.last_count is not None and belief.last_count.stage == "all":
        return _looking(prior, belief, node.day, looks)
    held, water = belief.held, belief.water.counted(node.day)
    counts = belief.counts + 1
    if held is None:
        if belief.state == EMPTY and event.animals == 0:
            return belief._replace(last_count=event, counts=counts, water=water)
        held = begin_culture(prior, belief, prior.start, 2.0 * c.UNKNOWN_SD)
        if water.level_l <= 0.0:
            water = water.filled(node.vessel.volume_l, node.day)
    extra, extra_weight = _scatter(belief, event)
    share, cv2 = c.STAGE_SHARE.get(event.stage, 1.0), _aliquot_cv2(extra, extra_weight) / event.aliquots
    if event.stage != "all":
        cv2 += c.STAGE_CV2
    seen, odds = signs.looked(belief.seen, looks, node.day, prior.usual_c)
    births, births_sd = -1.0, 1.0
    if event.females_checked and event.females_checked >= c.LEAST_FEMALES:
        births, births_sd = signs.births(event, belief.temperature(prior), prior.rotifer)
    gap = 1.0 if belief.last_count is None else node.day - belief.last_count.day
    held = held.then(
        Row(
            odds=odds,
            births=births,
            births_sd=births_sd,
            n=float(event.animals),
            ml=event.looked_at_ml * share,
            cv2=cv2,
            slip=c.SLIP * min(1.0, c.SLIP_ALIQUOTS / event.aliquots),
            gap=gap,
        )
    )
    since = math.inf if belief.last_count is None else node.day - belief.last_count.day
    eggs, weight, clutch = signs.eggs_on(event, belief.eggs, belief.eggs_weight, belief.clutch, since)
    return made((
        belief.day, KNOWN, water, held, belief.held_day, belief.visited, belief.learned, event, counts, eggs, weight,
        extra, extra_weight, seen, belief.fed, belief.taken, belief.hazard, clutch,
    ))  # fmt: skip


def _looking(prior: Prior, belief: Belief, day: float, looks: Looks) -> Belief:
    """The belief after looks without a count."""
    seen, odds = signs.looked(belief.seen, looks, day, prior.usual_c)
    held = belief.held
    if held is not None and odds != 0.0:
        held = held.then(Row(odds=odds))
    return belief._replace(seen=seen, held=held)


def _reading(prior: Prior, belief: Belief, node: Node, event: ev.Reading, partner: Belief | None) -> Belief:
    return _looking(prior, belief, node.day, signs.of_reading(event, belief.temperature(prior)))


def _scatter(belief: Belief, event: ev.Count) -> tuple[float, float]:
    """The scatter between aliquots on top of Poisson, times its weight, and the weight: so far, and of this count."""
    r, animals = len(event.tallies), event.animals
    if r < 2 or animals < c.LEAST_PER_ALIQUOT * r:
        return belief.extra, belief.extra_weight
    mean = animals / r
    squares = sum([(t - mean) ** 2 for t in event.tallies])
    weight = (r - 1) / (1.0 + 1.0 / (mean * c.ALIQUOT_CV2)) ** 2
    excess = (squares / (r - 1) - mean) / (mean * mean)
    return belief.extra + weight * excess, belief.extra_weight + weight


def _aliquot_cv2(extra: float, weight: float) -> float:
    return max(0.0, (c.ALIQUOT_CV2 * c.SCATTER_WORTH + extra) / (c.SCATTER_WORTH + weight))


def _harvest(prior: Prior, belief: Belief, node: Node, event: ev.Harvest, partner: Belief | None) -> Belief:
    if belief.held is not None:
        since = node.day - c.TAKEN_DAYS
        taken = *[t for t in belief.taken if t.day >= since], Taken(event, node.day, belief.held)
        belief = belief._replace(day=node.day, taken=taken)
    return _out(prior, belief, node, event.volume_l, event.refill_l)


def _out(prior: Prior, belief: Belief, node: Node, volume_l: float, refill_l: float) -> Belief:
    water, by = belief.water.taken(volume_l).added(refill_l, node.day)
    if belief.water.level_l <= volume_l:
        return _emptied(belief._replace(water=water))
    return _shifted(prior, belief, node, water, by)


def _emptied(belief: Belief) -> Belief:
    learned = belief.learned if belief.held is None else belief.held
    return belief._replace(held=None, learned=learned, state=EMPTY, eggs=None, eggs_weight=0.0, clutch=None)


def _shifted(prior: Prior, belief: Belief, node: Node, water: VesselWater, by: float) -> Belief:
    held = belief.held
    if held is not None and by != 0.0:
        held = held.then(Row(shift=by))
    return belief.moved(belief.day, water, held, belief.held_day)


def _top_up(prior: Prior, belief: Belief, node: Node, event: ev.TopUp, partner: Belief | None) -> Belief:
    water, by = belief.water.added(event.volume_l, node.day)
    return _shifted(prior, belief, node, water, by)


def _split(prior: Prior, belief: Belief, node: Node, event: ev.Split, partner: Belief | None) -> Belief:
    if not node.incoming:
        return _out(prior, belief, node, event.volume_l, event.refilled_l)
    moved, level = event.volume_l, 0.0 if _unused(belief, node) else belief.water.level_l
    together = level + moved
    after = together + event.filled_l(level, belief.water.full_l)
    water, thinned = belief.water.filled(after, node.day), math.log(together / after)
    if belief.state == EMPTY or level <= 0.0:
        return _started(prior, _emptied(belief)._replace(water=water), partner, thinned, 0.0)
    if partner is not None and partner.state == EMPTY:
        return _shifted(prior, belief, node, water, math.log(level / after))
    if belief.held is None or partner is None or partner.held is None:
        return _emptied(belief)._replace(water=water, state=UNKNOWN)
    held = hd.mixed_with_donor(belief.held, level, partner.held, moved)
    return _shifted(prior, belief._replace(water=water, held=held), node, water, thinned)


def _unused(belief: Belief, node: Node) -> bool:
    """Whether nothing was recorded by which there could be a culture in the vessel before this event."""
    if belief.held is not None or belief.state == EMPTY:
        return False
    before = node.previous
    return before is None or all(isinstance(one.event, ev.Note | ev.Decline) for one in before.back())


def _started(prior: Prior, belief: Belief, donor: Belief | None, by: float, sd: float) -> Belief:
    """The belief in an empty vessel after culture of `donor` came into it, its log density moved `by` known to `sd`."""
    if donor is None or donor.held is None:
        return belief._replace(state=UNKNOWN if donor is None else donor.state)
    held = hd.begun(prior.model, prior.ceiling, belief.learned, by, sd * sd, seen=True, donor=donor.held)
    return belief._replace(held=held, state=KNOWN)


def _cultured(prior: Prior, belief: Belief, x: float, sd: float) -> Belief:
    return belief._replace(held=begin_culture(prior, belief, x, sd, seen=True), state=KNOWN)


def _restart(prior: Prior, belief: Belief, node: Node, event: ev.Restart, partner: Belief | None) -> Belief:
    if node.incoming:
        taken = event.volume_l or 0.0
        return _out(prior, belief, node, min(taken, belief.water.level_l), event.refilled_l)
    full = node.vessel.volume_l
    level = event.level_l(full) or full
    empty = _emptied(belief)._replace(water=VesselWater(level, full, full_day=node.day))
    if event.density_per_ml is not None:
        if event.density_per_ml <= 0.0:
            return empty
        return _cultured(prior, empty, math.log(event.density_per_ml), c.STATED_SD)
    if partner is not None:
        share, sd = c.DONATED, c.DONATED_SD
        if event.volume_l is not None:
            share, sd = min(event.volume_l / level, 1.0), c.MEASURED_SD
        return _started(prior, empty, partner, math.log(share), sd)
    return _cultured(prior, empty, prior.start, c.UNKNOWN_SD)


def _rest(prior: Prior, belief: Belief, node: Node, event: ev.Event, partner: Belief | None) -> Belief:
    return _emptied(belief)._replace(water=VesselWater(0.0, node.vessel.volume_l))


HANDLERS: dict[type[ev.Event], Callable[[Prior, Belief, Node, Any, Belief | None], Belief]] = {
    ev.Count: _count,
    ev.Reading: _reading,
    ev.Harvest: _harvest,
    ev.TopUp: _top_up,
    ev.Split: _split,
    ev.Restart: _restart,
    ev.Rest: _rest,
    ev.Return: _rest,
}
