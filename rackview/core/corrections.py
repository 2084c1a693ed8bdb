"""Which events are in force when some replace others.

An event is in force unless an event in force replaces it. If several replace the same one (two keepers on two PCs),
the one entered last counts. Nothing is erased, and the answer does not depend on the order of arrival.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from rackview.core.events import Event, Withdraw


@dataclass(frozen=True)
class Corrections:
    """Every event that replaces another or is replaced, by id; plain events are not kept here."""

    rows: Mapping[str, Event] = field(default_factory=dict)
    targets: frozenset[str] = frozenset()

    def take(
        self,
        events: Iterable[Event],
        find: Callable[[str, Event], Event | None],
        present: Callable[[Event], bool],
    ) -> tuple[Corrections, list[Event], list[Event]]:
        """Add events; return the new corrections, the events to put in force and those to take out of force.

        `find(id, near)` looks an event up among those in force, near the event given first; `present(event)` says
        whether that very event is in force already.
        """
        plain: dict[str, Event] = {}
        rows, targets = dict(self.rows), set(self.targets)
        touched = False
        for event in events:
            if event.id in rows:
                continue
            if event.replaces is None and event.id not in targets:
                plain[event.id] = event
                continue
            touched = True
            rows[event.id] = event
            target = event.replaces
            if target is None or target in rows:
                if target is not None:
                    targets.add(target)
                continue
            targets.add(target)
            old = plain.pop(target, None) or find(target, event)
            if old is not None:
                rows[old.id] = old
        if not touched:
            return self, [e for e in plain.values() if not present(e)], []
        for event_id in [i for i in plain if i in targets]:
            rows[event_id] = plain.pop(event_id)
        before = _in_force(self.rows)
        after = _in_force(rows)
        came = [e for i, e in after.items() if i not in before and not present(e)]
        went = [e for i, e in rows.items() if i not in after and (i in before or present(e))]
        return Corrections(rows, frozenset(targets)), [*(e for e in plain.values() if not present(e)), *came], went


def _in_force(rows: Mapping[str, Event]) -> dict[str, Event]:
    replacers: dict[str, list[Event]] = {}
    for event in rows.values():
        if event.replaces is not None:
            replacers.setdefault(event.replaces, []).append(event)
    stands: dict[str, bool] = {}

    def settle(root: str) -> None:
        stack = [root]
        open_ids: set[str] = set()
        while stack:
            one = stack[-1]
            if one in stands:
                stack.pop()
                continue
            waiting = [r.id for r in replacers.get(one, ()) if r.id not in stands and r.id not in open_ids]
            if waiting and one not in open_ids:
                open_ids.add(one)
                stack.extend(waiting)
                continue
            stands[one] = not any(stands.get(r.id, False) for r in replacers.get(one, ()))
            stack.pop()

    for event_id in sorted(rows):
        settle(event_id)
    found: dict[str, Event] = {}
    for event in rows.values():
        if not stands[event.id] or isinstance(event, Withdraw):
            continue
        if event.replaces is not None:
            rivals = [r for r in replacers[event.replaces] if stands[r.id]]
            if max(rivals, key=_entered).id != event.id:
                continue
        found[event.id] = event
    return found


def _entered(event: Event) -> tuple[object, str]:
    return event.entered_at or event.at, event.id
