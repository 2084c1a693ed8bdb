"""What is known of the days before now: facts and medians as they were believed then, remembered along a history.

Neither changes any more once an event lies behind it, so both stay with the node of that event and are kept with its
belief between two starts: a trend is then drawn without going through the days again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import floor
from typing import NamedTuple

from rackview.core.events import Count, Event, Harvest, Rest, Restart, Return, Split
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.science.state.estimate import estimate
from rackview.science.state.growth import Prior
from rackview.science.state.held import reckon

BREAKS = (Split, Restart, Rest, Return)
"""Events at which a vessel's course begins anew."""
LATELY = "lately"
NOON = 0.5
KEPT_BEFORE = 2.0
"""Days before the first that is asked for whose medians stay remembered: who asks by noons begins up to 1.5 days before
who asks by what happened, and would else go back through the history for the first of them."""
A_MOMENT = 1e-4
"""Days by which a look at the estimate comes before or after a harvest or a move of culture."""


class Lately(NamedTuple):
    """Facts of a vessel after the day `since`: counts (day, animals per mL), and the days of harvests and breaks."""

    since: float
    counts: tuple[tuple[float, float], ...] = ()
    harvests: tuple[float, ...] = ()
    breaks: tuple[float, ...] = ()


Asked = tuple[Node, StrainProfile, Sequence[float]]
"""A history, the strain's profile, and the days to look at, oldest first."""


def lately(log: Node, since: float) -> Lately:
    """The facts after `since`, from what an older node remembers and the events after it."""
    newer: list[Node] = []
    found = Lately(since)
    for node in log.back(since):
        known: Lately | None = node.memo.get(LATELY)
        if known is not None and known.since <= since:
            found = Lately(
                since,
                tuple(c for c in known.counts if c[0] > since),
                tuple(d for d in known.harvests if d > since),
                tuple(d for d in known.breaks if d > since),
            )
            break
        if node.day > since:
            newer.append(node)
    for node in reversed(newer):
        found = _with(found, node)
    if log.event is not None:
        log.memo[LATELY] = found
    return found


def _with(found: Lately, node: Node) -> Lately:
    event: Event | None = node.event
    if isinstance(event, Count) and event.stage == "all" and not node.incoming:
        return found._replace(counts=(*found.counts, (node.day, event.animals / event.looked_at_ml)))
    if isinstance(event, Harvest):
        return found._replace(harvests=(*found.harvests, node.day))
    if isinstance(event, BREAKS):
        return found._replace(breaks=(*found.breaks, node.day))
    return found


def medians(asked: Sequence[Asked]) -> list[dict[float, float | None]]:
    """The median density per mL believed on each day asked for, by what was recorded up to then; None where unknown.

    All vessels are reckoned side by side. What lies before a history's newest event is remembered there.
    """
    known = [_known(log, ("medians", Prior.of(profile)), days) for log, profile, days in asked]
    missing = [
        [(day, estimate(log, profile, day)) for day in days if day not in had]
        for (log, profile, days), had in zip(asked, known, strict=True)
    ]
    reckon([e.held_in(0.0) for found in missing for _, e in found if e.belief.held is not None])
    result = []
    for (log, profile, days), had, fresh in zip(asked, known, missing, strict=True):
        found = {**had, **{day: e.median_per_ml for day, e in fresh}}
        if log.event is not None:
            since = min(days, default=log.day) - KEPT_BEFORE
            log.memo["medians", Prior.of(profile)] = {d: m for d, m in found.items() if since <= d <= log.day}
        result.append({d: found[d] for d in days})
    return result


def looks(day: float, zone: float, known: Lately) -> list[float]:
    """The days at which to look at the estimate: each calendar day once, at its first count or else at noon; just
    before and just after every harvest and break, so that they show as steps; and now, `day`. `zone` is the offset of
    the keeper's calendar from UTC, days. Tomorrow the same days are looked at, so that what was believed is known.
    """
    taken: dict[int, float] = {}
    for then, _ in known.counts:
        taken.setdefault(floor(then + zone), then)
    moved = [*known.harvests, *known.breaks]
    eventful = {floor(then + zone) for then in moved}
    last = floor(day + zone)
    looks = {n + NOON - zone for n in range(floor(known.since + zone), last) if n not in eventful and n not in taken}
    looks |= set(taken.values())
    looks |= {b - A_MOMENT for b in moved} | {b + A_MOMENT for b in moved}
    return [*sorted(t for t in looks if known.since <= t < day), day]


def remember_days(logs: Sequence[tuple[Node, StrainProfile]], since: float, day: float, zone: float) -> None:
    """Let the newest events remember facts and medians from `since` to `day`, as a trend will ask for them.

    Every noon is among them, that of `day` too where it has passed: a later trend may begin after what happened on a
    morning.
    """
    noons = {n + NOON - zone for n in range(floor(since + zone), floor(day + zone - NOON) + 1)}
    facts = [lately(log, since) for log, _ in logs]
    medians(
        [
            (log, profile, sorted(noons.union(looks(day, zone, known))))
            for (log, profile), known in zip(logs, facts, strict=True)
        ]
    )


def _known(log: Node, key: tuple[str, Prior], days: Sequence[float]) -> Mapping[float, float | None]:
    """What the newest node that remembers any such days does remember of them."""
    for node in log.back(min(days)):
        found: Mapping[float, float | None] | None = node.memo.get(key)
        if found is not None:
            return {d: m for d, m in found.items() if d <= node.day}
    return {}
