"""Numbers as people write them: decimal comma, thousands, “about”, units and words in the same cell."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

from rackview.core.dataclass import dataclass
from rackview.language import _

SPACES = "    ''’"
_NUMBER = re.compile(rf"[+−-]?\d(?:[\d.,{SPACES}]*\d)?")
_ABOUT = re.compile(
    r"(?:~|≈|±|about|approx(?:imately)?\.?|around|circa|ca\.?|c\.|etwa|aprox\.?|env\.?)\s*", re.IGNORECASE
)
_POWER = re.compile(r"(?:e|\s*[x×·*]\s*10\s*(?:\^|\*\*))\s*([+−-]?\d{1,2})(?![\d.,])", re.IGNORECASE)
_ONE_OF_THREE = re.compile(r"[+−-]?([1-9]\d{0,2})([.,])(\d{3})\Z")
_GROUPS = re.compile(r"[+−-]?\d{1,3}(?:([.,])\d{3})(?:\1\d{3})+\Z")
_BLANK = frozenset(
    {
        "", "-", "–", "—", "--", "---", ".", "..", "...", "?", "??", "/", "n/a", "na", "n.a.", "#n/a", "nan", "nd",
        "n.d.", "null", "nil", "none", "no data", "not counted", "not measured", "skipped", "missing",
        "k.a.", "entfällt", "ns",
    }
)  # fmt: skip
_CRASHED = re.compile(
    r"\b(?:crash(?:ed)?|dead|died|collapsed?|wiped out|all gone|tot|gekippt|abgestürzt|muert\w+)\b", re.IGNORECASE
)
_SHORT = {"k": 1e3, "m": 1e6}
_FRACTION = re.compile(
    r"\A(?:(?P<whole>\d+)\s+(?P<part>[1-9]\d?/[1-9]\d?)(?![\d/])|(?P<before>\d+)?\s*(?P<sign>[¼½¾⅐-⅞]))"
)
_US_MEASURES = {"pt": ("qt", 0.5), "cup": ("qt", 0.25), "tbsp": ("tsp", 3.0), "fl oz": ("tsp", 6.0)}
"""Customary measures as so many of another: exact, NIST Handbook 44, appendix C."""


class UnclearError(ValueError):
    """Text that may mean several things or nothing: what would be right, as the end of “but needs …”."""


class AmbiguousError(UnclearError):
    """One separator before exactly three digits, and nothing says whether it is a decimal sign."""


@dataclass(frozen=True, slots=True)
class Style:
    """How numbers are written: the decimal sign, “.” or “,”, and what groups thousands; blank where not known."""

    decimal: str = ""
    thousands: str = ""


@dataclass(frozen=True, slots=True)
class Measure:
    """A number with what else stands in its cell: a unit, whether it is said to be rough, further words."""

    value: float
    unit: str = ""
    about: bool = False
    words: str = ""


KEPT = 40
"""Longer cells are looked at anew each time, so that none of them is held in memory."""


def is_missing_value(cell: object) -> bool:
    """Whether a cell says that there is nothing, in whatever way."""
    if not isinstance(cell, str):
        return cell is None
    return _says_nothing(cell) if len(cell) <= KEPT else cell.strip().lower() in _BLANK


@lru_cache(maxsize=4096)  # the same short cells come again and again
def _says_nothing(cell: str) -> bool:
    return cell.strip().lower() in _BLANK


def crashed(cell: object) -> bool:
    """Whether a cell says that the culture died."""
    return isinstance(cell, str) and _CRASHED.search(cell) is not None


def style_of(cells: Iterable[object]) -> Style:
    """What the numbers of a table prove about how they are written."""
    decimal: set[str] = set()
    thousands: set[str] = set()
    for cell in cells:
        if not isinstance(cell, str) or len(cell) > 40 or ("," not in cell and "." not in cell):
            continue
        found = _ABOUT.sub("", cell.strip())
        number = _NUMBER.match(found)
        if number is None or (number.end() < len(found) and found[number.end()] in ":/-.") or ", " in found:
            continue
        _learn(number[0], decimal, thousands)
    other = {".": ",", ",": "."}
    if len(decimal) == 1 and not decimal & thousands:
        (sign,) = decimal
        return Style(sign, other[sign])
    if len(thousands) == 1 and not decimal:
        (sign,) = thousands
        return Style(other[sign], sign)
    return Style()


def _learn(number: str, decimal: set[str], thousands: set[str]) -> None:
    number = re.sub(rf"(?<=\d)[{SPACES}](?=\d\d\d)", "", number)
    if any(s in number for s in SPACES):
        return
    groups = _GROUPS.match(number)
    if groups is not None:
        thousands.add(groups[1])
        return
    signs = [c for c in number if c in ".,"]
    if len(set(signs)) == 2 and signs.count(signs[-1]) == 1:
        decimal.add(signs[-1])
        thousands.add(signs[0])
    elif len(signs) == 1 and _ONE_OF_THREE.match(number) is None:
        decimal.add(signs[0])


def number_from_text(text: str, style: Style, low: float, high: float) -> float:
    """The plain number within [low, high] that `text` says; raises `UnclearError`."""
    plain = re.sub(rf"(?<=\d)[{SPACES}](?=\d{{3}}(?!\d))", "", text.strip()).replace("−", "-")
    three = _ONE_OF_THREE.match(plain)
    if three is not None and three[2] not in {style.decimal, style.thousands}:
        readings = [v for v in (float(plain.replace(three[2], "")), float(plain.replace(",", "."))) if low <= v <= high]
        if len(readings) != 1:
            raise AmbiguousError(_("it without a separator, as it may be a decimal sign or part a thousand"))
        return readings[0]
    if (three is not None and three[2] == style.thousands) or _GROUPS.match(plain):
        plain = plain.replace(_separator(plain), "")
    signs = [c for c in plain if c in ".,"]
    if len(set(signs)) == 2:
        plain = plain.replace(signs[0], "")
    if len([c for c in plain if c in ".,"]) > 1 or any(s in plain for s in SPACES):
        raise UnclearError(_("one plain number"))
    return float(plain.replace(",", "."))


def _separator(text: str) -> str:
    return next(c for c in text if c in ".,")


def measure(cell: object, style: Style, low: float, high: float) -> Measure:
    """The number in a cell with its unit and words; raises `UnclearError`."""
    if isinstance(cell, bool) or not isinstance(cell, int | float | str):
        raise UnclearError(_("a number"))
    if not isinstance(cell, str):
        return Measure(float(cell))
    text = cell.strip()
    if text.isascii() and text.isdecimal():  # most are
        return Measure(float(text))
    rest = _ABOUT.sub("", text, count=1) if _ABOUT.match(text) else text
    about = rest != text
    rest = _FRACTION.sub(_decimal, rest, count=1)
    if re.match(r"[.,]\d", rest):
        rest = f"0{rest}"
    if rest[:1] in {"<", ">", "≤", "≥"}:
        raise UnclearError(_("a number, not a bound"))
    found = _NUMBER.match(rest)
    if found is None:
        raise UnclearError(_("a number"))
    tail = rest[found.end() :].strip()
    power = _POWER.match(rest, found.end())
    if power is not None:
        value, tail = _scientific(found[0], power[1]), rest[power.end() :].strip()
    else:
        value = number_from_text(found[0], style, low, high)
    if tail[:1].lower() in _SHORT and (len(tail) == 1 or not tail[1:2].isalpha()):
        value, tail = value * _SHORT[tail[0].lower()], tail[1:].strip()
    unit, words = _unit_and_words(tail)
    if words.startswith("?"):
        about, words = True, words[1:].strip()
    if re.match(r"[-–—x×*/+:]?\s*\d|to \d|bis \d", words):
        raise UnclearError(_("one number, not a range or a sum"))
    unit, times = _US_MEASURES.get(unit, (unit, 1.0))
    return Measure(value * times, unit, about, words.strip(" ,;()"))


def _decimal(found: re.Match[str]) -> str:
    """A number with a fraction, such as 1½ or 1 1/2, as a decimal one."""
    part = (
        Fraction(found["part"]) if found["part"] else Fraction(unicodedata.numeric(found["sign"])).limit_denominator(9)
    )
    return repr(float(int(found["whole"] or found["before"] or 0) + part))


def _scientific(mantissa: str, exponent: str) -> float:
    """So many times a power of ten; the one sign within the first part is the decimal one."""
    if sum(c in ".," for c in mantissa) > 1 or any(s in mantissa for s in SPACES):
        raise UnclearError(_("one plain number"))
    return float(f"{mantissa}e{exponent}".replace(",", ".").replace("−", "-"))


_UNIT = re.compile(
    r"(?:(?:ind(?:ividuals|\.)?|animals?|rotifers?|rots?|pods?|copepods?|tiere|org(?:anisms)?|pcs|r)\s*)?"
    r"(?:/|per\s*|p\.\s*|pro\s*)\s*(?P<per>m?l|cc|cm3|litre|liter|[µμu]l|gal(?:lon)?)\b"
    r"|(?P<plain>ml\s*(?:/|per)\s*l(?:it(?:re|er))?\b|°\s*[cf]\b|deg(?:rees)?\s*[cf]\b|[cf]\b|ml\b|cc\b|l\b|lit(?:re|er|ro)s?\b|litri\b|(?:us\s*)?gal(?:lons?)?\b|g\b|"
    r"q(?:uar)?ts?\b|p(?:in)?ts?\b|cups?\b|fl\s*oz\b|tbsps?\b|tablespoons?\b|tsps?\b|teaspoons?\b|"
    r"ppt\b|psu\b|‰|ms/cm\b|[µμu]s/cm\b|mg/l\b|ppm\b|sg\b|%|per ?cent\b|pct\b)",
    re.IGNORECASE,
)


_AT_END = re.compile(rf"(?:(?<=[\s_,(\[])|(?<=\w)(?=/))(?:{_UNIT.pattern})\s*[)\]]?\s*$", re.IGNORECASE)


def _unit_and_words(tail: str) -> tuple[str, str]:
    found = _UNIT.match(tail)
    return (unit_name(found), tail[found.end() :].strip()) if found else ("", tail)


_UNIT_NAMES = (
    ("ml/l", "mL/L"), ("mlperl", "mL/L"), ("cup", "cup"), ("floz", "fl oz"), ("q", "qt"), ("pt", "pt"), ("pint", "pt"),
    ("tb", "tbsp"), ("table", "tbsp"), ("t", "tsp"), ("c", "°C"), ("f", "°F"), ("ml", "mL"), ("l", "L"),
    ("usgal", "gal"), ("gal", "gal"), ("ppt", "ppt"), ("psu", "ppt"), ("‰", "ppt"), ("ms/cm", "mS/cm"),
    ("mg/l", "mg/L"), ("ppm", "mg/L"), ("sg", "SG"), ("%", "%"), ("percent", "%"), ("pct", "%"), ("g", "g"),
)  # fmt: skip
"""Units by how they begin, in the order in which they are looked for."""


def unit_name(found: re.Match[str]) -> str:
    """The one way of writing a unit that was found."""
    per = (found["per"] or "").lower()
    if per:
        if per.startswith("gal"):
            return "/gal"
        return "/mL" if per in {"ml", "cc", "cm3"} else "/µL" if per in {"µl", "μl", "ul"} else "/L"
    plain = re.sub(r"\s|°", "", found["plain"].lower()).replace("degrees", "").replace("deg", "")
    for start, name in _UNIT_NAMES:
        if plain.startswith(start) and plain != "cc":
            return name
    return "mL" if plain == "cc" else "µS/cm"


def unit_in(header: str) -> str:
    """The unit that a header names, in brackets or after the words; blank if none."""
    header = header.replace("_", " ")
    inside = re.search(r"[\[(]([^\])]*)[\])]", header)
    for place in [inside[1].strip(), header] if inside else [header]:
        found = _UNIT.match(place) if place is not header else _UNIT.fullmatch(place.strip())
        found = found or re.search(
            rf"(?:(?<=[\s_,(\[])|(?<=\w)(?=/))(?:{_UNIT.pattern})\s*[)\]]?\s*$", place, re.IGNORECASE
        )
        if found is not None:
            return unit_name(found)
    after = re.search(rf",\s*(?:{_UNIT.pattern})", header, re.IGNORECASE)
    if after is not None:
        return unit_name(after)
    if re.match(r"\s*(?:%|per ?cent|pct)\s", header, re.IGNORECASE):
        return "%"
    first = re.match(r"\s*(gallons?|gal|liters?|litres?|ml)\s+\w", header, re.IGNORECASE)
    return {"g": "gal", "l": "L", "m": "mL"}[first[1][0].lower()] if first else ""


@lru_cache(maxsize=256)
def aliquot_in(header: str) -> float:
    """The volume, mL, that a header says the animals were counted in, as in “rotifers in 0.1 mL”; 0 if it says none."""
    found = re.search(r"\b(?:in|per)\s+(\d+(?:[.,]\d+)?)\s*(ml|[µμu]l)\b", header.replace("_", " "), re.IGNORECASE)
    if found is None:
        return 0.0
    value = float(found[1].replace(",", "."))
    return value if found[2].lower() == "ml" else float(f"{value / 1e3:.6g}")


def whole_list(text: str, *, tight: bool = False) -> tuple[int, ...] | None:
    """The several whole numbers in a cell such as “12, 14, 11” or “12/14/11”; None if it is something else.

    With `tight`, two numbers may have a comma alone between them, which otherwise may be a decimal sign.
    """
    if text.isalnum():
        return None
    parts = re.split(r"\s*[,;/+&|]\s*|\s+", text.strip())
    if len(parts) < 2 or not all(p.isascii() and p.isdecimal() and len(p) < 8 for p in parts):
        return None
    if len(parts) == 2 and re.fullmatch(r"\d+,\d+", text.strip()) and not tight:
        return None  # may be one number
    return tuple(map(int, parts))
