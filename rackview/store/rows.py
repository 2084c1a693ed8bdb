"""An event or a table row as it lies in the store, and back.

Every row carries a checksum of what it says. A row whose checksum holds was written by us after it was checked, so
reading it needs no second check; one whose checksum fails is reported as damage and never shown as a number.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import fields
from datetime import UTC, datetime
from functools import lru_cache
from json import encoder
from typing import Any
from zlib import crc32

from rackview.core.dataclass import dataclass
from rackview.core.events import KINDS, SHARED, Event
from rackview.language import _

TABLES = ("vessel", "stock", "brood", "demand", "setting", "strain", "group", "standing", "tank")

EVENT_COLUMNS = ("id", "at", "vessel", "kind", "replaces", "entered_at", "entered_by", "entered_on", "body", "sum")
ROW_COLUMNS = ("id", "in_table", "name", "body", "entered_at", "entered_by", "entered_on", "sum")

_OWN = {
    kind: tuple(sorted((f.name, f.default) for f in fields(c) if f.name == "note" or f.name not in SHARED))
    for kind, c in KINDS.items()
}
"""In the order in which a body names them."""


def _kinds_of_value(hint: str) -> frozenset[type]:
    """What JSON writes for a field of that type."""
    plain = {"str": (str,), "int": (int,), "float": (int, float), "tuple[int, ...]": (list,), "None": (type(None),)}
    return frozenset(kind for part in hint.split(" | ") for kind in plain.get(part, ()))


_VALUES = {kind: {f.name: _kinds_of_value(str(f.type)) for f in fields(c)} for kind, c in KINDS.items()}
MOST = 1e12
"""No number in an entry comes near it."""
SIGNED = frozenset({"temperature_c"})
MOST_TOLD = 40
"""Letters of each value that are told of a row which may say anything."""


class DamagedRowError(ValueError):
    """A row that is not as it was written; `where` names it."""

    def __init__(self, where: str) -> None:
        self.where = where
        super().__init__(where)


@dataclass(frozen=True, slots=True)
class TableRow:
    """One version of one row of a table beside the events; `row` None says that it was removed."""

    table: str
    key: str
    row: Mapping[str, object] | None
    entered_at: datetime
    entered_by: str = ""
    entered_on: str = ""
    id: str = ""

    def order(self) -> tuple[datetime, str]:
        """The newest version counts; at the same microsecond the greater id does, on every PC alike."""
        return self.entered_at, self.id


def stamp(at: datetime) -> str:
    """A moment as text of one length, so that text order is time order: 2026-03-01T08:15:00.000000+00:00."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")


_stamp_of_many = lru_cache(maxsize=64)(stamp)
"""When it was entered, which all entries of an import share."""

_json = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
_OPTIONS = (None, _json.default, encoder.encode_basestring, None, ":", ",", True, False, False)


def _compiled() -> Callable[[object], str]:
    """What `encode` makes anew for every value, two thirds of its time, where this Python has it."""
    with suppress(AttributeError, TypeError):
        pieces = encoder.c_make_encoder(*_OPTIONS)  # type: ignore[attr-defined]
        return lambda value: "".join(pieces(value, 0))
    return _json.encode


_encoded = _compiled()
quoted: Callable[[str], str] = encoder.encode_basestring
"""A text as JSON writes it."""


def json_text(value: object) -> str:
    """The one way in which we write JSON: keys sorted, nothing between, not-a-number refused."""
    return _encoded(value)


def checksum(values: Sequence[object]) -> int:
    """CRC-32 of a row's values."""
    return crc32("\x1f".join(map(str, values)).encode())


def event_values(event: Event, body: Mapping[str, object] | None = None) -> tuple[Any, ...]:
    """The values of EVENT_COLUMNS for an event, of which `body_of` may be at hand."""
    entered = event.entered_at
    a, b, c, d = event.id, stamp(event.at), event.vessel, event.kind
    e, f = event.replaces, None if entered is None else _stamp_of_many(entered)
    g, h, i = event.entered_by, event.entered_on, json_text(body_of(event) if body is None else body)
    # the checksum is spelled out, as this runs for every event of an import
    return a, b, c, d, e, f, g, h, i, crc32(f"{a}\x1f{b}\x1f{c}\x1f{d}\x1f{e}\x1f{f}\x1f{g}\x1f{h}\x1f{i}".encode())


