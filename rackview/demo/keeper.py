"""The invented keeper of the demo rack: counts, harvests, feeds, rinses, tests, and misses a day now and then."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np

from rackview.core import events as ev
from rackview.core.dataclass import dataclass
from rackview.core.vessel import Vessel
from rackview.demo.simulator import Simulator

SCRUBBED = "scrubbed, soaked in bleach, neutralised, no chlorine left by test, dried"
ELSEWHERE = {
    "rotifer-L": "display tank",
    "rotifer-S": "display tank",
    "rotifer-SS": "display tank",
    "copepod-benthic": "juveniles",
    "copepod-pelagic": "juveniles",
}
"""Who eats what no brood wants: surplus is fed before it is thrown away."""
MISSED = frozenset({11, 30, 31, 52, 64, 78})
"""Days on which the loft stayed shut."""
TURNS = {
    (22, "Limpet"): "Whelk",
    (26, "Cockle"): "Periwinkle",
    (29, "Wentletrap"): "Tellin",
    (34, "Ormer"): "Cockle",
    (61, "Cockle"): "Periwinkle",
    (66, "Limpet"): "Whelk",
    (71, "Ormer"): "Cockle",
    (75, "Wentletrap"): "Tellin",
}
"""Vessels whose turn it is to be started anew on a day, and from which."""
ROUND = ("Ormer", "Limpet", "Cockle", "Periwinkle", "Whelk", "Cowrie", "Wentletrap", "Tellin", "Scallop", "Moonshell",
         "Auger")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Habit:
    """How the keeper treats one strain: density to hold, dose in g per million, count and rinse intervals in days."""

    hold_per_ml: float
    dose_g: float
    aliquot_ml: float
    dilution: float
    count_days: int
    rinse_days: int
    """Floss is rinsed on days of the record that this number divides with a remainder of 1."""
    mesh_um: float
    most: float = 0.4


HABITS = {
    "rotifer-L": Habit(200.0, 0.66, 1.0, 5.0, 1, 2, 60.0),
    "rotifer-S": Habit(320.0, 0.45, 1.0, 5.0, 1, 2, 45.0),
    "rotifer-SS": Habit(370.0, 0.36, 1.0, 5.0, 1, 2, 40.0),
    "copepod-benthic": Habit(14.0, 1.9, 2.0, 1.0, 3, 4, 120.0, 0.2),
    "copepod-pelagic": Habit(3.0, 1.9, 10.0, 1.0, 3, 4, 100.0, 0.2),
}


class Keeper:
    """Plays the days through the simulator and writes down what was done.

    `neglect` holds vessels whose floss the keeper forgets, `spare` those that are left unharvested to build up.
    """

    def __init__(self, simulator: Simulator, algae: str, flagellates: str, rng: np.random.Generator) -> None:
        self.simulator = simulator
        self.events: list[ev.Event] = []
        self.neglect: set[str] = set()
        self.spare: set[str] = set()
        self._algae, self._flagellates, self._rng = algae, flagellates, rng
        self._resting = {"Scallop"}
        self._believed: dict[str, float] = {}
        self._at = simulator.start

    def day(self, number: int) -> None:
        """The round of day `number`, from about half past seven."""
        late = float(self._rng.uniform(-15, 25))
        if number in MISSED:
            return
        self._at = self.simulator.start + timedelta(days=number, minutes=round(450 + late))
        for name in ROUND:
            self._plan(number, name)
            if name not in self._resting:
                self._visit(number, self.simulator.vessels[name])

    def _do(self, event: ev.Event) -> None:
        self.simulator.apply(event, own_tools=True)
        self.events.append(event)
        self._at += timedelta(minutes=1)

    def _plan(self, number: int, name: str) -> None:
        """The few days that do not go by habit."""
        at = self._at
        if (number, name) == (1, "Scallop"):
            self._do(ev.Rest(at=at, vessel=name, note=SCRUBBED))
        elif (number, name) == (88, "Cowrie"):
            self._do(ev.Return(at=at, vessel="Scallop"))
            self._do(ev.Split(at=self._at, vessel=name, to_vessel="Scallop", volume_l=6.0, refill_l=6.0))
            self._resting.discard("Scallop")
            self._believed["Scallop"] = 0.4 * self._believed.get(name, 250.0)
        elif (number, name) == (81, "Whelk"):
            self._do(ev.Note(at=at, vessel=name, text="grey, smells, hardly a swimmer: emptied, scrubbed, new floss"))
            self._renew(name, "Limpet", "crashed")
        elif (number, name) == (70, "Tellin"):
            self._do(ev.Note(at=at, vessel=name, text="small fast ciliates everywhere, rotifers slow"))
            self._renew(name, "Wentletrap", "ciliates")
        elif (number, name) in TURNS:
            self._renew(name, TURNS[number, name], "its turn")
        elif (number, name) == (83, "Periwinkle"):
            self._do(ev.Note(at=at, vessel=name, text="twelve weeks old: rested, floss thrown away"))
            self._do(ev.Rest(at=self._at, vessel=name, note=SCRUBBED))
            self._resting.add(name)

    def _renew(self, name: str, donor: str, reason: str) -> None:
        """Start a vessel anew with a third of its volume from a donor, which is filled up again."""
        litres = round(0.33 * self.simulator.vessels[name].volume_l)
        self._do(ev.Restart(at=self._at, vessel=name, from_vessel=donor, volume_l=litres, reason=reason))
        self.neglect.discard(name)
        self._believed[name] = 0.33 * self._believed.get(donor, 200.0)

    def _visit(self, number: int, vessel: Vessel) -> None:
        habit, name = HABITS[vessel.strain], vessel.vessel
        roll = self._rng.random(4)
        turn = number + ROUND.index(name)
        if self._counts(number, turn, vessel, roll[0]):
            self._count(vessel, habit, eggs=roll[1] < 0.7)
        if number % 7 == 3:
            reading = self.simulator.read(name, self._at, oxygen=number % 14 == 3)
            self._do(reading)
        if number % habit.rinse_days == 1 and name not in self.neglect:
            self._do(ev.Clean(at=self._at, vessel=name, what="floss"))
        if turn % 21 == 4 and name not in self.neglect:
            self._do(ev.Clean(at=self._at, vessel=name, what="vessel"))
        if turn % 20 == 9:
            self._do(ev.Clean(at=self._at, vessel=name, what="airline"))
        self._harvest(number, vessel, habit, float(roll[2]))
        self._top_up(vessel)
        self._feed(vessel, habit)

    def _counts(self, number: int, turn: int, vessel: Vessel, roll: float) -> bool:
        habit = HABITS[vessel.strain]
        if vessel.vessel in {"Scallop", "Cockle", "Cowrie", "Wentletrap"} and number >= 86:
            return True
        if vessel.reserve:
            return number % 5 == 3
        if habit.count_days > 1:
            return turn % habit.count_days == 0
        return bool(roll < 0.85) or vessel.vessel not in self._believed

    def _count(self, vessel: Vessel, habit: Habit, *, eggs: bool) -> None:
        name = vessel.vessel
        females = 40 if eggs else 0
        looks = {"aliquots": 3, "aliquot_ml": habit.aliquot_ml, "dilution": habit.dilution}
        count = self.simulator.observe(name, self._at, females=females, **looks)  # type: ignore[arg-type]
        self._do(count)
        self._believed[name] = count.animals / count.looked_at_ml
        if habit.count_days > 1:
            for stage in ("nauplii", "adults"):
                part = self.simulator.observe(name, self._at, stage=stage, females=0, signs=False, **looks)  # type: ignore[arg-type]
                self._do(part)

    def _harvest(self, number: int, vessel: Vessel, habit: Habit, roll: float) -> None:
        name = vessel.vessel
        believed = self._believed.get(name, 0.0)
        if vessel.reserve or name in self.spare or believed < 0.75 * habit.hold_per_ml or roll < 0.12:
            if vessel.reserve and number % 3 == 2:
                self._take(vessel, habit, 0.5, "discard")
            return
        share = min(habit.most, max(0.15, 0.3 * (believed / habit.hold_per_ml) ** 1.5))
        if habit.count_days > 1 and number % 2:
            return
        self._take(vessel, habit, share, self._taker(vessel.strain, self._at))

    def _take(self, vessel: Vessel, habit: Habit, share: float, to: str) -> None:
        litres = round(2.0 * share * vessel.volume_l) / 2.0
        self._do(
            ev.Harvest(
                at=self._at, vessel=vessel.vessel, volume_l=litres, refill_l=litres, mesh_um=habit.mesh_um, to=to
            )
        )
        self._believed[vessel.vessel] = self._believed.get(vessel.vessel, 0.0) * (1.0 - litres / vessel.volume_l)

    def _taker(self, strain: str, at: datetime) -> str:
        for name, tank in self.simulator.tanks.items():
            if tank.strain == strain and tank.feeding(at.date()):
                return name
        return ELSEWHERE[strain]

    def _top_up(self, vessel: Vessel) -> None:
        missing = vessel.volume_l - self.simulator.culture(vessel.vessel).level_l
        step = 0.5 if vessel.volume_l < 30 else 1.0
        litres = step * int(missing / step)
        if litres > 0.0:
            self._do(ev.TopUp(at=self._at, vessel=vessel.vessel, volume_l=litres))

    def _feed(self, vessel: Vessel, habit: Habit) -> None:
        hold = 0.7 * habit.hold_per_ml if vessel.reserve else habit.hold_per_ml
        believed = self._believed.get(vessel.vessel, hold)
        animals = min(1.6 * hold, max((1.2 if vessel.reserve else 0.3) * hold, believed)) * vessel.volume_l / 1000.0
        copepod = habit.count_days > 1
        feed = self._flagellates if copepod else self._algae
        amount = animals * habit.dose_g / self.simulator.feeds[feed]
        rounded = max(0.5, round(2 * amount) / 2)
        self._do(ev.Feed(at=self._at, vessel=vessel.vessel, feed=feed, amount=rounded, unit="mL"))
