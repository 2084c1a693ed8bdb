"""What each column is, guessed from its header, its unit and its values, and how sure that is."""

from __future__ import annotations

import re
import statistics
from collections.abc import Collection, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace

from rackview.core.dataclass import dataclass
from rackview.exchange.freeform import numbers
from rackview.exchange.freeform.dates import day_of_month, looks_like_day, serial
from rackview.exchange.freeform.numbers import Style, UnclearError, aliquot_in, is_missing_value, unit_in
from rackview.exchange.freeform.table import FoundTable, plain_name
from rackview.exchange.freeform.targets import NOTE, OUT, TARGETS, UNITS, kind_of, role_of

_DERIVED = re.compile(
    r"(?:mean|average|avg\.?|sd|s\.d\.|std\.?(?: ?dev\.?)?|stdev|cv|se|sem|variance|range|sum|total)[\s(%)]*\Z",
    re.IGNORECASE,
)
"""Names of columns that are worked out from others."""
VOLUMES = frozenset({"harvest", "exchange", "refill", "top-up", "split", "volume", "working volume"})
DENSE_PER_L = 20_000.0
"""A median above it is no density per mL: only the densest rotifer cultures come near (common practice, no source)."""
MOSTLY = 0.6
SAME = 0.01
"""Share by which two ways of writing one value may differ, as they are rounded."""
STAGES = {"naupli": "nauplii", "copepodit": "copepodites", "adult": "adults"}
"""Stages by the beginning of the word that names them in a header."""
SAMPLE = 1500
"""Rows by which a column is judged, spread over the whole table."""
MANY = re.compile(r"thousand|million|tausend|mio|[x×*]\s*10|10\s*\^|\bk\b|['’]000", re.IGNORECASE)
"""Words of a header for more than one animal at a time."""
PAIR = re.compile(r"(\d+)\s*(?:/|of|von|de|out of)\s*(\d+)\Z")
"""So many of so many."""


@dataclass(frozen=True, slots=True)
class Guess:
    """A meaning of a column, and whether it is plain enough not to be asked about."""

    target: str
    plain: bool
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Values:
    """The filled cells of a column: all of them, those that are numbers, the units that stand in them."""

    cells: Sequence[object]
    numbers: Sequence[float]
    units: frozenset[str]
    lists: int
    bare: int = 0
    """How many of the numbers have no unit beside them."""

    @property
    def numeric(self) -> bool:
        """Whether most are numbers."""
        return len(self.numbers) + self.lists >= MOSTLY * len(self.cells) and bool(self.cells)

    @property
    def median(self) -> float:
        """The median of the numbers, 0 if there are none."""
        return statistics.median(self.numbers) if self.numbers else 0.0

    def within(self, low: float, high: float) -> bool:
        """Whether there are numbers and all lie within."""
        return bool(self.numbers) and low <= min(self.numbers) and max(self.numbers) <= high


def values_of(cells: Sequence[object], style: Style) -> Values:
    """What a column holds."""
    filled = [c for c in cells if not is_missing_value(c)]
    found: list[float] = []
    units: set[str] = set()
    lists = bare = 0
    for cell in filled:
        if isinstance(cell, str) and numbers.whole_list(cell) is not None:
            lists += 1
            continue
        try:
            one = numbers.measure(cell, style, -1e15, 1e15)
        except numbers.AmbiguousError:
            one = numbers.Measure(
                float(re.sub(r"[^\d.]", "", str(cell).split()[0]))
            )  # a point is likelier a decimal sign
        except UnclearError:
            continue
        found.append(one.value)
        if one.unit:
            units.add(one.unit)
        else:
            bare += 1
    return Values(filled, found, frozenset(units), lists, bare)