def body_of(event: Event) -> dict[str, object]:
    """What only events of this kind say, and the note, without what is as usual."""
    found = {}
    for name, default in _OWN[event.kind]:
        value = getattr(event, name)
        if value != default:
            found[name] = value
    return found


def bodies_of(rows: Sequence[tuple[Any, ...]]) -> list[dict[str, Any]]:
    """The bodies of rows with EVENT_COLUMNS; raises `DamagedRowError` for a row that is not as it was written."""
    bodies: list[dict[str, Any]] = json.loads("[" + ",".join([r[8] for r in rows]) + "]") if _sound(rows) else []
    for row, body in zip(rows, bodies, strict=True):
        if not _possible(row[1], row[5], row[3], row[2], body):
            raise DamagedRowError(_told(row))
    return bodies


def events_of(rows: Sequence[tuple[Any, ...]], bodies: list[dict[str, Any]] | None = None) -> list[Event]:
    """Events from rows with EVENT_COLUMNS, whose bodies may be at hand; raises `DamagedRowError` as `bodies_of`.

    Names that come again and again are one text each, which takes a fifth off the memory of a long record.
    """
    moment, one = datetime.fromisoformat, sys.intern
    found: list[Event] = []
    for row, body in zip(rows, bodies_of(rows) if bodies is None else bodies, strict=True):
        event_id, at, vessel, kind, replaces, entered, by, on, _, _ = row
        if kind == "count":
            body["tallies"] = tuple(body.get("tallies", ()))
        found.append(
            KINDS[kind](
                at=moment(at),
                vessel=one(vessel),
                id=event_id,
                replaces=replaces,
                entered_at=entered and moment(entered),
                entered_by=one(by),
                entered_on=one(on),
                **body,
            )
        )
    return found


def _possible(at: str, entered: str | None, kind: str, vessel: str, body: Mapping[str, Any]) -> bool:
    """Whether a row says something that an entry of its kind can say at all.

    A checksum shows what a disk did to a row, not who wrote it; so nothing is handed on that would trip up whoever
    reckons with it. The parser, which knows all the rules, is too slow for every start.
    """
    if at[-6:] != "+00:00" or (entered is not None and entered[-6:] != "+00:00"):
        return False
    kinds = _VALUES[kind]
    for name, value in body.items():
        what = type(value)
        if what not in kinds.get(name, ()):
            return False
        if (what is float or what is int) and not (0 <= value < MOST or (name in SIGNED and -MOST < value < MOST)):
            return False
        if what is list and not all(type(n) is int and 0 <= n < MOST for n in value):
            return False
    return vessel not in (body.get("to_vessel"), body.get("from_vessel"))


def _sound(rows: Sequence[tuple[Any, ...]]) -> bool:
    for a, b, c, d, e, f, g, h, i, total in rows:  # spelled out, as this runs for every event at every start
        if crc32(f"{a}\x1f{b}\x1f{c}\x1f{d}\x1f{e}\x1f{f}\x1f{g}\x1f{h}\x1f{i}".encode()) != total:
            raise DamagedRowError(_told((a, b, c, d)))
    return True


def _told(row: Sequence[Any]) -> str:
    """An event in words that a keeper knows it by, as far as its row can still tell."""
    event_id, at, vessel, kind = (str(value)[:MOST_TOLD] for value in row[:4])
    said = _("the {kind} of {vessel} on {day}").format(kind=kind, vessel=vessel, day=at[:10])
    return f"{said} (entry {event_id})" if said.isprintable() else f"entry {event_id}"


def row_values(row: TableRow) -> tuple[object, ...]:
    """The values of ROW_COLUMNS for a table row."""
    said = (
        row.id,
        row.table,
        row.key,
        None if row.row is None else json_text(dict(row.row)),
        stamp(row.entered_at),
        row.entered_by,
        row.entered_on,
    )
    return *said, checksum(said)


def table_rows_of(rows: Iterable[tuple[Any, ...]]) -> list[TableRow]:
    """Table rows from rows with ROW_COLUMNS; raises `DamagedRowError` for one that is not as it was written."""
    found = []
    for row in rows:
        if checksum(row[:7]) != row[7]:
            raise DamagedRowError(f"the {row[1]} row “{row[2]}”")
        body = None if row[3] is None else json.loads(row[3])
        found.append(TableRow(row[1], row[2], body, datetime.fromisoformat(row[4]), row[5], row[6], row[0]))
    return found
