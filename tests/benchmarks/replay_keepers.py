"""The two keepers without a program that the advice is compared with."""

from __future__ import annotations

from datetime import datetime

from replay_season import DRY_G_PER_ML, FEED, Bench, counts_of, top_up

from rackview.core.events import Clean, Event, Feed, Harvest, Restart

HOLD_PER_ML = {"rotifer-L": 190.0, "rotifer-SS": 330.0}
DOSE_G_PER_MILLION = {"rotifer-L": 0.55, "rotifer-SS": 0.32}
MESH_UM = {"rotifer-L": 60.0, "rotifer-SS": 40.0}


class Routine:
    """What both do alike: density from the day's count, top up, feed, restart what is gone from the densest."""

    def __init__(self, bench: Bench) -> None:
        self.simulator = bench.simulator
        self.vessels = [v for v in bench.season.vessels if v.vessel != "spare"]
        self.number = -1

    def day(self, at: datetime, looked: list[Event]) -> None:
        """The round."""
        self.number += 1
        counts = counts_of(looked)
        density = {name: c.animals / c.looked_at_ml for name, c in counts.items()}
        for vessel in self.vessels:
            top_up(self.simulator, vessel.vessel, at)
        self.work(at, density)

    def work(self, at: datetime, density: dict[str, float]) -> None:
        """Harvest, clean, restart and feed."""
        raise AssertionError("each keeper works in a way of its own")

    def take(self, name: str, share: float, at: datetime) -> None:
        """Harvest a share of a vessel's volume for whoever is hungry, and refill."""
        vessel = self.simulator.vessels[name]
        litres = share * vessel.volume_l
        if litres > 0.0:
            mesh = MESH_UM[vessel.strain]
            to = "discard" if vessel.reserve else "tank"
            self.simulator.apply(Harvest(at=at, vessel=name, volume_l=litres, refill_l=litres, mesh_um=mesh, to=to))

    def feed(self, name: str, per_ml: float, at: datetime) -> None:
        """Feed for this many animals per mL."""
        vessel = self.simulator.vessels[name]
        grams = per_ml * vessel.volume_l / 1000.0 * DOSE_G_PER_MILLION[vessel.strain]
        self.simulator.apply(Feed(at=at, vessel=name, feed=FEED, amount=grams / DRY_G_PER_ML))

    def restart(self, name: str, density: dict[str, float], at: datetime) -> None:
        """Start a vessel anew from the densest other one of its strain."""
        strain = self.simulator.vessels[name].strain
        donors = [v.vessel for v in self.vessels if v.strain == strain and v.vessel != name]
        donor = max(donors, key=lambda d: density.get(d, 0.0))
        if density.get(donor, 0.0) < 60.0:
            return
        litres = min(0.35 * self.simulator.vessels[donor].volume_l, 0.5 * self.simulator.vessels[name].volume_l)
        self.simulator.apply(Restart(at=at, vessel=name, from_vessel=donor, volume_l=litres))
        top_up(self.simulator, donor, at)


class FixedShare(Routine):
    """Harvests 35 % of every vessel every day, cleans every third day, feeds the same dose every day."""

    def work(self, at: datetime, density: dict[str, float]) -> None:
        for vessel in self.vessels:
            name = vessel.vessel
            if density.get(name, 0.0) < 20.0:
                self.restart(name, density, at)
            elif vessel.reserve:
                self.take(name, 0.25 if self.number % 2 else 0.0, at)
            else:
                self.take(name, 0.35, at)
            if self.number % 3 == 0:
                self.simulator.apply(Clean(at=at, vessel=name, what="floss"))
            self.feed(name, HOLD_PER_ML[vessel.strain], at)


class Careful(Routine):
    """Holds a target density, feeds per million, stops when the density fell 30 %, cleans every second day."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self.expected: dict[str, float] = {}
        self.falls: dict[str, int] = {}
        self.started: dict[str, int] = {}

    def work(self, at: datetime, density: dict[str, float]) -> None:
        for vessel in self.vessels:
            name, now = vessel.vessel, density.get(vessel.vessel, 0.0)
            fell = now < 0.7 * self.expected.get(name, now)
            self.falls[name] = self.falls.get(name, 0) + 1 if fell else 0
            old = self.number - self.started.get(name, -10)
            hold = HOLD_PER_ML[vessel.strain] * (0.7 if vessel.reserve else 1.0)
            if old > 3 and (now < 0.12 * hold or (self.falls[name] >= 3 and now < 0.35 * hold) or self.too_old(name)):
                self.restart(name, density, at)
                self.started[name] = self.number
                self.expected.pop(name, None)
                self.feed(name, 0.4 * hold, at)
                continue
            share = 0.0 if fell else self.share(name, now, hold, at)
            self.take(name, share, at)
            if self.number % 2 == 0 or fell:
                self.simulator.apply(Clean(at=at, vessel=name, what="floss"))
            if self.number % 21 == 10:
                self.simulator.apply(Clean(at=at, vessel=name, what="vessel"))
            if self.number % 30 == 20:
                self.simulator.apply(Clean(at=at, vessel=name, what="airline"))
            self.expected[name] = now * (1.0 - share)
            self.feed(name, min(1.6 * hold, max(0.25 * hold, now)), at)

    def too_old(self, name: str) -> bool:
        """Whether it is this vessel's turn to be restarted for its age, one a week."""
        return (
            self.number - self.started.get(name, -10) > 56 and self.number - max(self.started.values(), default=-9) > 6
        )

    def share(self, name: str, now: float, hold: float, at: datetime) -> float:
        """What stands above three quarters of the target; more, up to a third, while larvae of this strain go short."""
        surplus = max(0.0, 1.0 - 0.75 * hold / max(now, 1.0))
        vessel = self.simulator.vessels[name]
        hungry = [t for t in self.simulator.tanks.values() if t.strain == vessel.strain and t.feeding(at.date())]
        if hungry and now > 0.5 * hold and not vessel.reserve:
            short = sum(t.wanted() for t in hungry) / 0.9 / max(1.0, now * vessel.volume_l * 1000.0)
            surplus = max(surplus, min(0.33, short))
        return min(0.4, surplus)
