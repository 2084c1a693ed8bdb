"""One vessel's history as a persistent chain, and the fold that carries a belief along it.

A `Node` holds one event and points at the node before it, so adding an event shares all that came before and costs
one node. Whatever is computed along the chain (the estimate, days since care) is a fold; its value is remembered on
the nodes where it was asked for, which changes no answer, only the time to the next one.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from typing import Any

from rackview.core.events import Event
from rackview.core.vessel import Vessel

CHECKPOINT = 32
"""A fold also remembers its value at every so many nodes, so that a late entry need not start from nothing."""


class Node:
    """One event in a vessel's history; the first node of a history holds none.

    Attributes
    ----------
    vessel : the vessel whose history this is
    event : the event, or None in the first node
    previous : the node before, or None in the first node
    partner : the other vessel's history just before this event, for a split or restart that joins two vessels
    length : number of events up to here
    day : time of the event, days since 1970-01-01T00:00Z; minus infinity in the first node
    """

    __slots__ = ("__weakref__", "day", "event", "length", "memo", "partner", "previous", "vessel")

    def __init__(self, vessel: Vessel, event: Event | None, previous: Node | None, partner: Node | None = None) -> None:
        self.vessel = vessel
        self.event = event
        self.previous = previous
        self.partner = partner
        self.length: int = 0 if previous is None else previous.length + 1
        self.day: float = float("-inf") if event is None else event.day
        self.memo: dict[Hashable, Any] = {}

    def __reduce__(self) -> str | tuple[Any, ...]:
        raise TypeError("a history is not pickled by itself; pickle the Rack")

    @property
    def incoming(self) -> bool:
        """Whether the event belongs to another vessel and touches this one: a split into it, a restart out of it."""
        return self.event is not None and self.event.vessel != self.vessel.vessel

    def upto(self, day: float) -> Node:
        """The history as it was at `day`: the last node whose event is not later."""
        node = self
        while node.day > day and node.previous is not None:
            node = node.previous
        return node

    def back(self, since: float = float("-inf")) -> Iterator[Node]:
        """Nodes that hold events, newest first, down to the day `since`; older ones are not even looked at."""
        node: Node | None = self
        while node is not None and node.event is not None and node.day >= since:
            yield node
            node = node.previous

    def events(self) -> list[Event]:
        """Events in order of time, those of other vessels that touch this one included."""
        found = [n.event for n in self.back() if n.event is not None]
        found.reverse()
        return found

    def fold(self, key: Hashable, start: Callable[[Vessel], Any], step: Callable[[Any, Node, Any], Any]) -> Any:
        """Carry a value from the first node to this one.

        `start(vessel)` gives the value before any event; `step(value, node, partner_value)` the value after the
        node's event, where partner_value is the same fold at `node.partner` (None if there is none). Both must be
        pure. `key` names the fold with all that `start` and `step` depend on. Iterative, so that years of splits to
        and fro do not run out of stack.
        """
        stack = [self]
        while stack:
            head = stack[-1]
            if key in head.memo:
                stack.pop()
                continue
            pending: list[Node] = []
            node = head
            while not (memo := node.memo) or key not in memo:  # most remember nothing: that is seen faster
                if node.previous is None:
                    break
                pending.append(node)
                node = node.previous
            missing = [n.partner for n in pending if n.partner is not None and key not in n.partner.memo]
            if missing:
                stack.extend(missing)  # pending runs newest first, so the earliest partner is on top
                continue
            value = node.memo[key] if key in node.memo else start(node.vessel)
            for later in reversed(pending):
                value = step(value, later, None if later.partner is None else later.partner.memo[key])
                if later.length % CHECKPOINT == 0:
                    later.memo[key] = value
            head.memo[key] = value
            stack.pop()
        return self.memo[key]


class LazyNode(Node):
    """A node whose earlier history is fetched only when someone looks for it.

    `fetch(name)` gives the same history, whole; `remember()` what is known already at this node.
    """

    __slots__ = ("_fetch", "_memo", "_remember", "_whole")

    def __init__(
        self,
        vessel: Vessel,
        event: Event,
        length: int,
        fetch: Callable[[str], Node],
        remember: Callable[[Node], dict[Hashable, Any]] | None = None,
    ) -> None:
        self.vessel = vessel
        self.event = event
        self.length = length
        self.day = event.day
        self._fetch = fetch
        self._remember = remember
        self._memo: dict[Hashable, Any] | None = None
        self._whole: Node | None = None

    @property
    def whole(self) -> Node:
        """The same node with its earlier history."""
        if self._whole is None:
            self._whole = self._fetch(self.vessel.vessel)
        return self._whole

    @property
    def previous(self) -> Node | None:  # type: ignore[override]
        return self.whole.previous

    @property
    def partner(self) -> Node | None:  # type: ignore[override]
        return self.whole.partner

    @property
    def memo(self) -> dict[Hashable, Any]:  # type: ignore[override]
        if self._memo is None:
            self._memo = {} if self._remember is None else self._remember(self)
        return self._memo


def first(vessel: Vessel) -> Node:
    """The history of a vessel at which nothing has happened yet."""
    return Node(vessel, None, None)
