"""The tables beside vessels and events: stock, broods, demand, standing needs, larval tanks, the rack's settings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field, fields
from datetime import date
from typing import Self

from rackview.core import read
from rackview.core.clock import as_date
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.events import FEED_UNITS, SG_REFERENCES
from rackview.language import _

Row = Mapping[str, object]


def _date(row: Row, column: str) -> date | None:
    return None if read.blank(row.get(column)) else as_date(row[column], column)


def _plain(row: Mapping[str, object]) -> dict[str, object]:
    return {k: v.isoformat() if isinstance(v, date) else v for k, v in row.items()}


class _Rows:
    """Shared way back from a frozen record to its table row."""

    __slots__ = ()

    def row(self) -> dict[str, object]:
        """The row of its table that `from_row` reads back."""
        return _plain({f.name: getattr(self, f.name) for f in fields(self)})  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Stock(_Rows):
    """A feed on the shelf: dry matter in g per mL (or per g), the amount left on `opened`, in `unit`.

    `price` is what that amount cost, in the keeper's own currency.
    """

    feed: str
    kind: str = ""
    dry_g_per_ml: float | None = None
    amount: float | None = None
    unit: str = "mL"
    opened: date | None = None
    expires: date | None = None
    delivery_days: float | None = None
    price: float | None = None

    @classmethod
    def from_row(cls, row: Row) -> Self:
        """Check one row of the stock table; raises `InputError` naming the column."""
        feed = read.text(row, "feed")
        if not feed:
            raise InputError("feed", row.get("feed"), _("the name of a feed"))
        dry = _("grams of dry matter per mL, above 0, at most 1")
        return cls(
            feed,
            read.text(row, "kind"),
            read.number_in(row, "dry_g_per_ml", dry, low=1e-6, high=1),
            read.number_in(row, "amount", _("an amount from 0 to 1000000"), low=0, high=1e6),
            read.word(row, "unit", FEED_UNITS) or "mL",
            _date(row, "opened"),
            _date(row, "expires"),
            read.number_in(row, "delivery_days", _("days from 0 to 3650"), low=0, high=3650),
            read.number_in(row, "price", _("an amount of money of 0 or more"), low=0, high=1e9),
        )


@dataclass(frozen=True, slots=True)
class Brood(_Rows):
    """One batch of larvae: its larval group, the strain it eats, when it was spawned or hatched, its tank."""

    brood: str
    group: str = ""
    strain: str = ""
    spawned: date | None = None
    hatched: date | None = None
    tank_l: float | None = None
    larvae: int | None = None
    prey_per_ml: float | None = None
    feeds_per_day: float | None = None
    first_day: int | None = None
    last_day: int | None = None

    @classmethod
    def from_row(cls, row: Row) -> Self:
        """Check one row of the brood table; raises `InputError` naming the column."""
        brood = read.text(row, "brood")
        if not brood:
            raise InputError("brood", row.get("brood"), _("a name for the brood"))
        spawned, hatched = _date(row, "spawned"), _date(row, "hatched")
        if spawned is None and hatched is None:
            raise InputError("hatched", None, _("the day of spawning or of hatching"))
        if spawned is not None and hatched is not None and hatched < spawned:
            raise InputError(
                "hatched", hatched, _("a day not before the spawning on {spawned}").format(spawned=spawned)
            )
        day = _("a whole number of days after hatching, at most 365")
        return cls(
            brood,
            read.text(row, "group"),
            read.text(row, "strain"),
            spawned,
            hatched,
            read.number_in(row, "tank_l", _("a volume in litres above 0, at most 1000000"), low=1e-3, high=1e6),
            read.whole_number_in(row, "larvae", _("a whole number of 0 or more")),
            read.number_in(row, "prey_per_ml", _("animals per mL above 0, at most 1000"), low=1e-6, high=1000),
            read.number_in(row, "feeds_per_day", _("a number above 0, at most 48"), low=1e-3, high=48),
            read.whole_number_in(row, "first_day", day, low=0, high=365),
            read.whole_number_in(row, "last_day", day, low=0, high=365),
        )


@dataclass(frozen=True, slots=True)
class Demand(_Rows):
    """The keeper's own word for one day: animals of one strain; it overrides what the broods imply."""

    date: date
    strain: str
    animals: float

    @property
    def row_key(self) -> str:
        """Day and strain: one word of the keeper's own for each of them."""
        return f"{self.date.isoformat()} {self.strain}"

    @classmethod
    def from_row(cls, row: Row) -> Self:
        """Check one row of the demand table; raises `InputError` naming the column."""
        strain = read.text(row, "strain")
        if not strain:
            raise InputError("strain", row.get("strain"), _("a strain such as rotifer-L"))
        wanted = _("a number of animals from 0 to 1e15")
        animals = read.required(read.number_in(row, "animals", wanted, low=0, high=1e15), row, "animals", wanted)
        return cls(as_date(row.get("date"), "date"), strain, animals)


