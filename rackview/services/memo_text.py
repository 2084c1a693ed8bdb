"""How what is believed is written as text and read back: JSON, and of our own plain frozen records alone.

A memo is some lines: by what names things are known, then the value of each on a line of its own, and last the events
that are named in them. Each value is read when it is first asked for: a start asks for a few of them, and of many
vessels for one.
"""

from __future__ import annotations

import importlib
import json
import struct
import zlib
from binascii import a2b_base64, b2a_base64
from collections.abc import Callable, Hashable, ItemsView, Iterator, KeysView, Sequence, ValuesView
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from typing import Any

from rackview.core.events import Event
from rackview.core.log import Node
from rackview.core.profile import StrainProfile
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.store.rows import event_values, events_of, json_text
from rackview.store.snapshot import harmless

PACKAGES = ("core", "science", "science.risk", "science.state", "rules")
"""Where the beliefs' classes are, and the reckoning behind them."""

ROOTS = tuple(f"rackview.{p.split('.')[0]}." for p in PACKAGES)

SMALL = 3_000
"""Of an older node only what is short is kept, in letters of JSON: its signs, not the whole belief behind them."""

FORM = 3
"""Counted up when memos are written in another way, so that one written before is not taken for one that holds."""

LARGEST = 1 << 25
"""Bytes of a memo's text, some hundred times what a vessel's takes."""

NUMERIC = "fiub"
"""Kinds of numpy's arrays that are kept."""

FIRST = 4096
"""Bytes of a memo's text that are unpacked first."""

PACKED = 4
"""So many numbers in a row are written bit by bit."""

Find = Callable[[str, Event, int], Node]


class NotKeptError(TypeError):
    """A value that is not of a kind that can be kept."""


def written(rack: Rack, node: Node) -> bytes:
    """What a node remembers, as far as it can be kept."""
    writer = _Writer(rack, node)
    found = []
    for key, value in list(node.memo.items()):  # a window may be adding to it
        try:
            found.append((writer.value(key), json_text(writer.value(value))))
        except NotKeptError:
            continue
    found.sort(key=lambda pair: len(pair[1]))  # what is short is read without unpacking the rest
    keys = json_text([key for key, _ in found])
    return zlib.compress("\n".join([keys, *(value for _, value in found), json_text(writer.events)]).encode(), 1)


def recalled(body: bytes, rack: Rack, node: Node, find: Find) -> dict[Hashable, Any]:
    """What `written` wrote of a node; raises whatever it meets where that is not as it was written."""
    lines = Lines(body)
    keys = json.loads(lines[0])
    reader = _MemoReader(rack, node.vessel.vessel, find, lambda: lines[len(keys) + 1])
    return Recalled({reader.value(key): n for n, key in enumerate(keys, 1)}, lines, reader)


class Lines:
    """The lines of a memo; the first of them are unpacked alone, which takes a fifth of the time of all.

    Raises `ValueError` or `zlib.error` where it is spoilt. Two threads may ask at once.
    """

    def __init__(self, body: bytes) -> None:
        self._body = body
        *self._found, _cut = zlib.decompressobj().decompress(body, FIRST).split(b"\n")
        self._whole = False

    def __getitem__(self, n: int) -> str:
        if n >= len(self._found) and not self._whole:
            self._found, self._whole = _unpacked(self._body).split(b"\n"), True
        return self._found[n].decode()


def _unpacked(body: bytes) -> bytes:
    """The text of a memo; raises `ValueError` for one that is spoilt or would be larger than any of ours."""
    packed = zlib.decompressobj()
    text = packed.decompress(body, LARGEST)
    if not packed.eof:
        raise ValueError("it does not end")
    return text


def _packed(numbers: Sequence[float]) -> str:
    """Many numbers bit by bit (IEEE 754 binary64) in letters of base64: read ten times as fast as decimals."""
    return b2a_base64(struct.pack(f"<{len(numbers)}d", *numbers), newline=False).decode()


def _unpacked_numbers(said: str) -> tuple[float, ...]:
    data = a2b_base64(said)
    return struct.unpack(f"<{len(data) // 8}d", data)


