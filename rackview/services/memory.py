"""What is believed, kept between two starts, so that years need not be thought through again each time.

Beliefs are plain frozen records of ours. They are written as JSON and read back into the same classes, and only into
dataclasses, named tuples and enumerations of rackview's own packages, so nothing read from a store can run anything.
What can't be written this way is not kept, and what was made by another version of the program, of the profile or of
the vessel is not used: it is worked out again.
"""

from __future__ import annotations

import hashlib
import importlib
import json
import sys
import zlib
from collections.abc import Callable, Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import datetime, timedelta
from enum import Enum
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rackview.core.clock import day_number
from rackview.core.errors import InputError
from rackview.core.events import Event
from rackview.core.garbage import uncollected
from rackview.core.log import Node
from rackview.core.profile import StrainProfile, table_of
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.store.rows import event_values, events_of, json_text
from rackview.store.snapshot import TIP, Memo, Snapshot, snapshots_of

if TYPE_CHECKING:
    from rackview.store import Store

PACKAGES = ("core", "science", "science.risk", "science.state", "rules")
"""Where the beliefs' classes are, and the reckoning behind them."""

ROOTS = tuple(f"rackview.{p.split('.')[0]}." for p in PACKAGES)

SMALL = 3_000
"""Of an older node only what is short is kept, in letters of JSON: its signs, not the whole belief behind them."""

FORM = 2
"""Counted up when memos are written in another way, so that one written before is not taken for one that holds."""

LARGEST = 1 << 25
"""Bytes of a memo's text, some hundred times what a vessel's takes."""

Linked = Mapping[str, Collection[str]]
"""Each vessel's group, by `linked_by`."""

Find = Callable[[str, Event, int], Node]


class NotKeptError(TypeError):
    """A value that is not of a kind that can be kept."""


def remember(memo: Memo, rack: Rack, node: Node, find: Find) -> dict[Hashable, Any]:
    """What a node remembers by its memo; nothing if another program or other vessels, profiles or settings made it.

    Raises whatever it meets in a memo that is not as it was written; the store's one door for that then does without.
    """
    if not holds(rack, memo.vessel, memo.made_by):
        return {}
    events, kept = json.loads(_unpacked(memo.body))
    reader = _MemoReader(rack, node, find, events_of([tuple(e) for e in events]))
    return {reader.value(k): reader.value(v) for k, v in kept}


def _unpacked(body: bytes) -> bytes:
    """The text of a memo; raises `ValueError` for one that is spoilt or would be larger than any of ours."""
    packed = zlib.decompressobj()
    try:
        text = packed.decompress(body, LARGEST)
    except zlib.error as error:
        raise ValueError(str(error)) from error
    if not packed.eof:
        raise ValueError("it does not end")
    return text


def memo_of(rack: Rack, node: Node, at: str, linked: Linked) -> Memo:
    """The memo of what a node remembers, as far as it can be kept."""
    name = node.vessel.vessel
    writer = _Writer(rack, node)
    kept = []
    for key, value in list(node.memo.items()):  # a window may be adding to it
        try:
            kept.append([writer.value(key), writer.value(value)])
        except NotKeptError:
            continue
    body = json_text([writer.events, kept]).encode()
    return Memo(at, name, basis(rack, name, linked.get(name, ())), zlib.compress(body, 1))


def think(rack: Rack, tell: Callable[[float], None]) -> None:
    """Work out what is believed of each vessel; `tell` hears which share is done."""
    from rackview.advice.api import assess

    at = max((head.event.at for head in rack.logs.values() if head.event is not None), default=None)
    for done, name in enumerate(rack.vessels if at is not None else ()):
        tell(done / len(rack.vessels))
        assess(rack, name, at)
    tell(1.0)


def keep(store: Store, rack: Rack, last: int) -> int:
    """Note snapshots in a store for what its newest ones leave out, with what is believed there; return how many.

    `last` is the running number up to which `rack` knows the store.
    """
    snapshots = due(store, rack, last)
    if snapshots:
        store.keep(snapshots, memos_of(rack, snapshots, linked_by(rack, store.moves())))
    return len(snapshots)


def due(store: Store, rack: Rack, last: int) -> list[Snapshot]:
    """The snapshots that would be worth noting; none if the newest in the store will do."""
    tip, piece = store.snapshot(), store.snapshot(tips=False)
    if tip is not None and last - tip.n < TIP:
        made = {name: by for name, by in store.made_by(tip).items() if name in rack.known_vessels}
        if made and all(holds(rack, name, by) for name, by in made.items()):
            return []
    return snapshots_of(rack, last, None if piece is None else piece.at)


