"""What each form asks: the columns of the tables in the keeper's words."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QCoreApplication

from rackview.core.events import CILIATES, CLEANED, FEED_UNITS, SG_REFERENCES, STAGES, Event, own_fields
from rackview.core.parse import row_of
from rackview.core.rack import Rack
from rackview.core.vessel import KIT_ORIGINS
from rackview.ui.forms import Ask
from rackview.ui.moves import resting, targets

translate = QCoreApplication.translate


def _t(text: str) -> str:
    return translate("Forms", text)


def strains(rack: Rack) -> tuple[tuple[str, str], ...]:
    """Strains to choose from."""
    return tuple((name, profile.title) for name, profile in rack.strains.items())


def vessel_asks(rack: Rack) -> tuple[Ask, ...]:
    """A vessel: name, strain, place, size, reserve, then the kit."""
    kits = [v.kit for v in rack.vessels.values()]

    def known(part: str) -> tuple[str, ...]:
        return tuple(sorted({getattr(k, part) for k in kits} - {""}))

    return (
        Ask("vessel", _t("Name")),
        Ask("strain", _t("Strain"), choices=strains(rack)),
        Ask("shelf", _t("Shelf"), known=tuple(sorted({v.shelf for v in rack.vessels.values()}))),
        Ask("position", _t("Position from the left")),
        Ask("volume_l", _t("Working volume"), quantity="volume"),
        Ask("reserve", _t("Reserve"), hint=_t("the last stock of its strain, kept apart"), yes=True),
        Ask("vessel_type", _t("Kind of vessel"), known=known("vessel_type")),
        Ask("air_stone", _t("Air stone"), known=known("air_stone")),
        Ask("floss", _t("Floss"), known=known("floss")),
        Ask("lid", _t("Lid"), known=known("lid")),
        Ask("cost", _t("What it cost")),
        Ask("origin", _t("Bought or home-made"), choices=(("", "–"), *((o, _t(o)) for o in KIT_ORIGINS))),
        Ask("note", _t("Note"), wide=True),
    )


def stock_asks(rack: Rack) -> tuple[Ask, ...]:
    """A feed in the stock."""
    return (
        Ask("feed", _t("Feed")),
        Ask("kind", _t("Kind"), known=tuple(sorted({s.kind for s in rack.stock} - {""}))),
        Ask("amount", _t("Amount left"), hint=_t("as it was on the day of opening or of the last stock take")),
        Ask("unit", _t("Unit"), choices=tuple((u, u) for u in FEED_UNITS)),
        Ask("dry_g_per_ml", _t("Dry matter"), unit=_t("g per mL or g"), hint=_t("from the label")),
        Ask("opened", _t("Opened"), hint=_t("a date such as 2026-03-01")),
        Ask("expires", _t("Use by")),
        Ask("delivery_days", _t("Delivery takes"), unit=_t("days")),
    )


def brood_asks(rack: Rack) -> tuple[Ask, ...]:
    """A batch of larvae."""
    groups = (("", "–"), *((name, group.title) for name, group in rack.groups.items()))
    usual = _t("blank: as usual for the group")
    return (
        Ask("brood", _t("Brood")),
        Ask("group", _t("Larval group"), choices=groups),
        Ask("spawned", _t("Spawned"), hint=_t("a date such as 2026-03-01")),
        Ask("hatched", _t("Hatched")),
        Ask("tank_l", _t("Tank"), quantity="volume"),
        Ask("larvae", _t("Larvae")),
        Ask("strain", _t("Prey"), choices=(("", _t("as usual for the group")), *strains(rack))),
        Ask("prey_per_ml", _t("Prey wanted"), unit="/mL", hint=usual),
        Ask("feeds_per_day", _t("Feeds a day"), hint=usual),
        Ask("first_day", _t("First day of feeding"), unit=_t("days after hatch"), hint=usual),
        Ask("last_day", _t("Last day of feeding"), unit=_t("days after hatch"), hint=usual),
    )


def demand_asks(rack: Rack) -> tuple[Ask, ...]:
    """The keeper's own word for a day."""
    return (
        Ask("date", _t("Day"), hint=_t("a date such as 2026-03-01")),
        Ask("strain", _t("Strain"), choices=strains(rack)),
        Ask("animals", _t("Animals"), hint=_t("overrides what the broods imply for that day")),
    )


