"""What was done to a vessel and seen in it: the newest of each kind, carried along its history.

`care(log)` reads the history once and remembers the result on its newest node, so that one more event costs one
step, and on that of the newest count and every so many older ones, as what was known then is asked for too. Nothing is
estimated here; every value is something that a keeper wrote down, with its event's id.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import field, fields
from itertools import takewhile
from operator import attrgetter
from typing import Any, TypeVar

from rackview.core import events as ev
from rackview.core.dataclass import dataclass
from rackview.core.log import CHECKPOINT, Node
from rackview.rules.constants import ALARM_COUNTS, KEPT_EVENTS, KEPT_FEEDS

KEY = "care"
CLEANS = {"floss": ("floss", "vessel")}
"""What was cleaned where more than the cleaning of that name counts: who wipes the vessel rinses its floss."""

E = TypeVar("E", bound=ev.Event)


@dataclass(slots=True)
class Seen:
    """One observed value with its day and the id of the event that says so."""

    day: float
    value: float
    event: str


@dataclass(slots=True)
class Fed:
    """A feeding with its day."""

    day: float
    event: ev.Feed


@dataclass(slots=True)
class Care:
    """The newest facts of one vessel. Days are days since 1970-01-01T00:00Z; None where nothing was recorded.

    `use` is one of new (no events), stocked, empty, resting. Lists run from old to new and are cut to the newest.
    Observations made before the culture was last started anew are dropped, care of the vessel is not.
    `count_nodes_before` leaves out the newest event, on whose node these facts are remembered: a node that holds itself
    is freed by a search for garbage alone, and with it all that it was the newest of. `newest_counts` has it.
    """

    use: str = "new"
    first_day: float | None = None
    first_event: str = ""
    use_since: float | None = None
    started: float | None = None
    started_by: ev.Event | None = None
    counts_since_move: int = 0
    other_strain: str | None = None
    counts: list[ev.Count] = field(default_factory=list)
    count_nodes_before: list[Node] = field(default_factory=list)
    eggs: list[ev.Count] = field(default_factory=list)
    swimming: Seen | None = None
    ciliates: list[ev.Count] = field(default_factory=list)
    tints: list[Seen] = field(default_factory=list)
    readings: list[ev.Reading] = field(default_factory=list)
    cleaned: dict[str, Seen] = field(default_factory=dict)
    harvests: list[ev.Harvest] = field(default_factory=list)
    feeds: list[Fed] = field(default_factory=list)
    splits_out: list[ev.Split] = field(default_factory=list)
    given: list[ev.Restart] = field(default_factory=list)
    last_in: ev.Split | None = None
    declines: list[ev.Decline] = field(default_factory=list)

    def copy(self) -> Care:
        """A copy whose lists can be changed without changing this one's."""
        values: list[Any] = [v.copy() if isinstance(v, (list, dict)) else v for v in ALL(self)]
        return Care(*values)

    def cut(self) -> Care:
        """These facts with the newest of every list only: done where they are remembered, not at every event."""
        for name, keep in KEPT:
            items = getattr(self, name)
            if len(items) > keep:
                del items[:-keep]
        return self

    def poured_out(self) -> Care:
        """These facts of a vessel from which all was taken, though nobody put it to rest."""
        after = self.copy()
        after.use, after.started, after.started_by = "empty", None, None
        after.use_since = max((e.day for e in (*self.harvests, *self.splits_out, *self.given)), default=self.use_since)
        return after

    # --- reading ---------------------------------------------------------------------------------------------------

    @property
    def last_count(self) -> ev.Count | None:
        """The newest count of this culture that tells its density: of one stage only where no other was made."""
        return next((c for c in reversed(self.counts) if c.stage == "all"), self.counts[-1] if self.counts else None)

    def days_since(self, kind: str, day: float) -> float | None:
        """Whole and part days since the newest count, harvest, restart, feed, reading or cleaning of some kind."""
        newest: float | None = None
        if kind == "count":
            newest = None if self.last_count is None else self.last_count.day
        elif kind == "harvest":
            newest = self.harvests[-1].day if self.harvests else None
        elif kind == "feed":
            newest = self.feeds[-1].day if self.feeds else None
        elif kind == "reading":
            newest = self.readings[-1].day if self.readings else None
        elif kind == "restart":
            newest = self.started_by.day if isinstance(self.started_by, ev.Restart) else None
        elif kind == "clean":
            newest = max((s.day for s in self.cleaned.values()), default=None)
        elif kind in self.cleaned:
            newest = self.cleaned[kind].day
        return None if newest is None else max(0.0, day - newest)

    def clean_base(self, what: str) -> float | None:
        """The day from which the time since cleaning counts: the cleaning, or the start if that was later."""
        days = [self.cleaned[k].day for k in CLEANS.get(what, (what,)) if k in self.cleaned]
        days += [d for d in (self.started, self.first_day if not days else None) if d is not None]
        return max(days, default=None)

    def feeds_since(self, day: float) -> list[Fed]:
        """Feeds given after `day`, oldest first."""
        first = len(self.feeds)
        while first and self.feeds[first - 1].day > day:
            first -= 1
        return self.feeds[first:]

    def done_since(self, action: str, day: float) -> bool:
        """Whether what the action suggests has been recorded at or after `day`."""
        if action == "count":
            return bool(self.counts) and self.counts[-1].day >= day
        if action == "test":
            return bool(self.readings) and self.readings[-1].day >= day
        if action == "harvest":
            return bool(self.harvests) and self.harvests[-1].day >= day
        if action == "feed":
            return bool(self.feeds) and self.feeds[-1].day >= day
        if action == "clean":
            return any(s.day >= day for s in self.cleaned.values())
        if action == "split":
            return bool(self.splits_out) and self.splits_out[-1].day >= day
        if action == "restart":
            return isinstance(self.started_by, ev.Restart) and self.started_by.day >= day
        return False


