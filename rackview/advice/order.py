"""The order in which vessels are served: the reserve and the cleanest first, suspect ones last with their own tools."""

from __future__ import annotations

from collections.abc import Mapping

from rackview.advice.situation import Situation
from rackview.rules.flags.rack import CARRIED

RESERVE, CLEAN, WATCHED, SUSPECT, CARRIER = range(5)


def contamination_rank(sit: Situation, vessel: str) -> int:
    """How clean a vessel is believed to be: 0 the healthy reserve, 1 healthy, 2 watched, 3 suspect, 4 carrier."""
    known: dict[str, int] = sit.memo.setdefault("standing", {})
    if vessel not in known:
        known[vessel] = _standing(sit, vessel)
    return known[vessel]


def _standing(sit: Situation, vessel: str) -> int:
    codes = {f.code for f in sit.findings[vessel] if f.state != "shelved"}
    if codes & CARRIED:
        return CARRIER
    if sit.suspects[vessel]:
        return SUSPECT
    if "contact" in codes:
        return WATCHED
    return RESERVE if sit.views[vessel].vessel.reserve else CLEAN


def service_order(sit: Situation) -> tuple[str, ...]:
    """Names of the vessels in use in the order in which to serve them.

    Within one standing the vessels of a strain stay together, so that tools are rinsed between strains only.
    """
    strains: dict[str, tuple[str, int]] = {}
    for view in sit.views.values():
        place = (view.vessel.shelf, view.vessel.position)
        strains[view.vessel.strain] = min(strains.get(view.vessel.strain, place), place)

    def key(name: str) -> tuple[int, tuple[str, int], tuple[str, int]]:
        vessel = sit.views[name].vessel
        return contamination_rank(sit, name), strains[vessel.strain], (vessel.shelf, vessel.position)

    return tuple(sorted((n for n, v in sit.views.items() if v.care.use != "resting"), key=key))


def ranks(sit: Situation) -> Mapping[str, int]:
    """The place of every vessel in the service order; resting vessels come at the end."""
    order = service_order(sit)
    rest = [n for n in sit.views if n not in set(order)]
    return {name: k for k, name in enumerate((*order, *rest))}
