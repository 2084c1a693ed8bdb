"""The checked way in: one row of the event table becomes an event, or one clear sentence."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import fields
from datetime import datetime
from operator import attrgetter

from rackview.core import events as ev
from rackview.core import read
from rackview.core.clock import as_utc
from rackview.core.errors import InputError
from rackview.core.ids import content_id
from rackview.language import _

Row = Mapping[str, object]

TALLIES = _("whole numbers of 0 or more, one per aliquot")
MOST_ANIMALS = 10_000_000
"""Tallied in one count, all aliquots together; the exact interval of a count is reckoned up to here."""
DENSITY = _("animals per mL from 0 to 10000000")
VOLUME = _("a volume in litres above 0, at most 100000")
REFILL = _("a volume in litres from 0 to 100000")
RATIO = _("a ratio from 1 to {:.0f}, after divided by before")
DILUTION, FIXATIVE = RATIO.format(1e6), RATIO.format(1e3)
ALIQUOT = _("the volume of one aliquot in mL, above 0, at most 10000")


def event_from_row(row: Row) -> ev.Event:
    """Check one row (a mapping with the event table's columns) and return the event it says.

    Blank cells and columns of other kinds that are blank are passed over; a filled column that the kind does not
    have is refused, so that nothing typed is silently dropped. Raises `InputError` naming the column.
    """
    kind = read.word(row, "kind", ev.KINDS)
    if not kind:
        raise InputError("kind", row.get("kind"), _("one of ") + ", ".join(ev.KINDS))
    strange = row.keys() - _COLUMNS[kind]
    for column, value in row.items() if strange else ():
        if column in strange and not read.blank(value):
            what = (
                _("nothing there, as a {kind} has no {column}").format(kind=kind, column=column)
                if column in ALL_COLUMNS
                else _("a known column")
            )
            raise InputError(column, value, what)
    vessel = read.text(row, "vessel")
    if not vessel:
        raise InputError("vessel", row.get("vessel"), _("the name of a vessel"))
    if read.blank(row.get("at")):
        raise InputError("at", row.get("at"), _("a date and time such as 2026-03-01T08:00"))
    entered = row.get("entered_at")
    event = ev.KINDS[kind](
        at=as_utc(row["at"]),
        vessel=vessel,
        id=read.text(row, "id"),
        replaces=read.text(row, "replaces") or None,
        entered_at=None if read.blank(entered) else as_utc(entered, "entered_at"),
        entered_by=read.text(row, "entered_by"),
        entered_on=read.text(row, "entered_on"),
        note=read.text(row, "note"),
        **READERS[kind](row),
    )
    if event.partner == vessel:
        raise InputError("to_vessel" if kind == "split" else "from_vessel", vessel, _("another vessel than this one"))
    if kind == "withdraw" and event.replaces is None:
        raise InputError("replaces", None, _("the id of the event to take back"))
    return event


def event_from(given: object) -> ev.Event:
    """The event that a row or an object of `core.events` says, either of them checked alike; raises `InputError`."""
    if isinstance(given, ev.Event):
        return event_from_row(row_of(given))
    if not isinstance(given, Mapping):
        raise InputError("event", given, _("a mapping with the event table's columns, or an event"))
    return event_from_row(given)


def identified(event: ev.Event, copy: int = 0) -> ev.Event:
    """The event with an id: its own, or one made from its content and how many equal rows came before it."""
    if event.id:
        return event
    return with_id(event, content_id(*content(event), copy))


def with_id(event: ev.Event, made: str) -> ev.Event:
    """The event with this id."""
    return but(event, id=made)


def but(event: ev.Event, **changes: object) -> ev.Event:
    """The event with some of its fields changed; as `dataclasses.replace`, in a small part of its time.

    A million are made so in one import, and no event looks at its fields when it is made.
    """
    twin = object.__new__(type(event))
    for put, value in zip(_PUTS[event.kind], _VALUES[event.kind](event), strict=True):
        put(twin, value)
    for name, value in changes.items():
        object.__setattr__(twin, name, value)
    return twin


LATER = frozenset({"eggs", "fill_l", "refill_l", "density_per_ml", "picture"})
"""Columns that events got after the first data format; None where nothing is said."""


FIELDS = {kind: tuple(f.name for f in fields(made)) for kind, made in ev.KINDS.items()}
_VALUES: dict[str, Callable[[ev.Event], tuple[object, ...]]] = {k: attrgetter(*names) for k, names in FIELDS.items()}
_PUTS = {kind: tuple(getattr(ev.KINDS[kind], name).__set__ for name in names) for kind, names in FIELDS.items()}
"""What reads all fields of an event, and what sets each of them by its slot, in the same order."""
SAID = {
    kind: tuple(n for n in names if n not in {"id", "entered_at", "entered_by", "entered_on"})
    for kind, names in FIELDS.items()
}
"""What an event of each kind has, and what of it says what happened: asked for of every line of an import."""
_COLUMNS = {kind: frozenset({*names, "kind"}) for kind, names in FIELDS.items()}
_SAYS: dict[str, Callable[[ev.Event], tuple[object, ...]]] = {k: attrgetter(*names) for k, names in SAID.items()}
_REST = {kind: tuple(n for n in names if n not in {"at", "vessel", "kind"}) for kind, names in FIELDS.items()}
_SAYS_REST: dict[str, Callable[[ev.Event], tuple[object, ...]]] = {k: attrgetter(*names) for k, names in _REST.items()}
_TEXTS = (str, tuple)
_FIRST_LATER = {k: next((n for n, name in enumerate(names) if name in LATER), len(names)) for k, names in SAID.items()}


def content(event: ev.Event) -> tuple[object, ...]:
    """What the event says, without who entered it and when.

    What the first data format did not have counts only where it is filled, so that a table that an older program took
    in is known again; a split of which no refill was said stood there with 0.
    """
    names, values, first = SAID[event.kind], _SAYS[event.kind](event), _FIRST_LATER[event.kind]
    said = [event.kind, *values[:first]]
    for name, value in zip(names[first:], values[first:], strict=True):
        if value is None and name in LATER:
            if not _in_first_format(event, name):
                continue
            value = 0.0 if name == "refill_l" else None
        said.append(value)
    return tuple(said)


def _in_first_format(event: ev.Event, column: str) -> bool:
    return (column == "refill_l" and isinstance(event, ev.Split)) or (
        column == "density_per_ml" and isinstance(event, ev.Restart)
    )


def row_of(event: ev.Event, moment: Callable[[datetime], str] = datetime.isoformat) -> dict[str, object]:
    """The row of the event table that `event_from_row` reads back; blank fields are left out.

    `moment` writes a time as ISO 8601 text, with whatever offset.
    """
    kind = event.kind
    row: dict[str, object] = {"at": moment(event.at), "vessel": event.vessel, "kind": kind}
    for name, value in zip(_REST[kind], _SAYS_REST[kind](event), strict=True):
        if value is None:
            continue
        if isinstance(value, _TEXTS):  # numpy's numbers compare oddly
            if not value:
                continue
            if type(value) is tuple:
                value = " ".join(map(str, value))
        elif isinstance(value, datetime):
            value = moment(value)
        row[name] = value
    return row


def _count(row: Row) -> dict[str, object]:
    tallies = read.whole_numbers(row, "tallies", TALLIES)
    density = read.number_in(row, "density_per_ml", DENSITY, low=0, high=1e7)
    if not tallies and density is None:
        raise InputError("tallies", row.get("tallies"), TALLIES)
    if tallies and density is not None:
        raise InputError("density_per_ml", density, _("nothing there, as the tallies tell the density"))
    if sum(tallies) > MOST_ANIMALS:
        raise InputError(
            "tallies", row.get("tallies"), _("at most {most_animals} animals in all").format(most_animals=MOST_ANIMALS)
        )
    eggs = read.whole_number_in(row, "with_eggs", _("a whole number of 0 or more"))
    checked = read.whole_number_in(row, "females_checked", _("a whole number of 0 or more"))
    if eggs is not None and (checked is None or eggs > checked):
        raise InputError("with_eggs", eggs, _("at most the {checked} females checked").format(checked=checked or 0))
    if checked and eggs is None:  # a blank would be taken for none, which is an alarm
        raise InputError(
            "with_eggs",
            None,
            _("how many of the {checked} females checked carried eggs, 0 for none").format(checked=checked),
        )
    return {
        "tallies": tallies,
        "aliquot_ml": read.number_in(row, "aliquot_ml", ALIQUOT, low=1e-6, high=1e4) or 1.0,
        "dilution": read.number_in(row, "dilution", DILUTION, low=1, high=1e6) or 1.0,
        "fixative": read.number_in(row, "fixative", FIXATIVE, low=1, high=1e3) or 1.0,
        "with_eggs": eggs,
        "females_checked": checked,
        "eggs": _eggs(row, eggs, checked),
        "density_per_ml": density,
        "picture": _picture(row),
        "stage": read.word(row, "stage", ev.STAGES) or "all",
        "swimming": read.whole_number_in(row, "swimming", _("a whole number from 1 to 5"), low=1, high=5),
        "ciliates": read.word(row, "ciliates", ev.CILIATES),
        "tint": read.whole_number_in(row, "tint", _("a whole number from 0 to 4"), low=0, high=4),
    }


PICTURE = re.compile(r"[0-9a-f]{40}\.(jpg|png|webp|bmp)")


def _picture(row: Row) -> str | None:
    """The name of a picture, made from what is in it, so that the name can't come to mean another."""
    name = read.text(row, "picture")
    if name and not PICTURE.fullmatch(name):
        raise InputError("picture", name, _("the name of a picture that the window keeps beside the store, or nothing"))
    return name or None


def _eggs(row: Row, with_eggs: int | None, checked: int | None) -> int | None:
    """Eggs on the females checked: none without females that carry any, and no fewer than those."""
    found = read.whole_number_in(row, "eggs", _("a whole number of 0 or more"))
    if found is None:
        return None
    if not checked:
        raise InputError("eggs", found, _("the females checked to go with them"))
    if found < (with_eggs or 0) or (found and not with_eggs):
        raise InputError(
            "eggs",
            found,
            _("at least one egg for each of the {with_eggs} females with eggs").format(with_eggs=with_eggs or 0),
        )
    return found


def _reading(row: Row) -> dict[str, object]:
    sg = read.number_in(row, "sg", _("a specific gravity from 0.990 to 1.100"), low=0.99, high=1.1)
    found: dict[str, object] = {
        "temperature_c": read.number_in(row, "temperature_c", _("degrees Celsius from -2 to 45"), low=-2, high=45),
        "sg": sg,
        "salinity": read.number_in(row, "salinity", _("a practical salinity from 0 to 120"), low=0, high=120),
        "conductivity_ms_cm": read.number_in(row, "conductivity_ms_cm", _("mS/cm from 0 to 200"), low=0, high=200),
        "ph": read.number_in(row, "ph", _("a pH from 4 to 11"), low=4, high=11),
        "tan_mg_l": read.number_in(row, "tan_mg_l", _("mg/L from 0 to 1000"), low=0, high=1000),
        "oxygen_mg_l": read.number_in(row, "oxygen_mg_l", _("mg/L from 0 to 60"), low=0, high=60),
    }
    if all(v is None for v in found.values()):
        raise InputError("temperature_c", None, _("at least one measured value in a reading"))
    reference = read.word(row, "sg_reference", ev.SG_REFERENCES)
    found["sg_reference"] = reference or ("unknown" if sg is not None else "")
    return found


def _feed(row: Row) -> dict[str, object]:
    feed = read.text(row, "feed")
    if not feed:
        raise InputError("feed", row.get("feed"), _("the name of a feed"))
    wanted = _("an amount from 0 to 1000000")
    return {
        "feed": feed,
        "amount": read.required(read.number_in(row, "amount", wanted, low=0, high=1e6), row, "amount", wanted),
        "unit": read.word(row, "unit", ev.FEED_UNITS) or "mL",
    }


def _volume(row: Row, wanted: str = VOLUME) -> float:
    found = read.required(read.number_in(row, "volume_l", wanted, low=0, high=1e5), row, "volume_l", wanted)
    if found == 0:
        raise InputError("volume_l", row.get("volume_l"), wanted)
    return found


def _harvest(row: Row) -> dict[str, object]:
    return {
        "volume_l": _volume(row),
        "refill_l": read.number_in(row, "refill_l", REFILL, low=0, high=1e5) or 0.0,
        "mesh_um": read.number_in(row, "mesh_um", _("a mesh in micrometres from 1 to 5000"), low=1, high=5000),
        "to": read.text(row, "to"),
    }


def _clean(row: Row) -> dict[str, object]:
    what = read.word(row, "what", ev.CLEANED)
    if not what:
        raise InputError("what", row.get("what"), _("one of ") + ", ".join(ev.CLEANED))
    return {"what": what}


def _top_up(row: Row) -> dict[str, object]:
    return {
        "volume_l": _volume(row),
        "salinity": read.number_in(row, "salinity", _("a practical salinity from 0 to 120"), low=0, high=120),
    }


def _split(row: Row) -> dict[str, object]:
    to = read.text(row, "to_vessel")
    if not to:
        raise InputError("to_vessel", row.get("to_vessel"), _("the name of the vessel that takes the culture"))
    return {
        "to_vessel": to,
        "volume_l": _volume(row),
        "refill_l": read.number_in(row, "refill_l", REFILL, low=0, high=1e5),
        "fill_l": read.number_in(row, "fill_l", REFILL, low=0, high=1e5),
    }


def _restart(row: Row) -> dict[str, object]:
    return {
        "from_vessel": read.text(row, "from_vessel") or None,
        "starter": read.text(row, "starter"),
        "volume_l": read.number_in(row, "volume_l", VOLUME, low=1e-6, high=1e5),
        "density_per_ml": read.number_in(row, "density_per_ml", DENSITY, low=0, high=1e7),
        "reason": read.text(row, "reason"),
        "fill_l": read.number_in(row, "fill_l", REFILL, low=0, high=1e5),
        "refill_l": read.number_in(row, "refill_l", REFILL, low=0, high=1e5),
    }


def _nothing(row: Row) -> dict[str, object]:
    return {}


def _note(row: Row) -> dict[str, object]:
    words = read.text(row, "text")
    if not words:
        raise InputError("text", row.get("text"), _("some words"))
    return {"text": words}


def _decline(row: Row) -> dict[str, object]:
    found = {"action": read.word(row, "action", ev.DECLINABLE), "code": read.text(row, "code")}
    if not any(found.values()):
        raise InputError("action", None, _("the action that is declined or the code of the flag that is shelved"))
    days = read.number_in(row, "days", _("days above 0, at most 365"), low=1e-3, high=365)
    return {**found, "reason": read.text(row, "reason"), "days": 1.0 if days is None else days}


READERS: dict[str, Callable[[Row], dict[str, object]]] = {
    "count": _count,
    "reading": _reading,
    "feed": _feed,
    "harvest": _harvest,
    "clean": _clean,
    "top_up": _top_up,
    "split": _split,
    "restart": _restart,
    "rest": _nothing,
    "return": _nothing,
    "note": _note,
    "decline": _decline,
    "withdraw": _nothing,
}

ALL_COLUMNS = frozenset(c for kind in ev.KINDS for c in ev.own_fields(kind))
