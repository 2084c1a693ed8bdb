"""What is listed beside the events, changed: which beliefs rest on it, and the rack shown until they are anew."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack
from rackview.language import _
from rackview.services.behind import Behind
from rackview.store import Store, rack_of_tables

LISTS = ("broods", "stock", "demand", "standing", "tanks", "settings", "strains", "groups", "vessels", "retired")
ANEW = _("what is believed is worked out anew by it, which takes a while")


def taken(rack: Rack, store: Store, seen: int, behind: Behind, recent: bool) -> Rack | None:
    """The rack with what `store` lists now, before its events after `seen`; None if it must be read anew.

    A change on which the beliefs of a long history rest is worked in behind, if only what is recent is in memory.
    """
    now = rack_of_tables(store.newest_rows())
    if others_gone(rack, now):
        return None
    if recent and rest_anew(rack, now) and store.is_long():
        behind.recount()
        return relisted(rack, now, profiles=False)
    added = only_added(rack, now)
    if added is None or store.mentions(added, seen):
        return None
    return relisted(rack, now, profiles=not behind.recounting)


def only_added(rack: Rack, now: Rack) -> frozenset[str] | None:
    """The vessels that `now` has beyond `rack`; None if any other was changed, renamed or removed."""
    before, after = rack.known_vessels, now.known_vessels
    same = all(after.get(name) == vessel for name, vessel in before.items())
    return frozenset(after.keys() - before.keys()) if same else None


def others_gone(rack: Rack, now: Rack) -> bool:
    """Whether a vessel bears another name in `now`, or was removed."""
    return not rack.known_vessels.keys() <= now.known_vessels.keys() or rack.present_names != now.present_names


def rest_anew(rack: Rack, now: Rack) -> bool:
    """Whether what is believed of any vessel of `rack` rests on another strain, volume or profile in `now`."""
    return any(
        (vessel.strain, vessel.volume_l, rack.profile(name))
        != (now.known_vessels[name].strain, now.known_vessels[name].volume_l, now.profile(name))
        for name, vessel in rack.known_vessels.items()
        if name in now.known_vessels
    )


def relisted(rack: Rack, now: Rack, *, profiles: bool) -> Rack:
    """The histories of `rack` with all that is listed in `now`, which has none; vessels of `now` alone have no events.

    Without `profiles` those of `rack` go on to hold, and so does what is believed by them.
    """
    listed = {name: getattr(now, name) for name in LISTS}
    kept: Mapping[str, StrainProfile] = {} if profiles else {name: rack.profile(name) for name in rack.known_vessels}
    return replace(rack, logs={**now.logs, **rack.logs}, _profiles=dict(kept), **listed)