@dataclass(frozen=True, slots=True)
class Standing(_Rows):
    """Mouths that take what is spare and can do without: older fish, broodstock, a display tank.

    `animals_per_day` is the most they take in a day, None where they take whatever is spare; `worth` what a million
    given to them is worth, None for that of the rack's settings.
    """

    consumer: str
    strain: str
    animals_per_day: float | None = None
    worth: float | None = None

    @property
    def row_key(self) -> str:
        """Consumer and strain: each of them stands only once."""
        return f"{self.consumer} {self.strain}"

    @classmethod
    def from_row(cls, row: Row) -> Self:
        """Check one row of the table of standing needs; raises `InputError` naming the column."""
        consumer = read.text(row, "consumer")
        if not consumer:
            raise InputError("consumer", row.get("consumer"), _("who eats what is spare, such as older fish"))
        if consumer.lower() in {"discard", "larvae"}:
            raise InputError("consumer", consumer, _("another name, as a harvest may go to that one already"))
        strain = read.text(row, "strain")
        if not strain:
            raise InputError("strain", row.get("strain"), _("a strain such as rotifer-L"))
        most = _("a number of animals above 0, at most 1e15; blank for whatever is spare")
        worth = read.number_in(row, "worth", WORTH_WANTED, low=0, high=MOST_WORTH)
        return cls(consumer, strain, read.number_in(row, "animals_per_day", most, low=1e-6, high=1e15), worth)


@dataclass(frozen=True, slots=True)
class TankEntry(_Rows):
    """What was found and given at a larval tank on a day, besides prey: prey left, algae dosed for green water.

    `tank` is the brood in it, or any name. `left_per_ml` is prey counted before the tank was fed again; `amount` of
    the `feed` is in `unit`.
    """

    date: date
    tank: str
    left_per_ml: float | None = None
    feed: str = ""
    amount: float | None = None
    unit: str = "mL"

    @property
    def row_key(self) -> str:
        """Day, tank and feed: each of them stands only once."""
        return f"{self.date.isoformat()} {self.tank} {self.feed}"

    @classmethod
    def from_row(cls, row: Row) -> Self:
        """Check one row of the table of larval tanks; raises `InputError` naming the column."""
        tank = read.text(row, "tank")
        if not tank:
            raise InputError("tank", row.get("tank"), _("the brood or the tank"))
        left = read.number_in(row, "left_per_ml", _("animals per mL from 0 to 1000"), low=0, high=1000)
        wanted = _("an amount above 0, at most 1000000")
        feed, amount = read.text(row, "feed"), read.number_in(row, "amount", wanted, low=1e-6, high=1e6)
        if feed and amount is None:
            raise InputError("amount", row.get("amount"), wanted)
        if amount is not None and not feed:
            raise InputError("feed", row.get("feed"), _("the name of the feed that was dosed"))
        if left is None and not feed:
            raise InputError("left_per_ml", None, _("what was left per mL, or the feed that was dosed"))
        unit = read.word(row, "unit", FEED_UNITS) or "mL"
        return cls(as_date(row.get("date"), "date"), tank, left, feed, amount, unit)


VOLUME_UNITS = ("L", "mL", "US gal")
TEMPERATURE_UNITS = ("degC", "degF")
SALINITY_UNITS = ("SG", "ppt", "mS/cm")


STRAIN_SCOPE = "strain:"
WORTHS = ("brood", "vessel", "strain", "starter", "feed_g", "minute", "spare_m", "mouth_m")
"""What has a worth against each other: a brood raised, a culture lost, the last of a strain lost, a starter, a gram of
dry feed, a minute, a million animals thrown away, a million given to standing needs."""
MOST_WORTH = 1e6
WORTH_WANTED = _("a worth from 0 to 1000000")


def strain_scope(strain: str) -> str:
    """The scope of thresholds that hold for every vessel of a strain."""
    return STRAIN_SCOPE + strain


