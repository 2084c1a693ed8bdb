"""What is known of the days before now: facts and medians as they were believed then, remembered along a history.

Neither changes any more once an event lies behind it, so both stay with the node of that event and are kept with its
belief between two starts: a trend is then drawn without going through the days again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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
            log.memo["medians", Prior.of(profile)] = {d: found[d] for d in days if d <= log.day}
        result.append({d: found[d] for d in days})
    return result


def _known(log: Node, key: tuple[str, Prior], days: Sequence[float]) -> Mapping[float, float | None]:
    """What the newest node that remembers any such days does remember of them."""
    for node in log.back(min(days)):
        found: Mapping[float, float | None] | None = node.memo.get(key)
        if found is not None:
            return {d: m for d, m in found.items() if d <= node.day}
    return {}
