"""The demo rack: an invented loft with eleven vessels and ninety days of an invented keeper's entries.

The days are played through the simulator from a script of accidents (ciliates, a crash nine days ago, a vessel that
now falls, one just split into, one that is due to be split), so that the records look and behave like real ones. Larvae
of one strain take most of what the rack can give, more hatch soon, a bottle runs out. Everything is relative to the
chosen day; the same day and seed give the same rack.
"""

from __future__ import annotations

from dataclasses import field, replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import lru_cache

import numpy as np

from rackview.core.dataclass import dataclass
from rackview.core.events import Count, Event
from rackview.core.parse import identified
from rackview.core.profile import groups
from rackview.core.tables import Brood, Demand, Settings, Standing, Stock, TankEntry
from rackview.core.vessel import Kit, Vessel
from rackview.demo.chance import Climate
from rackview.demo.keeper import Keeper
from rackview.demo.larvae import LarvalTank
from rackview.demo.simulator import Simulator

DAYS = 90
SEED = 6

BOTTLE = Kit("inverted bottle, 20 L", "glass, fine", "filter floss, coarse", "loose lid", 18.0, "home-made")
CYLINDER = Kit("clear cylinder, 20 L", "open pipe", "filter floss, coarse", "fitted lid", 64.0, "bought")
BUCKET = Kit("food-grade bucket, 15 L", "open pipe", "filter floss, fine", "cling film", 6.5, "home-made")
CONE = Kit("cone-bottomed tube, 15 L", "open pipe", "filter floss, fine", "fitted lid", 72.0, "bought")
TRAY = Kit("shallow tray, 12 L", "wood", "none", "sheet of glass", 9.0, "home-made")
TUB = Kit("round tub, 40 L", "open pipe, slow", "none", "sheet of glass", 15.0, "home-made")
JAR = Kit("glass jar, 8 L", "open pipe", "filter floss, fine", "loose lid", 4.0, "home-made")

VESSELS = (
    Vessel("Limpet", "rotifer-L", "A", 1, 20.0, kit=BOTTLE),
    Vessel("Whelk", "rotifer-L", "A", 2, 20.0, kit=BOTTLE),
    Vessel("Cockle", "rotifer-L", "A", 3, 20.0, kit=CYLINDER),
    Vessel("Periwinkle", "rotifer-L", "A", 4, 20.0, kit=BOTTLE),
    Vessel("Cowrie", "rotifer-S", "B", 1, 15.0, kit=CONE),
    Vessel("Scallop", "rotifer-S", "B", 2, 15.0, kit=BUCKET),
    Vessel("Wentletrap", "rotifer-SS", "B", 3, 15.0, kit=CONE),
    Vessel("Tellin", "rotifer-SS", "B", 4, 15.0, kit=BUCKET),
    Vessel("Auger", "copepod-benthic", "C", 1, 12.0, kit=TRAY, note="counted by stage"),
    Vessel("Moonshell", "copepod-pelagic", "C", 2, 40.0, kit=TUB),
    Vessel("Ormer", "rotifer-L", "C", 4, 8.0, reserve=True, kit=JAR, note="reserve, kept apart with separate tools"),
)

DENSITIES = {
    "Limpet": 170.0,
    "Whelk": 190.0,
    "Cockle": 140.0,
    "Periwinkle": 210.0,
    "Cowrie": 260.0,
    "Wentletrap": 330.0,
    "Tellin": 280.0,
    "Auger": 9.0,
    "Moonshell": 2.4,
    "Ormer": 110.0,
}

ALGAE, FLAGELLATES, DRIED = "green algae concentrate", "flagellate concentrate", "dried green algae"
DRY = {ALGAE: 0.15, FLAGELLATES: 0.08, DRIED: 0.95}


@dataclass(frozen=True)
class DemoRack:
    """The demo as domain objects, ready for `Rack.build` or for a store."""

    vessels: tuple[Vessel, ...]
    events: tuple[Event, ...]
    stock: tuple[Stock, ...]
    broods: tuple[Brood, ...]
    demand: tuple[Demand, ...]
    standing: tuple[Standing, ...] = ()
    tanks: tuple[TankEntry, ...] = ()
    settings: Settings = field(default_factory=Settings)


def demo(today: date, seed: int = SEED, now: datetime | None = None) -> DemoRack:
    """The demo rack as it stands on the morning of `today`, before the day's round.

    `now` lends its time zone, so that the keeper's rounds fall in the morning there (UTC if it is None or naive).
    Takes well under two seconds; the same arguments give the same rack.
    """
    return _played(today, seed, (now.tzinfo if now is not None else None) or UTC)


