"""Invented seasons for replays: a small rack on the demo simulator, broods to feed, and what is measured.

Every number here is invented. All keepers meet the same season: the same vessels, weather, luck and broods, the same
days on which nobody comes, and the same looking (one count of every vessel and visit, a water test a week).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Protocol

import numpy as np

from rackview.core.events import Count, Event, Restart, TopUp
from rackview.core.profile import groups
from rackview.core.tables import Brood, Stock
from rackview.core.vessel import Vessel
from rackview.demo.chance import Climate
from rackview.demo.larvae import LarvalTank
from rackview.demo.simulator import Simulator

START = datetime(2026, 1, 5, tzinfo=UTC)
FEED = "algae concentrate"
DRY_G_PER_ML = 0.12
STOCK = (Stock(FEED, "algae concentrate", DRY_G_PER_ML, 1e5, "mL", START.date(), date(2027, 1, 1), 5.0),)
CRASHED_PER_ML = {"rotifer-L": 20.0, "rotifer-SS": 30.0}
"""A vessel with fewer animals than this has crashed, unless it was started within the last days."""
GRACE_DAYS = 4


@dataclass(frozen=True)
class Season:
    """One season to be played: the rack, its first densities, its broods with their hatch days, the missed days."""

    seed: int
    days: int
    vessels: tuple[Vessel, ...]
    densities: dict[str, float]
    broods: tuple[tuple[Brood, date], ...]
    missed: frozenset[int]
    climate: Climate


def season(seed: int, days: int) -> Season:
    """The season of this seed: three or four large-strain vessels, a spare, a reserve, two super-small ones."""
    rng = np.random.default_rng([seed, 4])
    large = int(rng.integers(3, 5))
    vessels = [
        Vessel(f"L{n + 1}", "rotifer-L", "A", n + 1, float(rng.choice([12.0, 15.0, 20.0]))) for n in range(large)
    ]
    vessels += [Vessel(f"S{n + 1}", "rotifer-SS", "B", n + 1, float(rng.choice([10.0, 15.0]))) for n in range(2)]
    vessels += [
        Vessel("spare", "rotifer-L", "A", 6, 15.0),
        Vessel("reserve", "rotifer-L", "C", 3, 8.0, reserve=True),
    ]
    densities = {v.vessel: float(rng.uniform(90, 220)) * (1.0 if v.strain == "rotifer-L" else 1.6) for v in vessels}
    densities["spare"] = 0.0
    size = float(rng.lognormal(0.0, 0.3))
    broods = [
        *_broods(rng, days, "anemonefish", 7.0, (120.0 * size, 320.0 * size), 6),
        *_broods(rng, days, "small-mouth", 15.0, (70.0 * size, 180.0 * size), 5),
    ]
    missed = frozenset(int(d) for d in range(3, days) if rng.random() < 0.015)
    climate = Climate(room_c=float(rng.uniform(23.5, 26.5)), hazard=float(rng.lognormal(0.5, 0.5)))
    return Season(seed, days, tuple(vessels), densities, tuple(broods), missed, climate)


def _broods(
    rng: np.random.Generator, days: int, group: str, gap: float, tank_l: tuple[float, float], egg_days: int
) -> list[tuple[Brood, date]]:
    last = groups()[group].last_day
    hatch, found = 8.0 + float(rng.exponential(gap)), []
    while hatch < days - last - 2:
        hatched = (START + timedelta(days=int(hatch))).date()
        brood = Brood(
            f"{group} {len(found) + 1}",
            group,
            spawned=hatched - timedelta(days=egg_days),
            tank_l=round(float(rng.uniform(*tank_l))),
            larvae=int(rng.integers(200, 450)),
        )
        found.append((brood, hatched))
        hatch += 3.0 + float(rng.exponential(gap - 3.0))
    return found


class Keeper(Protocol):
    """Somebody who looks after the rack."""

    def day(self, at: datetime, looked: list[Event]) -> None:
        """Do the round; `looked` holds today's counts and readings."""


@dataclass
class Tally:
    """What came of a season."""

    broods: int = 0
    lost: int = 0
    larvae: float = 0.0
    hatched: float = 0.0
    crashes: int = 0
    vessel_days: int = 0
    delivered: float = 0.0
    wanted: float = 0.0
    met: float = 0.0
    flags: dict[str, int] = field(default_factory=dict)
    events: list[str] = field(default_factory=list)
    """Crashes and lost broods in words; a day on which nobody came shows as a dash."""