ALL = attrgetter(*(f.name for f in fields(Care)))
LONG_LISTS = {"feeds", "declines"}
KEPT = [
    (f.name, KEPT_FEEDS if f.name in LONG_LISTS else KEPT_EVENTS) for f in fields(Care) if f.default_factory is list
]


def newest_since(items: Sequence[E], since: float) -> Iterator[E]:
    """Those of a list, old to new, at or after `since`, the newest first; what is older is not looked at."""
    return takewhile(lambda one: one.day >= since, reversed(items))


def care(log: Node) -> Care:
    """The facts up to the newest event of `log`; treat the result as read-only."""
    pending: list[Node] = []
    node = log
    while KEY not in node.memo and node.previous is not None:
        pending.append(node)
        node = node.previous
    if not pending:
        found: Care = node.memo.get(KEY) or Care()
        node.memo[KEY] = found
        return found
    facts: Care = node.memo[KEY].copy() if KEY in node.memo else Care()
    if facts.first_day is None and pending[-1].event is not None:
        facts.first_day, facts.first_event = pending[-1].day, pending[-1].event.id
    newest_count = next((n for n in pending if isinstance(n.event, ev.Count)), None)
    for later in reversed(pending):
        if isinstance(node.event, ev.Count):
            facts.count_nodes_before.append(node)
        node = later
        step = STEPS.get(type(later.event))
        if step is not None:
            step(facts, later.event, later.day, later)
        if (later.length % CHECKPOINT == 0 or later is newest_count) and later is not log:
            later.memo[KEY] = facts.cut().copy()
    log.memo[KEY] = facts.cut()
    return facts


def newest_counts(log: Node, facts: Care) -> list[Node]:
    """The nodes of the newest counts of the present culture up to `log`, whose facts these are, oldest first."""
    before = facts.count_nodes_before
    return [*before, log][-ALARM_COUNTS:] if isinstance(log.event, ev.Count) else before[-ALARM_COUNTS:]


def _begin(facts: Care, event: ev.Event, day: float) -> None:
    """A new culture: what was seen of the old one no longer holds."""
    facts.use, facts.use_since = "stocked", day
    facts.started, facts.started_by = day, event
    facts.other_strain = None
    _forget(facts)


def _forget(facts: Care) -> None:
    facts.counts_since_move = 0
    facts.counts, facts.count_nodes_before, facts.eggs = [], [], []
    facts.swimming, facts.ciliates, facts.tints = None, [], []
    facts.harvests, facts.feeds = [], []


def _strain_of(facts: Care, node: Node) -> None:
    if node.partner is not None and node.partner.vessel.strain != node.vessel.strain:
        facts.other_strain = node.partner.vessel.strain


def _count(facts: Care, event: ev.Count, day: float, node: Node) -> None:
    if facts.use == "new" or (facts.use != "stocked" and event.animals):
        facts.use, facts.use_since = "stocked", day
    facts.counts.append(event)
    facts.counts_since_move += 1
    if event.females_checked:
        facts.eggs.append(event)
    if event.swimming is not None:
        facts.swimming = Seen(day, event.swimming, event.id)
    if event.ciliates:
        facts.ciliates.append(event)
    if event.tint is not None:
        facts.tints.append(Seen(day, event.tint, event.id))


def _reading(facts: Care, event: ev.Reading, day: float, node: Node) -> None:
    facts.readings.append(event)


def _feed(facts: Care, event: ev.Feed, day: float, node: Node) -> None:
    if facts.use == "new":
        facts.use, facts.use_since = "stocked", day
    facts.feeds.append(Fed(day, event))


def _harvest(facts: Care, event: ev.Harvest, day: float, node: Node) -> None:
    if facts.use == "new":
        facts.use, facts.use_since = "stocked", day
    facts.harvests.append(event)


def _clean(facts: Care, event: ev.Clean, day: float, node: Node) -> None:
    facts.cleaned[event.what] = Seen(day, 1.0, event.id)


def _split(facts: Care, event: ev.Split, day: float, node: Node) -> None:
    if node.incoming:
        _moved_in(facts, event, day, node)
        return
    facts.splits_out.append(event)
    facts.counts_since_move = 0


def _moved_in(facts: Care, event: ev.Split, day: float, node: Node) -> None:
    """Culture of another vessel came in."""
    facts.last_in = event
    facts.counts_since_move = 0
    if facts.use != "stocked":
        _begin(facts, event, day)
    _strain_of(facts, node)


def _restart(facts: Care, event: ev.Restart, day: float, node: Node) -> None:
    if node.incoming:  # this vessel gave the start
        facts.given.append(event)
        return
    _begin(facts, event, day)
    _strain_of(facts, node)


def _rest(facts: Care, event: ev.Event, day: float, node: Node) -> None:
    facts.use, facts.use_since, facts.started, facts.started_by = "resting", day, None, None
    _forget(facts)


def _return(facts: Care, event: ev.Event, day: float, node: Node) -> None:
    facts.use, facts.use_since, facts.started, facts.started_by = "empty", day, None, None
    _forget(facts)


def _decline(facts: Care, event: ev.Decline, day: float, node: Node) -> None:
    facts.declines.append(event)


STEPS: dict[type[Any], Callable[[Care, Any, float, Node], None]] = {
    ev.Count: _count,
    ev.Reading: _reading,
    ev.Feed: _feed,
    ev.Harvest: _harvest,
    ev.Clean: _clean,
    ev.Split: _split,
    ev.Restart: _restart,
    ev.Rest: _rest,
    ev.Return: _return,
    ev.Decline: _decline,
}
