"""Days and times as people write them, and what a column of them proves about the order of day and month."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from rackview.core.dataclass import dataclass
from rackview.core.months import month_number
from rackview.exchange.freeform.numbers import KEPT, UnclearError
from rackview.language import _

Order = Literal["", "day first", "month first", "year first"]

SERIAL_ZERO = datetime(1899, 12, 30)  # noqa: DTZ001 - the local day that spreadsheets call 0
SERIALS = (30_000.0, 80_000.0)
"""Serial day numbers that a keeper's table can hold, 1982 to 2119."""
PIVOT = 69
"""Two-digit years below it are 20xx, as POSIX has it."""
_WEEKDAY = re.compile(
    r"^(?:mon|tue|wed|thu|fri|sat|sun|mo|di|mi|do|fr|sa|so|lun|martes|mié|mie|jue|vie|sáb|sab|dom)[a-zäéá]*\.?,?\s+(?=\d|[a-z]{3})",
    re.IGNORECASE,
)
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?!\d)")
_PARTS = re.compile(r"(\d{1,2})\s?[./-]\s?(\d{1,2})\s?[./-]\s?(\d{4}|\d{2})(?!\d)")
_SHORT = re.compile(r"(\d{1,2})\s?[./-]\s?(\d{1,2})\.?(?![\d./-])")
_COMPACT = re.compile(r"(20\d\d)(\d\d)(\d\d)(?!\d)")
_NAMED = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th)?\.?[\s-]*(?:of\s+|de\s+)?([^\W\d_]{3,})\.?,?[\s-]*(?:de\s+)?(\d{4}|'?\d{2}(?![\d:]))?"
)
_NAMED_FIRST = re.compile(r"([^\W\d_]{3,})\.?\s*(\d{1,2})(?:st|nd|rd|th)?(?!\d),?\s*(\d{4}|'\d{2})?")
_CLOCK = re.compile(
    r"(\d{1,2})(?:[:.h](\d{2})(?:[:.](\d{2})(?:\.\d+)?)?)?\s*(a\.?m\.?|p\.?m\.?|uhr|h)?\s*(?:hrs?)?\Z", re.IGNORECASE
)
_OFFSET = re.compile(r"(?:z|utc|gmt|[+-]\d\d:?\d\d)\Z", re.IGNORECASE)
_PART_OF_DAY = {
    "am": time(8), "morning": time(8), "morgens": time(8), "pm": time(18), "evening": time(18), "abends": time(18),
    "noon": time(12), "midday": time(12), "mittags": time(12), "afternoon": time(15), "night": time(21),
}  # fmt: skip
WANTED = _("a day such as 2026-03-04 or 4 March 2026")
WANTED_TIME = _("a time such as 08:30 or 8:30 AM")


@dataclass(frozen=True, slots=True)
class DateOrder:
    """How a table writes its days: the order of day and month, and the year where it names none."""

    order: Order = ""
    year: int | None = None
    month: int | None = None
    """The month of days that are a number alone, as a sheet for each month has them."""


@dataclass(frozen=True, slots=True)
class Parts:
    """A day in numbers whose order is not said by the text itself."""

    a: int
    b: int
    year: int | None
    rest: str


def looks_like_day(cell: object) -> bool:
    """Whether a cell may be a day."""
    if isinstance(cell, date):
        return True
    if not isinstance(cell, str):
        return False
    text = _bare(cell)
    if len(text) > 40:
        return False
    if _ISO.match(text) or _PARTS.match(text) or _COMPACT.fullmatch(text):
        return True
    if _SHORT.fullmatch(text):
        return True
    named = _NAMED.match(text) or _NAMED_FIRST.match(text)
    return named is not None and any(month_number(g) for g in named.groups() if g and g[0].isalpha())


def serial(cell: object) -> float | None:
    """The serial day number in a cell, or None."""
    if isinstance(cell, bool):
        return None
    if isinstance(cell, str) and re.fullmatch(r"\d{5}(?:[.,]\d+)?", cell.strip()):
        cell = float(cell.strip().replace(",", "."))
    return float(cell) if isinstance(cell, int | float) and SERIALS[0] <= cell <= SERIALS[1] else None


