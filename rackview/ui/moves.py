"""Moving culture between vessels as it is really done: a resting vessel is taken back into use first."""

from __future__ import annotations

from rackview.core.events import Event, Rest, Restart, Return, Split
from rackview.core.rack import Rack


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
