"""The histories of a rack's vessels, rewritten where events come in or go, and shared where nothing changed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from rackview.core.events import Event
from rackview.core.log import Node


def rewrite(logs: dict[str, Node], added: Sequence[Event], dropped: Sequence[Event]) -> None:
    """Put `added` into the histories and take `dropped` out, rebuilding only from the first change on."""
    if not added and not dropped:
        return
    if all(head.event is None for head in logs.values()):
        grow(logs, added)
        return
    start: dict[str, tuple[datetime, int, str]] = {}
    for event in (*added, *dropped):
        for name in filter(None, (event.vessel, event.partner)):
            start[name] = min(start.get(name, event.order()), event.order())
    gone = {e.id for e in dropped}
    redo = {e.id: e for e in added}
    queue = list(start)
    while queue:
        name = queue.pop()
        node = logs[name]
        while node.event is not None and node.event.order() >= start[name] and node.previous is not None:
            event = node.event
            if event.id not in gone:
                redo.setdefault(event.id, event)
            for other in filter(None, (event.vessel, event.partner)):
                if other not in start or event.order() < start[other]:
                    start[other] = event.order()
                    queue.append(other)
            node = node.previous
        logs[name] = node
    grow(logs, redo.values())


def grow(logs: dict[str, Node], events: Iterable[Event]) -> None:
    """Put events, all of them later than what is in the histories, at their ends in order of time."""
    for event in sorted(events, key=Event.order):
        before = logs[event.vessel]
        if event.partner is None:
            logs[event.vessel] = Node(before.vessel, event, before)
        else:
            theirs = logs[event.partner]
            logs[event.vessel] = Node(before.vessel, event, before, theirs)
            logs[event.partner] = Node(theirs.vessel, event, theirs, before)
