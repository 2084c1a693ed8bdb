"""Changing what is listed beside the events: vessels, stock, broods, demand, settings, profiles."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Mapping
from dataclasses import replace

from rackview.core.errors import InputError
from rackview.core.events import Event
from rackview.core.profile import LarvalGroup, StrainProfile, mapping_of
from rackview.core.rack import Rack
from rackview.core.tables import Brood, Demand, Settings, Standing, Stock, TankEntry
from rackview.core.vessel import Vessel
from rackview.language import _
from rackview.services.change import Change
from rackview.services.validation import Row, RowKey, Typed


class Listing(ABC):
    """Every change is one step that can be undone; each raises `InputError` or `StoreError`."""

    rack: Rack

    @abstractmethod
    def _do(self, words: str, events: Iterable[Event], rows: Mapping[RowKey, Row | None] | None = None) -> Change: ...

    @abstractmethod
    def _checked(
        self, typed: Iterable[Typed], vessels: Mapping[str, Vessel] | None = None, *, parsed: bool = False
    ) -> list[Event]: ...

    @abstractmethod
    def _refuse_used(self, name: str, but: Iterable[str]) -> None: ...

    def put_vessel(self, vessel: Vessel, words: str = "") -> Change:
        """Add a vessel, or change the one of that name; a name that another bore before is not given anew."""
        bearer = self.rack.present_names.get(vessel.vessel)
        if bearer is not None:
            wanted = _("another name, as {bearer} was called so and is recorded under it").format(bearer=bearer)
            raise InputError("vessel", vessel.vessel, wanted)
        return self.take(vessels=[vessel], words=words or _("Change {vessel}").format(vessel=vessel.vessel))

    def remove_vessel(self, name: str, words: str = "") -> Change:
        """Remove a vessel for which nothing is recorded; a used one is rested instead."""
        self.rack.vessel(name)
        self._refuse_used(name, ())
        return self._do(words or _("Remove {name}").format(name=name), (), {("vessel", name): None})

    def rename_vessel(self, name: str, new: Vessel, words: str = "") -> Change:
        """Change a vessel together with its name; what was recorded under the old name stays its own."""
        old = self.rack.vessel(name)
        if new.vessel in self.rack.known_vessels:
            raise InputError("vessel", new.vessel, _("a name that no vessel of this rack has yet"))
        named = replace(new, formerly=tuple(n for n in (*old.formerly, name) if n != new.vessel))
        others = [v for n, v in self.rack.known_vessels.items() if n != name]
        self.rack.with_vessels([*others, named])
        rows: dict[RowKey, Row | None] = {("vessel", name): None, ("vessel", named.vessel): named.row()}
        return self._do(words or _("Rename {name} to {vessel}").format(name=name, vessel=named.vessel), (), rows)

    def retire_vessel(self, name: str, words: str = "") -> Change:
        """Take a vessel out of use for good: it leaves the shelf and stays in the records."""
        gone = replace(self.rack.vessel(name), retired=True)
        return self._do(words or _("{name} out of use for good").format(name=name), (), {("vessel", name): gone.row()})

    def move_vessel(self, name: str, shelf: str, position: int, words: str = "") -> Change:
        """Put a vessel elsewhere; where another stands there, the two change places."""
        moved = self.rack.vessel(name)
        to = replace(moved, shelf=shelf, position=position)
        there = [v for v in self.rack.vessels.values() if v.vessel != name and v.place == to.place]
        vessels = [to, *(replace(v, shelf=moved.shelf, position=moved.position) for v in there)]
        rows: dict[RowKey, Row | None] = {("vessel", v.vessel): v.row() for v in vessels}
        return self._do(words or _("{name} moved to {place}").format(name=name, place=to.place), (), rows)

    def put_stock(self, stock: Stock, words: str = "") -> Change:
        """Add a feed to the stock, or change the one of that name."""
        return self.take(stock=[stock], words=words or _("Change {feed}").format(feed=stock.feed))

    def remove_stock(self, feed: str, words: str = "") -> Change:
        """Take a feed off the stock list."""
        return self._do(words or _("Remove {feed}").format(feed=feed), (), {("stock", feed): None})

    def put_brood(self, brood: Brood, words: str = "") -> Change:
        """Add a brood, or change the one of that name."""
        return self.take(broods=[brood], words=words or _("Change {brood}").format(brood=brood.brood))

    def remove_brood(self, brood: str, words: str = "") -> Change:
        """Take a brood off the list."""
        return self._do(words or _("Remove {brood}").format(brood=brood), (), {("brood", brood): None})

    def put_demand(self, demand: Demand, words: str = "") -> Change:
        """Say what one strain must give on one day."""
        return self.take(demand=[demand], words=words or _("Announce {strain}").format(strain=demand.strain))

    def remove_demand(self, demand: Demand, words: str = "") -> Change:
        """Take back what was said for that strain and day."""
        return self._do(
            words or _("Take back {strain}").format(strain=demand.strain), (), {("demand", demand.row_key): None}
        )

    def put_standing(self, standing: Standing, words: str = "") -> Change:
        """Add a standing need, or change the one of that consumer and strain."""
        return self.take(standing=[standing], words=words or _("Change {consumer}").format(consumer=standing.consumer))

    def remove_standing(self, standing: Standing, words: str = "") -> Change:
        """Take a standing need off the list."""
        return self._do(
            words or _("Remove {consumer}").format(consumer=standing.consumer),
            (),
            {("standing", standing.row_key): None},
        )

    def put_tank(self, entry: TankEntry, words: str = "") -> Change:
        """Note what was left or dosed at a larval tank, or change what was noted of that day, tank and feed."""
        return self.take(tanks=[entry], words=words or _("Tank of {tank}").format(tank=entry.tank))

    def remove_tank(self, entry: TankEntry, words: str = "") -> Change:
        """Take back what was noted at a larval tank."""
        return self._do(words or _("Take back {tank}").format(tank=entry.tank), (), {("tank", entry.row_key): None})

    def put_settings(self, settings: Settings, words: str = "") -> Change:
        """Change the rack's settings; only those that differ are written."""
        return self.take(settings=settings, words=words or _("Change settings"))

    def take(
        self,
        *,
        vessels: Iterable[Vessel] = (),
        events: Iterable[Typed] = (),
        stock: Iterable[Stock] = (),
        broods: Iterable[Brood] = (),
        demand: Iterable[Demand] = (),
        standing: Iterable[Standing] = (),
        tanks: Iterable[TankEntry] = (),
        settings: Settings | None = None,
        strains: Iterable[StrainProfile] = (),
        groups: Iterable[LarvalGroup] = (),
        words: str = "Import",
        parsed: bool = False,
    ) -> Change:
        """Take a whole batch in as one step, all of it or nothing; what is known already adds nothing.

        `parsed` says that the events come from the parser just now and need not be parsed again.
        """
        vessels, strains = list(vessels), list(strains)
        rows: dict[RowKey, Row | None] = {("strain", p.name): mapping_of(p) for p in strains}
        rows |= {("group", g.name): mapping_of(g) for g in groups}
        rows |= {("vessel", v.vessel): v.row() for v in vessels}
        rows |= {("stock", s.feed): s.row() for s in stock}
        rows |= {("brood", b.brood): b.row() for b in broods}
        rows |= {("demand", d.row_key): d.row() for d in demand}
        rows |= {("standing", s.row_key): s.row() for s in standing}
        rows |= {("tank", t.row_key): t.row() for t in tanks}
        if settings is not None:
            new, old = settings.row(), self.rack.settings.row()
            rows |= {("setting", k): {"value": v} for k, v in new.items() if old.get(k) != v}
            rows |= {("setting", k): None for k in old if k not in new}
        listed = {**self.rack.known_vessels, **{v.vessel: v for v in vessels}}
        if vessels:
            Rack.build(listed.values(), strains={**self.rack.strains, **{p.name: p for p in strains}})
        return self._do(words, self._checked(list(events), listed, parsed=parsed), rows)
