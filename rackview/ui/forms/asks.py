"""What each form asks: the columns of the tables in the keeper's words."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from PySide6.QtCore import QCoreApplication

from rackview.core.events import CILIATES, CLEANED, FEED_UNITS, SG_REFERENCES, STAGES, Event, own_fields
from rackview.core.parse import row_of
from rackview.core.rack import Rack
from rackview.core.vessel import KIT_ORIGINS
from rackview.ui.forms.ask import Ask
from rackview.ui.forms.moves import NEW, donors, made_for, resting, targets
from rackview.ui.words import keeper_units as ku

translate = QCoreApplication.translate


def strains(rack: Rack) -> tuple[tuple[str, str], ...]:
    """Strains to choose from."""
    return tuple((name, profile.title) for name, profile in rack.strains.items())


def vessel_asks(rack: Rack) -> tuple[Ask, ...]:
    """A vessel: name, strain, place, size, reserve, then the kit."""
    kits = [v.kit for v in rack.vessels.values()]

    def known(part: str) -> tuple[str, ...]:
        return tuple(sorted({getattr(k, part) for k in kits} - {""}))

    return (
        Ask("vessel", translate("Forms", "Name")),
        Ask("strain", translate("Forms", "Strain"), choices=strains(rack)),
        Ask("shelf", translate("Forms", "Shelf"), known=tuple(sorted({v.shelf for v in rack.vessels.values()}))),
        Ask("position", translate("Forms", "Position from the left")),
        Ask("volume_l", translate("Forms", "Working volume"), quantity="volume"),
        Ask(
            "reserve",
            translate("Forms", "Reserve"),
            hint=translate("Forms", "the last stock of its strain, kept apart"),
            yes=True,
        ),
        Ask("vessel_type", translate("Forms", "Kind of vessel"), known=known("vessel_type")),
        Ask("air_stone", translate("Forms", "Air stone"), known=known("air_stone")),
        Ask("floss", translate("Forms", "Floss"), known=known("floss")),
        Ask("lid", translate("Forms", "Lid"), known=known("lid")),
        Ask("cost", translate("Forms", "What it cost")),
        Ask(
            "origin",
            translate("Forms", "Bought or home-made"),
            choices=(("", "–"), *((o, translate("Forms", o)) for o in KIT_ORIGINS)),
        ),
        Ask("note", translate("Forms", "Note"), wide=True),
    )


def stock_asks(rack: Rack) -> tuple[Ask, ...]:
    """A feed in the stock."""
    return (
        Ask("feed", translate("Forms", "Feed")),
        Ask("kind", translate("Forms", "Kind"), known=tuple(sorted({s.kind for s in rack.stock} - {""}))),
        Ask(
            "amount",
            translate("Forms", "Amount left"),
            hint=translate("Forms", "as it was on the day of opening or of the last stock take"),
        ),
        Ask("unit", translate("Forms", "Unit"), choices=tuple((u, u) for u in FEED_UNITS)),
        Ask(
            "dry_g_per_ml",
            translate("Forms", "Dry matter"),
            unit=translate("Forms", "g per mL or g"),
            hint=translate("Forms", "from the label"),
        ),
        Ask("opened", translate("Forms", "Opened"), quantity="day", hint=translate("Forms", "a day such as 3 Apr")),
        Ask("expires", translate("Forms", "Use by"), quantity="day"),
        Ask("delivery_days", translate("Forms", "Delivery takes"), unit=translate("Forms", "days")),
        Ask("price", translate("Forms", "Price"), hint=translate("Forms", "of that amount, in your currency")),
    )


def brood_asks(rack: Rack) -> tuple[Ask, ...]:
    """A batch of larvae."""
    groups = (("", "–"), *((name, group.title) for name, group in rack.groups.items()))
    usual = translate("Forms", "blank: as usual for the group")
    return (
        Ask("brood", translate("Forms", "Brood")),
        Ask("group", translate("Forms", "Larval group"), choices=groups),
        Ask("spawned", translate("Forms", "Spawned"), quantity="day", hint=translate("Forms", "a day such as 3 Apr")),
        Ask("hatched", translate("Forms", "Hatched"), quantity="day"),
        Ask("tank_l", translate("Forms", "Tank"), quantity="volume"),
        Ask("larvae", translate("Forms", "Larvae")),
        Ask(
            "strain",
            translate("Forms", "Prey"),
            choices=(("", translate("Forms", "as usual for the group")), *strains(rack)),
        ),
        Ask("prey_per_ml", translate("Forms", "Prey wanted"), unit="/mL", hint=usual),
        Ask("feeds_per_day", translate("Forms", "Feeds a day"), hint=usual),
        Ask(
            "first_day",
            translate("Forms", "First day of feeding"),
            unit=translate("Forms", "dph (days after hatching)"),
            hint=usual,
        ),
        Ask(
            "last_day",
            translate("Forms", "Last day of feeding"),
            unit=translate("Forms", "dph (days after hatching)"),
            hint=usual,
        ),
    )


def demand_asks(rack: Rack) -> tuple[Ask, ...]:
    """The keeper's own word for a day."""
    return (
        Ask(
            "date",
            translate("Forms", "Day"),
            quantity="day",
            hint=translate("Forms", "tomorrow, 3 Apr"),
        ),
        Ask("strain", translate("Forms", "Strain"), choices=strains(rack)),
        Ask(
            "animals",
            translate("Forms", "Animals"),
            hint=translate("Forms", "overrides what the broods imply for that day"),
        ),
    )


