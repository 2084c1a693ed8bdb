"""Reading single cells of a table row: blank, number, whole number, word.

Rows arrive from CSV text, spreadsheets, data frames and Python alike, so a cell may be text, a number, None or a
not-a-number that stands for a blank.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping
from datetime import datetime

from rackview.core.errors import InputError
from rackview.language import _

YES = frozenset({"yes", "y", "true", "1", "1.0"})
NO = frozenset({"no", "n", "false", "0", "0.0", ""})


def blank(value: object) -> bool:
    """Whether a cell holds nothing: None, empty text, NaN, NaT or a data frame's NA."""
    if value is None or (isinstance(value, str) and not value.strip()):
        return True
    if isinstance(value, float):
        return math.isnan(value)
    if type(value).__name__ in {"NAType", "NaTType"}:
        return True
    return isinstance(value, datetime) and value != value


class _Written(dict[int, str | int | None]):
    """Numerals of any script as the plain digits they stand for; the Arabic separators as point and as nothing."""

    def __missing__(self, code: int) -> str | int | None:
        found = unicodedata.decimal(chr(code), -1)
        self[code] = code if found < 0 else str(found)
        return self[code]


PLAIN_DIGITS = _Written({0x066B: ".", 0x066C: None})


def plain_digits(text: str) -> str:
    """The text with numerals such as ٣ or ३ as plain digits."""
    return text if text.isascii() else text.translate(PLAIN_DIGITS)


SEPARATED = re.compile(r"[+-]?[1-9]\d{0,2}([.,])\d{3}")
"""One separator before exactly three digits: of thousands to some, of decimals to others."""
LARGE = 1e4
"""Quantities that reach this far are written with separators of thousands."""


def two_ways(text: str, separators: str = ".,") -> tuple[float, float] | None:
    """The two numbers that a text such as 300,000 may mean, the smaller first; None where there is but one."""
    text = plain_digits(text)
    found = SEPARATED.fullmatch(text.strip())
    if found is None or found[1] not in separators:
        return None
    return float(text.strip().replace(",", ".")), float(text.strip().replace(found[1], ""))


def ask_which(field: str, text: str, both: tuple[float, float]) -> InputError:
    """The question which of two numbers is meant."""
    return InputError(
        field,
        text,
        _("{both:.12g} or {both_2:.12g} written plainly, as both can be meant").format(both=both[0], both_2=both[1]),
    )


def number_in(
    row: Mapping[str, object],
    field: str,
    wanted: str,
    *,
    low: float = -math.inf,
    high: float = math.inf,
) -> float | None:
    """The cell as a finite float within [low, high], or None if blank; a decimal comma is understood.

    A comma before exactly three digits is asked about, unless thousands are beyond what the field can hold.
    """
    value = row.get(field)
    if value is None or blank(value):
        return None
    if isinstance(value, str):
        value = plain_digits(value)
    both = two_ways(value, ",") if isinstance(value, str) and "," in value else None
    if both is not None and (high >= LARGE or low <= both[1] <= high):
        raise ask_which(field, str(value), both)
    try:
        if isinstance(value, str):
            value = value.strip().replace(",", ".") if value.count(",") == 1 and "." not in value else value.strip()
        if isinstance(value, str) and "_" in value:  # Python reads 1_0 as 10, a keeper means something else
            raise InputError(field, row.get(field), wanted)
        found = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, OverflowError):
        raise InputError(field, row.get(field), wanted) from None
    if not math.isfinite(found) or not low <= found <= high:
        raise InputError(field, row.get(field), wanted)
    return found


def finite_numbers(field: str, values: object, wanted: str, *, low: float, high: float) -> list[float]:
    """Each of `values` (a list, a tuple, an array) as a finite float within [low, high]; raises `InputError`."""
    if isinstance(values, str) or not isinstance(values, Iterable):
        raise InputError(field, values, wanted)
    return [
        required(number_in({field: v}, field, wanted, low=low, high=high), {field: v}, field, wanted) for v in values
    ]


def required(value: float | None, row: Mapping[str, object], field: str, wanted: str) -> float:
    """`value`, or the sentence that says the cell must be filled."""
    if value is None:
        raise InputError(field, row.get(field), wanted)
    return value


def whole_number_in(
    row: Mapping[str, object], field: str, wanted: str, *, low: int = 0, high: int = 10**9
) -> int | None:
    """The cell as a whole number within [low, high], or None if blank."""
    value = row.get(field)
    if value is None:
        return None
    both = two_ways(value) if isinstance(value, str) else None
    if both is not None:
        raise ask_which(field, str(value), both)
    found = number_in(row, field, wanted, low=low, high=high)
    if found is None:
        return None
    if found != int(found):
        raise InputError(field, row.get(field), wanted)
    return int(found)


def text(row: Mapping[str, object], field: str) -> str:
    """The cell as trimmed text; blank gives the empty string."""
    value = row.get(field)
    if value is None:
        return ""
    if isinstance(value, str):
        return value.strip()
    if blank(value):
        return ""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value).strip()


def word(row: Mapping[str, object], field: str, known: Collection[str]) -> str:
    """The cell as one of the `known` words (upper and lower case alike), or the empty string if blank."""
    found = text(row, field)
    if not found:
        return ""
    if found in known:
        return found
    by_lower = {k.lower(): k for k in known}
    if found.lower() not in by_lower:
        raise InputError(field, found, _("one of ") + ", ".join(by_lower.values()))
    return by_lower[found.lower()]


def yes_no(row: Mapping[str, object], field: str) -> bool:
    """The cell as yes or no; blank is no."""
    found = text(row, field).lower()
    if found in YES:
        return True
    if found in NO:
        return False
    raise InputError(field, row.get(field), _("yes or no"))


def cell_items(text: str) -> list[str]:
    """What stands in a cell of several, apart from each other by spaces or semicolons."""
    return text.replace(";", " ").split()


def whole_numbers(row: Mapping[str, object], field: str, wanted: str) -> tuple[int, ...]:
    """The cell as space-separated whole numbers of 0 or more; a list or a single number will do as well."""
    value = row.get(field)
    if value is None or blank(value):
        return ()
    parts: list[object]
    if isinstance(value, str):
        parts = list(cell_items(value))
    elif isinstance(value, Iterable):
        parts = list(value)
    else:
        parts = [value]
    found: list[int] = []
    for part in parts:
        if isinstance(part, str) and len(part) < MOST_DIGITS and part.isascii() and part.isdecimal():
            found.append(int(part))  # as nearly every tally is written
            continue
        one = whole_number_in({field: part}, field, wanted) if _is_plain(part) else None
        if one is None:
            raise InputError(field, value, wanted)
        found.append(one)
    return tuple(found)


MOST_DIGITS = 10
"""Plain digits that are fewer can mean but one number, and one that is in reach."""


def _is_plain(part: object) -> bool:
    """Whether a tally is written in plain digits, so that 1e3, inf and 3,5 are asked about and not guessed."""
    return not isinstance(part, str) or part.removesuffix(".0").isdecimal()
