"""The way through the rack on a round: cleanest and most precious vessels first, suspects last with their own tools."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from rackview.core.assessment import Assessment, Severity, Suggestion
from rackview.core.rack import Rack

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
    assessments: Mapping[str, Assessment],
    suggestions: Sequence[Suggestion],
    since: datetime,
    drafted: Collection[str] = (),
) -> tuple[Stop, ...]:
    """The vessels in use in the order in which it is safe to serve them; `since` is the start of the keeper's day."""
    suspects = suspect(assessments, suggestions)
    first_asked = {s.vessel: n for n, s in reversed(list(enumerate(suggestions)))}

    def key(name: str) -> tuple[object, ...]:
        vessel = rack.vessels[name]
        asked = first_asked.get(name, len(suggestions))
        return name in suspects, not vessel.reserve, asked, vessel.shelf, vessel.position

    inside = [n for n in rack.vessels if assessments[n].state != "resting"]
    return tuple(
        Stop(
            vessel=name,
            place=rack.vessels[name].place,
            reserve=rack.vessels[name].reserve,
            own_tools=name in suspects,
            done=served(rack, name, since),
            drafted=name in drafted,
            fill=fill(rack, assessments[name]),
        )
        for name in sorted(inside, key=key)
    )


def suspect(assessments: Mapping[str, Assessment], suggestions: Sequence[Suggestion]) -> frozenset[str]:
    """Vessels that must not share tools with the others: said so by the advice, crashed, or with ciliates seen."""
    told = {s.vessel for s in suggestions if s.own_tools}
    seen = {
        name
        for name, a in assessments.items()
        if a.state in {"crashed", "falling"} and any(f.severity == Severity.today for f in a.flags)
    }
    return frozenset(told | seen)


def served(rack: Rack, vessel: str, since: datetime) -> bool:
    """Whether anything of a round was recorded at the vessel since `since`."""
    for node in rack.log(vessel).back():
        if node.event is None or node.event.at < since:
            return False
        if not node.incoming and node.event.kind in ROUND_KINDS:
            return True
    return False


def fill(rack: Rack, assessment: Assessment) -> float:
    """How full the vessel is drawn: its density on the log scale of its strain, 0 to 1."""
    from math import log

    density = assessment.density_per_ml
    profile = rack.profile(assessment.vessel)
    if density is None or density.median <= 0:
        return 0.0
    low, high = profile.floor_per_ml / 4, profile.ceiling_per_ml * 1.5
    return min(1.0, max(0.04, log(max(density.median, low) / low) / log(high / low)))
