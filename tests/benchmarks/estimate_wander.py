"""The estimate on racks that share nothing with the demo's simulator: births and losses wander by themselves.

    python tests/benchmarks/estimate_wander.py

Log density grows by births less losses, each wandering about its usual value (Ornstein-Uhlenbeck); births are fewer
the denser the culture. The keeper harvests by the count. Once in a hundred days a vessel sickens within a day and a
half: fewer births, then more losses, eggs and swimming its only signs. All numbers are invented. It is here to see
what holds elsewhere, not to tune by.

Beside the estimate stands one who knows this world: a particle filter (Gordon, Salmond and Smith 1993, IEE Proc. F
140:107) with all these numbers and only the vessel's ceiling to learn. More than it tells is not to be had.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np
from estimate_early_sign import EARLY_SIGN, Life, judge, lives, two_falls
from estimate_keeper import Played
from estimate_racks import BURN_IN, HORIZONS, Scores, score
from estimate_scores import LEVELS, crps, normal_crps
from scipy.special import gammaln
from scipy.stats import norm

from rackview.core import events as ev
from rackview.core.vessel import Vessel
from rackview.science.development import egg_days

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
RACKS, VESSELS, DAYS, LITRES = 6, 8, 90, 20.0
HOURS = 24
PARTICLES = 2000
BEGUN, RESTARTED, LOST = 120.0, 100.0, 20.0
"""Animals per mL with which a culture begins, begins again, and at which it is given up."""
SAMPLE_CV, ALIQUOT_CV = 0.07, 0.12
LIVELY, STRESSED, EYE = 4.3, 2.5, 0.5
"""Usual mark for swimming, how much of it stress takes, and the scatter of the keeper's eye."""
EGG_DAYS = egg_days(25.0, "Brachionus plicatilis")


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


class Cultures:
    """So many cultures, each by itself; `x` is the log of animals per mL."""

    def __init__(self, world: World, rng: np.random.Generator, number: int = 1) -> None:
        self.world, self.rng = world, rng
        self.ceiling = world.ceiling * np.exp(0.25 * rng.standard_normal(number))
        self.begin(BEGUN)

    def begin(self, per_ml: float) -> None:
        self.x = np.full(self.ceiling.shape, math.log(per_ml))
        self.luck, self.harm, self.stress = (np.zeros_like(self.x) for _ in range(3))
        self.sick = np.zeros(self.x.shape, bool)

    def picked(self, which: np.ndarray) -> Cultures:
        """Copies of some of them."""
        copy = object.__new__(Cultures)
        copy.__dict__.update({k: v[which] if isinstance(v, np.ndarray) else v for k, v in self.__dict__.items()})
        return copy

    @property
    def births(self) -> np.ndarray:
        crowd = np.maximum(1.0 - 0.75 * np.exp(self.x) / self.ceiling, 0.0)
        return self.world.births * np.exp(self.luck) * crowd * (1.0 - 0.7 * self.stress)

    @property
    def with_eggs(self) -> np.ndarray:
        """Share of females with eggs."""
        return np.clip(np.expm1(self.births * EGG_DAYS), 1e-6, 0.9)

    def day(self, steps: int = HOURS) -> None:
        world, rng, n, dt = self.world, self.rng, self.x.size, 1.0 / steps
        self.sick = self.sick | (rng.random(n) < world.hazard)
        pull, kick = dt / world.days, math.sqrt(2.0 * dt / world.days)
        for _ in range(steps):
            self.luck = self.luck * (1.0 - pull) + world.births_wander * kick * rng.standard_normal(n)
            self.harm = self.harm * (1.0 - pull) + world.losses_wander * kick * rng.standard_normal(n)
            self.stress = np.minimum(self.stress + self.sick * dt / 1.5, 1.0)
            losses = np.maximum(world.losses + self.harm, 0.0) + 1.5 * np.maximum(self.stress - 0.4, 0.0)
            self.x = self.x + (self.births - losses) * dt