def scope_strain(scope: str) -> str | None:
    """The strain that a scope is of, None for a vessel or the whole rack."""
    return scope.removeprefix(STRAIN_SCOPE) if scope.startswith(STRAIN_SCOPE) else None


@dataclass(frozen=True, slots=True)
class Settings:
    """The rack's own settings; they travel with the store.

    `overrides` holds thresholds that the keeper changed: (scope, profile field) to value. A scope is a vessel, a
    strain as `strain_scope` writes it, or "" for the whole rack; the narrower one holds. `worth` holds what the keeper
    values otherwise than usual, by the names in `WORTHS`. `starter_days` pass from ordering a starter to its arrival.
    """

    name: str = ""
    invented: bool = False
    keeper: str = ""
    volume_unit: str = "L"
    temperature_unit: str = "degC"
    salinity_unit: str = "SG"
    sg_reference: str = "25/25"
    count_precision: float = 0.2
    demand_margin: float = 0.2
    keep_reserve: bool = True
    starter_days: float = 7.0
    overrides: Mapping[tuple[str, str], float] = field(default_factory=dict)
    worth: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def from_row(cls, row: Row) -> Self:
        """Check a mapping of setting to value; raises `InputError` naming the setting."""
        d = cls()
        share = _("a share from 0.02 to 1")
        precision = read.number_in(row, "count_precision", share, low=0.02, high=1)
        margin = read.number_in(row, "demand_margin", _("a share from 0 to 3"), low=0, high=3)
        starter = read.number_in(row, "starter_days", _("days from 0 to 365"), low=0, high=365)
        return cls(
            name=read.text(row, "name"),
            invented=read.yes_no(row, "invented"),
            keeper=read.text(row, "keeper"),
            volume_unit=read.word(row, "volume_unit", VOLUME_UNITS) or d.volume_unit,
            temperature_unit=read.word(row, "temperature_unit", TEMPERATURE_UNITS) or d.temperature_unit,
            salinity_unit=read.word(row, "salinity_unit", SALINITY_UNITS) or d.salinity_unit,
            sg_reference=read.word(row, "sg_reference", SG_REFERENCES) or d.sg_reference,
            count_precision=d.count_precision if precision is None else precision,
            demand_margin=d.demand_margin if margin is None else margin,
            keep_reserve=read.blank(row.get("keep_reserve")) or read.yes_no(row, "keep_reserve"),
            starter_days=d.starter_days if starter is None else starter,
            overrides=_overrides(row),
            worth=_worth(row),
        )

    def row(self) -> dict[str, object]:
        """The mapping that `from_row` reads back: overrides as ``threshold:SCOPE:FIELD``."""
        row: dict[str, object] = {
            f.name: getattr(self, f.name)
            for f in fields(self)
            if f.name not in {"overrides", "worth", "invented", "keep_reserve"}
        }
        row["invented"] = "yes" if self.invented else "no"
        row["keep_reserve"] = "yes" if self.keep_reserve else "no"
        for (vessel, name), value in sorted(self.overrides.items()):
            row[f"threshold:{vessel}:{name}"] = value
        row |= {f"worth:{name}": value for name, value in sorted(self.worth.items())}
        return row


def _worth(row: Row) -> dict[str, float]:
    found: dict[str, float] = {}
    for name in WORTHS:
        value = read.number_in(row, f"worth:{name}", WORTH_WANTED, low=0, high=MOST_WORTH)
        if value is not None:
            found[name] = value
    return found


def _overrides(row: Row) -> dict[tuple[str, str], float]:
    found: dict[tuple[str, str], float] = {}
    for column in row:
        if column.startswith("threshold:") and column.count(":") >= 2:
            rest = column.partition(":")[2]
            vessel, name = rest.rsplit(":", 1)
            value = read.number_in(row, column, _("a number"))
            if value is not None:
                found[vessel, name] = value
    return found


def settings_from(rows: Iterable[Row]) -> Settings:
    """The settings of a table with the columns setting and value; raises `InputError` for one that there is not."""
    found = {read.text(row, "setting"): row.get("value") for row in rows}
    known = [*Settings().row(), *(f"worth:{name}" for name in WORTHS)]
    for name in found:
        if name not in known and not name.startswith("threshold:"):
            raise InputError("setting", name, _("one of ") + ", ".join(known) + _(", or threshold:SCOPE:NAME"))
    return Settings.from_row(found)