WORDS = {
    "tallies": "Tallies",
    "aliquot_ml": "Aliquot",
    "dilution": "Diluted 1 to",
    "fixative": "Fixative 1 to",
    "with_eggs": "With eggs",
    "females_checked": "Females checked",
    "stage": "Stage",
    "swimming": "Swimming, 1 to 5",
    "ciliates": "Ciliates",
    "tint": "Tint, 0 to 4",
    "temperature_c": "Water",
    "sg": "Specific gravity",
    "sg_reference": "Hydrometer at",
    "salinity": "Salinity",
    "conductivity_ms_cm": "Conductivity",
    "ph": "pH",
    "tan_mg_l": "Total ammonia",
    "oxygen_mg_l": "Oxygen",
    "feed": "Feed",
    "amount": "Amount",
    "unit": "Unit",
    "volume_l": "Amount",
    "refill_l": "Refill",
    "mesh_um": "Sieve",
    "to": "To",
    "what": "What",
    "to_vessel": "Into",
    "from_vessel": "From vessel",
    "starter": "Or from a starter",
    "density_per_ml": "Density then",
    "reason": "Reason",
    "text": "Words",
    "action": "Declined",
    "code": "Flag",
    "days": "Days",
    "at": "When",
    "note": "Note",
}
UNITS = {
    "aliquot_ml": "mL",
    "temperature_c": "°C",
    "conductivity_ms_cm": "mS/cm",
    "tan_mg_l": "mg/L",
    "oxygen_mg_l": "mg/L",
    "mesh_um": "µm",
    "density_per_ml": "/mL",
}
BLANK = ("", "–")
MOVED = frozenset({"split", "restart"})
"""Kinds after which the vessels are filled up; the form of a new one asks for that in a column `fill`."""


def event_asks(rack: Rack, vessel: str, kind: str, *, timed: bool = True) -> tuple[Ask, ...]:
    """An event of a kind at a vessel: the columns that the kind has, then when (if `timed`) and a note."""
    asks = [_event_ask(rack, vessel, column, kind) for column in own_fields(kind)]
    if kind in MOVED and not timed:
        asks.append(Ask("fill", _t("Fill up with new water"), yes=True))
    if timed:
        asks.append(Ask("at", _t(WORDS["at"]), hint=_t("a date and time such as 2026-03-01 07:30"), wide=True))
    if kind != "note":
        asks.append(Ask("note", _t(WORDS["note"]), wide=True))
    return tuple(asks)


def _event_ask(rack: Rack, vessel: str, column: str, kind: str) -> Ask:
    label = _t(WORDS.get(column, column))
    choices = {
        "stage": tuple((s, _t(s)) for s in STAGES),
        "ciliates": (BLANK, *((c, _t(c)) for c in CILIATES)),
        "sg_reference": (BLANK, *((r, r) for r in SG_REFERENCES)),
        "unit": tuple((u, u) for u in FEED_UNITS),
        "what": tuple((w, _t(w)) for w in CLEANED),
        "to_vessel": _vessels(rack, vessel),
        "from_vessel": (BLANK, *_vessels(rack, vessel)),
    }.get(column, ())
    known = tuple(s.feed for s in rack.stock) if column == "feed" else ()
    if column == "to":
        known = (*(b.brood for b in rack.broods), "discard")
    quantity = "volume" if column in {"volume_l", "refill_l"} else ""
    hint = _t("one number per aliquot, with spaces between") if column == "tallies" else ""
    wide = column in {"tallies", "text", "reason"}
    if column == "volume_l" and kind == "top_up":
        hint = _t("fresh water that makes good what evaporated")
    return Ask(column, label, UNITS.get(column, ""), choices, known, quantity, hint, wide)


def _vessels(rack: Rack, but: str) -> tuple[tuple[str, str], ...]:
    found = []
    for name in targets(rack, but):
        rest = _t("{vessel}, resting") if resting(rack, name) else "{vessel}"
        found.append((name, rest.format(vessel=f"{rack.vessels[name].place} {name}")))
    return tuple(found)


def shown_row(event: Event, zone: datetime) -> dict[str, object]:
    """The row of a recorded event with its time in the zone of `zone`, as a keeper would type it."""
    row = row_of(event)
    row["at"] = f"{event.at.astimezone(zone.tzinfo):%Y-%m-%d %H:%M:%S}".removesuffix(":00")
    return row


def typed_time(text: str, zone: datetime) -> object:
    """A local time as typed, with the keeper's offset; what can't be read is handed on as it stands."""
    try:
        found = datetime.fromisoformat(text.strip())
    except ValueError:
        return text
    return (found.astimezone() if zone.tzinfo is not None and found.tzinfo is None else found).isoformat()
