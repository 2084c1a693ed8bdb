"""A line of the day book as it is written: what an entry says, and the line's checksum."""

from __future__ import annotations

import hashlib
from bisect import bisect
from collections.abc import Mapping, Sequence
from dataclasses import fields
from functools import lru_cache
from typing import Any

from rackview.core.events import Event
from rackview.store.rows import TableRow, body_of, event_values, json_text, quoted, stamp

SHARED_NAMES = ("at", "entered_at", "entered_by", "entered_on", "id", "kind", "replaces", "vessel")
"""What a line may say of every event, in the order in which it stands there among what only its kind says."""


def line_of(n: int, entry: Event | TableRow) -> bytes:
    """The line of an entry with the running number `n`."""
    if isinstance(entry, Event):
        body = body_of(entry)
        return event_line(n, event_values(entry, body), body)
    row = {f.name: getattr(entry, f.name) for f in fields(entry)}
    return sealed({"n": n, "row": row | {"entered_at": stamp(entry.entered_at)}})


def event_line(n: int, row: Sequence[Any], body: Mapping[str, object]) -> bytes:
    """The line of an event from its row, the values of EVENT_COLUMNS, and what its body says.

    The row's own text of the body is laid between what is said of every event, as both are in the order of their names;
    to write all of it anew takes twice the time.
    """
    event_id, at, vessel, kind, replaces, entered_at, by, on, text, *_ = row
    own = _laid_apart(text, tuple(body))
    if own is None:
        return sealed({"n": n, "event": _said(row, body)})
    before, a, b, c, d, e, f, g, behind = own
    first = f"{before[1:]}," if before else ""
    entered = f',"entered_at":{quoted(entered_at)}' if entered_at else ""
    who = f',"entered_by":{quoted(by)}' if by else ""
    where = f',"entered_on":{quoted(on)}' if on else ""
    old = f',"replaces":{quoted(replaces)}' if replaces else ""
    return _with_sum(
        f'{{"event":{{{first}"at":{quoted(at)}{a}{entered}{b}{who}{c}{where}{d},"id":{quoted(event_id)}{e},"kind":'
        f'{quoted(kind)}{f}{old}{g},"vessel":{quoted(vessel)}{behind}}},"n":{n}'
    )


def _said(row: Sequence[Any], body: Mapping[str, object]) -> dict[str, object]:
    event_id, at, vessel, kind, replaces, entered_at, by, on, *_ = row
    said = {**body, "at": at, "id": event_id, "kind": kind, "vessel": vessel}
    may_be = {"replaces": replaces, "entered_at": entered_at, "entered_by": by, "entered_on": on}
    return said | {name: value for name, value in may_be.items() if value}


def _laid_apart(text: str, names: tuple[str, ...]) -> list[str] | None:
    """What a body's text says before, between and behind the names of SHARED_NAMES; None for a text of another form.

    A name with its quotes, between a comma and a colon, can't stand within a text, where quotes have a stroke before.
    """
    steps = _steps(names)
    if steps is None:
        return None
    found = [""] * (len(SHARED_NAMES) + 1)
    rest = f",{text[1:-1]}" if names else text[1:-1]
    for place, begin in steps:
        rest, there, value = rest.rpartition(begin)
        if not there:
            return None
        found[place] = begin + value
    return None if rest else found


@lru_cache(maxsize=1024)
def _steps(names: tuple[str, ...]) -> tuple[tuple[int, str], ...] | None:
    """From the end on, where what stands between the same two shared names belongs, and what it begins with."""
    if list(names) != sorted(names) or not set(SHARED_NAMES).isdisjoint(names):
        return None
    begins: dict[int, str] = {}
    for name in names:
        begins.setdefault(bisect(SHARED_NAMES, name), f",{quoted(name)}:")
    return tuple(sorted(begins.items(), reverse=True))


def sealed(said: dict[str, object]) -> bytes:
    """A line that says this, with its checksum."""
    return _with_sum(json_text(said)[:-1])


def _with_sum(text: str) -> bytes:
    """A line from its text but for the last bracket."""
    begin = text.encode()
    return begin + f',"sum":"{line_sum(begin + b"}")}"}}\n'.encode()


def line_sum(body: bytes) -> str:
    """The checksum of a line from what it says without it."""
    return hashlib.sha256(body).hexdigest()[:16]