@lru_cache(maxsize=2)
def _played(today: date, seed: int, zone: tzinfo) -> DemoRack:
    start = datetime.combine(today - timedelta(days=DAYS), time(), zone).astimezone(UTC)
    simulator = Simulator(
        seed,
        VESSELS,
        start,
        densities=DENSITIES,
        feeds=DRY,
        climate=Climate(
            hazard=0.0,
            ciliate_arrivals=0.0,
            air_failures=0.0,
            upsets=0.0,
            scatter_k=80.0,
            sample_sd=0.05,
            miscounts=0.005,
        ),
    )
    broods = _broods(today)
    for brood in broods:
        hatched = brood.hatched or today + timedelta(days=1)
        simulator.add_brood(LarvalTank(brood, groups().get(brood.group), hatched))
    keeper = Keeper(simulator, ALGAE, FLAGELLATES, np.random.default_rng([seed, 77]))
    for day in range(DAYS):
        _accidents(simulator, keeper, day)
        keeper.day(day)
    simulator.step(1.0)
    events = _corrected(keeper.events)
    events.sort(key=Event.order)
    return DemoRack(VESSELS, tuple(events), _stock(today), broods, _demand(today), STANDING, _tanks(today), SETTINGS)


SETTINGS = Settings(name="Quillhaven net loft", invented=True, keeper="the keeper", sg_reference="25/25")


def _accidents(simulator: Simulator, keeper: Keeper, day: int) -> None:
    """What the script of the ninety days has happen on the eve of this day's round."""
    if day == 71:
        keeper.neglect.add("Whelk")
    elif day == 74:
        whelk = simulator.culture("Whelk")
        whelk.bloom, whelk.biofilm, whelk.floss = 0.06, 0.7, 170.0
    elif day == 60:
        tellin = simulator.culture("Tellin")
        tellin.ciliates, tellin.biofilm = 6.0, 0.8
        keeper.neglect.add("Tellin")
    elif day == 85:
        keeper.spare.add("Cockle")
    elif day == 86:
        keeper.neglect.add("Wentletrap")
        wentletrap = simulator.culture("Wentletrap")
        wentletrap.bloom, wentletrap.virulence = 0.16, 0.7


def _broods(today: date) -> tuple[Brood, ...]:
    def days(number: int) -> date:
        return today + timedelta(days=number)

    return (
        Brood("Indigo 2", "small-mouth", "", days(-34), days(-29), 110.0, 260),
        Brood("Ochre 5", "anemonefish", "", days(-31), days(-25), 140.0, 350),
        Brood("Ochre 6", "anemonefish", "", days(-11), days(-4), 160.0, 420),
        Brood("Umber 2", "anemonefish", "", days(-9), days(-2), 160.0, 380),
        Brood("Indigo 3", "small-mouth", "", days(-8), days(-3), 120.0, 240),
        Brood("Slate 7", "anemonefish", "", days(-6), None, 220.0, 600),
        Brood("Indigo 4", "small-mouth", "", days(-2), None, 160.0, 400),
    )


def _stock(today: date) -> tuple[Stock, ...]:
    return (
        Stock(
            ALGAE,
            "algae concentrate",
            DRY[ALGAE],
            2600.0,
            "mL",
            today - timedelta(days=26),
            today + timedelta(days=34),
            6.0,
            78.0,
        ),
        Stock(
            FLAGELLATES,
            "algae concentrate",
            DRY[FLAGELLATES],
            500.0,
            "mL",
            today - timedelta(days=40),
            today + timedelta(days=21),
            6.0,
            31.0,
        ),
        Stock(DRIED, "dried algae", DRY[DRIED], 250.0, "g", None, today + timedelta(days=300), 10.0),
    )


def _demand(today: date) -> tuple[Demand, ...]:
    return (Demand(today + timedelta(days=3), "rotifer-S", 600_000.0),)


STANDING = (Standing("older fish", "rotifer-L", 1_500_000.0),)


def _tanks(today: date) -> tuple[TankEntry, ...]:
    """What was left in two larval tanks on the last mornings, and the algae dosed into them for green water."""
    looks = {"Ochre 6": (2.8, 3.4, 2.2, 2.6), "Umber 2": (4.1, 3.6)}
    found = []
    for tank, left in looks.items():
        for back, per_ml in enumerate(reversed(left)):
            found.append(TankEntry(today - timedelta(days=back + 1), tank, per_ml, ALGAE, 6.0))
    return tuple(found)


def _corrected(events: list[Event]) -> list[Event]:
    """Give every event its id; one count is shown as first typed with a digit too many, and put right."""
    done = [identified(e) for e in events]
    after = done[len(done) // 3].at
    right = next(e for e in done if isinstance(e, Count) and e.vessel == "Limpet" and e.at > after)
    wrong = identified(replace(right, id="", tallies=(right.tallies[0] * 10, *right.tallies[1:])))
    fixed = identified(replace(right, id="", replaces=wrong.id, note="a digit too many"))
    return [e for e in done if e is not right] + [wrong, fixed]