class Recalled(dict[Hashable, Any]):
    """What a node remembers by its memo, each value read when it is first asked for.

    One that can't be read is as one that was never kept. Two threads may read the same value, which is equal then.
    """

    __slots__ = ("_lines", "_reader", "_unread")

    def __init__(self, unread: dict[Hashable, int], lines: Lines, reader: _MemoReader) -> None:
        super().__init__()
        self._unread = unread
        self._lines: Lines | None = lines
        self._reader: _MemoReader | None = reader

    def _read(self, key: Hashable) -> None:
        line, lines, reader = self._unread.get(key), self._lines, self._reader
        if line is not None and lines is not None and reader is not None:
            with harmless():
                super().__setitem__(key, reader.value(json.loads(lines[line])))
            self._unread.pop(key, None)
            if not self._unread:  # all is here
                self._lines = self._reader = None

    def _read_all(self) -> None:
        for key in list(self._unread):
            self._read(key)

    def __bool__(self) -> bool:
        return bool(self._unread) or super().__len__() > 0

    def __contains__(self, key: object) -> bool:
        if self._unread and isinstance(key, Hashable):
            self._read(key)
        return super().__contains__(key)

    def __getitem__(self, key: Hashable) -> Any:
        self._read(key)
        return super().__getitem__(key)

    def __setitem__(self, key: Hashable, value: Any) -> None:
        self._unread.pop(key, None)
        super().__setitem__(key, value)

    def get(self, key: Hashable, default: Any = None) -> Any:
        self._read(key)
        return super().get(key, default)

    def __iter__(self) -> Iterator[Hashable]:
        self._read_all()
        return super().__iter__()

    def __len__(self) -> int:
        self._read_all()
        return super().__len__()

    def __eq__(self, other: object) -> bool:
        self._read_all()
        return super().__eq__(other)

    __hash__ = None

    def keys(self) -> KeysView[Hashable]:  # type: ignore[override]
        self._read_all()
        return super().keys()

    def values(self) -> ValuesView[Any]:  # type: ignore[override]
        self._read_all()
        return super().values()

    def items(self) -> ItemsView[Hashable, Any]:  # type: ignore[override]
        self._read_all()
        return super().items()


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
            return self._several(value)
        if isinstance(value, dict):
            return ["d", *([self.value(k), self.value(v)] for k, v in value.items())]
        if isinstance(value, Event):
            return ["e", self._place(value)]
        if isinstance(value, Node):
            return self._of_node(value)
        if isinstance(value, StrainProfile | Vessel):
            return self._named(value)
        return self._record(value)

    def _several(self, values: list[Any] | tuple[Any, ...] | set[Any] | frozenset[Any]) -> object:
        kind = {list: "l", tuple: "t", set: "s", frozenset: "z"}.get(type(values))
        if kind is None:
            raise NotKeptError(type(values))
        if kind == "t" and len(values) >= PACKED and all(type(v) is float for v in values):
            return ["g", _packed(tuple(values))]
        return [kind, *(self.value(v) for v in values)]

    def _place(self, event: Event) -> int:
        if event.id not in self._places:
            self._places[event.id] = len(self.events)
            self.events.append(event_values(event))
        return self._places[event.id]

    def _record(self, value: object) -> object:
        from rackview.science.state.held import Held

        kind = type(value)
        if isinstance(value, Held):
            return ["h", value.pace, _packed(value.numbers.known())]
        if kind.__module__.startswith("numpy"):
            import numpy as np

            if isinstance(value, np.ndarray) and value.dtype.kind in NUMERIC:
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
        # no node remembers itself, and a chain of nodes that remember nodes would never end
        if node.event is None or node is self._node or self._inside:
            raise NotKeptError(Node)
        from rackview.science.risk.watch import Watch
        from rackview.science.state.belief import Belief

        memo: list[object] = []
        self._inside = True
        for key, value in list(node.memo.items()):
            if isinstance(value, Belief | Watch):  # too long, and one by one to be reckoned
                continue
            try:
                pair = [self.value(key), self.value(value)]
            except NotKeptError:
                continue
            if len(json_text(pair)) < SMALL:
                memo.append(pair)
        self._inside = False
        return ["n", node.vessel.vessel, self.value(node.event), node.length, *memo]