def count(culture: Cultures, vessel: str, at: datetime) -> ev.Count:
    """Three or so half millilitres, that scatter about a sample that is off as well."""
    world, rng = culture.world, culture.rng
    expected = 0.5 * math.exp(culture.x[0]) * rng.gamma(1 / SAMPLE_CV**2, SAMPLE_CV**2)
    tallies = rng.poisson(expected * rng.gamma(1 / ALIQUOT_CV**2, ALIQUOT_CV**2, world.aliquots)).tolist()
    eggs: dict[str, int] = {}
    if rng.random() < world.eggs:
        eggs = {"with_eggs": int(rng.binomial(30, culture.with_eggs[0])), "females_checked": 30}
    swimming = int(np.clip(round(LIVELY - STRESSED * culture.stress[0] + EYE * rng.standard_normal()), 1, 5))
    return ev.Count(at=at, vessel=vessel, tallies=tuple(tallies), aliquot_ml=0.5, swimming=swimming, **eggs)


def play(world: World, seed: int) -> Played:
    """A rack of vessels, each kept by itself."""
    rng = np.random.default_rng(seed)
    played = Played([Vessel(f"V{i}", "rotifer-L", "A", i + 1, LITRES) for i in range(VESSELS)], DAYS)
    for vessel in played.vessels:
        name, culture = vessel.vessel, Cultures(world, rng)
        for day in range(DAYS):
            at = START + timedelta(days=day, minutes=int(rng.integers(0, 40)))
            played.rounds[name, day], played.truth[name, day] = at, math.exp(culture.x[0])
            if rng.random() < world.counted:
                seen = count(culture, name, at)
                played.events.append(seen)
                per_ml = seen.animals / seen.looked_at_ml
                if per_ml > 100.0 and culture.stress[0] < 0.3:
                    litres = round(0.33 * LITRES * min(1.0, per_ml / 180.0), 1)
                    later = at + timedelta(minutes=9)
                    played.events.append(ev.Harvest(at=later, vessel=name, volume_l=litres, refill_l=litres))
                    culture.x += left(litres)
            fed = at + timedelta(minutes=20)
            played.events.append(ev.Feed(at=fed, vessel=name, feed="algae", amount=10.0))
            culture.day()
            if culture.x[0] < math.log(LOST):
                again = at + timedelta(hours=20)
                played.events.append(ev.Restart(at=again, vessel=name, density_per_ml=RESTARTED, reason="crash"))
                culture.begin(RESTARTED)
    return played


def left(litres: float) -> float:
    """Log of what a harvest leaves."""
    return math.log(1.0 - litres / LITRES)


def likelihood(cultures: Cultures, seen: ev.Count) -> np.ndarray:
    """Log of how likely a count is in each culture."""
    n = seen.animals
    size = 1.0 / (SAMPLE_CV**2 + ALIQUOT_CV**2 / len(seen.tallies))
    expected = seen.looked_at_ml * np.exp(cultures.x)
    like = gammaln(n + size) - gammaln(size) + n * np.log(expected) - (n + size) * np.log(size + expected)
    if seen.females_checked and seen.with_eggs is not None:
        share, without = cultures.with_eggs, seen.females_checked - seen.with_eggs
        like = like + seen.with_eggs * np.log(share) + without * np.log1p(-share)
    mark = seen.swimming or 0
    over, under = (math.inf if mark == 5 else mark + 0.5), (-math.inf if mark == 1 else mark - 0.5)
    usual = LIVELY - STRESSED * cultures.stress
    return like + np.log(norm.cdf((over - usual) / EYE) - norm.cdf((under - usual) / EYE) + 1e-12)


def told(cultures: Cultures, seen: ev.Count) -> Cultures:
    """The cultures that remain likely after a count, drawn anew; their ceilings are shaken a little."""
    like = likelihood(cultures, seen)
    weights = np.cumsum(np.exp(like - like.max()))
    n, rng = like.size, cultures.rng
    which = np.searchsorted(weights / weights[-1], (np.arange(n) + rng.random()) / n)
    after = cultures.picked(np.minimum(which, n - 1))
    after.ceiling = after.ceiling * np.exp(0.01 * rng.standard_normal(n))
    return after


