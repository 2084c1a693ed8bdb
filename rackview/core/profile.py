"""Strain and larval-group profiles: the thresholds and habits of one kind of animal, each with its source.

Profiles ship as JSON beside the program (package data, the same on every machine). A keeper may add profiles and
change single values per rack or per vessel.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import fields, replace
from functools import cache
from itertools import pairwise
from pkgutil import get_data
from typing import TypeVar

from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.language import N_, _

BUILT_IN_STRAINS = ("rotifer-L", "rotifer-S", "rotifer-SS", "copepod-benthic", "copepod-pelagic", "mixed")
BUILT_IN_GROUPS = ("anemonefish", "copepod-fed", "small-mouth")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class StrainProfile:
    """What is normal for one strain. Units are in the names; shares are of volume; `sources` says where from.

    Compared by identity: a memo made for one profile object is never taken for another's.
    """

    name: str
    title: str
    animal: str
    """rotifer or copepod"""
    sources: Mapping[str, str]

    # density, animals per mL
    floor_per_ml: float
    band_low_per_ml: float
    band_high_per_ml: float
    ceiling_per_ml: float
    start_per_ml: float
    # growth, per day, at the profile's usual temperature
    rate_per_day: float
    rate_most_per_day: float
    usual_c: float
    # growth against temperature: none at or below the least, fastest at the best, none at or above the greatest
    growth_min_c: float
    growth_opt_c: float
    growth_max_c: float
    # water
    temperature_low_c: float
    temperature_high_c: float
    temperature_slow_c: float
    sg_target: float
    salinity_low: float
    salinity_high: float
    salinity_step: float
    ph_low: float
    ph_high: float
    nh3_notice_mg_l: float
    nh3_act_mg_l: float
    oxygen_low_mg_l: float
    # signs
    eggs_falling: float
    eggs_growing: float
    eggs_high: float
    fall_per_day: float
    # harvest, split, restart
    share_low: float
    share_high: float
    share_most: float
    mesh_um: float
    restart_days: float
    # care
    floss_days_heavy: float
    floss_days: float
    floss_days_longest: float
    heavy_feed_g_per_l_day: float
    count_days: float
    test_days: float
    # feed, grams dry per million animals and day
    ration_g_per_million: float
    ration_least_g_per_million: float
    ration_most_g_per_million: float
    # copepods: share of nauplii below which a culture is ageing, adults per mL above which it is crowded
    nauplii_share_low: float
    crowded_adults_per_ml: float
    # limits that profiles written before them lack: steps and excess of temperature, contacts, clumping, cleaning
    temperature_step_c: float
    warm_today_c: float
    contact_hours: float
    contact_days: float
    clumped_p: float
    scattered_times: float
    airline_days: float
    vessel_days: float
    # the tint from which water is dark, and by what the ration is multiplied in clear, green and dark water
    tint_dark: float
    ration_clear: float
    ration_green: float
    ration_dark: float

    def with_values(self, changed: Mapping[str, float]) -> StrainProfile:
        """This profile with some thresholds changed by the keeper; raises `InputError` for an unknown name."""
        changed = {name: value for name, value in changed.items() if name not in RETIRED}
        for name in changed:
            if name not in THRESHOLDS:
                raise InputError("threshold", name, _("one of ") + ", ".join(THRESHOLDS))
        sources = {**self.sources, **dict.fromkeys(changed, _("the keeper's own setting"))}
        return replace(self, sources=sources, **changed)  # type: ignore[arg-type]


THRESHOLDS = tuple(f.name for f in fields(StrainProfile) if f.name not in {"name", "title", "animal", "sources"})
"""Names of the values in a strain profile that a keeper may change."""

RETIRED = frozenset({"rate_spread_per_day"})
"""Values of older profiles and settings that nothing rests on any more; they are passed over."""

LEAST: Mapping[str, float] = dict.fromkeys(("ceiling_per_ml", "start_per_ml", "ration_g_per_million"), 1e-6)
"""Values whose logarithm is taken, and so are above 0."""
MOST: Mapping[str, float] = dict.fromkeys(("rate_per_day", "rate_most_per_day"), 20.0)
"""Rates of growth: far beyond any animal's, yet within what can be reckoned with."""


def within_reach(field: str, value: object) -> float:
    """The value of a profile as a number that can be reckoned with, 0 to 1e6 unless `LEAST` or `MOST` say otherwise.

    Raises `InputError` for any other. What is sensible is narrower; the rules' own thresholds say that.
    """
    low, high = LEAST.get(field, 0.0), MOST.get(field, 1e6)
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise InputError(field, value, _("a number from {low:g} to {high:.0f}").format(low=low, high=high))
    return float(value)


