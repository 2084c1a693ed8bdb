"""The rack: all that was recorded up to a moment, as plain frozen data."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from datetime import datetime
from functools import cached_property
from typing import Any, Protocol, Self, TypeVar

from rackview.core import profile as prof
from rackview.core.corrections import Corrections
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import Event, Harvest, Restart, Split
from rackview.core.histories import grow, rewrite
from rackview.core.log import Node, first
from rackview.core.parse import event_from, identified
from rackview.core.profile import LarvalGroup, StrainProfile
from rackview.core.profile_rows import profiles_from
from rackview.core.renames import present_names, under_present_name
from rackview.core.tables import Brood, Demand, Settings, Standing, Stock, TankEntry, settings_from, strain_scope
from rackview.core.vessel import Vessel, called
from rackview.language import _


class Frame(Protocol):
    """The little of a pandas DataFrame that a rack needs."""

    def to_dict(self, orient: Any) -> Any: ...


Rows = Frame | Iterable[Mapping[str, object]]


NO_CORRECTIONS = Corrections()
USUAL_SETTINGS = Settings()


def rows_of(table: Rows) -> list[Mapping[str, object]]:
    """The rows of a data frame, or of any iterable of mappings; raises `InputError` for anything else."""
    if hasattr(table, "to_dict") and not isinstance(table, Mapping):
        return list(table.to_dict("records"))
    if isinstance(table, Mapping | str) or not isinstance(table, Iterable):
        raise InputError("table", table, _("a data frame or a list of mappings, one per row"))
    return list(table)


@dataclass(frozen=True, eq=False, repr=False)
class Rack:
    """Vessels, strains, broods, stock and the events so far. Knows no disk and no clock; never changes.

    Build one with `from_frames` or `build`; every `record` or `with_...` gives a new rack that shares what did not
    change. `retired` are the vessels out of use for good: in no list, but with their histories.
    """

    vessels: Mapping[str, Vessel]
    logs: Mapping[str, Node]
    corrections: Corrections = NO_CORRECTIONS
    broods: tuple[Brood, ...] = ()
    stock: tuple[Stock, ...] = ()
    demand: tuple[Demand, ...] = ()
    standing: tuple[Standing, ...] = ()
    tanks: tuple[TankEntry, ...] = ()
    settings: Settings = USUAL_SETTINGS
    strains: Mapping[str, StrainProfile] = field(default_factory=prof.strains)
    groups: Mapping[str, LarvalGroup] = field(default_factory=prof.groups)
    retired: Mapping[str, Vessel] = field(default_factory=dict)
    _profiles: dict[str, StrainProfile] = field(default_factory=dict, repr=False)

    # --- building -------------------------------------------------------------------------------------------------

    @classmethod
    def build(
        cls,
        vessels: Iterable[Vessel],
        events: Iterable[Event] = (),
        *,
        broods: Iterable[Brood] = (),
        stock: Iterable[Stock] = (),
        demand: Iterable[Demand] = (),
        standing: Iterable[Standing] = (),
        tanks: Iterable[TankEntry] = (),
        settings: Settings = USUAL_SETTINGS,
        strains: Mapping[str, StrainProfile] | None = None,
        groups: Mapping[str, LarvalGroup] | None = None,
    ) -> Self:
        """A rack of domain objects; raises `InputError` for an unknown strain, a shared place or a bad event."""
        rack = cls(
            {},
            {},
            broods=tuple(broods),
            stock=tuple(stock),
            demand=tuple(demand),
            standing=tuple(standing),
            tanks=tuple(tanks),
            settings=settings,
            strains={**prof.strains(), **strains} if strains else prof.strains(),
            groups={**prof.groups(), **groups} if groups else prof.groups(),
        )
        return rack.with_vessels(vessels).record(*events)

    @classmethod
    def from_frames(
        cls,
        vessels: Rows,
        events: Rows,
        broods: Rows | None = None,
        stock: Rows | None = None,
        demand: Rows | None = None,
        standing: Rows | None = None,
        tanks: Rows | None = None,
        settings: Rows | None = None,
        profiles: Rows | None = None,
    ) -> Self:
        """A rack of pandas DataFrames (or lists of mappings) with the columns of the documented tables.

        Raises `InputError` for the first row that can't be, naming its column.
        """
        strains, groups = profiles_from(_rows_or_none(profiles))
        return cls.build(
            [_as(Vessel, r) for r in rows_of(vessels)],
            broods=[_as(Brood, r) for r in _rows_or_none(broods)],
            stock=[_as(Stock, r) for r in _rows_or_none(stock)],
            demand=[_as(Demand, r) for r in _rows_or_none(demand)],
            standing=[_as(Standing, r) for r in _rows_or_none(standing)],
            tanks=[_as(TankEntry, r) for r in _rows_or_none(tanks)],
            settings=settings_from(_rows_or_none(settings)),
            strains=strains,
            groups=groups,
        ).record(*rows_of(events))

    def __repr__(self) -> str:
        return f"<Rack {self.title}: {self.extent}>"

    @property
    def title(self) -> str:
        """The name that the keeper gave it, or that it has none."""
        return self.settings.name or _("without a name")

    @property
    def extent(self) -> str:
        """How many vessels and events it has, and up to when."""
        newest = [head.event.at for head in self.logs.values() if head.event is not None]
        vessels = f"{len(self.vessels)} {(_('vessel') if len(self.vessels) == 1 else _('vessels'))}"
        if not newest:
            return _("{vessels}, no events").format(vessels=vessels)
        nodes = (node for head in self.logs.values() for node in head.back() if node.event is not None)
        number, last = sum(not node.incoming for node in nodes), max(newest)
        return _("{vessels}, {number} {word} up to {last:%Y-%m-%d %H:%M}").format(
            vessels=vessels, number=number, word=_("event") if number == 1 else _("events"), last=last
        )

    # --- reading --------------------------------------------------------------------------------------------------

    def profile(self, vessel: str) -> StrainProfile:
        """The strain profile that holds for a vessel, with the keeper's own thresholds."""
        found = self._profiles.get(vessel)
        if found is None:
            v = self.vessel(vessel)
            changed = {
                name: value
                for scope in ("", strain_scope(v.strain), *v.formerly, vessel)
                for (where, name), value in self.settings.overrides.items()
                if where == scope
            }
            base = self.strains[v.strain]
            found = self._profiles[vessel] = base.with_values(changed) if changed else base
        return found

    def vessel(self, vessel: object) -> Vessel:
        """The vessel of that name, retired ones too; raises `InputError` if the rack has none."""
        found = self.known_vessels.get(vessel) if isinstance(vessel, str) else None
        if found is None:
            raise InputError("vessel", vessel, _("one of ") + ", ".join(self.vessels) if self.vessels else "a vessel")
        return found

    def find_vessel(self, text: str) -> Vessel:
        """The vessel that a keeper calls so, see `called`; raises `InputError` if the rack has none."""
        return called(text, self.known_vessels.values()) or self.vessel(text)

    @cached_property
    def known_vessels(self) -> Mapping[str, Vessel]:
        """All vessels, those in use first, then the retired ones."""
        return {**self.vessels, **self.retired} if self.retired else self.vessels

    @cached_property
    def present_names(self) -> Mapping[str, str]:
        """Former name of a vessel to the name it bears now."""
        return present_names(self.known_vessels)

    def log(self, vessel: str, day: float = float("inf")) -> Node:
        """The history of a vessel up to `day` (days since 1970-01-01T00:00Z)."""
        self.vessel(vessel)
        return self.logs[vessel].upto(day)

    def events(self) -> Iterator[Event]:
        """All events in force, in order of time."""
        own = (n.event for head in self.logs.values() for n in head.back() if n.event is not None and not n.incoming)
        return iter(sorted(own, key=Event.order))

    # --- changing -------------------------------------------------------------------------------------------------

    def record(self, *events: Event | Mapping[str, object]) -> Self:
        """A rack with these events added, in whatever order they come; a known event adds nothing.

        Raises `InputError` for an event of an unknown vessel or one that can't be (more taken than a vessel holds).
        """
        fresh: list[Event] = []
        seen: dict[str, int] = {}
        for given in events:
            event = under_present_name(event_from(given), self.present_names)
            if not event.id:
                plain = identified(event)
                copy = seen.get(plain.id, 0)
                seen[plain.id] = copy + 1
                event = identified(event, copy) if copy else plain
            check_event(self.known_vessels, event)
            fresh.append(event)
        return self._taking(fresh)

    def with_history(self, events: Iterable[Event]) -> Self:
        """A rack with events added that were checked when they were recorded, as a store hands them back.

        They are taken as they stand, even if a vessel was made smaller since; those of a vessel that is no longer
        in the rack are left out.
        """
        return self._taking(self._of_here(events))

    def with_recent(self, heads: Mapping[str, Node], events: Iterable[Event], before: datetime | None = None) -> Self:
        """A rack given the histories up to a moment by their last nodes, and what came after, up to `before`.

        `events` are all from that moment on, with all that they replace or are replaced by, of whatever moment.
        """
        known = self._of_here(events)
        corrections, stand, _ = NO_CORRECTIONS.take(known, lambda *_: None, lambda _: False)
        logs = {**self.logs, **heads}
        begin = max((head.event.order() for head in heads.values() if head.event is not None), default=None)
        fresh = [e for e in stand if (begin is None or e.order() > begin) and (before is None or e.at < before)]
        grow(logs, fresh)
        return replace(self, logs=logs, corrections=corrections)

    def knowing(self, events: Iterable[Event]) -> Self:
        """The same rack, knowing of older events that replace others or were replaced."""
        rows = {**self.corrections.rows, **{e.id: under_present_name(e, self.present_names) for e in events}}
        targets = self.corrections.targets | {e.replaces for e in rows.values() if e.replaces is not None}
        return replace(self, corrections=Corrections(rows, targets))

    def _of_here(self, events: Iterable[Event]) -> list[Event]:
        """Events under the present names of their vessels, without those of vessels that the rack does not know."""
        here, names = self.known_vessels, self.present_names
        named = (under_present_name(e, names) for e in events)
        return [e for e in named if e.vessel in here and (e.partner is None or e.partner in here)]

    def _taking(self, events: Sequence[Event]) -> Self:
        corrections, added, dropped = self.corrections.take(events, self._find, self._present)
        logs = dict(self.logs)
        rewrite(logs, added, dropped)
        return replace(self, logs=logs, corrections=corrections)

    def with_vessels(self, vessels: Iterable[Vessel]) -> Self:
        """A rack with exactly these vessels; raises `InputError` if one that has a history would be missing."""
        listed = sorted(vessels, key=lambda v: (v.shelf, v.position, v.vessel))
        found: dict[str, Vessel] = {}
        places: dict[tuple[str, int], str] = {}
        for v in listed:
            if v.vessel in found:
                raise InputError("vessel", v.vessel, _("each name only once"))
            if v.strain not in self.strains:
                raise InputError("strain", v.strain, _("one of ") + ", ".join(self.strains))
            if not v.retired and (v.shelf, v.position) in places:
                other = places[v.shelf, v.position]
                raise InputError(
                    "position",
                    v.position,
                    _("a free place, as {other} stands on shelf {shelf} there").format(other=other, shelf=v.shelf),
                )
            found[v.vessel] = v
            if not v.retired:
                places[v.shelf, v.position] = v.vessel
        names = present_names(found)
        for name, head in self.logs.items():
            if head.length and name not in found and name not in names:
                raise InputError("vessel", name, _("to stay in the list, as events are recorded for it"))
        used = {n: v for n, v in found.items() if not v.retired}
        gone = {n: v for n, v in found.items() if v.retired}
        if (used, gone) == (self.vessels, self.retired) and list(used) == list(self.vessels):
            return self
        logs: dict[str, Node] = {n: first(v) for n, v in found.items()}
        rewrite(logs, [under_present_name(e, names) for e in self.events()], [])
        return replace(self, vessels=used, retired=gone, logs=logs, _profiles={})

    def with_vessel(self, vessel: Vessel) -> Rack:
        """A rack with one more vessel, of which nothing is recorded; raises `InputError` where it can't stand there."""
        if vessel.vessel in self.known_vessels or vessel.vessel in self.present_names:
            raise InputError("vessel", vessel.vessel, _("a name that no vessel of this rack has yet"))
        listed = sorted([*self.vessels.values(), vessel], key=lambda v: (v.shelf, v.position, v.vessel))
        other = next((v for v in self.vessels.values() if v.place == vessel.place), None)
        if other is not None:
            wanted = _("a free place, as {vessel} stands on shelf {shelf} there").format(
                vessel=other.vessel, shelf=other.shelf
            )
            raise InputError("position", vessel.position, wanted)
        logs = {**self.logs, vessel.vessel: first(vessel)}
        return replace(self, vessels={v.vessel: v for v in listed}, logs=logs, _profiles={})

    def with_demand(self, frame: Rows) -> Self:
        """A rack with the demand table replaced."""
        return replace(self, demand=tuple(_as(Demand, r) for r in rows_of(frame)))

    def with_broods(self, frame: Rows) -> Self:
        """A rack with the brood table replaced."""
        return replace(self, broods=tuple(_as(Brood, r) for r in rows_of(frame)))

    def with_stock(self, frame: Rows) -> Self:
        """A rack with the stock table replaced."""
        return replace(self, stock=tuple(_as(Stock, r) for r in rows_of(frame)))

    def with_standing(self, frame: Rows) -> Self:
        """A rack with the table of standing needs replaced."""
        return replace(self, standing=tuple(_as(Standing, r) for r in rows_of(frame)))

    def with_tanks(self, frame: Rows) -> Self:
        """A rack with the table of larval tanks replaced."""
        return replace(self, tanks=tuple(_as(TankEntry, r) for r in rows_of(frame)))

    def with_settings(self, settings: Settings) -> Self:
        """A rack with other settings; thresholds that changed take effect from the first event on."""
        return replace(self, settings=settings, _profiles={})

    def _find(self, event_id: str, near: Event) -> Event | None:
        names = [near.vessel, *(n for n in self.logs if n != near.vessel)]
        for name in names:
            for node in self.logs[name].back():
                if node.event is not None and node.event.id == event_id and not node.incoming:
                    return node.event
        return None

    def _present(self, event: Event) -> bool:
        for node in self.logs[event.vessel].back():
            if node.day < event.day:
                return False
            if node.event is not None and node.event.id == event.id:
                return True
        return False

    def known(self, event: Event) -> bool:
        """Whether this event is already part of the rack, in force or replaced."""
        return event.id in self.corrections.rows or self._present(event)