def day_of_month(cell: object) -> int:
    """The day that a number alone says, 1 to 31; 0 if it says none."""
    found = re.fullmatch(r"(\d{1,2})(?:\.0?|st|nd|rd|th)?", str(cell).strip())
    return int(found[1]) if found is not None and 1 <= int(found[1]) <= 31 else 0


def month_in(texts: Iterable[str]) -> tuple[int, int] | None:
    """Year and month that a title names, as in “March 2026”; None if none or several do."""
    found = set()
    for text in texts:
        for name, year in re.findall(r"\b([^\W\d_]{3,})\.?\s+(?:de\s+)?(20\d\d)\b", text):
            month = month_number(name)
            if month is not None:
                found.add((int(year), month))
    return found.pop() if len(found) == 1 else None


def _bare(text: str) -> str:
    return _WEEKDAY.sub("", text.strip())


def parts_of(cell: object) -> Parts | None:
    """The two numbers whose order the text leaves open, or None if it says it or is no such day."""
    if not isinstance(cell, str):
        return None
    return _parts_again(cell) if len(cell) <= KEPT else _parts(cell)


def _parts(text: str) -> Parts | None:
    text = _bare(text)
    if _ISO.match(text):
        return None
    found = _PARTS.match(text)
    if found is not None:
        return Parts(int(found[1]), int(found[2]), _year(found[3]), text[found.end() :])
    found = _SHORT.fullmatch(text)
    return Parts(int(found[1]), int(found[2]), None, "") if found is not None else None


_parts_again = lru_cache(maxsize=4096)(_parts)  # a day stands in many rows, and is asked for several times in each


def _year(text: str) -> int:
    number = int(text.lstrip("'"))
    if number >= 100:
        return number
    return number + (2000 if number < PIVOT else 1900)


def proven_order(cells: Iterable[object], today: date) -> tuple[Order, Order]:
    """The order that a column of days proves, or blank, and the one that is likelier.

    A number above 12 can only be a day, and no day of a record lies ahead. Likelier is the order that puts the days
    closer together, as a keeper writes day after day.
    """
    parts = [p for p in map(parts_of, cells) if p is not None]
    if not parts:
        return "year first", "year first"
    days_first, months_first = (any(p.a > 12 >= p.b for p in parts), any(p.b > 12 >= p.a for p in parts))
    if days_first != months_first:  # whatever else in the column is no day, or lies ahead
        order: Order = "day first" if days_first else "month first"
        return order, order
    may: list[Order] = []
    spans: dict[Order, float] = {}
    for order in ("day first", "month first"):
        days = [_day_of(p, order, today) for p in parts]
        if all(d is not None and d <= today for d in days):
            may.append(order)
            known = [d for d in days if d is not None]
            spans[order] = sum(abs((b - a).days) for a, b in pairwise(known))
    if len(may) == 1:
        return may[0], may[0]
    dotted = any(isinstance(c, str) and re.match(r"\d{1,2}\.\s?\d{1,2}\.", _bare(c)) for c in cells)
    if dotted or not may:
        return "", "day first"
    return "", min(may, key=lambda o: spans[o])


def _day_of(parts: Parts, order: Order, today: date) -> date | None:
    day, month = (parts.a, parts.b) if order == "day first" else (parts.b, parts.a)
    try:
        return date(parts.year or today.year, month, day)
    except ValueError:
        return None


def has_no_year(cell: object) -> bool:
    """Whether a day is written without its year."""
    if not isinstance(cell, str):
        return False
    parts = parts_of(cell)
    if parts is not None:
        return parts.year is None
    text = _bare(cell)
    named = _NAMED.match(text) or _NAMED_FIRST.match(text)
    return not _ISO.match(text) and named is not None and named[3] is None and looks_like_day(cell)


