"""Where the simulator's luck comes from: the room's weather, and each vessel's own streams.

A stream advances with time, not with what a keeper does, so that two keepers can meet the same luck.
"""

from __future__ import annotations

import math

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.core.vessel import Vessel
from rackview.demo.animals import ANIMALS
from rackview.demo.culture import SimulatedCulture, Traits

TICKS = 8
"""Steps per day."""
USUAL_VIRULENCE = 0.35
"""Mean growth per day that a bloom has of its own, beside what dirt gives it; some grow in a clean vessel too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """The room and its luck.

    `hazard` scales how often bacterial blooms begin; `ciliate_arrivals` per vessel and day come from outside;
    `upsets` per day are heating failures or hot days; `air_failures` per vessel and day. `scatter_k` is the
    negative-binomial exponent of tallies: 50 makes intervals about 1.4 times as wide as Poisson's at 50 animals per
    aliquot, as Salonen, Salmi and Keskitalo 2021 found (J. Plankton Res. 43:846-852); `sample_sd` is the log spread
    between samples; `miscounts` the share of counts that go wrong.
    """

    room_c: float = 25.0
    swing_c: float = 0.6
    upsets: float = 1 / 45
    hazard: float = 1.0
    ciliate_arrivals: float = 1 / 300
    air_failures: float = 1 / 500
    scatter_k: float = 50.0
    sample_sd: float = 0.06
    miscounts: float = 0.02


def stream(seed: int, place: int, purpose: int) -> np.random.Generator:
    """The stream of chance that belongs to a place (0 for the room) and a purpose."""
    return np.random.Generator(np.random.PCG64(np.random.SeedSequence([seed, place, purpose])))


class VesselChance:
    """A vessel with its own streams of chance and its own clock."""

    def __init__(self, vessel: Vessel, seed: int, number: int) -> None:
        self.vessel = vessel
        self.counting = stream(seed, number, 1)
        self._fate = stream(seed, number, 2)
        self._tool = stream(seed, number, 3)
        shape = stream(seed, number, 4)
        traits = Traits(
            room=float(np.exp(shape.normal(0.0, 0.1))),
            vigour=float(np.exp(shape.normal(0.0, 0.05))),
            warmth_c=float(shape.normal(0.0, 0.4)),
            air=float(np.exp(shape.normal(0.0, 0.1))),
        )
        self.first_age = float(shape.random())
        self.culture = SimulatedCulture(ANIMALS.get(vessel.strain, ANIMALS["mixed"]), vessel.volume_l, traits)
        self.day = 0.0
        self.tick = -1
        self._drawn = -1
        self._normals = self._uniforms = np.zeros((TICKS, 3))

    def tool_luck(self) -> float:
        """A number in [0, 1) from the stream for shared tools."""
        return float(self._tool.random())

    def chance(self, tick: int, climate: Climate, hot: bool) -> None:
        """Draw this step's luck: how well the animals lay, the pH, and whether something arrives or fails."""
        while self._drawn < tick // TICKS:
            self._drawn += 1
            self._normals = self._fate.standard_normal((TICKS, 2))
            self._uniforms = self._fate.random((TICKS, 3))
        (first, second), (bloom, ciliates, air) = self._normals[tick % TICKS], self._uniforms[tick % TICKS]
        culture, days = self.culture, 1.0 / TICKS
        culture.luck += -culture.luck * days / 4.0 + 0.12 * math.sqrt(2.0 * days / 4.0) * float(first)
        culture.ph_drift += -culture.ph_drift * days / 5.0 + 0.05 * math.sqrt(2.0 * days / 5.0) * float(second)
        if culture.level_l <= 0.0:
            return
        foul = culture.dirt
        old = (culture.age_days / 60.0) ** 3
        hazard = climate.hazard * (0.003 + 0.04 * foul**3 + 0.005 * min(4.0, old) + (0.006 if hot else 0.0))
        if bloom < hazard * days:
            culture.bloom = max(culture.bloom, 0.03)
            culture.virulence = max(culture.virulence, -USUAL_VIRULENCE * math.log(max(1e-9, bloom / (hazard * days))))
        if ciliates < climate.ciliate_arrivals * days:
            culture.ciliates += 0.005
        if air < climate.air_failures * days:
            culture.air = min(culture.air, 0.45)


class Room:
    """Temperature of the room: a slow drift, a daily swing, and upsets that last one to three days."""

    def __init__(self, climate: Climate, rng: np.random.Generator) -> None:
        self._climate, self._rng = climate, rng
        self._means: list[float] = []
        self._drift = 0.0
        self._upset = (0, 0.0)

    def at(self, day: float) -> float:
        """degC at `day` days after the start."""
        whole = math.floor(day)
        while len(self._means) <= whole + 1:
            self._draw()
        part = day - whole
        mean = self._means[whole] * (1.0 - part) + self._means[whole + 1] * part
        return mean + self._climate.swing_c * math.sin(2.0 * math.pi * (part - 0.35))

    def warm(self, day: float) -> bool:
        """Whether it is too warm for comfort."""
        return self.at(day) > 28.5

    def _draw(self) -> None:
        kick, luck, size, length = self._rng.normal(), self._rng.random(), self._rng.random(), self._rng.random()
        self._drift += -0.15 * self._drift + 0.25 * float(kick)
        left, shift = self._upset
        if left <= 0 and luck < self._climate.upsets:
            left, shift = 1 + int(3 * length), (4.5 * size + 1.0) * (1.0 if luck < self._climate.upsets / 2 else -1.0)
        self._upset = (left - 1, shift)
        self._means.append(self._climate.room_c + self._drift + (shift if left > 0 else 0.0))
