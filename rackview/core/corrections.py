"""Which events are in force when some replace others.

An event stands until another replaces it; a correction may itself be corrected, and taking a correction back brings
what it replaced into force again. If several replace the same one (two keepers on two PCs), the one entered last
counts. Nothing is erased, and the answer does not depend on the order of arrival.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import field

from rackview.core.dataclass import dataclass
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
    """Those events that stand, by id: each that replaces nothing known, or what its corrections have made of it."""
    replacers: dict[str, list[Event]] = {}
    roots: list[Event] = []
    for event in rows.values():
        if event.replaces is not None and event.replaces in rows:
            replacers.setdefault(event.replaces, []).append(event)
        else:
            roots.append(event)
    settled: dict[str, Event | None] = {}
    for root in roots:
        _settle(root, replacers, settled)
    found = {e.id: e for root in roots if (e := settled[root.id]) is not None}
    circles = [e for e in rows.values() if e.id not in settled]
    return {e.id: e for e in (*found.values(), *circles) if not isinstance(e, Withdraw)}


def _settle(root: Event, replacers: Mapping[str, list[Event]], settled: dict[str, Event | None]) -> None:
    """Work out what each event of a tree of corrections has become: itself, a correction, or None if taken back."""
    stack = [root]
    while stack:
        event = stack[-1]
        later = replacers.get(event.id, [])
        waiting = [r for r in later if r.id not in settled]
        if waiting:
            stack.extend(waiting)
            continue
        stack.pop()
        live: list[Event] = [s for r in later if (s := settled[r.id]) is not None]
        newest = max(live, key=_entered) if live else event
        settled[event.id] = None if newest is not event and isinstance(newest, Withdraw) else newest


def _entered(event: Event) -> tuple[object, str]:
    return event.entered_at or event.at, event.id
