"""A seeded rack that lives by biology of its own: a test bench for the estimate and the advice, and the demo's source.

It knows nothing of the estimator, the rules or their profiles. The room and each vessel have streams of chance that
advance with time and not with what a keeper does, so two keepers meet the same weather and the same bad luck, and
their results can be compared pair by pair. Each vessel's counts have a stream of their own that advances with every
look.

Numbers without a source are invented for the simulator.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from rackview.core import events as ev
from rackview.core.tables import Brood
from rackview.core.vessel import Vessel
from rackview.demo.chance import TICKS, Climate, Room, VesselChance, stream
from rackview.demo.culture import SimulatedCulture
from rackview.demo.larvae import LarvalTank

SIEVE_LOSS = 0.1
"""Animals lost at sieving and rinsing: about 10 % (Attramadal and Sandvand 1993)."""
TOOL_CARRIES_L = 0.0004
"""Water that a shared, unrinsed tool carries from one vessel into the next, L."""
ROUND_DAYS = 0.2
"""Tools left for longer than this are dry and carry nothing."""
TINTS = (1.2, 6.0, 25.0, 70.0)
"""Algae in mg dry per L from which the tint is called 1, 2, 3, 4; green water of 2e5 small cells per mL, as Divya and
others 2011 kept it for larvae, is about 1.2 mg/L and just looks green."""


class Simulator:
    """Vessels and larval tanks whose truth is known.

    Parameters
    ----------
    seed : names the whole of chance
    vessels : the vessels of the rack; a strain without an animal of its own lives as a large rotifer
    start : moment at which the simulation begins (aware)
    densities : animals per mL to begin with, by vessel; a vessel that is not named starts empty
    feeds : grams of dry matter per unit of each feed; an unknown feed counts 0.1
    """

    def __init__(
        self,
        seed: int,
        vessels: Iterable[Vessel],
        start: datetime,
        *,
        densities: Mapping[str, float] | None = None,
        feeds: Mapping[str, float] | None = None,
        climate: Climate | None = None,
    ) -> None:
        self.seed = seed
        self.start = start
        self.climate = climate or Climate()
        self.feeds = dict(feeds or {})
        self.vessels = {v.vessel: v for v in vessels}
        self.tanks: dict[str, LarvalTank] = {}
        self.harvested = 0.0
        """Animals taken out for larvae or discarded so far, before sieving loss."""
        self.delivered = 0.0
        """Animals that reached a larval tank so far."""
        self._now = 0.0
        self._room = Room(self.climate, stream(seed, 0, 0))
        self._places: dict[str, VesselChance] = {}
        self._tools: tuple[str, float] | None = None
        densities = densities or {}
        for number, vessel in enumerate(self.vessels.values()):
            place = VesselChance(vessel, seed, number + 1)
            self._places[vessel.vessel] = place
            if densities.get(vessel.vessel, 0.0) > 0.0:
                place.culture.stock(densities[vessel.vessel])
                place.culture.age_days = 20.0 * place.first_age
                place.culture.biofilm = 0.3 * place.first_age

    # --- time -------------------------------------------------------------------------------------------------------

    @property
    def now(self) -> datetime:
        """The simulator's present."""
        return self.start + timedelta(days=self._now)

    def step(self, days: float) -> None:
        """Let `days` (0 or more) pass for every vessel and larval tank."""
        self._until(self._now + days)
        for place in self._places.values():
            self._live(place, self._now)

    def _until(self, day: float) -> None:
        while math.floor(day + 1e-9) > math.floor(self._now + 1e-9):
            today = (self.start + timedelta(days=math.floor(self._now + 1e-9))).date()
            for tank in self.tanks.values():
                tank.day(today)
            self._now = float(math.floor(self._now + 1e-9) + 1)
        self._now = max(self._now, day)

    def _live(self, place: VesselChance, until: float) -> None:
        while place.day < until - 1e-9:
            tick = math.floor(place.day * TICKS + 1e-6)
            if tick != place.tick:
                place.tick = tick
                place.chance(tick, self.climate, self._room.warm(tick / TICKS))
            end = min(until, (tick + 1) / TICKS)
            place.culture.live(end - place.day, self._room.at(place.day))
            place.day = end

    def _at(self, vessel: str, at: datetime | None = None) -> VesselChance:
        if at is not None:
            day = (at - self.start) / timedelta(days=1)
            if day < self._now - 1e-6:
                raise ValueError(f"{at} lies before the simulator's present, {self.now}")
            self._until(day)
        place = self._places[vessel]
        self._live(place, self._now)
        return place

    # --- truth ------------------------------------------------------------------------------------------------------

    def culture(self, vessel: str) -> SimulatedCulture:
        """The true state of a vessel now; may be changed to stage an accident."""
        return self._at(vessel).culture

    def room_c(self) -> float:
        """Temperature of the room now, degC."""
        return self._room.at(self._now)

    # --- larvae -----------------------------------------------------------------------------------------------------

    def add_brood(self, tank: LarvalTank) -> None:
        """Set up a larval tank; harvests named after its brood, or meant for any tank, feed it."""
        self.tanks[tank.brood.brood] = tank

    def broods(self) -> tuple[Brood, ...]:
        """The brood table as a keeper knows it today: hatched or only spawned, larvae left to the nearest ten."""
        today = self.now.date()
        found = []
        for tank in self.tanks.values():
            if tank.hatched <= today:
                larvae = round(tank.larvae, -1)
                found.append(replace(tank.brood, hatched=tank.hatched, larvae=int(larvae)))
            elif tank.brood.spawned is not None and tank.brood.spawned <= today:
                found.append(replace(tank.brood, hatched=None))
        return tuple(found)

    # --- doing ------------------------------------------------------------------------------------------------------

    def apply(self, event: ev.Event, *, own_tools: bool = False) -> float:
        """Do what the event says, at its moment; returns the animals delivered, moved or 0.

        With `own_tools` nothing is carried from or to other vessels. Raises `ValueError` for a moment in the past.
        """
        place = self._at(event.vessel, event.at)
        culture = place.culture
        if isinstance(event, ev.Feed):
            if culture.level_l > 0.0:
                culture.algae += event.amount * self.feeds.get(event.feed, 0.1) * 1000.0 / culture.level_l
            return 0.0
        if not own_tools and isinstance(event, ev.Count | ev.Harvest | ev.Split | ev.Clean):
            self._touch(place)
        if isinstance(event, ev.Harvest):
            return self._harvest(culture, event)
        if isinstance(event, ev.Split):
            return self._split(culture, self._at(event.to_vessel).culture, event)
        if isinstance(event, ev.Restart):
            return self._restart(place, event)
        if isinstance(event, ev.Clean):
            _clean(culture, event.what)
        elif isinstance(event, ev.TopUp):
            culture.add_water(event.volume_l, event.salinity or 0.0)
        elif isinstance(event, ev.Rest):
            culture.empty()
        return 0.0

    def _harvest(self, culture: SimulatedCulture, event: ev.Harvest) -> float:
        density, strain = culture.density, self.vessels[event.vessel].strain
        animals = culture.take(event.volume_l) * density * 1000.0
        culture.add_water(event.refill_l, 29.0)
        self.harvested += animals
        today = event.at.date()
        takers = [t for t in self.tanks.values() if t.strain == strain and t.feeding(today)]
        if event.to in self.tanks:
            takers = [self.tanks[event.to]]
        if event.to == "discard" or not takers:
            return 0.0
        delivered = animals * (1.0 - SIEVE_LOSS)
        wants = [t.wanted() + 1.0 for t in takers]
        for tank, wanted in zip(takers, wants, strict=True):
            tank.add(delivered * wanted / sum(wants))
        self.delivered += delivered
        return delivered

    def _split(self, culture: SimulatedCulture, other: SimulatedCulture, event: ev.Split) -> float:
        taken = culture.take(event.volume_l)
        new = event.filled_l(other.level_l, self.vessels[event.to_vessel].volume_l)
        if other.level_l <= 0.0:
            other.empty()
        other.pour_in(culture, taken)
        moved = taken * culture.density * 1000.0
        other.add_water(new, 29.0)
        culture.add_water(event.refilled_l, 29.0)
        return moved

    def _restart(self, place: VesselChance, event: ev.Restart) -> float:
        culture = place.culture
        full = place.vessel.volume_l
        if event.from_vessel is not None:
            donor = self._at(event.from_vessel).culture
            culture.empty()
            taken = donor.take(event.volume_l or 0.3 * full)
            culture.pour_in(donor, taken)
            moved = taken * donor.density * 1000.0
            culture.add_water(max(0.0, event.level_l(full) - culture.level_l), 29.0)
            donor.add_water(event.refilled_l, 29.0)
            return moved
        culture.stock(event.density_per_ml or 50.0)
        return culture.density * culture.level_l * 1000.0

    def _touch(self, place: VesselChance) -> None:
        """A shared tool dips into this vessel after the one it dipped into last."""
        before, culture = self._tools, place.culture
        if before is not None and before[0] != place.vessel.vessel and self._now - before[1] < ROUND_DAYS:
            source = self._places[before[0]].culture
            if culture.level_l > 0.0:
                culture.ciliates += source.ciliates * TOOL_CARRIES_L / culture.level_l
                if source.bloom > 0.05 and place.tool_luck() < 0.04 * source.bloom:
                    culture.bloom = max(culture.bloom, 0.01)
                    culture.virulence = max(culture.virulence, source.virulence)
        self._tools = (place.vessel.vessel, self._now)

    # --- looking ----------------------------------------------------------------------------------------------------

    def observe(
        self,
        vessel: str,
        at: datetime | None = None,
        *,
        aliquots: int = 3,
        aliquot_ml: float = 1.0,
        dilution: float = 1.0,
        stage: str = "all",
        females: int = 30,
        signs: bool = True,
    ) -> ev.Count:
        """Count a sample as a keeper does: negative-binomial scatter, uneven sampling, now and then a miscount.

        `females` animals are checked for eggs (0 to leave it out): adult females in copepods, and in rotifers all but
        the smallest juveniles. `signs` adds swimming, ciliates and tint.
        """
        place = self._at(vessel, at)
        culture, rng, climate = place.culture, place.counting, self.climate
        true = {"all": culture.density, "nauplii": culture.young, "copepodites": culture.half_grown}.get(
            stage, culture.adults
        )
        slip = rng.random() < climate.miscounts
        mixed = math.exp(rng.normal(0.0, 0.5 if slip else climate.sample_sd))
        mean = max(1e-9, true * aliquot_ml / dilution * mixed)
        lots = rng.gamma(climate.scatter_k, mean / climate.scatter_k, aliquots)
        tallies = tuple(int(n) for n in rng.poisson(lots))
        eggs, checked = self._egg_check(place, min(females, sum(tallies)), stage)
        swimming = max(1, min(5, round(4.9 - 3.2 * culture.harm**0.8 + rng.normal(0.0, 0.55))))
        seen = rng.poisson(culture.ciliates * 0.15)
        algae = culture.algae * math.exp(rng.normal(0.0, 0.3))
        return ev.Count(
            at=self.now,
            vessel=vessel,
            tallies=tallies,
            aliquot_ml=aliquot_ml,
            dilution=dilution,
            stage=stage,
            with_eggs=eggs,
            females_checked=checked,
            swimming=swimming if signs else None,
            ciliates=("none" if seen < 1 else "some" if seen < 25 else "many") if signs else "",
            tint=sum(algae >= level for level in TINTS) if signs else None,
        )

    def _egg_check(self, place: VesselChance, females: int, stage: str) -> tuple[int | None, int | None]:
        culture = place.culture
        roll = place.counting.random()  # drawn whether or not it is used, so that looking changes nothing later
        if females <= 0 or stage not in {"all", "adults"} or culture.density <= 0.0:
            return None, None
        likely = culture.adults + (culture.half_grown if culture.animal.females == 1.0 else 0.0)
        share = culture.egg_bearing * culture.adults / likely if likely > 0.0 else 0.0
        deal = np.random.default_rng(int(roll * 2**32))
        return int(deal.binomial(females, min(1.0, share))), females

    def read(self, vessel: str, at: datetime | None = None, *, oxygen: bool = False, tests: bool = True) -> ev.Reading:
        """Measure the water as a keeper does: thermometer, refractometer and (with `tests`) colour tests."""
        place = self._at(vessel, at)
        culture, noise = place.culture, place.counting.standard_normal(5)
        return ev.Reading(
            at=self.now,
            vessel=vessel,
            temperature_c=round(culture.temperature_c + 0.15 * noise[0], 1),
            sg=round(1.0 + 0.000757 * culture.salinity - 0.0003 + 0.0004 * noise[1], 3),
            sg_reference="25/25",
            ph=round(culture.ph + 0.05 * noise[2], 1) if tests else None,
            tan_mg_l=_colour_step(culture.tan * math.exp(0.15 * noise[3])) if tests else None,
            oxygen_mg_l=round(max(0.0, culture.oxygen + 0.15 * noise[4]), 1) if oxygen else None,
        )


COLOURS = (0.0, 0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0, 48.0, 64.0)
"""Steps of the simulator's colour chart for total ammonia, mg/L (high steps are read after dilution)."""


def _colour_step(tan: float) -> float:
    return min(COLOURS, key=lambda step: abs(step - tan))


def _clean(culture: SimulatedCulture, what: str) -> None:
    if what == "floss":
        culture.floss *= 0.1
    elif what == "airline":
        culture.air = 1.0
    else:  # walls wiped, bottom siphoned
        culture.biofilm *= 0.35
        culture.waste *= 0.5
        culture.floss *= 0.5
        culture.bloom *= 0.5