def day_and_time(cell: object, calendar: DateOrder) -> tuple[date, time | None, str]:
    """The day, the time if the same cell has one, and its offset as written; raises `UnclearError`."""
    if isinstance(cell, datetime):
        return cell.date(), cell.time() if cell.time() != time() else None, ""
    if isinstance(cell, date):
        return cell, None, ""
    if calendar.month is not None and calendar.year is not None and day_of_month(cell):
        try:
            return date(calendar.year, calendar.month, day_of_month(cell)), None, ""
        except ValueError:
            raise UnclearError(_("a day that this month has")) from None
    days = serial(cell)
    if days is not None:
        at = SERIAL_ZERO + timedelta(seconds=round(days * 86_400))
        return at.date(), at.time() if days % 1 else None, ""
    if not isinstance(cell, str):
        raise UnclearError(WANTED)
    return _moment_again(cell, calendar) if len(cell) <= KEPT else _moment(cell, calendar)


def _moment(text: str, calendar: DateOrder) -> tuple[date, time | None, str]:
    day, rest = _day(_bare(text), calendar)
    rest = rest.strip(" ,T\t")
    offset = _OFFSET.search(rest)
    if offset is not None and re.match(r"\d", rest):
        return day, time_of_day(rest[: offset.start()]), offset[0].upper()
    return day, time_of_day(rest) if rest else None, ""


_moment_again = lru_cache(maxsize=4096)(_moment)


def _day(text: str, calendar: DateOrder) -> tuple[date, str]:
    try:
        if found := _ISO.match(text):
            return date(int(found[1]), int(found[2]), int(found[3])), text[found.end() :]
        if found := _COMPACT.match(text):
            return date(int(found[1]), int(found[2]), int(found[3])), text[found.end() :]
        parts = parts_of(text)
        if parts is not None:
            year = parts.year or calendar.year
            if year is None or not calendar.order:
                raise UnclearError(WANTED)
            first = calendar.order == "day first"
            return date(year, parts.b if first else parts.a, parts.a if first else parts.b), parts.rest
        return _named_day(text, calendar)
    except UnclearError:
        raise
    except ValueError:
        raise UnclearError(_("{wanted}, with day and month in the order of the others").format(wanted=WANTED)) from None


def _named_day(text: str, calendar: DateOrder) -> tuple[date, str]:
    for pattern, day_at, month_at in ((_NAMED, 1, 2), (_NAMED_FIRST, 2, 1)):
        found = pattern.match(text)
        if found is not None and (month := month_number(found[month_at])) is not None:
            year = _year(found[3]) if found[3] else calendar.year
            if year is not None:
                return date(year, month, int(found[day_at])), text[found.end() :]
    raise UnclearError(WANTED)


def time_of_day(cell: object) -> time | None:
    """The time of day in a cell, None if blank; raises `UnclearError`."""
    if isinstance(cell, datetime):
        return cell.time()
    if isinstance(cell, time):
        return cell
    if isinstance(cell, timedelta):
        return (SERIAL_ZERO + cell).time()
    if isinstance(cell, int | float) and 0 <= cell < 1:
        return (SERIAL_ZERO + timedelta(seconds=round(cell * 86_400))).time()
    text = str(cell).strip().lower()
    return _clock_again(text) if len(text) <= KEPT else _clock(text)


def _clock(text: str) -> time | None:
    text = re.sub(r"\A(\d{1,2})([0-5]\d)(?=\s*(?:[ap]\.?m\.?|h|hrs?|uhr)?\Z)", r"\1:\2", text)
    if not text:
        return None
    if text in _PART_OF_DAY:
        return _PART_OF_DAY[text]
    found = _CLOCK.match(text)
    if found is None or (found[2] is None and found[4] is None):
        raise UnclearError(WANTED_TIME)
    hour, half = int(found[1]), (found[4] or "").replace(".", "")
    if half in {"am", "pm"}:
        if not 1 <= hour <= 12:
            raise UnclearError(WANTED_TIME)
        hour = hour % 12 + (12 if half == "pm" else 0)
    try:
        return time(hour, int(found[2] or 0), int(found[3] or 0))
    except ValueError:
        raise UnclearError(WANTED_TIME) from None


_clock_again = lru_cache(maxsize=4096)(_clock)