@uncollected()
def memos_of(rack: Rack, snapshots: Sequence[Snapshot], linked: Linked) -> list[Memo]:
    """What is believed at the newest of these snapshots."""
    return [memo for snapshot in snapshots[-2:] for memo in _memos(rack, snapshot, linked)]


def _memos(rack: Rack, snapshot: Snapshot, linked: Linked) -> list[Memo]:
    from rackview.advice.api import advise
    from rackview.advice.constants import SHOWN_BEFORE
    from rackview.science.state.past import remember_days

    heads = {name: _before(rack.logs[name], snapshot.at) for name in snapshot.heads}
    at = max(node.event.at for node in heads.values() if node.event is not None)
    advise(rack, at)
    zone = (at.astimezone().utcoffset() or timedelta(0)) / timedelta(days=1)
    remember_days(
        [(node, rack.profile(node.vessel.vessel)) for node in heads.values()],
        day_number(at) - SHOWN_BEFORE,
        day_number(at),
        zone,
    )
    # what was worked out stayed on those very nodes
    return [memo_of(rack, node, snapshot.at, linked) for node in heads.values()]


def _before(node: Node, at: str) -> Node:
    moment = datetime.fromisoformat(at)
    while node.event is not None and node.event.at >= moment and node.previous is not None:
        node = node.previous
    return node


def linked_by(rack: Rack, moves: Iterable[Iterable[str]]) -> Linked:
    """Each vessel's own group: those between which culture moved, directly or through others."""
    groups: dict[str, set[str]] = {}
    for pair in moves:
        names = {rack.present_names.get(name, name) for name in pair} & rack.known_vessels.keys()
        whole = set().union(names, *(groups[name] for name in names if name in groups))
        groups.update(dict.fromkeys(whole, whole))
    return groups


def basis(rack: Rack, vessel: str, linked: Iterable[str]) -> str:
    """Names everything that a vessel's beliefs rest on beside events.

    The program, the profile that holds for it, and the vessels themselves of its group, as culture moved between them.
    What falls elsewhere have taught is pooled anew at each question and is no part of what is kept.
    """
    group = sorted({vessel, *linked})
    vessels = [[v.vessel, v.strain, v.volume_l] for v in map(rack.vessel, group)]
    said = json_text([FORM, _program(), vessels, _profile_text(rack.profile(vessel))])
    return json_text([hashlib.sha256(said.encode()).hexdigest()[:32], *group])


def holds(rack: Rack, vessel: str, made_by: str) -> bool:
    """Whether all that a memo rests on is as it was."""
    try:
        _, *group = json.loads(made_by)
        return made_by == basis(rack, vessel, group)
    except (ValueError, TypeError, InputError, RecursionError):
        return False


@lru_cache(maxsize=64)
def _profile_text(profile: StrainProfile) -> str:
    return json_text(table_of(profile))


@cache
def _program() -> str:
    digest = hashlib.sha256()
    for part in _parts():
        digest.update(part.read_bytes())
    return digest.hexdigest()


def _parts() -> Iterable[Path]:
    """The files that hold the reckoning; of a program in one folder, the one that holds all its code."""
    if getattr(sys, "frozen", False):
        return [Path(sys.executable)]
    root = Path(__file__).parents[1]
    return (part for package in PACKAGES for part in sorted(root.joinpath(*package.split(".")).glob("*.py")))


