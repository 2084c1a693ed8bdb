"""What a keeper need not type again: how this vessel was last sampled, measured, fed and served."""

from __future__ import annotations

from rackview.core.dataclass import dataclass
from rackview.core.events import Clean, Count, Event, Feed, Harvest, Reading
from rackview.core.rack import Rack


@dataclass(frozen=True, slots=True)
class SamplingHabit:
    """The newest sampling habit of a vessel, or of another vessel of its strain, or the plain one."""

    aliquot_ml: float = 1.0
    dilution: float = 1.0
    fixative: float = 1.0
    females_checked: int | None = None
    sg_reference: str = ""


@dataclass(frozen=True, slots=True)
class Last:
    """The newest event of each kind that the round shows, None where there is none."""

    count: Count | None = None
    harvest: Harvest | None = None
    feed: Feed | None = None
    clean: Clean | None = None


def habit(rack: Rack, vessel: str) -> SamplingHabit:
    """How the vessel was sampled last; a vessel never counted takes the habit of its strain's newest count."""
    kin = [n for n, v in rack.vessels.items() if v.strain == rack.vessels[vessel].strain and n != vessel]
    count = _newest(rack, vessel, Count) or _latest([_newest(rack, n, Count) for n in kin])
    reading = _newest(rack, vessel, Reading, sg=True) or _latest([_newest(rack, n, Reading, sg=True) for n in kin])
    reference = reading.sg_reference if isinstance(reading, Reading) else ""
    if not isinstance(count, Count):
        return SamplingHabit(sg_reference=reference or rack.settings.sg_reference)
    checked = count.females_checked
    if checked is None:
        for node in rack.log(vessel).back():
            if isinstance(node.event, Count) and node.event.females_checked is not None:
                checked = node.event.females_checked
                break
    return SamplingHabit(
        count.aliquot_ml, count.dilution, count.fixative, checked, reference or rack.settings.sg_reference
    )


def staged(rack: Rack, vessel: str) -> bool:
    """Whether the stages were tallied apart when the vessel was counted last."""
    newest = _newest(rack, vessel, Count)
    for node in rack.log(vessel).back():
        if newest is None or node.event is None or node.event.at < newest.at:
            return False
        if isinstance(node.event, Count) and node.event.stage != "all":
            return True
    return False


def last(rack: Rack, vessel: str) -> Last:
    """The newest count, harvest, feed and cleaning of the vessel."""
    found: dict[str, Event] = {}
    for node in rack.log(vessel).back():
        event = node.event
        if event is None or node.incoming or event.kind in found:
            continue
        if isinstance(event, Count) and event.stage != "all":
            continue
        if isinstance(event, Count | Harvest | Feed | Clean):
            found[event.kind] = event
        if len(found) == 4:
            break
    return Last(**found)  # type: ignore[arg-type]


def _newest(rack: Rack, vessel: str, kind: type[Event], *, sg: bool = False) -> Event | None:
    for node in rack.log(vessel).back():
        if isinstance(node.event, kind) and not node.incoming:
            if sg and getattr(node.event, "sg", None) is None:
                continue
            return node.event
    return None


def _latest(events: list[Event | None]) -> Event | None:
    found = [e for e in events if e is not None]
    return max(found, key=lambda e: e.at) if found else None
