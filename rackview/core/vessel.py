"""Vessels: what stands where on the rack, and the kit it is made of."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from rackview.core import read
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.language import N_, _

VOLUME_WANTED = _("a volume in litres above 0, at most 100000")
POSITION_WANTED = _("a whole number from 1 to 999, counted from the left")


@dataclass(frozen=True, slots=True)
class Kit:
    """What a vessel is built from, so that kits can be compared by result; every part may be left blank."""

    vessel_type: str = ""
    air_stone: str = ""
    floss: str = ""
    lid: str = ""
    cost: float | None = None
    origin: str = ""


KIT_ORIGINS = (N_("bought"), N_("home-made"))


@dataclass(frozen=True, slots=True)
class Vessel:
    """One culture vessel: its name, the strain profile it follows, its place, its working volume in litres.

    `reserve` marks a vessel kept apart as the last stock of its strain; it is never harvested to feed larvae.
    `formerly` are the names it had before, under which events may be recorded; `retired` says that it is out of use
    for good: gone from the shelf, kept in the records.
    """

    vessel: str
    strain: str
    shelf: str
    position: int
    volume_l: float
    reserve: bool = False
    kit: Kit = Kit()
    note: str = ""
    formerly: tuple[str, ...] = ()
    retired: bool = False

    @property
    def place(self) -> str:
        """Shelf and position in one word, such as B3."""
        return f"{self.shelf}{self.position}"

    @classmethod
    def from_row(cls, row: Mapping[str, object]) -> Vessel:
        """Check one row of the vessel table; raises `InputError` naming the column."""
        name = read.text(row, "vessel")
        if not name:
            raise InputError("vessel", row.get("vessel"), _("a name"))
        strain = read.text(row, "strain")
        if not strain:
            raise InputError("strain", row.get("strain"), _("a strain such as rotifer-L"))
        shelf = read.text(row, "shelf")
        if not shelf:
            raise InputError("shelf", row.get("shelf"), _("the shelf's name, such as A"))
        position = read.whole_number_in(row, "position", POSITION_WANTED, low=1, high=999)
        if position is None:
            raise InputError("position", row.get("position"), POSITION_WANTED)
        volume = read.required(
            read.number_in(row, "volume_l", VOLUME_WANTED, low=1e-3, high=1e5), row, "volume_l", VOLUME_WANTED
        )
        kit = Kit(
            vessel_type=read.text(row, "vessel_type"),
            air_stone=read.text(row, "air_stone"),
            floss=read.text(row, "floss"),
            lid=read.text(row, "lid"),
            cost=read.number_in(row, "cost", _("an amount of money of 0 or more"), low=0),
            origin=read.word(row, "origin", KIT_ORIGINS),
        )
        return cls(
            name,
            strain,
            shelf,
            position,
            volume,
            read.yes_no(row, "reserve"),
            kit,
            read.text(row, "note"),
            tuple(n.strip() for n in read.text(row, "formerly").split(";") if n.strip()),
            read.yes_no(row, "retired"),
        )

    def row(self) -> dict[str, object]:
        """The row of the vessel table that `from_row` reads back."""
        later: dict[str, object] = {"formerly": "; ".join(self.formerly), "retired": "yes" if self.retired else ""}
        return {
            "vessel": self.vessel,
            "strain": self.strain,
            "shelf": self.shelf,
            "position": self.position,
            "volume_l": self.volume_l,
            "reserve": "yes" if self.reserve else "",
            "vessel_type": self.kit.vessel_type,
            "air_stone": self.kit.air_stone,
            "floss": self.kit.floss,
            "lid": self.kit.lid,
            "cost": self.kit.cost,
            "origin": self.kit.origin,
            "note": self.note,
            **{column: value for column, value in later.items() if value},  # rows of before had none of them
        }


def natural(name: str) -> tuple[list[str | int], str]:
    """A key that sorts names with a number in them by that number: shelf 2 before shelf 10."""
    parts = re.split(r"(\d+)", name)  # text and number by turns, so that like is compared with like
    return [int(part) if n % 2 else part for n, part in enumerate(parts)], name


def by_place(vessels: Iterable[Vessel]) -> list[Vessel]:
    """The vessels as they are listed to a keeper: shelf by shelf, from the left."""
    return sorted(vessels, key=lambda v: (natural(v.shelf), v.position, v.vessel))


def names_of(vessels: Iterable[Vessel]) -> Iterator[tuple[str, Vessel]]:
    """Every name that a keeper may call a vessel by: its own, then former ones, then places of those in use."""
    listed = list(vessels)
    yield from ((vessel.vessel, vessel) for vessel in listed)
    yield from ((name, vessel) for vessel in listed for name in vessel.formerly)
    yield from ((vessel.place, vessel) for vessel in listed if not vessel.retired)


def called(text: str, vessels: Iterable[Vessel]) -> Vessel | None:
    """The vessel that a keeper calls so: by its name, else a former one, else its place, in any case of letters."""
    wanted = text.strip().casefold()
    return next((vessel for name, vessel in names_of(vessels) if name.casefold() == wanted), None)