def guesses(
    table: FoundTable,
    style: Style,
    known: Collection[str],
    feeds: Collection[str],
    unit: str,
    *,
    monthly: bool = False,
) -> dict[str, Guess]:
    """The meaning of every column that has a name or holds anything; `unit` is the keeper's own unit of volume.

    `known` are the plain names of vessels.
    With `monthly` the month is known, and a day may be a number alone.
    """
    rows = table.rows if len(table.rows) <= SAMPLE else table.rows[:: len(table.rows) // SAMPLE]
    values = {h: values_of([cells[n] for _, cells in rows], style) for n, h in enumerate(table.header)}
    for n, header in enumerate(table.header):
        if not values[header].cells and len(rows) < len(table.rows):
            values[header] = values_of(
                [cells[n] for _, cells in table.rows if not is_missing_value(cells[n])][:SAMPLE], style
            )
    values = {h: v for h, v in values.items() if h or v.cells}
    roles = {h: role_of(_bare(h)) for h in values}
    for header, held in values.items():
        if roles[header] == "cleaned" and header.lower() == "what" and any(kind_of(str(c)) for c in held.cells):
            roles[header] = "kind"
        if roles[header] == "date" and not _dates(held, monthly=monthly):
            roles[header] = ""
    found: dict[str, Guess] = {}
    for header, held in values.items():
        if not held.cells:
            found[header] = Guess(OUT, plain=True)
            continue
        found[header] = _guess(header, roles, held, known, {f.lower() for f in feeds}, unit)
    return _settled(found, values)


def _bare(header: str) -> str:
    return header.rpartition(" #")[0] if header.rpartition(" #")[2].isdecimal() and " #" in header else header


def _guess(
    header: str,
    roles: Mapping[str, str],
    held: Values,
    known: Collection[str],
    feeds: Collection[str],
    volume_unit: str,
) -> Guess:
    unit = unit_in(header)
    if not unit and held.units and (len(held.units) == 1 or not held.bare):
        unit = min(held.units)
    role = _fitting(header, roles[header], held, feeds, unit)
    others = set(roles.values())
    if _only_words(header, role, held, others):
        return Guess(NOTE, plain=True)
    if role == "" and header != "value":
        return _by_values(held, known, unit)
    if role in {"count", "tallies"} and aliquot_in(header):
        return Guess("tallies", plain=True)
    if MANY.search(header) and role in {"density", "count"}:
        return Guess("density 1000/L", plain=False, choices=("density 1000/L", "density million/L", "density /mL"))
    if MANY.search(header) and role in VOLUMES:
        return Guess(NOTE, plain=False)
    return _of_role(header, role, held, unit, volume_unit, others, known)


def _of_role(
    header: str,
    role: str,
    held: Values,
    unit: str,
    volume_unit: str,
    others: AbstractSet[str],
    known: Collection[str],
) -> Guess:
    """The meaning of a column whose name says what it is; `others` are the roles of all columns."""
    if role == "amount" and "kind" in others and held.units and held.units <= UNITS["volume"].keys():
        return Guess("volume L", plain=True)
    if role == "volume":
        return _plain_volume(header, held, unit, volume_unit, others)
    special = {
        "count": _count, "density": _density, "temperature": _temperature, "sg": _salt, "salinity": _salt, "fed": _fed,
        "feed": _fed, "amount": _fed, "conductivity": _conductivity, "with eggs": _eggs, "tallies": _tallies,
    }.get(role)  # fmt: skip
    if special is not None:
        return special(held, unit, others)
    if role in VOLUMES:
        return _volume(role, held, unit, volume_unit)
    if role == "aliquot":
        return Guess("aliquot mL", plain=True)
    if role == "vessel" and held.numeric and not all(plain_name(c) in known for c in held.cells) and unit:
        return Guess(OUT, plain=False)
    return Guess(role, plain=True) if role in TARGETS else Guess(OUT, plain=False)


def _fitting(header: str, role: str, held: Values, feeds: Collection[str], unit: str) -> str:
    """The role that the header names, unless the cells say that it can't be that."""
    if role in {"", "amount"} and header.partition(" (")[0].lower() in feeds:
        return "fed"
    if role == "amount" and unit in {"L", "gal", "qt"}:
        return "volume"
    return "" if role == "vessel" and _days(held) >= MOSTLY * len(held.cells) else role


def _only_words(header: str, role: str, held: Values, roles: AbstractSet[str]) -> bool:
    """Whether a column is kept as a note: what is worked out from others, the clock of a feed, cells of algae."""
    if role in {"aliquot", "swimming", "tint"}:
        return not held.numeric
    if role in {"fed", "feed"}:
        clocks = sum(_CLOCK.fullmatch(str(c).strip()) is not None for c in held.cells)
        return clocks >= MOSTLY * len(held.cells) or "cells" in header.lower()
    return _DERIVED.match(header) is not None and bool(roles & {"tallies", "count", "density"})


_CLOCK = re.compile(r"\d{1,2}:\d\d(?::\d\d)?(?:\s*[ap]\.?m\.?)?", re.IGNORECASE)


def _dates(held: Values, *, monthly: bool) -> bool:
    days = sum(looks_like_day(c) or serial(c) is not None or (monthly and day_of_month(c) > 0) for c in held.cells)
    return days >= MOSTLY * len(held.cells)


def _days(held: Values) -> int:
    return sum(looks_like_day(c) for c in held.cells)


def _plain_volume(header: str, held: Values, unit: str, own: str, roles: AbstractSet[str]) -> Guess:
    """A volume of which the name does not say what it is: of the aliquot, of the vessel, or of what was done."""
    if "kind" in roles or "date" not in roles:
        return _volume("volume" if "kind" in roles else "working volume", held, unit, own)
    if roles & {"count", "tallies"} and unit == "mL":
        return Guess("aliquot mL", plain="harvest" not in roles, choices=("aliquot mL", *UNITS["harvest"].values()))
    return Guess(_volume("harvest", held, unit, own).target, plain=False, choices=tuple(UNITS["harvest"].values()))


def _by_values(held: Values, known: Collection[str], unit: str) -> Guess:
    """A column whose name says nothing."""
    days = sum(looks_like_day(c) or (serial(c) is not None and not unit) for c in held.cells)
    if days >= MOSTLY * len(held.cells):
        return Guess("date", plain=True)
    if sum(plain_name(c) in known for c in held.cells) >= MOSTLY * len(held.cells):
        return Guess("vessel", plain=True)
    if unit in UNITS["density"]:
        return Guess(f"density {unit}", plain=True)
    if unit in {"°C", "°F"}:
        return Guess(f"temperature {unit}", plain=True)
    if held.numeric:
        return Guess(NOTE, plain=False)
    return Guess(NOTE, plain=True)


def _count(held: Values, unit: str, roles: Collection[str]) -> Guess:
    if unit in UNITS["density"]:
        return Guess(f"density {unit}", plain=True)
    if held.lists or "aliquot" in roles:
        return Guess("tallies", plain=True)
    if not (held.numbers or held.lists):
        return Guess(NOTE, plain=True)
    return Guess("density /mL", plain=False, choices=("density /mL", "tallies", "density /L"))


def _tallies(held: Values, unit: str, roles: Collection[str]) -> Guess:
    if unit in UNITS["density"] and not held.lists:
        return Guess(f"density {unit}", plain=True)
    return Guess("tallies", plain=True)


def _density(held: Values, unit: str, roles: Collection[str]) -> Guess:
    """Animals per volume; a header that speaks of thousands or millions is asked about, see `_guess`."""
    if unit in UNITS["density"]:
        return Guess(f"density {unit}", plain=True)
    if not (held.numbers or held.lists):
        return Guess(NOTE, plain=True)
    if held.median > DENSE_PER_L:
        return Guess("density /L", plain=False, choices=("density /L", "density /mL"))
    return Guess("density /mL", plain=True)


def _temperature(held: Values, unit: str, roles: Collection[str]) -> Guess:
    if unit in {"°C", "°F"}:
        return Guess(f"temperature {unit}", plain=True)
    if held.within(-2, 45):
        return Guess("temperature °C", plain=True)
    if held.within(45.1, 113):
        return Guess("temperature °F", plain=True)
    return Guess("temperature °C", plain=False, choices=("temperature °C", "temperature °F"))


def _salt(held: Values, unit: str, roles: Collection[str]) -> Guess:
    if held.within(0.99, 1.1):
        return Guess("sg", plain=True)
    if held.within(990, 1100):
        return Guess("sg x 1000", plain=True)
    if unit == "mS/cm":
        return Guess("conductivity mS/cm", plain=True)
    return Guess("salinity", plain=held.within(0, 120), choices=("salinity", "sg", "sg x 1000"))


def _fed(held: Values, unit: str, roles: Collection[str]) -> Guess:
    if not held.numeric:
        ticks = {"yes", "no", "y", "n", "x", "ja", "nein", "si", "sí", "✓", "✔", "done"}
        ticked = all(str(c).strip().lower() in ticks for c in held.cells)
        return Guess(NOTE if ticked else "feed", plain=True)
    if unit in UNITS["fed"]:
        return Guess(f"feed {unit}", plain=True)
    return Guess("feed mL", plain="unit" in roles, choices=tuple(UNITS["fed"].values()))


def _conductivity(held: Values, unit: str, roles: Collection[str]) -> Guess:
    if unit in {"mS/cm", "µS/cm"}:
        return Guess(f"conductivity {unit}", plain=True)
    return Guess("conductivity µS/cm" if held.median > 200 else "conductivity mS/cm", plain=True)


def _eggs(held: Values, unit: str, roles: Collection[str]) -> Guess:
    pairs = sum(isinstance(c, str) and PAIR.match(c.strip()) is not None for c in held.cells)
    if unit == "%" and "females checked" in roles:
        return Guess("with eggs %", plain=True)
    if unit == "%" or not (pairs >= MOSTLY * len(held.cells) or "females checked" in roles):
        return Guess(NOTE, plain=True)
    return Guess("with eggs", plain=True)


def _volume(role: str, held: Values, unit: str, own: str) -> Guess:
    choices = tuple(UNITS[role].values())
    if not (held.numbers or held.lists):
        return Guess(NOTE, plain=True)
    if "fraction" in UNITS[role] and (_parts(held) or (unit == "%" and held.within(0, 1))):
        return Guess(f"{role} fraction", plain=True)
    if unit in UNITS[role]:
        return Guess(UNITS[role][unit], plain=True)
    usual = UNITS[role].get({"US gal": "gal"}.get(own, own), choices[0])
    return Guess(usual, plain=False, choices=choices)


def _ask_twice_said(found: dict[str, Guess], values: Mapping[str, Values]) -> None:
    """Ask about columns of one value that mostly differ: densities before and after a harvest, a day's low and high."""
    first: dict[str, tuple[str, list[float]]] = {}
    for header, guess in list(found.items()):
        target = TARGETS[guess.target]
        if target.kind not in {"count", "reading"} or not target.numeric or any(s in header.lower() for s in STAGES):
            continue
        said = [target.convert(n) for n in values[header].numbers]
        before, known = first.setdefault(target.column, (header, said))
        differ = sum(abs(a - b) > SAME * max(abs(a), abs(b)) for a, b in zip(said, known, strict=False))
        if before != header and 2 * differ > len(said):
            found[header] = Guess(NOTE, plain=False, choices=(NOTE, guess.target))
            if target.kind == "reading":
                found[before] = replace(found[before], plain=False, choices=(found[before].target, NOTE))


_SAYS_WHEN = re.compile(r"\b(?:date|day|time|when|dat[ua]m?|tag|fecha|d[ií]a|jour|giorno|dag)\b", re.IGNORECASE)


def _parts(held: Values) -> bool:
    """Whether most cells are parts of a whole such as 1/3."""
    pairs = [p for c in held.cells if isinstance(c, str) and (p := PAIR.match(c.strip())) is not None]
    return len(pairs) >= MOSTLY * len(held.cells) and all(int(p[1]) <= int(p[2]) for p in pairs)


def _settled(found: dict[str, Guess], values: Mapping[str, Values]) -> dict[str, Guess]:
    """One column for each meaning that can be only once; the others keep their words as a note."""
    once = {"date", "time", "vessel", "kind"}
    seen: set[str] = set()
    for header, guess in found.items():
        if guess.target in once:
            if guess.target in seen:
                found[header] = Guess(NOTE, plain=True)
            seen.add(guess.target)
    _ask_twice_said(found, values)
    dated = [h for h, held in values.items() if held.cells and _dates(held, monthly=False)]
    if len(dated) > 1 and not any(_SAYS_WHEN.search(h) for h in dated):
        found = {h: replace(g, plain=False) if g.target == "date" else g for h, g in found.items()}
    if "date" not in seen and dated:
        found[dated[0]] = Guess("date", plain=True)
    females = any(g.target == "females checked" for g in found.values())
    if females and not any(g.target.startswith("with eggs") for g in found.values()):
        found = {h: Guess(NOTE, plain=True) if g.target == "females checked" else g for h, g in found.items()}
    return found
