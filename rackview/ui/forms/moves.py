"""Moving culture between vessels as it is really done: a resting vessel is taken back into use first."""

from __future__ import annotations

from rackview.core.errors import InputError
from rackview.core.events import Event, Rest, Restart, Return, Split
from rackview.core.rack import Rack
from rackview.core.tables import Settings
from rackview.ui.words import keeper_units as ku

SPILL = 1.05
"""How much over its working volume a vessel may be filled before it is asked about: common practice, no source."""


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


def level(rack: Rack, vessel: str) -> float:
    """The water that stands in a vessel now, L."""
    if empty(rack, vessel):
        return 0.0
    from rackview.science.state.estimate import estimate

    log = rack.log(vessel)
    return estimate(log, rack.profile(vessel), log.day).level_l


def check_room(rack: Rack, taker: str, given: float, fill: float | None, settings: Settings) -> None:
    """Raise `InputError` if a vessel has no room for `given` L of culture and `fill` L of water."""
    holds, full = level(rack, taker), rack.vessels[taker].volume_l
    if holds + given + (fill or 0.0) <= full * SPILL:
        return
    place = rack.vessels[taker].place
    free = ku.with_unit(max(full - holds, 0.0), settings)
    instead = [rack.vessels[n].place for n in targets(rack, taker) if empty(rack, n)]
    other = ", or take " + ", ".join(instead[:3]) + ", which stands empty" if instead else ", or add a vessel for it"
    wanted = f"a vessel with room: {place} has {free} left. Harvest {place} first{other}"
    raise InputError("to_vessel", taker, wanted)
