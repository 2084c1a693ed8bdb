"""One culture vessel of the simulator: animals by stage, food, waste, ammonia, oxygen, ciliates, a bacterial bloom.

Deterministic between two moments but for the numbers handed in; all chance is the simulator's. Every rate without a
named source is invented for the simulator. The idea that makes a collapse partly visible beforehand: `harm` acts at
once on laying and swimming, while deaths follow `damage`, which lags behind harm by about a day (egg ratio answers
18 to 24 h after a stress, swimming within minutes: Snell, Childress, Boyer and Hoff 1987).
"""

from __future__ import annotations

import math

from rackview.core.dataclass import dataclass
from rackview.demo.animals import Animal

BOXES = (3, 2, 2, 2)
"""Boxes per stage (eggs, young, half-grown, adults): a chain of boxes makes times in a stage vary moderately."""

FLOSS_HOLDS = 180.0
"""Waste that the floss holds before it is clogged, mg per L of vessel."""
NITROGEN = 0.07
"""Nitrogen in dry algae and in waste, share of dry weight (typical of microalgae; common practice, no source)."""
DAMAGE_LAG_DAYS = 1.25
DEATHS_AT_FULL_DAMAGE = 1.9
"""Deaths per day added when damage is 1."""


@dataclass(frozen=True, slots=True)
class Traits:
    """How one vessel differs from the average: its room for animals, its vigour, its place's warmth, its air."""

    room: float = 1.0
    vigour: float = 1.0
    warmth_c: float = 0.0
    air: float = 1.0