def standing_asks(rack: Rack) -> tuple[Ask, ...]:
    """Mouths that take what is spare."""
    return (
        Ask(
            "consumer",
            translate("Forms", "Who eats it"),
            hint=translate("Forms", "older fish, broodstock, a display tank"),
        ),
        Ask("strain", translate("Forms", "Strain"), choices=strains(rack)),
        Ask(
            "animals_per_day",
            translate("Forms", "At most a day"),
            hint=translate("Forms", "animals; blank for whatever is spare"),
        ),
        Ask(
            "worth",
            translate("Forms", "Worth of a million"),
            hint=translate("Forms", "blank: as under Rules, What things are worth"),
        ),
    )


def tank_asks(rack: Rack) -> tuple[Ask, ...]:
    """What was found and given at a larval tank besides prey."""
    return (
        Ask("date", translate("Forms", "Day"), quantity="day", hint=translate("Forms", "blank for today")),
        Ask("tank", translate("Forms", "Brood or tank"), known=tuple(b.brood for b in rack.broods)),
        Ask(
            "left_per_ml",
            translate("Forms", "Prey left"),
            unit="/mL",
            hint=translate("Forms", "counted before it is fed again"),
        ),
        Ask(
            "feed",
            translate("Forms", "Algae dosed"),
            known=tuple(s.feed for s in rack.stock),
            hint=translate("Forms", "for green water; counts towards the bottle's end"),
        ),
        Ask("amount", translate("Forms", "Amount")),
        Ask("unit", translate("Forms", "Unit"), choices=tuple((u, u) for u in FEED_UNITS)),
    )


