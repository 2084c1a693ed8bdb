"""Old entries worked into what is believed: only histories that culture joins to theirs have changed."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import datetime

from rackview.core.dataclass import dataclass
from rackview.core.events import Event
from rackview.core.rack import Rack
from rackview.core.renames import under_present_name
from rackview.services.memory import linked_by
from rackview.store import Store, Written


@dataclass(frozen=True, slots=True)
class Worked:
    """What was read anew: a rack, and the running number up to which it knows the store.

    Of the vessels in `joined` alone if there are any, with the histories of all between which culture moved; `changed`
    are those of them that the old entries name. Else it is the whole rack.
    """

    rack: Rack
    last: int
    changed: frozenset[str] = frozenset()
    joined: frozenset[str] = frozenset()


def read_joined(store: Store, rack: Rack, events: Collection[Event], at: datetime) -> Worked:
    """The histories that old entries changed, with what is believed at `at` of the vessels that these name.

    Of `rack` only the vessels count. Raises `StoreError`.
    """
    from rackview.advice.api import assess_first

    changed = _named(rack, [*events, *store.related(events)])
    joined: frozenset[str] = frozenset()
    while True:
        groups = linked_by(rack, store.moves())
        now = changed.union(*(groups.get(name, ()) for name in changed))
        if now == joined:
            break
        joined = now  # what was just entered may have joined more: read again then
        part, last = store.read_of(joined)
    for name in changed & part.vessels.keys():
        assess_first(part, name, at)
    return Worked(part, last, changed, joined)


def with_joined(rack: Rack, anew: Worked, since: Written) -> tuple[Rack, list[Event]] | None:
    """The rack with histories read anew, and what of `since`, all that was entered after it was read, is still to come.

    That are the events of these vessels; `rack` has those of all others. None where what was entered corrects something
    or joins one of these vessels to another: then the whole is to be read.
    """
    events = [under_present_name(e, rack.present_names) for e in since.events]
    mine = [e for e in events if anew.joined & set(_of(e))]
    if since.rows or any(e.replaces is not None or not anew.joined.issuperset(_of(e)) for e in mine):
        return None
    logs = {**rack.logs, **{name: anew.rack.logs[name] for name in anew.joined}}
    return replace(rack, logs=logs).knowing(anew.rack.corrections.rows.values()), mine


def _named(rack: Rack, events: Iterable[Event]) -> frozenset[str]:
    named = {rack.present_names.get(name, name) for e in events for name in _of(e)}
    return frozenset(named & rack.known_vessels.keys())


def _of(event: Event) -> list[str]:
    return [event.vessel] if event.partner is None else [event.vessel, event.partner]
