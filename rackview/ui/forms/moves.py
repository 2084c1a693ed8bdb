"""Moving culture between vessels as it is really done: a resting vessel is taken back into use first."""

from __future__ import annotations

import re
from collections.abc import Mapping

from rackview.core.errors import InputError
from rackview.core.events import Event, Rest, Restart, Return, Split
from rackview.core.rack import Rack
from rackview.core.tables import Settings
from rackview.core.vessel import Vessel
from rackview.language import _
from rackview.ui.forms.places import next_free, set_up
from rackview.ui.words import keeper_units as ku

SPILL = 1.05
"""How much over its working volume a vessel may be filled before it is asked about: common practice, no source."""
NEW = " new"
"""Stands for a vessel that is made in the same step as culture goes into it; no vessel's name begins with a space."""
PLACE = re.compile(r"(?P<shelf>.*?)\s*(?P<position>\d{1,3})")


def resting(rack: Rack, vessel: str) -> bool:
    """Whether a vessel is out of use."""
    for node in rack.logs[vessel].back():
        match node.event:
            case Rest():
                return True
            case Return() | Restart() if not node.incoming:
                return False
            case Split() if node.incoming:
                return False
    return False


def targets(rack: Rack, but: str) -> tuple[str, ...]:
    """Vessels that could take culture, those at rest first, then those of the same strain."""
    return _others(rack, but, rest_first=True)


def donors(rack: Rack, but: str) -> tuple[str, ...]:
    """Vessels that culture could come from, those of the same strain first; what rests holds none and comes last."""
    return _others(rack, but, rest_first=False)


def _others(rack: Rack, but: str, *, rest_first: bool) -> tuple[str, ...]:
    strain = rack.vessels[but].strain if but in rack.vessels else ""
    names = [n for n in rack.vessels if n != but]
    return tuple(sorted(names, key=lambda n: (resting(rack, n) != rest_first, rack.vessels[n].strain != strain)))


def carried_out(rack: Rack, event: Split | Restart) -> list[Event]:
    """All that happens when culture is moved: a return from rest first where the taker rests, then `event`."""
    if isinstance(event, Split) and resting(rack, event.to_vessel):
        return [Return(at=event.at, vessel=event.to_vessel), event]
    return [event]


def empty(rack: Rack, vessel: str) -> bool:
    """Whether a vessel holds no culture: new, emptied or at rest."""
    from rackview.rules.care import care

    return care(rack.log(vessel)).use != "stocked"


def level_now_l(rack: Rack, vessel: str) -> float:
    """The water that stands in a vessel now, L."""
    if empty(rack, vessel):
        return 0.0
    from rackview.science.state.estimate import estimate

    log = rack.log(vessel)
    return estimate(log, rack.profile(vessel), log.day).level_l


def made_for(rack: Rack, giver: str, typed: Mapping[str, object] | None = None) -> Vessel:
    """The vessel that a split of `giver` would make: set up like it, at the next free place of its shelf.

    `typed` may say otherwise: its `new_vessel`, `new_place` (such as A5) and `new_volume_l`. Raises `InputError` that
    names one of these.
    """
    said = {column: str(text).strip() for column, text in (typed or {}).items() if str(text or "").strip()}
    like = rack.vessels[giver]
    shelf, position = next_free(rack, like.shelf)
    if "new_place" in said:
        found = PLACE.fullmatch(said["new_place"])
        if found is None or not found["shelf"]:
            raise InputError(
                "new_place",
                said["new_place"],
                _("shelf and position of a free place, such as {shelf}{position}").format(
                    shelf=shelf, position=position
                ),
            )
        shelves = {v.shelf.casefold(): v.shelf for v in rack.vessels.values()}
        shelf, position = shelves.get(found["shelf"].casefold(), found["shelf"]), int(found["position"])
    row = {**set_up(like), "shelf": shelf, "position": position, "vessel": said.get("new_vessel", f"{shelf}{position}")}
    try:
        vessel = Vessel.from_row({**row, "volume_l": said.get("new_volume_l", like.volume_l)})
        rack.with_vessel(vessel)
    except InputError as error:
        asked = {"volume_l": "new_volume_l", "position": "new_place"}.get(error.field, "new_vessel")
        raise InputError(asked, said.get(asked, row["vessel"]), error.wanted) from None
    return vessel


class NoRoomError(InputError):
    """Culture would go into a vessel that is full."""


def check_room(rack: Rack, taker: str, given: float, fill: float | None, settings: Settings) -> None:
    """Raise `NoRoomError` if a vessel has no room for `given` L of culture and `fill` L of water."""
    holds, full = level_now_l(rack, taker), rack.vessels[taker].volume_l
    if holds + given + (fill or 0.0) <= full * SPILL:
        return
    place = rack.vessels[taker].place
    free = ku.with_unit(max(full - holds, 0.0), settings)
    instead = [rack.vessels[n].place for n in targets(rack, taker) if empty(rack, n)]
    other = _(", or take {instead}, which stands empty").format(instead=", ".join(instead[:3])) if instead else ""
    wanted = _(
        "a vessel with room: {place} has {free} left. Harvest {place} first{other}, or take a new vessel"
    ).format(place=place, free=free, other=other)
    raise NoRoomError("to_vessel", taker, wanted)
