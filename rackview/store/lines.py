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
TALLIES = "\0"
"""Stands for the tallies; no text of JSON holds it, which writes it with a stroke."""


def line_of(n: int, entry: Event | TableRow) -> bytes:
    """The line of an entry with the running number `n`."""
    if isinstance(entry, Event):
        body = body_of(entry)
        return event_line(n, event_values(entry, body), body)
    row = {f.name: getattr(entry, f.name) for f in fields(entry)}
    return sealed({"n": n, "row": row | {"entered_at": stamp(entry.entered_at)}})


def event_line(n: int, row: Sequence[Any], body: Mapping[str, object]) -> bytes:
    """The line of an event from its row, the values of EVENT_COLUMNS, and what its body says.

    What entries share is put together once: the row's own text of the body, laid between what is said of every event,
    as both are in the order of their names. To write all of it anew for each takes four times as long.
    """
    event_id, at, vessel, kind, replaces, entered_at, by, on, text, *_ = row
    before, there, rest = text.partition('"tallies":[')
    tallies, end, behind = rest.partition("]")
    around = _around(kind, replaces, by, on, f"{before}{there}{TALLIES if there else ''}{end}{behind}", tuple(body))
    if around is None:
        return sealed({"n": n, "event": _said(row, body)})
    a, b, c, d, e, f = around
    entered = f',"entered_at":{quoted(entered_at)}' if entered_at else ""
    return _with_sum(f"{a}{quoted(at)}{b}{entered}{c}{quoted(event_id)}{d}{tallies}{e}{quoted(vessel)}{f}{n}")


@lru_cache(maxsize=4096)
def _around(
    kind: str, replaces: str | None, by: str, on: str, text: str, names: tuple[str, ...]
) -> tuple[str, str, str, str, str, str] | None:
    """What stands in a line around moment, time of entry, id, tallies, vessel and number; None as `_laid_apart`.

    `text` is that of the body, with a mark for the tallies.
    """
    own = _laid_apart(text, names)
    if own is None:
        return None
    before, a, b, c, d, e, f, g, behind = own
    first = f"{before[1:]}," if before else ""
    who = f',"entered_by":{quoted(by)}' if by else ""
    where = f',"entered_on":{quoted(on)}' if on else ""
    old = f',"replaces":{quoted(replaces)}' if replaces else ""
    counted, _mark, rest = f'{e},"kind":{quoted(kind)}{f}{old}{g},"vessel":'.partition(TALLIES)
    begin, middle = f'{{"event":{{{first}"at":', f'{b}{who}{c}{where}{d},"id":'
    return begin, a, middle, counted, rest, f'{behind}}},"n":'


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
