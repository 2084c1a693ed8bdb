"""The way through the rack on a round: cleanest and most precious vessels first, suspects last with their own tools."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from rackview.core.assessment import Assessment, Suggestion
from rackview.core.dataclass import dataclass
from rackview.core.rack import Rack
from rackview.ui.rack.trends import gauge_scale

ROUND_KINDS = frozenset({"count", "reading", "feed", "harvest", "clean", "split", "restart"})
"""What a keeper records on a round; a note or a declined suggestion does not make a vessel done."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One vessel on the way. `own_tools`: served last, with tools that touch no other vessel. `fill` is 0 to 1."""

    vessel: str
    place: str
    reserve: bool
    own_tools: bool
    done: bool
    drafted: bool
    fill: float


def stops(
    rack: Rack,
    order: Sequence[str],
    assessments: Mapping[str, Assessment],
    suggestions: Sequence[Suggestion],
    since: datetime,
    drafted: Collection[str] = (),
    until: datetime | None = None,
) -> tuple[Stop, ...]:
    """The vessels of a round in the safe `order`; `since` and `until` bound the keeper's day.

    Those that need their own tools come last, whatever the order says.
    """
    apart = {s.vessel for s in suggestions if s.own_tools}
    return tuple(
        Stop(
            vessel=name,
            place=rack.vessels[name].place,
            reserve=rack.vessels[name].reserve,
            own_tools=name in apart,
            done=served(rack, name, since, until),
            drafted=name in drafted,
            fill=fill(rack, assessments[name]),
        )
        for name in sorted(order, key=lambda n: n in apart)
    )


def same_way(fresh: tuple[Stop, ...], before: tuple[Stop, ...]) -> tuple[Stop, ...]:
    """The stops as they are now in the order in which they were `before`, so that the way does not change under one's
    feet; those that need their own tools since then come last. Another way where there are other vessels."""
    if {s.vessel for s in fresh} != {s.vessel for s in before}:
        return fresh
    kept = {s.vessel: n for n, s in enumerate(before)}
    tools = {s.vessel: s.own_tools for s in before}
    return tuple(sorted(fresh, key=lambda s: (s.own_tools and not tools[s.vessel], kept[s.vessel])))


def onward(order: Sequence[Stop], vessel: str) -> set[str]:
    """The vessels that come after one on the way; all where it is not on it."""
    names = [s.vessel for s in order]
    return set(names[names.index(vessel) + 1 :]) if vessel in names else set(names)


def served(rack: Rack, vessel: str, since: datetime, until: datetime | None = None) -> bool:
    """Whether anything of a round was recorded at the vessel for times from `since` up to `until`."""
    for node in rack.log(vessel).back():
        if node.event is None or node.event.at < since:
            return False
        if until is not None and node.event.at >= until:
            continue
        if not node.incoming and node.event.kind in ROUND_KINDS:
            return True
    return False


def recorded_at(rack: Rack, vessel: str, at: datetime) -> bool:
    """Whether anything is recorded at the vessel for that very moment."""
    for node in rack.log(vessel).back():
        if node.event is None or node.event.at < at:
            return False
        if node.event.at == at and not node.incoming:
            return True
    return False


def fill(rack: Rack, assessment: Assessment) -> float:
    """How full the vessel is drawn, 0 to 1, as on the rack."""
    density = assessment.density_per_ml
    if density is None or density.median <= 0:
        return 0.0
    return max(0.04, gauge_scale(rack.profile(assessment.vessel)).at(density.median))