class SimulatedCulture:
    """The true state of one vessel; densities per mL, food and waste in mg per L, level in L."""

    __slots__ = (
        "age_days", "air", "algae", "animal", "biofilm", "bloom", "boxes", "ciliates", "damage", "energy", "floss",
        "full_l", "harm", "level_l", "luck", "oxygen", "ph", "ph_drift", "salinity", "tan", "temperature_c", "traits",
        "virulence", "waste",
    )  # fmt: skip

    def __init__(self, animal: Animal, full_l: float, traits: Traits, salinity: float = 29.0) -> None:
        self.animal = animal
        self.full_l = full_l
        self.traits = traits
        self.luck = 0.0
        self.ph_drift = 0.0
        self.temperature_c = animal.usual_c
        self.air = 1.0
        self.empty()
        self.salinity = salinity

    # --- reading ----------------------------------------------------------------------------------------------------

    @property
    def eggs(self) -> float:
        """Carried eggs per mL."""
        return sum(self.boxes[0:3])

    @property
    def young(self) -> float:
        """Nauplii (young juveniles in rotifers) per mL."""
        return self.boxes[3] + self.boxes[4]

    @property
    def half_grown(self) -> float:
        """Copepodites (older juveniles in rotifers) per mL."""
        return self.boxes[5] + self.boxes[6]

    @property
    def adults(self) -> float:
        """Adults per mL."""
        return self.boxes[7] + self.boxes[8]

    @property
    def density(self) -> float:
        """Free animals of all stages per mL; carried eggs are not counted."""
        return sum(self.boxes[3:])

    @property
    def egg_bearing(self) -> float:
        """Share of adult females that carry eggs, clutches being spread over them at random."""
        bearers = self.adults * self.animal.females * self.animal.clutch
        return 1.0 - math.exp(-self.eggs / bearers) if bearers > 1e-9 else 0.0

    @property
    def dirt(self) -> float:
        """How foul the vessel is, about 0 to 1.2: floss load, waste in the water, film on the walls."""
        return 0.35 * min(1.2, self.floss / FLOSS_HOLDS) + 0.3 * min(1.2, self.waste / 80.0) + 0.35 * self.biofilm

    @property
    def nh3(self) -> float:
        """Un-ionised ammonia, mg/L as N: pK about 9.35 at 25 degC in seawater, a straight line around it."""
        pk = 9.35 - 0.031 * (self.temperature_c - 25.0)
        return self.tan / (1.0 + math.pow(10.0, pk - self.ph))

    # --- handling ---------------------------------------------------------------------------------------------------

    def empty(self) -> None:
        """Pour everything out and wash the vessel."""
        self.boxes = [0.0] * sum(BOXES)
        self.level_l = 0.0
        self.algae = self.waste = self.floss = self.biofilm = 0.0
        self.tan = self.ciliates = self.bloom = self.virulence = self.harm = self.damage = 0.0
        self.energy = 0.8
        self.age_days = 0.0
        self.oxygen, self.ph = 6.5, 8.1
        self.air = 1.0
        self.salinity = 29.0

    def stock(self, density: float, salinity: float = 29.0) -> None:
        """Fill the empty vessel with animals in the mix of stages of a culture that grows."""
        self.empty()
        self.level_l = self.full_l
        self.salinity = salinity
        days = (self.animal.young_days, self.animal.half_grown_days, 0.6 * self.animal.adult_days)
        shares = [d / sum(days) for d in days]
        for stage, share in enumerate(shares):
            for box in range(2):
                self.boxes[3 + 2 * stage + box] = density * share / 2
        for box in range(3):
            self.boxes[box] = 0.1 * density

    def add_water(self, litres: float, salinity: float) -> None:
        """Add animal-free water; everything dissolved or afloat is diluted."""
        if litres <= 0.0:
            return
        after = self.level_l + litres
        keep = self.level_l / after
        self.salinity = (self.salinity * self.level_l + salinity * litres) / after
        self.boxes = [b * keep for b in self.boxes]
        self.algae *= keep
        self.waste *= keep
        self.tan *= keep
        self.ciliates *= keep
        self.bloom *= keep
        self.level_l = after

    def take(self, litres: float) -> float:
        """Take culture out; returns the litres there were to take."""
        taken = min(max(0.0, litres), self.level_l)
        self.level_l -= taken
        return taken

    def pour_in(self, other: SimulatedCulture, litres: float) -> None:
        """Add culture as it is in `other`, of which it was taken; what lives in the water comes along."""
        after = self.level_l + litres
        if after <= 0.0:
            return
        mine, theirs = self.level_l / after, litres / after
        self.boxes = [a * mine + b * theirs for a, b in zip(self.boxes, other.boxes, strict=True)]
        self.virulence = max(self.virulence, other.virulence if other.bloom > 0.0 else 0.0)
        for name in ("algae", "waste", "tan", "ciliates", "bloom", "salinity", "harm", "damage", "energy"):
            setattr(self, name, getattr(self, name) * mine + getattr(other, name) * theirs)
        self.level_l = after

    # --- living -----------------------------------------------------------------------------------------------------

    def live(self, days: float, room_c: float) -> None:
        """Let `days` pass (an eighth of a day or less) in a room of `room_c` degC."""
        if self.level_l <= 0.0:
            return
        animal = self.animal
        self.age_days += days
        self.temperature_c += (room_c + self.traits.warmth_c - self.temperature_c) * (1.0 - math.exp(-6.0 * days))
        pace = float(animal.q10 ** ((self.temperature_c - animal.usual_c) / 10.0))
        density = self.density
        eaten = self._eat(days, density, pace)
        self._foul(days, eaten)
        self._breathe(days, density, pace)
        self._infest(days)
        self._suffer(days)
        self._grow(days, density, pace)
        lost = self.level_l * 0.012 * days  # evaporation
        self.salinity *= self.level_l / (self.level_l - lost)
        self.level_l -= lost

    def _eat(self, days: float, density: float, pace: float) -> float:
        animal = self.animal
        grazing = density * animal.appetite_ug * pace * (1.0 - 0.6 * self.harm) / (animal.half_food_ug_ml + self.algae)
        sinking = 0.12
        other = self.ciliates * 0.004 / (10.0 + self.algae)  # ciliates eat some of the algae
        after = self.algae / (1.0 + days * (grazing + sinking + other))
        eaten = after * days * grazing
        self.waste += after * days * sinking
        self.algae = after
        intake = eaten / (density * days) / (animal.ration_ug * pace) if density > 1e-6 else 0.0
        fed = min(1.0, 1.3 * intake / (0.3 + intake))
        self.energy += (fed - self.energy) * (1.0 - math.exp(-days / 1.3))
        return eaten

    def _foul(self, days: float, eaten: float) -> None:
        self.waste += 0.35 * eaten
        free = max(0.05, 1.0 - self.floss / FLOSS_HOLDS)
        caught = self.waste * (1.0 - math.exp(-2.2 * free * days))
        self.waste -= caught
        self.floss += caught
        rotted_water = self.waste * (1.0 - math.exp(-0.25 * days))
        rotted_floss = self.floss * (1.0 - math.exp(-0.06 * days))
        self.waste -= rotted_water
        self.floss -= rotted_floss
        self.biofilm += (1.0 - self.biofilm) * 0.018 * days * min(2.0, 0.4 + self.waste / 25.0)
        self.tan += 0.3 * NITROGEN * eaten + 0.5 * NITROGEN * (rotted_water + rotted_floss)
        self.tan *= math.exp(-0.07 * days)  # taken up by the film on floss and walls

    def _breathe(self, days: float, density: float, pace: float) -> None:
        use = density * self.animal.oxygen_ug * pace + 0.25 * self.waste + 25.0 * self.bloom + 0.01 * self.ciliates
        full = 468.0 / (31.6 + self.temperature_c) * (1.0 - 0.0055 * self.salinity)
        self.air = max(0.25, self.air - 0.008 * days)  # the stone clogs
        self.oxygen = max(0.0, full - use / (38.0 * self.air * self.traits.air))
        self.ph = min(8.35, max(7.2, 8.2 - 0.0085 * use + self.ph_drift))

    def _infest(self, days: float) -> None:
        """Ciliates and blooms live on dirt: Euplotes went from 10 to 15,484 per mL in six days on yeast, and died out
        on live algae (Cortes, Tsuzuki and Melo 2013).
        """
        holds = 15.0 + 30.0 * self.waste + 15.0 * self.floss
        growth = 1.35 * self.dirt / (0.25 + self.dirt) - 0.1
        growth *= 1.0 - self.ciliates / holds if growth > 0.0 else 1.0
        self.ciliates *= math.exp(max(-2.0, growth) * days)
        if self.ciliates < 1e-5:
            self.ciliates = 0.0
        growth = 2.3 * self.dirt - 0.45 + self.virulence
        self.bloom *= math.exp(growth * (1.0 - self.bloom) * days if growth > 0 else growth * days)
        self.bloom = min(1.0, self.bloom)
        if self.bloom < 1e-4:
            self.bloom = self.virulence = 0.0

    def _suffer(self, days: float) -> None:
        animal = self.animal
        ammonia = (self.nh3 / 1.7) ** 2
        ciliates = self.ciliates / 500.0
        dirt = (self.waste / 160.0) ** 2
        whole = 1.0 - ammonia / (1.0 + ammonia)
        whole *= 1.0 - 0.8 * ciliates / (1.0 + ciliates)
        whole *= 1.0 - 0.3 * dirt / (1.0 + dirt)
        whole *= 1.0 - min(1.0, self.bloom)
        whole *= 1.0 - min(1.0, max(0.0, (3.0 - self.oxygen) / 2.0)) ** 2
        off = max(0.0, animal.cold_c - self.temperature_c, self.temperature_c - animal.hot_c)
        whole *= 1.0 - min(1.0, off / 4.0) ** 2
        salt = max(0.0, 12.0 - self.salinity, self.salinity - 38.0)
        whole *= 1.0 - min(1.0, salt / 12.0)
        whole *= 1.0 - 0.75 * max(0.0, 0.3 - self.energy) / 0.3
        self.harm = 1.0 - whole
        self.damage += (self.harm - self.damage) * (1.0 - math.exp(-days / DAMAGE_LAG_DAYS))

    def _grow(self, days: float, density: float, pace: float) -> None:
        animal = self.animal
        crowd = (density / (animal.room_per_ml * self.traits.room)) ** animal.crowding
        old = 1.0 / (1.0 + (self.age_days / 130.0) ** 4)
        laying = animal.eggs_per_day * pace * self.energy / (1.0 + crowd) * (1.0 - self.harm) ** 2 * old
        laying *= self.traits.vigour * math.exp(self.luck)
        deaths = DEATHS_AT_FULL_DAMAGE * self.damage**2
        young = animal.young_loss * pace * (1.0 + 0.25 * min(crowd, 12.0)) + 1.2 * deaths
        b = self.boxes
        came = laying * self.adults * days
        came = _through(b, 0, 3, came, animal.egg_days / pace, deaths, days)
        came = _through(b, 3, 2, came, animal.young_days / pace, young, days)
        came = _through(b, 5, 2, came, animal.half_grown_days / pace, young, days)
        _through(b, 7, 2, came, animal.adult_days / pace, deaths, days)


def _through(boxes: list[float], first: int, count: int, came: float, stay: float, loss: float, days: float) -> float:
    """Move animals on through `count` boxes (implicit Euler: mean stay exact, never negative); returns those out."""
    on = days * count / stay
    for box in range(first, first + count):
        boxes[box] = (boxes[box] + came) / (1.0 + on + loss * days)
        came = on * boxes[box]
    return came