class Bench:
    """Plays one season day by day with one keeper."""

    def __init__(self, played: Season) -> None:
        self.season = played
        self.simulator = Simulator(
            played.seed,
            played.vessels,
            START,
            densities=played.densities,
            feeds={FEED: DRY_G_PER_ML},
            climate=played.climate,
        )
        for brood, hatched in played.broods:
            self.simulator.add_brood(LarvalTank(brood, groups()[brood.group], hatched))
        self.tally = Tally()
        self._down: set[str] = set()
        self._started: dict[str, int] = {}
        self._fed: dict[str, list[str]] = {}

    def play(self, keeper: Keeper) -> Tally:
        """Play the season through; returns what came of it."""
        simulator, tally = self.simulator, self.tally
        for number in range(self.season.days):
            at = START + timedelta(days=number, hours=8)
            simulator.step((at - simulator.now) / timedelta(days=1))
            self._watch(number)
            if number not in self.season.missed:
                hungry = [t for t in simulator.tanks.values() if t.feeding(at.date())]
                before = [(t.wanted(), t.delivered) for t in hungry]
                keeper.day(at, self._look(number, at))
                tally.wanted += sum(wanted for wanted, _ in before)
                for tank, (wanted, had) in zip(hungry, before, strict=True):
                    met = min(wanted, tank.delivered - had)
                    tally.met += met
                    self._fed.setdefault(tank.brood.brood, []).append(f"{met / max(wanted, 1.0):.1f}")
            else:
                for tank in simulator.tanks.values():
                    if tank.feeding(at.date()):
                        self._fed.setdefault(tank.brood.brood, []).append("-")
        simulator.step(1.0)
        for tank in simulator.tanks.values():
            tally.broods += 1
            tally.lost += tank.lost
            tally.larvae += tank.larvae
            tally.hatched += tank.hatch
            if tank.lost:
                met = " ".join(self._fed.get(tank.brood.brood, ()))
                tally.events.append(f"{tank.brood.brood} lost; share of the wanted prey met by day: {met}")
        tally.delivered = simulator.delivered
        return tally

    def founded(self) -> list[Restart]:
        """When each vessel was started, as the keeper wrote it down before the season."""
        found = []
        for vessel in self.season.vessels:
            culture = self.simulator.culture(vessel.vessel)
            if culture.level_l > 0.0:
                at = START - timedelta(days=culture.age_days)
                found.append(Restart(at=at, vessel=vessel.vessel, starter="own stock"))
        return found

    def _look(self, number: int, at: datetime) -> list[Event]:
        found: list[Event] = []
        for vessel in self.season.vessels:
            if self.simulator.culture(vessel.vessel).level_l <= 0.0:
                continue
            found.append(self.simulator.observe(vessel.vessel, at, dilution=5.0, females=40))
            if number % 7 == 2:
                found.append(self.simulator.read(vessel.vessel, at, oxygen=number % 14 == 2))
        return found

    def _watch(self, number: int) -> None:
        for vessel in self.season.vessels:
            name = vessel.vessel
            culture = self.simulator.culture(name)
            if culture.level_l <= 0.0:
                self._started.pop(name, None)
                self._down.discard(name)
                continue
            self.tally.vessel_days += 1
            if culture.age_days < 1.2 or name not in self._started:
                self._started[name] = number if number > 0 else -GRACE_DAYS
                self._down.discard(name)
            limit = CRASHED_PER_ML[vessel.strain]
            if culture.density > 2.0 * limit:
                self._down.discard(name)
            elif culture.density < limit and name not in self._down and number - self._started[name] >= GRACE_DAYS:
                self._down.add(name)
                self.tally.crashes += 1
                self.tally.events.append(
                    f"day {number} {name} crashed: bloom {culture.bloom:.2f} ciliates {culture.ciliates:.0f} "
                    f"nh3 {culture.nh3:.2f} oxygen {culture.oxygen:.1f} energy {culture.energy:.2f} "
                    f"temperature {culture.temperature_c:.1f} age {culture.age_days:.0f}"
                )


def top_up(simulator: Simulator, vessel: str, at: datetime) -> TopUp | None:
    """Fill a vessel up to its mark, with fresh water for what evaporated and salt water for more than that."""
    full, level = simulator.vessels[vessel].volume_l, simulator.culture(vessel).level_l
    missing = full - level
    if level <= 0.0 or missing < 0.05:
        return None
    event = TopUp(at=at, vessel=vessel, volume_l=round(missing, 3), salinity=29.0 if missing > 0.06 * full else None)
    simulator.apply(event)
    return event


def counts_of(looked: list[Event]) -> dict[str, Count]:
    """Today's counts by vessel."""
    return {e.vessel: e for e in looked if isinstance(e, Count)}
