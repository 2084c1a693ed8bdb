"""What each form asks: the columns of the tables in the keeper's words."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from rackview.core.events import CILIATES, CLEANED, FEED_UNITS, SG_REFERENCES, STAGES, Event, own_fields
from rackview.core.parse import row_of
from rackview.core.rack import Rack
from rackview.core.vessel import KIT_ORIGINS, natural
from rackview.language import _
from rackview.ui.forms.ask import Ask
from rackview.ui.forms.moves import NEW, donors, made_for, resting, targets
from rackview.ui.words import keeper_units as ku
from rackview.ui.words.choices import reference_word


def strain_choices(rack: Rack) -> tuple[tuple[str, str], ...]:
    """Strains to choose from."""
    return tuple((name, profile.title) for name, profile in rack.strains.items())


def vessel_asks(rack: Rack) -> tuple[Ask, ...]:
    """A vessel: name, strain, place, size, reserve, then the kit."""
    kits = [v.kit for v in rack.vessels.values()]

    def known(part: str) -> tuple[str, ...]:
        return tuple(sorted({getattr(k, part) for k in kits} - {""}))

    return (
        Ask("vessel", _("Name")),
        Ask("strain", _("Strain"), choices=strain_choices(rack)),
        Ask("shelf", _("Shelf"), known=tuple(sorted({v.shelf for v in rack.vessels.values()}, key=natural))),
        Ask("position", _("Position from the left")),
        Ask("volume_l", _("Working volume"), quantity="volume"),
        Ask(
            "reserve",
            _("Reserve"),
            hint=_("the last stock of its strain, kept apart"),
            yes=True,
        ),
        Ask("vessel_type", _("Kind of vessel"), known=known("vessel_type")),
        Ask("air_stone", _("Air stone"), known=known("air_stone")),
        Ask("floss", _("Floss"), known=known("floss")),
        Ask("lid", _("Lid"), known=known("lid")),
        Ask("cost", _("What it cost")),
        Ask(
            "origin",
            _("Bought or home-made"),
            choices=(("", "–"), *((o, _(o)) for o in KIT_ORIGINS)),
        ),
        Ask("note", _("Note"), wide=True),
    )


def stock_asks(rack: Rack) -> tuple[Ask, ...]:
    """A feed in the stock."""
    return (
        Ask("feed", _("Feed")),
        Ask("kind", _("Kind"), known=tuple(sorted({s.kind for s in rack.stock} - {""}))),
        Ask(
            "amount",
            _("Amount left"),
            hint=_("as it was on the day of opening or of the last stock take"),
        ),
        Ask("unit", _("Unit"), choices=tuple((u, u) for u in FEED_UNITS)),
        Ask(
            "dry_g_per_ml",
            _("Dry matter"),
            unit=_("g per mL or g"),
            hint=_("from the label"),
        ),
        Ask("opened", _("Opened"), quantity="day", hint=_("a day such as 3 Apr")),
        Ask("expires", _("Use by"), quantity="day"),
        Ask("delivery_days", _("Delivery takes"), unit=_("days")),
        Ask("price", _("Price"), hint=_("of that amount, in your currency")),
    )


def brood_asks(rack: Rack) -> tuple[Ask, ...]:
    """A batch of larvae."""
    groups = (("", "–"), *((name, group.title) for name, group in rack.groups.items()))
    usual = _("blank: as usual for the group")
    return (
        Ask("brood", _("Brood")),
        Ask("group", _("Larval group"), choices=groups),
        Ask("spawned", _("Spawned"), quantity="day", hint=_("a day such as 3 Apr")),
        Ask("hatched", _("Hatched"), quantity="day"),
        Ask("tank_l", _("Tank"), quantity="volume"),
        Ask("larvae", _("Larvae")),
        Ask(
            "strain",
            _("Prey"),
            choices=(("", _("as usual for the group")), *strain_choices(rack)),
        ),
        Ask("prey_per_ml", _("Prey wanted"), unit="/mL", hint=usual),
        Ask("feeds_per_day", _("Feeds a day"), hint=usual),
        Ask(
            "first_day",
            _("First day of feeding"),
            unit=_("dph (days after hatching)"),
            hint=usual,
        ),
        Ask(
            "last_day",
            _("Last day of feeding"),
            unit=_("dph (days after hatching)"),
            hint=usual,
        ),
    )


def demand_asks(rack: Rack) -> tuple[Ask, ...]:
    """The keeper's own word for a day."""
    return (
        Ask(
            "date",
            _("Day"),
            quantity="day",
            hint=_("tomorrow, 3 Apr"),
        ),
        Ask("strain", _("Strain"), choices=strain_choices(rack)),
        Ask(
            "animals",
            _("Animals"),
            hint=_("overrides what the broods imply for that day"),
        ),
    )


def standing_asks(rack: Rack) -> tuple[Ask, ...]:
    """Mouths that take what is spare."""
    return (
        Ask(
            "consumer",
            _("Who eats it"),
            hint=_("older fish, broodstock, a display tank"),
        ),
        Ask("strain", _("Strain"), choices=strain_choices(rack)),
        Ask(
            "animals_per_day",
            _("At most a day"),
            hint=_("animals; blank for whatever is spare"),
        ),
        Ask(
            "worth",
            _("Worth of a million"),
            hint=_("blank: as under Rules, What things are worth"),
        ),
    )