T = TypeVar("T", Vessel, Brood, Stock, Demand, Standing, TankEntry)


def _rows_or_none(table: Rows | None) -> list[Mapping[str, object]]:
    return [] if table is None else rows_of(table)


def _as(kind: type[T], row: object) -> T:
    if isinstance(row, kind):
        return row
    if not isinstance(row, Mapping):
        raise InputError("row", row, _("a mapping with the table's columns"))
    return kind.from_row(row)


def check_event(vessels: Mapping[str, Vessel], event: Event) -> None:
    """Raise `InputError` if the event can't have happened at these vessels.

    One that is signed by who entered it was measured against its vessel then, which may have been larger than now.
    """
    if event.vessel not in vessels:
        raise InputError("vessel", event.vessel, _one_of(vessels))
    if event.partner is not None and event.partner not in vessels:
        column = "to_vessel" if isinstance(event, Split) else "from_vessel"
        raise InputError(column, event.partner, _one_of(vessels))
    if isinstance(event, Harvest | Split | Restart) and not (event.entered_by or event.entered_on):
        for column, vessel in _poured(event):
            litres, holds = getattr(event, column) or 0.0, vessels[vessel].volume_l
            if litres > holds:
                raise InputError(
                    column,
                    f"{litres:g}",
                    _("at most the {holds:g} L that {vessel} holds").format(holds=holds, vessel=vessel),
                )


def _poured(event: Harvest | Split | Restart) -> tuple[tuple[str, str], ...]:
    """The volumes that an event names, each with the vessel that must be able to hold them."""
    if isinstance(event, Restart):
        giver = () if event.from_vessel is None else (("refill_l", event.from_vessel),)
        return (("fill_l", event.vessel), *giver)
    own = (("volume_l", event.vessel), ("refill_l", event.vessel))
    return own if isinstance(event, Harvest) else (*own, ("fill_l", event.to_vessel))


def _one_of(vessels: Mapping[str, Vessel]) -> str:
    return (
        _("a vessel of this rack: ") + ", ".join(vessels) if vessels else _("a vessel of this rack, which has none yet")
    )