class _MemoReader:
    """Reads the values of one vessel's memo. It holds no node: the node whose memo it reads holds the reader."""

    def __init__(self, rack: Rack, vessel: str, find: Find, events: Callable[[], str]) -> None:
        self.rack, self.vessel, self._find = rack, vessel, find
        self._text = events
        self._events: Sequence[Event] | None = None

    def value(self, said: Any) -> Any:
        """The value that the writer wrote."""
        return MAKERS[said[0]](self, said) if type(said) is list else said

    def several(self, said: list[Any]) -> list[Any]:
        """What follows the letter of the kind; most are numbers."""
        value = self.value
        return [value(v) if type(v) is list else v for v in said[1:]]

    def array(self, said: list[Any]) -> Any:
        """One of numpy's arrays."""
        import numpy as np

        kind = np.dtype(said[1])
        if kind.kind not in NUMERIC:
            raise ValueError(said[1])
        return np.array(self.several(["l", *said[3]]), dtype=kind).reshape(said[2])

    def event(self, place: int) -> Event:
        """The event at that place among those of the memo."""
        if self._events is None:
            self._events = events_of([tuple(e) for e in json.loads(self._text())])
        return self._events[place]

    def held(self, said: list[Any]) -> Any:
        """What is held of the vessel, its numbers known."""
        from rackview.science.state.held import Held

        return Held.of(said[1], _unpacked_numbers(said[2]))

    def record(self, said: list[Any]) -> Any:
        """A record of ours, made without its constructor."""
        found, value = _class(said[1]), self.value
        twin = object.__new__(found)
        for put, one in zip(_puts(found), said[2:], strict=True):
            put(twin, value(one) if type(one) is list else one)
        return twin

    def older(self, vessel: str, said: list[Any], length: int, *memo: Any) -> Node:
        """An older node with the little that it remembers."""
        node = self._find(vessel, self.value(said), length)
        node.memo.update((self.value(k), self.value(v)) for k, v in memo)
        return node


def _name(kind: type) -> str:
    return f"{kind.__module__}:{kind.__qualname__}"


@cache
def _puts(kind: type) -> tuple[Callable[[object, Any], None], ...]:
    """What sets each field of a record that is being made, frozen or not."""
    return tuple(getattr(getattr(kind, f.name, None), "__set__", None) or _setter(f.name) for f in fields(kind))


def _setter(name: str) -> Callable[[object, Any], None]:
    return lambda record, value: object.__setattr__(record, name, value)


@cache
def _class(name: str) -> Any:
    module, _, kind = name.partition(":")
    if not module.startswith(ROOTS):
        raise KeyError(name)
    found = getattr(importlib.import_module(module), kind)
    if not (isinstance(found, type) and (is_dataclass(found) or issubclass(found, Enum | tuple))):
        raise KeyError(name)
    return found


MAKERS: dict[str, Callable[[_MemoReader, list[Any]], Any]] = {
    "f": lambda reader, said: float(said[1]),
    "l": _MemoReader.several,
    "g": lambda reader, said: _unpacked_numbers(said[1]),
    "t": lambda reader, said: tuple(reader.several(said)),
    "s": lambda reader, said: set(reader.several(said)),
    "z": lambda reader, said: frozenset(reader.several(said)),
    "d": lambda reader, said: {reader.value(k): reader.value(v) for k, v in said[1:]},
    "a": _MemoReader.array,
    "e": lambda reader, said: reader.event(said[1]),
    "v": lambda reader, said: reader.rack.vessels[said[1]],
    "p": lambda reader, said: reader.rack.profile(reader.vessel),
    "n": lambda reader, said: reader.older(*said[1:]),
    "h": _MemoReader.held,
    "E": lambda reader, said: _class(said[1])(reader.value(said[2])),
    "N": lambda reader, said: _class(said[1])(*reader.several(said[1:])),
    "c": _MemoReader.record,
}
"""What makes the value behind each letter."""