LATER: Mapping[str, float] = {
    "temperature_step_c": 3.0,
    "warm_today_c": 2.0,
    "contact_hours": 3.0,
    "contact_days": 5.0,
    "clumped_p": 0.01,
    "scattered_times": 1.5,
    "airline_days": 30.0,
    "vessel_days": 21.0,
    "tint_dark": 3.0,
    "ration_clear": 1.2,
    "ration_green": 0.7,
    "ration_dark": 0.35,
}
"""Values that stand in where a profile was written before they were part of one; common practice, no source."""

FROM_BAND: Mapping[str, tuple[str, float]] = {
    "growth_min_c": ("temperature_low_c", -12.0),
    "growth_opt_c": ("usual_c", 1.0),
    "growth_max_c": ("temperature_high_c", 6.0),
}
"""Cardinal temperatures of a profile that was written without them: degC from another of its values.

The distances are those of the pelagic copepod that ships, rounded to the cautious side; a choice of the project.
"""
BAND_SOURCE = _("from the temperature band of this profile, which was written without it; project choice")


FLOUNDER_AGE = _(
    "days after hatching at which 62 rotifers were eaten: summer flounder, University of Rhode Island 1999"
)


TITLES = (
    N_("L rotifer"), N_("S rotifer"), N_("SS rotifer"), N_("benthic copepod"), N_("pelagic copepod"),
    N_("mixed or unknown"), N_("anemonefish"), N_("small-mouthed larvae"), N_("larvae fed copepod nauplii"),
)  # fmt: skip
"""What the profiles that ship are called; those that a keeper adds are called as the keeper says."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LarvalGroup:
    """How one group of larvae is fed: prey strain and density in the tank, first and last day, appetite.

    Ages are days after hatching. A larva eats `eaten_per_larva` prey a day at the age `eaten_at_day`, and exp of
    `eaten_growth_per_day` times as many with every day of age.
    """

    name: str
    title: str
    sources: Mapping[str, str]
    strain: str
    hatch_days: float
    hatch_c: float
    first_day: int
    last_day: int
    prey_per_ml: float
    refill_below_per_ml: float
    feeds_per_day: float
    eaten_per_larva: float
    eaten_at_day: float
    eaten_growth_per_day: float
    survival_per_day: float
    eggs_per_brood: float


def strain_from(name: str, table: Mapping[str, object]) -> StrainProfile:
    """Check a strain profile given as the mapping that `mapping_of` makes; names the value that is missing or wrong.

    Raises `InputError`.
    """
    table = {field: value for field, value in table.items() if field not in RETIRED}
    values, words, sources = _read(name, table, THRESHOLDS, ("title", "animal"))
    if words["animal"] not in {"rotifer", "copepod"}:
        raise InputError("animal", words["animal"], _("rotifer or copepod"))
    _rising(name, values)
    return StrainProfile(name=name, sources=sources, title=_(words["title"]), animal=words["animal"], **values)


def _rising(name: str, values: Mapping[str, float]) -> None:
    """Refuse cardinal temperatures out of order, or a usual one at which nothing grows."""
    for low, high in pairwise(("growth_min_c", "growth_opt_c", "growth_max_c")):
        if not values[low] < values[high]:
            raise InputError(
                _("profile {name}, {high}").format(name=name, high=high),
                values[high],
                _("more than {low} of {values:g}").format(low=low, values=values[low]),
            )
    if not values["growth_min_c"] < values["usual_c"] < values["growth_max_c"]:
        between = _("between growth_min_c {growth_min_c:g} and growth_max_c {growth_max_c:g}").format(
            growth_min_c=values["growth_min_c"], growth_max_c=values["growth_max_c"]
        )
        raise InputError(
            _("profile {name}, usual_c").format(name=name),
            values["usual_c"],
            _("a temperature {between}").format(between=between),
        )


def group_from(name: str, table: Mapping[str, object]) -> LarvalGroup:
    """Check a larval-group profile given as the mapping that `mapping_of` makes, as `strain_from`."""
    numbers = tuple(f.name for f in fields(LarvalGroup) if f.type in {"float", "int"})
    values, words, sources = _read(name, _renamed(table), numbers, ("title", "strain"))
    whole = {k: int(v) if k in {"first_day", "last_day"} else v for k, v in values.items()}
    return LarvalGroup(name=name, sources=sources, title=_(words["title"]), strain=words["strain"], **whole)  # type: ignore[arg-type]


def mapping_of(profile: StrainProfile | LarvalGroup) -> dict[str, object]:
    """The mapping that `strain_from` or `group_from` reads back: words plain, each number with its source."""
    return {
        f.name: {"value": getattr(profile, f.name), "source": profile.sources[f.name]}
        if f.name in profile.sources
        else getattr(profile, f.name)
        for f in fields(profile)
        if f.name not in {"name", "sources"}
    }


def _renamed(table: Mapping[str, object]) -> Mapping[str, object]:
    """A larval-group table with the appetite under its name of today.

    `eaten_first_day` was that of day 6 after hatching all along, yet was used from the first day of feeding on.
    """
    if "eaten_first_day" not in table:
        return table
    found = dict(table)
    found.setdefault("eaten_per_larva", found.pop("eaten_first_day"))
    found.setdefault("eaten_at_day", {"value": 6.0, "source": FLOUNDER_AGE})
    return found


def _stand_in(field: str, table: Mapping[str, object]) -> dict[str, object] | None:
    """What stands for a value that a profile written before it lacks, or None where it has to be there."""
    if field in LATER:
        return {"value": LATER[field], "source": _("common practice, no source")}
    if field not in FROM_BAND:
        return None
    of, distance = FROM_BAND[field]
    base = table.get(of)
    value = base.get("value") if isinstance(base, dict) else None
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return {"value": max(value + distance, 0.0), "source": BAND_SOURCE}


def _read(
    name: str, table: Mapping[str, object], numbers: tuple[str, ...], words: tuple[str, ...]
) -> tuple[dict[str, float], dict[str, str], dict[str, str]]:
    unknown = set(table) - set(numbers) - set(words)
    if unknown:
        raise InputError(_("profile {name}").format(name=name), min(unknown), _("only the names of a profile"))
    found: dict[str, float] = {}
    sources: dict[str, str] = {}
    for field in numbers:
        entry = table.get(field, _stand_in(field, table))
        if not isinstance(entry, dict) or not isinstance(entry.get("source"), str) or not entry["source"].strip():
            raise InputError(
                _("profile {name}, {field}").format(name=name, field=field), entry, _("a value with its source")
            )
        try:
            found[field] = within_reach(field, entry.get("value"))
        except InputError as error:
            raise InputError(
                _("profile {name}, {field}").format(name=name, field=field), error.found, error.wanted
            ) from None
        sources[field] = entry["source"]
    said = {}
    for field in words:
        if not isinstance(table.get(field), str):
            raise InputError(_("profile {name}, {field}").format(name=name, field=field), table.get(field), _("a word"))
        said[field] = str(table[field])
    return found, said, sources


P = TypeVar("P", StrainProfile, LarvalGroup)


class Shipped(Mapping[str, P]):
    """Profiles by name, each read when it is first asked for: a rack has few strains, and a start reads no others."""

    def __init__(self, names: Iterable[str], read: Callable[[str], P]) -> None:
        self._names = dict.fromkeys(names)
        self._read: Callable[[str], P] = read
        self._known: dict[str, P] = {}

    def __getitem__(self, name: str) -> P:
        if name not in self._names:
            raise KeyError(name)
        known = self._known.get(name)
        return known if known is not None else self._known.setdefault(name, self._read(name))  # one for all threads

    def __contains__(self, name: object) -> bool:
        return name in self._names

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


def read_strain(name: str) -> StrainProfile:
    """A strain profile that ships with the program."""
    return strain_from(name, _shipped(name))


def read_group(name: str) -> LarvalGroup:
    """A profile of larvae that ships with the program."""
    return group_from(name, _shipped(f"larvae-{name}"))


@cache
def strains() -> Mapping[str, StrainProfile]:
    """The strain profiles that ship with the program, by name."""
    return Shipped(BUILT_IN_STRAINS, read_strain)


@cache
def groups() -> Mapping[str, LarvalGroup]:
    """The larval-group profiles that ship with the program, by name."""
    return Shipped(BUILT_IN_GROUPS, read_group)


def _shipped(name: str) -> Mapping[str, object]:
    """A file of the package, read without `importlib.resources`, which loads zip archives and the like."""
    found: Mapping[str, object] = json.loads(get_data("rackview.resources", f"profiles/{name}.json") or b"")
    return found
