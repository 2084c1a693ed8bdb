"""What is believed about a vessel, what is wrong with it, what is suggested, and what the days ahead need.

Plain frozen results; amounts in base units (L, mL, g, animals, per day). The words in them are made in one place,
`rackview.advice.words.suggestions`.
"""

from __future__ import annotations

from datetime import date, datetime
from enum import IntEnum

from rackview.core.dataclass import dataclass


@dataclass(frozen=True, slots=True)
class Interval:
    """A median with the ends of its 90 % interval."""

    median: float
    low90: float
    high90: float


class Severity(IntEnum):
    """How soon a flag wants a hand; the number orders them, the name is the word in JSON."""

    notice = 1
    week = 2
    today = 3


@dataclass(frozen=True, slots=True)
class Evidence:
    """One fact behind a flag or suggestion: words, and the ids of the events that show it."""

    text: str
    events: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Flag:
    """A condition of one vessel that a keeper can act on.

    `code` names the rule; `probability` is how sure it is; `since` when it was first raised; `state` one of active,
    acknowledged, shelved, suppressed, latched, stale; `short` is the one or two words shown on a tile.
    """

    code: str
    severity: Severity
    text: str
    short: str
    probability: float = 1.0
    since: datetime | None = None
    state: str = "active"
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Measured:
    """A value measured or derived, with its age in days and the event it came from."""

    value: float
    age_days: float
    event: str = ""


@dataclass(frozen=True, slots=True)
class Water:
    """The newest of each water value; None where it was never measured.

    `nh3_mg_l` is un-ionised ammonia as N from the newest total ammonia with pH, temperature and salinity near it.
    """

    temperature_c: Measured | None = None
    salinity: Measured | None = None
    sg: Measured | None = None
    ph: Measured | None = None
    tan_mg_l: Measured | None = None
    nh3_mg_l: Measured | None = None
    oxygen_mg_l: Measured | None = None


@dataclass(frozen=True, slots=True)
class Assessment:
    """What is believed of one vessel at one moment.

    `state` is one of resting, empty, unknown, crashed, falling, level, rising. Densities are animals per mL, rates
    per day. `level_l` is the water now in the vessel. `counted_animals` is how many animals the newest count rests
    on, None where only its density was written down. `ceiling_per_ml` is the density at which growth is believed to
    stop. `chance_below_floor` is the probability that the density is under the profile's floor by this time tomorrow if
    nothing is done. `eggs_seen` is the share with eggs of the newest look at `females_checked` females,
    `ovigerous_share` that of the last looks together; `egg_ratio` is eggs per female, None unless eggs were tallied.
    `aliquot_cv` is how much this vessel's aliquots differ beyond chance, a coefficient of variation.
    """

    vessel: str
    strain: str
    shelf: str
    position: int
    volume_l: float
    state: str
    density_per_ml: Interval | None
    net_rate_per_day: Interval | None
    birth_rate_per_day: Interval | None
    loss_rate_per_day: Interval | None
    ovigerous_share: float | None
    egg_ratio: float | None
    days_since_count: float | None
    days_since_cleaning: float | None
    days_since_restart: float | None
    flags: tuple[Flag, ...] = ()
    reserve: bool = False
    level_l: float = 0.0
    doubling_days: float | None = None
    ceiling_per_ml: float | None = None
    chance_below_floor: float | None = None
    last_count_per_ml: Interval | None = None
    counted_animals: int | None = 0
    clumped: bool = False
    counts_so_far: int = 0
    swimming: int | None = None
    ciliates: str = ""
    tint: int | None = None
    water: Water = Water()
    feed_g_per_l_day: float | None = None
    days_since_floss: float | None = None
    days_since_harvest: float | None = None
    resting_days: float | None = None
    eggs_seen: Measured | None = None
    females_checked: int = 0
    aliquot_cv: float = 0.12

    @property
    def standing_flags(self) -> tuple[Flag, ...]:
        """The flags that ask for something now, the worst first; none that was seen to, shelved or went stale."""
        return tuple(sorted((f for f in self.flags if f.state in {"active", "latched"}), key=lambda f: -f.severity))


@dataclass(frozen=True, slots=True)
class Expected:
    """What is expected of a strain day by day from today on, if something is done or if it is not.

    `short` is the probability of less than 70 % of the day's need, `met` the mean share of it that is met (1 where
    nothing is needed), `supply` the animals that could be given, median.
    """

    short: tuple[float, ...]
    met: tuple[float, ...]
    supply: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One thing to do (or to leave) at one vessel.

    `action` is one of harvest, feed, clean, split, restart, count, test, hold; `amount` in `unit` where there is
    one. `priority` 1 is the most urgent; the order of a list of suggestions is the order in which to carry them out.
    `sureness` is a probability. `code` names the rule, `text` is the one short sentence for a tile or the rail.
    `refill_l`, `mesh_um`, `to`, `feed`, `what` and `density_per_ml` complete the event that records it as done.
    `as_advised` and `otherwise` are the two futures of a harvest, split or restart: all as advised, and all but this.
    """

    vessel: str
    action: str
    amount: float | None
    unit: str | None
    other_vessel: str | None
    priority: int
    before: datetime
    why: str
    evidence: tuple[Evidence, ...]
    sureness: float
    cautions: tuple[str, ...] = ()
    code: str = ""
    text: str = ""
    severity: Severity | None = None
    refill_l: float | None = None
    mesh_um: float | None = None
    to: str | None = None
    feed: str | None = None
    what: str | None = None
    density_per_ml: float | None = None
    own_tools: bool = False
    as_advised: Expected | None = None
    otherwise: Expected | None = None


@dataclass(frozen=True, slots=True)
class Counting:
    """How far counting a vessel helps today's choice.

    `code` is "none" where it needs no count today, "count" where it does, and once it is counted "more" where one more
    aliquot is worth its minute and "enough" where it can't change what is chosen. `gain` is what the next aliquots are
    expected to bring, in the keeper's worth.
    """

    vessel: str
    code: str
    gain: float = 0.0


@dataclass(frozen=True, slots=True)
class Give:
    """What one vessel gives on one day: L of culture and the animals in it (median)."""

    vessel: str
    volume_l: float
    animals: float


@dataclass(frozen=True, slots=True)
class PlanDay:
    """One strain on one day: animals needed, animals the rack can safely give, who gives, chance of falling short."""

    date: date
    strain: str
    demand: float
    supply: Interval
    chance_short: float
    gives: tuple[Give, ...] = ()
    for_broods: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NewWater:
    """New salt water that the plan asks for on one day, L, and the salt in it, g dry."""

    date: date
    volume_l: float
    salt_g: float


@dataclass(frozen=True, slots=True)
class BroodAhead:
    """A brood within the days planned: its days on live prey, and the chance that it falls short on any of them.

    `last_safe` is the last day on which one more culture, started then, makes it safe enough; None where it is safe
    without, or where no such start is in time. `order_by` is the day on which a bought starter must be ordered to be
    there then. `state` is "safe", "start" (one more culture makes it safe) or "late" (none would).
    """

    brood: str
    strain: str
    first: date
    last: date
    chance_short: float
    chances: tuple[tuple[date, float], ...]
    state: str = "safe"
    last_safe: date | None = None
    order_by: date | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """Demand, supply and who gives what, day by day; `splits` are suggested to have enough in time."""

    days: tuple[PlanDay, ...]
    splits: tuple[Suggestion, ...] = ()
    notes: tuple[str, ...] = ()
    broods: tuple[BroodAhead, ...] = ()
    water: tuple[NewWater, ...] = ()
