"""Which events are there already, by id and by what they say, so that no import counts anything twice."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from rackview.core.errors import InputError
from rackview.core.events import Event
from rackview.core.ids import content_id
from rackview.core.parse import content, with_id
from rackview.core.rack import Rack
from rackview.exchange.freeform.worded import content_in_english
from rackview.language import _

Said = tuple[object, ...]
"""What an event says, `freeform.worded.content_in_english` of it."""


def every_event(rack: Rack) -> list[Event]:
    """All events that a rack knows, replaced and withdrawn ones included, in order of time."""
    found = {e.id: e for e in (*rack.events(), *rack.corrections.rows.values())}
    return sorted(found.values(), key=Event.order)


class Ledger:
    """The events of a rack and those taken since.

    A row with an id is that event. A row without one is known if at least as many events that say the same are there
    as equal rows stand up to it in its file: so the same file twice adds nothing, two equal rows in one file stay
    two, and a table whose ids were dropped adds nothing to the rack it came from.
    """

    def __init__(self, rack: Rack, named: frozenset[str]) -> None:
        """`named` are the ids that the files themselves give."""
        self.ids = {e.id: e for e in every_event(rack)}
        self.alias: dict[str, str] = {}
        self._same: dict[Said, list[str]] = defaultdict(list)
        for event in self.ids.values():
            self._same[content_in_english(event)].append(event.id)
        self._named_here = named
        self._before = frozenset(self.ids)
        self._twins: dict[Said, list[str]] = {}

    def take(self, event: Event, says: Said, ordinal: int) -> Event | None:
        """The event with its id if it is new, None if it is there; raises `InputError` if its id is another's.

        `says` is what it says, and `ordinal` how many in its file before it say the same.
        """
        target = self.alias.get(event.replaces) if event.replaces else None
        if target is not None:
            event = replace(event, replaces=target)
            says = content_in_english(event)
        same = self._same[says]
        if event.id:
            if self._named(event, says):
                return None
        elif ordinal < len(same):
            return None
        else:
            copy = ordinal
            while (made := content_id(*says, copy)) in self.ids:
                copy += 1
            event = with_id(event, made)
        self.ids[event.id] = event
        same.append(event.id)
        return event

    def _named(self, event: Event, says: Said) -> bool:
        there = self.ids.get(event.id)
        if there is not None:
            if content_in_english(there) != says:
                other = _("the {kind} at {vessel} of {at:%Y-%m-%d %H:%M} UTC").format(
                    kind=there.kind, vessel=there.vessel, at=there.at
                )
                raise InputError(
                    "id",
                    event.id,
                    _("an id of its own, as {other} has it; a correction names it there in replaces").format(
                        other=other
                    ),
                )
            return True
        twins = self._made_from(says)
        if twins:
            self.alias[event.id] = twins.pop(0)
            return True
        return False

    def _made_from(self, says: Said) -> list[str]:
        """Ids of events imported earlier without one that say the same and that no row here names."""
        if says not in self._twins:
            ids = self._same[says]
            worded = dict.fromkeys([says, *(content(self.ids[i]) for i in ids)])  # once an id was made of other words
            made = dict.fromkeys(content_id(*one, copy) for one in worded for copy in range(len(ids)))
            there = self._before.intersection(ids) - self._named_here
            self._twins[says] = [i for i in made if i in there]
        return self._twins[says]


def ordinals(contents: Iterable[tuple[int, Said]]) -> list[int]:
    """For each event, how many before it say the same in its file; `contents` are the file and what it says."""
    seen: dict[int, dict[Said, int]] = defaultdict(dict)
    found = []
    for part, said in contents:
        there = seen[part]
        found.append(before := there.get(said, 0))
        there[said] = before + 1
    return found