def tank_asks(rack: Rack) -> tuple[Ask, ...]:
    """What was found and given at a larval tank besides prey."""
    return (
        Ask("date", _("Day"), quantity="day", hint=_("blank for today")),
        Ask("tank", _("Brood or tank"), known=tuple(b.brood for b in rack.broods)),
        Ask(
            "left_per_ml",
            _("Prey left"),
            unit="/mL",
            hint=_("counted before it is fed again"),
        ),
        Ask(
            "feed",
            _("Algae dosed"),
            known=tuple(s.feed for s in rack.stock),
            hint=_("for green water; counts towards the bottle's end"),
        ),
        Ask("amount", _("Amount")),
        Ask("unit", _("Unit"), choices=tuple((u, u) for u in FEED_UNITS)),
    )


def column_words() -> dict[str, str]:
    """What each column of the event table is called."""
    return {
        "picture": _("Picture of the sample"),
        "tallies": _("Tallies"),
        "aliquot_ml": _("Aliquot"),
        "dilution": _("Dilution, -fold"),
        "fixative": _("Fixative, -fold"),
        "with_eggs": _("With eggs"),
        "females_checked": _("Females checked"),
        "stage": _("Stage"),
        "swimming": _("Swimming, 1 to 5"),
        "ciliates": _("Ciliates"),
        "tint": _("Tint, 0 to 4"),
        "temperature_c": _("Water"),
        "sg": _("Specific gravity"),
        "sg_reference": _("Hydrometer at"),
        "salinity": _("Salinity"),
        "conductivity_ms_cm": _("Conductivity"),
        "ph": _("pH"),
        "tan_mg_l": _("Total ammonia"),
        "oxygen_mg_l": _("Oxygen"),
        "feed": _("Feed"),
        "amount": _("Amount"),
        "unit": _("Unit"),
        "volume_l": _("Amount"),
        "refill_l": _("Refill"),
        "fill_l": _("Fill up with"),
        "eggs": _("Eggs on them"),
        "mesh_um": _("Sieve"),
        "to": _("To"),
        "what": _("What"),
        "to_vessel": _("Into"),
        "from_vessel": _("From vessel"),
        "starter": _("Or from a starter"),
        "density_per_ml": _("Density then"),
        "reason": _("Reason"),
        "text": _("Words"),
        "action": _("Declined"),
        "code": _("Flag"),
        "days": _("Days"),
        "at": _("When"),
        "note": _("Note"),
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
        new = (NEW, _("a new vessel"))
        asks[n : n + 1] = [replace(asks[n], choices=(*asks[n].choices, new)), *_new_vessel_asks(rack, vessel)]
    asks.append(
        Ask(
            "at",
            column_words()["at"],
            quantity="moment",
            hint=_("a day and time such as yesterday 7:30"),
            wide=True,
        )
    )
    if kind != "note":
        asks.append(Ask("note", column_words()["note"], wide=kind not in MOVED))
    return tuple(asks)


def _new_vessel_asks(rack: Rack, giver: str) -> tuple[Ask, ...]:
    """What is asked of a vessel that is made with a split; blank for a vessel like the giver at the next free place."""
    made, only = made_for(rack, giver), ("to_vessel", NEW)
    blank = _("blank: {usual}")
    volume = ku.with_unit(made.volume_l, rack.settings)
    return (
        Ask("new_vessel", _("Its name"), hint=blank.format(usual=made.vessel), wide=True, only=only),
        Ask("new_place", _("Its place"), hint=blank.format(usual=made.place), only=only),
        Ask(
            "new_volume_l",
            _("Its working volume"),
            quantity="volume",
            hint=blank.format(usual=volume),
            only=only,
        ),
    )


def _event_ask(rack: Rack, vessel: str, column: str, kind: str) -> Ask:
    label = column_words().get(column, column)
    choices = {
        "stage": tuple((s, _(s)) for s in STAGES),
        "ciliates": (BLANK, *((c, _(c)) for c in CILIATES)),
        "sg_reference": (BLANK, *((r, reference_word(r)) for r in SG_REFERENCES)),
        "unit": tuple((u, u) for u in FEED_UNITS),
        "what": tuple((w, _(w)) for w in CLEANED),
        "to_vessel": _vessels(rack, targets(rack, vessel)),
        "from_vessel": (BLANK, *_vessels(rack, donors(rack, vessel))),
    }.get(column, ())
    known = tuple(s.feed for s in rack.stock) if column == "feed" else ()
    if column == "to":
        known = (*(b.brood for b in rack.broods), *(s.consumer for s in rack.standing), "discard")
    quantity = "volume" if column in {"volume_l", "refill_l", "fill_l"} else "file" if column == "picture" else ""
    hint = _("one number per aliquot, with spaces between") if column == "tallies" else ""
    wide = column in {"tallies", "text", "feed", "note", "picture", *VESSELS} or (
        column == "reason" and kind not in MOVED
    )
    if column == "refill_l" and kind in MOVED:
        hint = _("new water for the giver; blank for as much as was taken")
    if column == "density_per_ml" and kind == "count":
        label = _("Or the density alone")
        hint = _("where no tallies were written down")
    if column == "fill_l":
        hint = _("new water; blank to fill an empty vessel up")
    if column == "volume_l" and kind == "top_up":
        hint = _("fresh water that makes good what evaporated")
    return Ask(column, label, UNITS.get(column, ""), choices, known, quantity, hint, wide)


def _vessels(rack: Rack, names: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    found = []
    for name in names:
        rest = _("{vessel}, resting") if resting(rack, name) else "{vessel}"
        found.append((name, rest.format(vessel=f"{rack.vessels[name].place} {name}")))
    return tuple(found)


def shown_row(event: Event, zone: datetime) -> dict[str, object]:
    """The row of a recorded event with its time in the zone of `zone`, as a keeper would type it."""
    row = row_of(event)
    row["at"] = f"{event.at.astimezone(zone.tzinfo):%Y-%m-%d %H:%M:%S}".removesuffix(":00")
    return row