def column_words() -> dict[str, str]:
    """What each column of the event table is called."""
    return {
        "picture": translate("Forms", "Picture of the sample"),
        "tallies": translate("Forms", "Tallies"),
        "aliquot_ml": translate("Forms", "Aliquot"),
        "dilution": translate("Forms", "Dilution, -fold"),
        "fixative": translate("Forms", "Fixative, -fold"),
        "with_eggs": translate("Forms", "With eggs"),
        "females_checked": translate("Forms", "Females checked"),
        "stage": translate("Forms", "Stage"),
        "swimming": translate("Forms", "Swimming, 1 to 5"),
        "ciliates": translate("Forms", "Ciliates"),
        "tint": translate("Forms", "Tint, 0 to 4"),
        "temperature_c": translate("Forms", "Water"),
        "sg": translate("Forms", "Specific gravity"),
        "sg_reference": translate("Forms", "Hydrometer at"),
        "salinity": translate("Forms", "Salinity"),
        "conductivity_ms_cm": translate("Forms", "Conductivity"),
        "ph": translate("Forms", "pH"),
        "tan_mg_l": translate("Forms", "Total ammonia"),
        "oxygen_mg_l": translate("Forms", "Oxygen"),
        "feed": translate("Forms", "Feed"),
        "amount": translate("Forms", "Amount"),
        "unit": translate("Forms", "Unit"),
        "volume_l": translate("Forms", "Amount"),
        "refill_l": translate("Forms", "Refill"),
        "fill_l": translate("Forms", "Fill up with"),
        "eggs": translate("Forms", "Eggs on them"),
        "mesh_um": translate("Forms", "Sieve"),
        "to": translate("Forms", "To"),
        "what": translate("Forms", "What"),
        "to_vessel": translate("Forms", "Into"),
        "from_vessel": translate("Forms", "From vessel"),
        "starter": translate("Forms", "Or from a starter"),
        "density_per_ml": translate("Forms", "Density then"),
        "reason": translate("Forms", "Reason"),
        "text": translate("Forms", "Words"),
        "action": translate("Forms", "Declined"),
        "code": translate("Forms", "Flag"),
        "days": translate("Forms", "Days"),
        "at": translate("Forms", "When"),
        "note": translate("Forms", "Note"),
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
VESSELS = frozenset({"to_vessel", "from_vessel"})
MOVED = frozenset({"split", "restart"})
"""Kinds that move culture from vessel to vessel."""


def event_asks(rack: Rack, vessel: str, kind: str, *, recorded: bool = False) -> tuple[Ask, ...]:
    """An event of a kind at a vessel: the columns that the kind has, then when, and a note.

    A split that is not `recorded` yet may make the vessel that it goes into.
    """
    asks = [_event_ask(rack, vessel, column, kind) for column in own_fields(kind)]
    if kind == "split" and not recorded:
        n = next(n for n, ask in enumerate(asks) if ask.column == "to_vessel")
        new = (NEW, translate("Forms", "a new vessel"))
        asks[n : n + 1] = [replace(asks[n], choices=(*asks[n].choices, new)), *_new_vessel_asks(rack, vessel)]
    asks.append(
        Ask(
            "at",
            column_words()["at"],
            quantity="moment",
            hint=translate("Forms", "a day and time such as yesterday 7:30"),
            wide=True,
        )
    )
    if kind != "note":
        asks.append(Ask("note", column_words()["note"], wide=kind not in MOVED))
    return tuple(asks)


def _new_vessel_asks(rack: Rack, giver: str) -> tuple[Ask, ...]:
    """What is asked of a vessel that is made with a split; blank for a vessel like the giver at the next free place."""
    made, only = made_for(rack, giver), ("to_vessel", NEW)
    blank = translate("Forms", "blank: {usual}")
    volume = ku.with_unit(made.volume_l, rack.settings)
    return (
        Ask("new_vessel", translate("Forms", "Its name"), hint=blank.format(usual=made.vessel), only=only),
        Ask("new_place", translate("Forms", "Its place"), hint=blank.format(usual=made.place), only=only),
        Ask(
            "new_volume_l",
            translate("Forms", "Its working volume"),
            quantity="volume",
            hint=blank.format(usual=volume),
            only=only,
        ),
    )


def _event_ask(rack: Rack, vessel: str, column: str, kind: str) -> Ask:
    label = column_words().get(column, column)
    choices = {
        "stage": tuple((s, translate("Forms", s)) for s in STAGES),
        "ciliates": (BLANK, *((c, translate("Forms", c)) for c in CILIATES)),
        "sg_reference": (BLANK, *((r, r) for r in SG_REFERENCES)),
        "unit": tuple((u, u) for u in FEED_UNITS),
        "what": tuple((w, translate("Forms", w)) for w in CLEANED),
        "to_vessel": _vessels(rack, targets(rack, vessel)),
        "from_vessel": (BLANK, *_vessels(rack, donors(rack, vessel))),
    }.get(column, ())
    known = tuple(s.feed for s in rack.stock) if column == "feed" else ()
    if column == "to":
        known = (*(b.brood for b in rack.broods), *(s.consumer for s in rack.standing), "discard")
    quantity = "volume" if column in {"volume_l", "refill_l", "fill_l"} else "file" if column == "picture" else ""
    hint = translate("Forms", "one number per aliquot, with spaces between") if column == "tallies" else ""
    wide = column in {"tallies", "text", "feed", "picture", *VESSELS} or (column == "reason" and kind not in MOVED)
    if column == "refill_l" and kind in MOVED:
        hint = translate("Forms", "new water for the giver; blank for as much as was taken")
    if column == "density_per_ml" and kind == "count":
        label = translate("Forms", "Or the density alone")
        hint = translate("Forms", "where no tallies were written down")
    if column == "fill_l":
        hint = translate("Forms", "new water; blank to fill an empty vessel up")
    if column == "volume_l" and kind == "top_up":
        hint = translate("Forms", "fresh water that makes good what evaporated")
    return Ask(column, label, UNITS.get(column, ""), choices, known, quantity, hint, wide)


def _vessels(rack: Rack, names: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    found = []
    for name in names:
        rest = translate("Forms", "{vessel}, resting") if resting(rack, name) else "{vessel}"
        found.append((name, rest.format(vessel=f"{rack.vessels[name].place} {name}")))
    return tuple(found)


def shown_row(event: Event, zone: datetime) -> dict[str, object]:
    """The row of a recorded event with its time in the zone of `zone`, as a keeper would type it."""
    row = row_of(event)
    row["at"] = f"{event.at.astimezone(zone.tzinfo):%Y-%m-%d %H:%M:%S}".removesuffix(":00")
    return row
