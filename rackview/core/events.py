"""What happened at a vessel, as the keeper said it: one frozen dataclass per kind, base units inside.

An event never changes. A correction is a new event that names the one it replaces; `Withdraw` replaces an event by
nothing, which is how a step is undone, and a `Withdraw` that names a `Withdraw` brings the first event back.
"""

from __future__ import annotations

from dataclasses import fields
from datetime import datetime
from functools import cache
from typing import ClassVar

from rackview.core.clock import day_number
from rackview.core.dataclass import dataclass
from rackview.language import N_

CILIATES = (N_("none"), N_("some"), N_("many"))
CLEANED = (N_("floss"), N_("vessel"), N_("airline"))
STAGES = (N_("all"), N_("nauplii"), N_("copepodites"), N_("adults"))
SG_REFERENCES = ("t/4", "60/60F", "20/20", "25/25", "unknown")
FEED_UNITS = ("mL", "g")
PRESUMED_ANIMALS = 20
"""Animals on which a density without tallies is taken to rest (common practice, no source): chance alone then makes
22 % of doubt, more than of a full count and less than of a glance."""
PRESUMED_ML = 1.0
"""Millilitres looked through where no animal was found and the sample is not told (common practice, no source)."""
DECLINABLE = ("harvest", "feed", "clean", "split", "restart", "count", "test", "hold")


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """What all events share.

    `at` is aware UTC; `replaces` is the id of the event that this one corrects; `entered_at`, `entered_by` and
    `entered_on` say when, by whom and on which PC it was typed. An empty `id` is filled by `core.parse.identified`.
    """

    kind: ClassVar[str] = ""
    rank: ClassVar[int] = 5
    """Order among events of one vessel at the same moment: a count is of the water as found."""

    at: datetime
    vessel: str
    id: str = ""
    replaces: str | None = None
    entered_at: datetime | None = None
    entered_by: str = ""
    entered_on: str = ""
    note: str = ""

    @property
    def day(self) -> float:
        """Days since 1970-01-01T00:00Z."""
        return day_number(self.at)

    @property
    def partner(self) -> str | None:
        """The other vessel that this event touches, if any."""
        return None

    def order(self) -> tuple[datetime, int, str]:
        """The sort key of the event within a vessel's log."""
        return self.at, self.rank, self.id


@dataclass(frozen=True, slots=True, kw_only=True)
class Count(Event):
    """Animals tallied in aliquots of `aliquot_ml` mL each, from a sample diluted and fixed.

    `dilution` and `fixative` are volume ratios of 1 or more (after / before); the culture looked at per aliquot is
    aliquot_ml / (dilution * fixative) mL. `with_eggs` of `females_checked` females carried eggs, `eggs` in all.
    `picture` names a picture of the sample that is kept beside the store; nothing is counted from it.
    Where only a density was written down, `density_per_ml` has it and there are no tallies; it is then believed like a
    count of `PRESUMED_ANIMALS`.
    """

    kind: ClassVar[str] = "count"
    rank: ClassVar[int] = 1

    tallies: tuple[int, ...] = ()
    aliquot_ml: float = 1.0
    dilution: float = 1.0
    fixative: float = 1.0
    with_eggs: int | None = None
    females_checked: int | None = None
    stage: str = "all"
    swimming: int | None = None
    ciliates: str = ""
    tint: int | None = None
    eggs: int | None = None
    density_per_ml: float | None = None
    picture: str | None = None

    @property
    def aliquots(self) -> int:
        """How many aliquots were counted; one where only the density is known."""
        return len(self.tallies) or 1

    @property
    def looked_at_ml(self) -> float:
        """Volume of original culture in which the tallied animals were counted, all aliquots together, mL."""
        if not self.tallies:
            return PRESUMED_ANIMALS / self.density_per_ml if self.density_per_ml else PRESUMED_ML
        return len(self.tallies) * self.aliquot_ml / (self.dilution * self.fixative)

    @property
    def animals(self) -> int:
        """Animals tallied in all aliquots; presumed where only the density is known."""
        if not self.tallies:
            return PRESUMED_ANIMALS if self.density_per_ml else 0
        return sum(self.tallies)

    @property
    def seen(self) -> int | None:
        """Animals tallied in all aliquots, None where only the density is known."""
        return sum(self.tallies) if self.tallies else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading(Event):
    """Water measured: degC, specific gravity with its convention, practical salinity, mS/cm, pH (NBS), mg/L."""

    kind: ClassVar[str] = "reading"
    rank: ClassVar[int] = 2

    temperature_c: float | None = None
    sg: float | None = None
    sg_reference: str = ""
    salinity: float | None = None
    conductivity_ms_cm: float | None = None
    ph: float | None = None
    tan_mg_l: float | None = None
    oxygen_mg_l: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed(Event):
    """Feed given: `amount` in `unit` (mL or g) of the feed named in the stock table."""

    kind: ClassVar[str] = "feed"
    rank: ClassVar[int] = 7

    feed: str
    amount: float
    unit: str = "mL"