def by_day(played: Played, vessel: str) -> dict[int, list[ev.Event]]:
    found: dict[int, list[ev.Event]] = defaultdict(list)
    for event in played.events:
        if event.vessel == vessel and isinstance(event, ev.Count | ev.Harvest | ev.Restart):
            found[(event.at - START).days].append(event)
    return found


Expected = dict[int, list[tuple[float, float, float, float]]]
"""By days ahead: score, chance of less than came, what came, and the last count; logs of animals per mL."""


def known(world: World, played: Played, scores: Expected, all_lives: list[Life]) -> list[Life]:
    """Score one who knows this world; returns the lives with the chance that he gives each vessel of being sick."""
    found = []
    for vessel, life in zip(played.vessels, all_lives, strict=True):
        events, chance = by_day(played, vessel.vessel), np.zeros(played.days)
        cultures = Cultures(world, np.random.default_rng(0), PARTICLES)
        for day in range(played.days):
            for event in events[day]:
                if isinstance(event, ev.Count):
                    cultures = told(cultures, event)
                    chance[day] = cultures.sick.mean()
                    if day >= BURN_IN:
                        expect(played, scores, cultures, events, day, event)
                elif isinstance(event, ev.Harvest):
                    cultures.x += left(event.volume_l)
            cultures.day(6)
            if any(isinstance(event, ev.Restart) for event in events[day]):
                cultures.begin(RESTARTED)
        found.append(replace(life, chance=chance))
    return found


def expect(
    played: Played, scores: Expected, now: Cultures, events: dict[int, list[ev.Event]], today: int, seen: ev.Count
) -> None:
    """Score what he expects after a count of the days ahead; it ends where the vessel is restarted."""
    last = math.log((seen.animals + 0.5) / seen.looked_at_ml)
    now = now.picked(np.arange(PARTICLES))
    for h in range(1, max(HORIZONS) + 1):
        done = events[today + h - 1]
        if today + h >= played.days or any(isinstance(event, ev.Restart) for event in done):
            break
        now.x += sum(left(event.volume_l) for event in done if isinstance(event, ev.Harvest))
        now.day(6)
        if h in HORIZONS:
            y = math.log(played.truth[seen.vessel, today + h])
            scores[h].append((crps(np.quantile(now.x, LEVELS), y), float(np.mean(now.x < y)), y, last))


def table(scores: Expected) -> None:
    print("  days  one who knows this world   persist. gain   90 %   50 %")
    for h, rows in scores.items():
        got, under, y, last = np.array(rows).T
        still = normal_crps(y - last)
        inside = [np.mean((under > a) & (under < 1 - a)) for a in (0.05, 0.25)]
        gain = 100 * (1 - got.mean() / still)
        print(f"  {h:4d}  {got.mean():.4f} {still:27.4f} {gain:4.0f} %  {inside[0]:.3f}  {inside[1]:.3f}")


def main() -> None:
    for name, world in WORLDS.items():
        scores, best, all_lives, wise = Scores(), defaultdict(list), [], []
        for number in range(RACKS):
            played = play(world, 100 + number)
            score(played, scores, str(number))
            lived = lives(played)
            all_lives += lived
            wise += known(world, played, best, lived)
        scores.table(name)
        print(f"  two falls of 30 %  {judge(all_lives, [two_falls(life) for life in all_lives])}")
        for threshold in (0.01, 0.03, EARLY_SIGN, 0.1):
            print(f"  chance > {threshold:4.2f}      {judge(all_lives, [one.chance > threshold for one in all_lives])}")
        table(best)
        for threshold in (0.05, 0.1, 0.2, 0.3):
            print(f"  chance > {threshold:4.2f}      {judge(wise, [one.chance > threshold for one in wise])}")


if __name__ == "__main__":
    main()
