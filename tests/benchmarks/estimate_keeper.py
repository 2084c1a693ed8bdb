"""Simulated racks for the benches: an invented keeper's events and the truth behind them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np

from rackview.core import events as ev
from rackview.core.vessel import Vessel
from rackview.demo.simulator import Climate, Simulator

START = datetime(2026, 1, 5, tzinfo=UTC)
FEED = "algae concentrate"
DRY_G_PER_ML = 0.08


@dataclass(frozen=True)
class Habits:
    """How a rack is kept: density to hold, chance of a count a day, aliquots, share of vessels never rinsed."""

    strain: str = "rotifer-L"
    vessels: int = 10
    days: int = 90
    volume_l: float = 20.0
    hold_per_ml: float = 200.0
    counts: float = 0.8
    aliquots: int = 3
    eggs: float = 0.7
    neglect: float = 0.15
    hazard: float = 1.0


RACKS = {
    "rotifer-L, counted most days": (Habits(), (0, 1, 2)),
    "rotifer-S, one aliquot every other day": (
        Habits(strain="rotifer-S", hold_per_ml=320.0, counts=0.5, aliquots=1),
        (50, 51),
    ),
    "copepod-pelagic": (Habits(strain="copepod-pelagic", hold_per_ml=3.0, counts=0.5), (80, 81)),
    "rotifer-L, badly kept": (Habits(neglect=0.5, hazard=6.0), (90, 91, 92)),
}


@dataclass
class Played:
    """What was recorded, and the true density and moment of each vessel's round on each day."""

    vessels: list[Vessel]
    days: int
    events: list[ev.Event] = field(default_factory=list)
    truth: dict[tuple[str, int], float] = field(default_factory=dict)
    rounds: dict[tuple[str, int], datetime] = field(default_factory=dict)


class Keeper:
    """Counts, harvests by the last count, rinses, feeds, restarts what has crashed, misses a day now and then."""

    def __init__(self, seed: int, habits: Habits) -> None:
        self.rng = np.random.default_rng(seed + 1000)
        self.habits = habits
        vessels = [Vessel(f"V{i:02d}", habits.strain, "A", i + 1, habits.volume_l) for i in range(habits.vessels)]
        begin = {v.vessel: habits.hold_per_ml * float(self.rng.uniform(0.2, 0.8)) for v in vessels}
        climate = Climate(hazard=habits.hazard)
        self.sim = Simulator(seed, vessels, START, densities=begin, feeds={FEED: DRY_G_PER_ML}, climate=climate)
        self.played = Played(vessels, habits.days)
        self.believed = dict.fromkeys(begin, habits.hold_per_ml / 2)
        self.lazy = {name for name in begin if self.rng.random() < habits.neglect}
        self.low = dict.fromkeys(begin, 0)

    def play(self) -> Played:
        for day in range(self.habits.days):
            at = START + timedelta(days=day, minutes=480 + int(self.rng.integers(-20, 40)))
            away = self.rng.random() < 0.05
            for number, vessel in enumerate(self.played.vessels):
                self.visit(day, vessel, at + timedelta(minutes=number), away=away)
        return self.played

    def do(self, event: ev.Event) -> None:
        self.sim.apply(event, own_tools=True)
        self.played.events.append(event)

    def visit(self, day: int, vessel: Vessel, at: datetime, *, away: bool) -> None:
        name, habits, rng = vessel.vessel, self.habits, self.rng
        self.sim.apply(ev.Note(at=at, vessel=name, text="round"), own_tools=True)
        self.played.rounds[name, day] = at
        self.played.truth[name, day] = self.sim.culture(name).density
        if away:
            return
        if rng.random() < habits.counts or day < 2:
            females = 40 if rng.random() < habits.eggs else 0
            dilution = 5.0 if habits.hold_per_ml > 50 else 1.0
            count = self.sim.observe(name, at, aliquots=habits.aliquots, dilution=dilution, females=females)
            self.do(count)
            self.believed[name] = count.animals / count.looked_at_ml
        if day % 7 == 3:
            self.do(self.sim.read(name, at + timedelta(seconds=5)))
        self.care(day, vessel, at + timedelta(seconds=20))
        self.harvest(day, vessel, at + timedelta(seconds=25))
        missing = habits.volume_l - self.sim.culture(name).level_l
        if missing > 0.4:
            self.do(ev.TopUp(at=at + timedelta(seconds=30), vessel=name, volume_l=round(2 * missing) / 2))
        hold = habits.hold_per_ml
        millions = min(1.6 * hold, max(0.3 * hold, self.believed[name])) * habits.volume_l / 1000
        amount = max(0.1, round(millions * 0.55 / DRY_G_PER_ML, 1))
        self.do(ev.Feed(at=at + timedelta(seconds=35), vessel=name, feed=FEED, amount=amount))

    def care(self, day: int, vessel: Vessel, at: datetime) -> None:
        turn, name = day + vessel.position, vessel.vessel
        if name not in self.lazy and day % 2:
            self.do(ev.Clean(at=at, vessel=name, what="floss"))
        if name not in self.lazy and turn % 21 == 4:
            self.do(ev.Clean(at=at, vessel=name, what="vessel"))
        if turn % 30 == 9:
            self.do(ev.Clean(at=at, vessel=name, what="airline"))

    def harvest(self, day: int, vessel: Vessel, at: datetime) -> None:
        name, hold, volume = vessel.vessel, self.habits.hold_per_ml, self.habits.volume_l
        density = self.believed[name]
        self.low[name] = self.low[name] + 1 if density < 0.15 * hold and day > 3 else 0
        if self.low[name] >= 3:
            best = max(self.believed, key=lambda other: self.believed[other])
            if best != name and self.believed[best] > 0.6 * hold:
                self.restart(name, best, at)
        elif density > 0.75 * hold and self.rng.random() < 0.88:
            share = min(0.45, max(0.15, 0.3 * (density / hold) ** 1.5))
            litres = round(2 * share * volume) / 2
            self.do(ev.Harvest(at=at, vessel=name, volume_l=litres, refill_l=litres, to="discard"))
            self.believed[name] *= 1 - litres / volume

    def restart(self, name: str, best: str, at: datetime) -> None:
        litres = 0.3 * self.habits.volume_l
        self.do(ev.Restart(at=at, vessel=name, from_vessel=best, volume_l=litres, reason="crashed"))
        self.do(ev.TopUp(at=at + timedelta(seconds=2), vessel=best, volume_l=litres, salinity=29.0))
        self.believed[name], self.believed[best] = 0.3 * self.believed[best], 0.7 * self.believed[best]
        self.low[name] = 0
        self.lazy.discard(name)


def play(seed: int, habits: Habits) -> Played:
    """A rack kept for its days."""
    return Keeper(seed, habits).play()