@dataclass(frozen=True, slots=True, kw_only=True)
class Harvest(Event):
    """Culture taken out and animal-free water put back, L; `to` is a tank, a brood or discard."""

    kind: ClassVar[str] = "harvest"
    rank: ClassVar[int] = 4

    volume_l: float
    refill_l: float = 0.0
    mesh_um: float | None = None
    to: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clean(Event):
    """Something cleaned: floss, vessel or airline."""

    kind: ClassVar[str] = "clean"
    rank: ClassVar[int] = 3

    what: str = "floss"


@dataclass(frozen=True, slots=True, kw_only=True)
class TopUp(Event):
    """Water added to make good what evaporated, L, with its practical salinity (blank or 0 for fresh)."""

    kind: ClassVar[str] = "top_up"
    rank: ClassVar[int] = 6

    volume_l: float
    salinity: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Split(Event):
    """Culture moved, L, from `vessel` to `to_vessel`; `refill_l` of new water for the giver, `fill_l` for the taker.

    None where nothing was said of it: the giver is then taken for refilled, an empty taker for filled up.
    """

    kind: ClassVar[str] = "split"
    rank: ClassVar[int] = 5

    to_vessel: str
    volume_l: float
    refill_l: float | None = None
    fill_l: float | None = None

    @property
    def partner(self) -> str | None:
        return self.to_vessel

    @property
    def refilled_l(self) -> float:
        """New water that went into the giver, L: as said, else as much as was taken."""
        return self.volume_l if self.refill_l is None else self.refill_l

    def filled_l(self, level_l: float, full_l: float) -> float:
        """New water that went into the taker, L, which held `level_l` before and holds `full_l` when full.

        As said, else what fills it up if it was empty; one that held culture is presumed to get none.
        """
        if self.fill_l is not None:
            return self.fill_l
        return max(full_l - self.volume_l, 0.0) if level_l <= 0.0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Restart(Event):
    """`vessel` emptied and started anew with `volume_l` L of culture from `from_vessel`, or from a starter.

    `density_per_ml` is the density in the freshly filled vessel, where it is known. New water, L: `fill_l` into
    `vessel`, `refill_l` into the giver; None where nothing was said of it: both are then taken for filled up.
    """

    kind: ClassVar[str] = "restart"
    rank: ClassVar[int] = 0

    from_vessel: str | None = None
    starter: str = ""
    volume_l: float | None = None
    density_per_ml: float | None = None
    reason: str = ""
    fill_l: float | None = None
    refill_l: float | None = None

    @property
    def partner(self) -> str | None:
        return self.from_vessel

    @property
    def refilled_l(self) -> float:
        """New water that went into the giver, L: as said, else as much as was taken."""
        return (self.volume_l or 0.0) if self.refill_l is None else self.refill_l

    def level_l(self, full_l: float) -> float:
        """Water in `vessel` afterwards, L, which holds `full_l` when full."""
        if self.fill_l is None:
            return full_l
        return min((self.volume_l or 0.0) + self.fill_l, full_l)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest(Event):
    """The vessel is taken out of use."""

    kind: ClassVar[str] = "rest"
    rank: ClassVar[int] = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Return(Event):
    """The vessel is back in use, empty until something is split or restarted into it."""

    kind: ClassVar[str] = "return"
    rank: ClassVar[int] = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Note(Event):
    """Words about a vessel."""

    kind: ClassVar[str] = "note"
    rank: ClassVar[int] = 8

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Decline(Event):
    """The keeper said no to a suggested `action`, or shelved the flag `code`, for `days` days, with a reason."""

    kind: ClassVar[str] = "decline"
    rank: ClassVar[int] = 8

    action: str = ""
    code: str = ""
    reason: str = ""
    days: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdraw(Event):
    """Takes the event named by `replaces` back; nothing is erased."""

    kind: ClassVar[str] = "withdraw"


KINDS: dict[str, type[Event]] = {
    c.kind: c
    for c in (Count, Reading, Feed, Harvest, Clean, TopUp, Split, Restart, Rest, Return, Note, Decline, Withdraw)
}
"""Every kind of event by the word it has in the event table."""

SHARED = tuple(f.name for f in fields(Event))
"""Columns that every kind has."""


@cache
def own_fields(kind: str) -> tuple[str, ...]:
    """The columns that only this kind needs, in table order."""
    return tuple(f.name for f in fields(KINDS[kind]) if f.name not in SHARED)