class _Writer:
    def __init__(self, rack: Rack, node: Node) -> None:
        self._rack, self._node = rack, node
        self._inside = False
        self._places: dict[str, int] = {}
        self.events: list[tuple[object, ...]] = []
        """The events that were written, each once: a count is named by all that it was looked at for."""

    def value(self, value: object) -> object:
        """JSON for a value: plain ones as they are, all else as a list that begins with a letter for its kind."""
        if isinstance(value, Enum):
            if not type(value).__module__.startswith(ROOTS):
                raise NotKeptError(type(value))
            return ["E", _name(type(value)), self.value(value.value)]
        if value is None or isinstance(value, bool | str | int):
            return value
        if isinstance(value, float):
            return float(value) if abs(value) < float("inf") else ["f", str(float(value))]
        if isinstance(value, tuple) and type(value).__module__.startswith(ROOTS):
            return ["N", _name(type(value)), *(self.value(v) for v in value)]
        if isinstance(value, list | tuple | set | frozenset):
            kind = {list: "l", tuple: "t", set: "s", frozenset: "z"}.get(type(value))
            if kind is None:
                raise NotKeptError(type(value))
            return [kind, *(self.value(v) for v in value)]
        if isinstance(value, dict):
            return ["d", *([self.value(k), self.value(v)] for k, v in value.items())]
        if isinstance(value, Event):
            return ["e", self._place(value)]
        if isinstance(value, Node):
            return self._of_node(value)
        if isinstance(value, StrainProfile | Vessel):
            return self._named(value)
        return self._record(value)

    def _place(self, event: Event) -> int:
        if event.id not in self._places:
            self._places[event.id] = len(self.events)
            self.events.append(event_values(event))
        return self._places[event.id]

    def _record(self, value: object) -> object:
        from rackview.science.state.held import Held

        kind = type(value)
        if isinstance(value, Held):
            return ["h", value.pace, *(self.value(one) for one in value.numbers.known())]
        if kind.__module__.startswith("numpy"):
            import numpy as np

            if isinstance(value, np.ndarray) and value.dtype.kind in "fiub":
                return ["a", str(value.dtype), list(value.shape), [self.value(v) for v in value.ravel().tolist()]]
            if isinstance(value, np.generic):
                return self.value(value.item())
        if not is_dataclass(value) or not kind.__module__.startswith(ROOTS):
            raise NotKeptError(kind)
        kept = value.kept() if hasattr(value, "kept") else value  # in a form of its own that takes less room
        return ["c", _name(kind), *(self.value(getattr(kept, f.name)) for f in fields(value))]

    def _named(self, value: StrainProfile | Vessel) -> object:
        if isinstance(value, Vessel):
            if self._rack.vessels.get(value.vessel) is not value:
                raise NotKeptError(Vessel)
            return ["v", value.vessel]
        if value is self._rack.profile(self._node.vessel.vessel):
            return ["p"]
        raise NotKeptError(StrainProfile)

    def _of_node(self, node: Node) -> object:
        if node.event is None:
            raise NotKeptError(Node)
        memo: list[object] = []
        if node is not self._node:
            if self._inside:  # a chain of nodes that remember nodes would never end
                raise NotKeptError(Node)
            self._inside = True
            for key, value in list(node.memo.items()):
                try:
                    pair = [self.value(key), self.value(value)]
                except NotKeptError:
                    continue
                if len(json_text(pair)) < SMALL:
                    memo.append(pair)
            self._inside = False
        return ["n", node.vessel.vessel, self.value(node.event), node.length, *memo]


class _MemoReader:
    def __init__(self, rack: Rack, node: Node, find: Find, events: Sequence[Event]) -> None:
        self._rack, self._node, self._find, self._events = rack, node, find, events

    def value(self, said: Any) -> Any:
        """The value that the writer wrote."""
        if not isinstance(said, list):
            return said
        kind, *rest = said
        return self._plain(kind, rest) if kind in "fltszda" else self._ours(kind, rest)

    def _plain(self, kind: str, rest: list[Any]) -> Any:
        if kind == "f":
            return float(rest[0])
        if kind == "d":
            return {self.value(k): self.value(v) for k, v in rest}
        if kind == "a":
            import numpy as np

            return np.array([self.value(v) for v in rest[2]], dtype=np.dtype(rest[0])).reshape(rest[1])
        make = {"l": list, "t": tuple, "s": set, "z": frozenset}[kind]
        return make([self.value(v) if isinstance(v, list) else v for v in rest])  # most are numbers

    def _ours(self, kind: str, rest: list[Any]) -> Any:
        if kind == "e":
            return self._events[rest[0]]
        if kind == "v":
            return self._rack.vessels[rest[0]]
        if kind == "p":
            return self._rack.profile(self._node.vessel.vessel)
        if kind == "n":
            return self._of_node(*rest)
        if kind == "h":
            from rackview.science.state.held import Held

            return Held.of(*(self.value(one) for one in rest))
        found = _class(rest[0])
        if kind == "E":
            return found(self.value(rest[1]))
        if kind == "N":
            return found(*(self.value(v) for v in rest[1:]))
        twin = object.__new__(found)
        for name, value in zip(_fields(found), rest[1:], strict=True):
            object.__setattr__(twin, name, self.value(value) if isinstance(value, list) else value)
        return twin

    def _of_node(self, vessel: str, said: list[Any], length: int, *memo: Any) -> Node:
        here, event = self._node, self.value(said)
        if here.event is not None and (vessel, event.id) == (here.vessel.vessel, here.event.id):
            return here
        node = self._find(vessel, event, length)
        node.memo.update((self.value(k), self.value(v)) for k, v in memo)
        return node


def _name(kind: type) -> str:
    return f"{kind.__module__}:{kind.__qualname__}"


@cache
def _fields(kind: type) -> tuple[str, ...]:
    return tuple(f.name for f in fields(kind))


@cache
def _class(name: str) -> Any:
    module, _, kind = name.partition(":")
    if not module.startswith(ROOTS):
        raise KeyError(name)
    found = getattr(importlib.import_module(module), kind)
    if not (isinstance(found, type) and (is_dataclass(found) or issubclass(found, Enum | tuple))):
        raise KeyError(name)
    return found
