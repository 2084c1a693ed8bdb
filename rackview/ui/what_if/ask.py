"""What may be asked, its fields, and the question that comes of what was typed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from rackview.core import read
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import Event, Restart, Split
from rackview.core.parse import event_from_row
from rackview.core.rack import Rack, check_event
from rackview.core.tables import Brood
from rackview.core.vessel import by_place
from rackview.language import _
from rackview.ui.forms.ask import Ask
from rackview.ui.forms.asks import brood_asks
from rackview.ui.forms.moves import carried_out

if TYPE_CHECKING:
    from rackview.advice.what_if.rack import RackWhatIf

KINDS = ("harvest", "split", "restart", "lost", "brood", "away")
DAYS = 14
AWAY = _("days from 1 to 28")
BROOD = ("brood", "group", "spawned", "hatched", "tank_l", "larvae")
Row = dict[str, object]


@dataclass(frozen=True, slots=True)
class WhatIfQuestion:
    """A question to be worked out: `events` are those whose vessels get a fan each."""

    call: Callable[[], RackWhatIf]
    events: tuple[Event, ...] = ()


def titles() -> dict[str, str]:
    """What each kind of question is called."""
    return {
        "harvest": _("Harvest"),
        "split": _("Split"),
        "restart": _("Restart"),
        "lost": _("Vessel lost"),
        "brood": _("Brood"),
        "away": _("Days away"),
    }


def asks(rack: Rack, kind: str) -> tuple[Ask, ...]:
    """The fields of a kind of question."""
    vessels = tuple((v.vessel, f"{v.place} {v.vessel}") for v in by_place(rack.vessels.values()))
    vessel = Ask("vessel", _("Vessel"), choices=vessels)
    volume = Ask("volume_l", _("Amount"), quantity="volume")
    if kind == "harvest":
        return vessel, volume
    if kind == "split":
        return vessel, Ask("to_vessel", _("Into"), choices=vessels), volume
    if kind == "restart":
        return vessel, Ask("from_vessel", _("From"), choices=vessels), volume
    if kind == "lost":
        return (vessel,)
    if kind == "away":
        return (Ask("away_days", _("Nobody there for"), unit=_("days")),)
    known = {a.column: a for a in brood_asks(rack)}
    name = replace(
        known["brood"],
        known=tuple(b.brood for b in rack.broods),
        hint=_("one of the list is moved, any other is added"),
    )
    return name, *(known[c] for c in BROOD[1:])


def question(rack: Rack, kind: str, row: Row, at: datetime) -> WhatIfQuestion:
    """The question of what was typed, for the rack at the aware moment `at`; raises `InputError` naming the field."""
    if kind == "away":
        days = read.whole_number_in(row, "away_days", AWAY, low=1, high=28)
        if days is None:
            raise InputError("away_days", None, AWAY)
        return WhatIfQuestion(_later(rack, at, away_days=days))
    if kind == "brood":
        return WhatIfQuestion(_later(rack, at, broods=[_brood(rack, row)]))
    if kind == "lost":
        return WhatIfQuestion(_later(rack, at, lost=[rack.vessel(row.get("vessel")).vessel]))
    said = {**row, "at": at, "kind": kind}
    if kind == "harvest":
        said |= {"refill_l": row.get("volume_l"), "to": "discard"}
    event = event_from_row(said)
    check_event(rack.vessels, event)
    events = carried_out(rack, event) if isinstance(event, Split | Restart) else [event]
    return WhatIfQuestion(_later(rack, at, events=events), tuple(events))


def _brood(rack: Rack, row: Row) -> Brood:
    """The brood of that name with what was typed in the place of what is known of it."""
    name = read.text(row, "brood")
    old = next((b for b in rack.broods if b.brood == name), None)
    typed = {k: v for k, v in row.items() if not read.blank(v)}
    if old is None:
        return Brood.from_row(typed)
    known: dict[str, Any] = old.row()
    if "spawned" in typed and "hatched" not in typed:
        known["hatched"] = None
    if "hatched" in typed and "spawned" not in typed:
        known["spawned"] = None
    return Brood.from_row({**known, **typed})


def _later(rack: Rack, at: datetime, **asked: Any) -> Callable[[], RackWhatIf]:
    def call() -> RackWhatIf:
        from rackview.advice.what_if.rack import rack_what_if

        return rack_what_if(rack, at, DAYS, **asked)

    return call
