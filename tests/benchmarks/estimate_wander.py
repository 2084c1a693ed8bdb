"""The estimate on racks that share nothing with the demo's simulator: births and losses wander by themselves.

    python tests/benchmarks/estimate_wander.py

Log density grows by births less losses, each wandering about its usual value (Ornstein-Uhlenbeck); births are fewer
the denser the culture. The keeper harvests by the count. Once in a hundred days a vessel sickens within a day and a
half: fewer births, then more losses, eggs and swimming its only signs. All numbers are invented. It is here to see
what holds elsewhere, not to tune by.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from estimate_early_sign import judge, lives, two_falls
from estimate_keeper import Played
from estimate_racks import Scores, score

from rackview.core import events as ev
from rackview.core.vessel import Vessel
from rackview.science.development import egg_days
from rackview.science.state.estimate import EARLY_SIGN

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
VESSELS, DAYS, LITRES = 8, 90, 20.0
HOURS = 24


@dataclass(frozen=True)
class World:
    """Births and losses a day, how far they wander and for how many days, and how the keeper counts."""

    births: float = 0.55
    losses: float = 0.12
    births_wander: float = 0.12
    losses_wander: float = 0.06
    days: float = 4.0
    ceiling: float = 450.0
    hazard: float = 0.01
    aliquots: int = 3
    counted: float = 0.85
    eggs: float = 0.7


WORLDS = {
    "steady": World(),
    "steady, no eggs": World(eggs=0.0),
    "births wander widely": World(births_wander=0.3, days=3.0),
    "one aliquot every other day": World(aliquots=1, counted=0.5),
}


class Culture:
    """One vessel's animals, as log of animals per mL."""

    def __init__(self, world: World, rng: np.random.Generator) -> None:
        self.world, self.rng = world, rng
        self.ceiling = world.ceiling * math.exp(0.25 * rng.standard_normal())
        self.begin(120.0)

    def begin(self, per_ml: float) -> None:
        self.x, self.luck, self.harm, self.stress, self.sick = math.log(per_ml), 0.0, 0.0, 0.0, False

    @property
    def births(self) -> float:
        crowd = max(1.0 - 0.75 * math.exp(self.x) / self.ceiling, 0.0)
        return self.world.births * math.exp(self.luck) * crowd * (1.0 - 0.7 * self.stress)

    def day(self) -> None:
        world, dt = self.world, 1.0 / HOURS
        self.sick |= bool(self.rng.random() < world.hazard)
        pull, kick = dt / world.days, math.sqrt(2.0 * dt / world.days)
        for _ in range(HOURS):
            self.luck += -self.luck * pull + world.births_wander * kick * self.rng.standard_normal()
            self.harm += -self.harm * pull + world.losses_wander * kick * self.rng.standard_normal()
            self.stress = min(self.stress + self.sick * dt / 1.5, 1.0)
            losses = max(world.losses + self.harm, 0.0) + 1.5 * max(self.stress - 0.4, 0.0)
            self.x += (self.births - losses) * dt


def count(culture: Culture, vessel: str, at: datetime) -> ev.Count:
    """Three or so half millilitres, that scatter by 12 % about a sample that is off by 7 %."""
    world, rng = culture.world, culture.rng
    expected = 0.5 * math.exp(culture.x) * rng.gamma(1 / 0.07**2, 0.07**2)
    tallies = rng.poisson(expected * rng.gamma(1 / 0.12**2, 0.12**2, world.aliquots)).tolist()
    eggs: dict[str, int] = {}
    if rng.random() < world.eggs:
        share = min(math.expm1(culture.births * egg_days(25.0, "Brachionus plicatilis")), 0.9)
        eggs = {"with_eggs": int(rng.binomial(30, share)), "females_checked": 30}
    swimming = int(np.clip(round(4.3 - 2.5 * culture.stress + 0.5 * rng.standard_normal()), 1, 5))
    return ev.Count(at=at, vessel=vessel, tallies=tuple(tallies), aliquot_ml=0.5, swimming=swimming, **eggs)


def play(world: World, seed: int) -> Played:
    """A rack of vessels, each kept by itself."""
    rng = np.random.default_rng(seed)
    played = Played([Vessel(f"V{i}", "rotifer-L", "A", i + 1, LITRES) for i in range(VESSELS)], DAYS)
    for vessel in played.vessels:
        name, culture = vessel.vessel, Culture(world, rng)
        for day in range(DAYS):
            at = START + timedelta(days=day, minutes=int(rng.integers(0, 40)))
            played.rounds[name, day], played.truth[name, day] = at, math.exp(culture.x)
            if rng.random() < world.counted:
                seen = count(culture, name, at)
                played.events.append(seen)
                per_ml = seen.animals / seen.looked_at_ml
                if per_ml > 100.0 and culture.stress < 0.3:
                    litres = round(0.33 * LITRES * min(1.0, per_ml / 180.0), 1)
                    later = at + timedelta(minutes=9)
                    played.events.append(ev.Harvest(at=later, vessel=name, volume_l=litres, refill_l=litres))
                    culture.x += math.log(1.0 - litres / LITRES)
            fed = at + timedelta(minutes=20)
            played.events.append(ev.Feed(at=fed, vessel=name, feed="algae", amount=10.0))
            culture.day()
            if culture.x < math.log(20.0):
                again = at + timedelta(hours=20)
                played.events.append(ev.Restart(at=again, vessel=name, density_per_ml=100.0, reason="crash"))
                culture.begin(100.0)
    return played


def main() -> None:
    for name, world in WORLDS.items():
        racks = [play(world, seed) for seed in range(100, 103)]
        scores = Scores()
        for number, played in enumerate(racks):
            score(played, scores, str(number))
        scores.table(name)
        all_lives = [life for played in racks for life in lives(played)]
        print(f"  two falls of 30 %  {judge(all_lives, [two_falls(life) for life in all_lives])}")
        for threshold in (0.01, EARLY_SIGN, 0.1):
            print(f"  chance > {threshold:4.2f}      {judge(all_lives, [one.chance > threshold for one in all_lives])}")


if __name__ == "__main__":
    main()
