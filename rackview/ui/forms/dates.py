"""Days and times as a keeper writes them: today, yesterday 7:30, monday, 3 Apr, 2026-04-03, 3/4 by the system's order.

A date that could be two days is asked about and never guessed. No Qt here.
"""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

from rackview.core.errors import InputError
from rackview.core.months import month_number
from rackview.language import _

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
SHOWN_MONTHS = tuple(_("jan feb mar apr may jun jul aug sep oct nov dec").split())
OWN_WEEKDAYS = tuple(_("monday tuesday wednesday thursday friday saturday sunday").split())
DAYS = {"today": 0, "yesterday": -1, "tomorrow": 1, _("today"): 0, _("yesterday"): -1, _("tomorrow"): 1}
"""Words of the language in use; the English ones are understood in every language."""
NOW = _("now")
MOMENT = _("a day and time such as yesterday 7:30, 3 Apr 7:30 or 2026-04-03 07:30")
DAY = _("a day such as yesterday, 3 Apr or 2026-04-03")
CLOCK = re.compile(r"(?:^|[\sT,]+)(\d{1,2}):(\d{2})(?::(\d{2}))?(?:\s*(am|pm))?$", re.IGNORECASE)
NUMERIC = re.compile(r"(\d{1,2})([./-])(\d{1,2})(?:\2(\d{4}|\d{2}))?\.?")
DIGITS = re.compile(r"(?<!\d)\d{1,3}(?!\d)")
ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
WORDED = re.compile(
    r"(?:(\d{1,2})\.?\s+(?:de\s+)?([^\W\d_]+)\.?|([^\W\d_]+)\.?\s+(\d{1,2})),?(?:\s+(?:de\s+)?(\d{4}))?"
)
SOON_DAYS = 60
"""A day of what has happened that is nearer to come than this is hardly meant for last year: project choice."""
AGO = ("{n} day ago", "{n} days ago", *_("{n} day ago|{n} days ago").split("|"))
"""So many days before today, in each way of writing it."""


def day_first(short_format: str) -> bool:
    """Whether a system that writes dates so (such as dd.MM.yyyy) writes the day before the month."""
    return short_format.find("d") < short_format.find("M")


def parse_moment(text: str, now: datetime, *, first: bool, field: str = "at") -> datetime:
    """The moment that a text means, in the zone of `now` (aware); blank or “now” is now.

    A day without a time is taken at the time of day that it is now. `first` says that the system writes the day
    before the month. Raises `InputError` for what can't be read, and for a date that can be two.
    """
    said = text.strip()
    if said.lower() in {"", "now", NOW}:
        return now
    clock = CLOCK.search(said)
    at = now.time().replace(second=0, microsecond=0)
    if clock is not None:
        at = _time(clock, text, field)
        said = said[: clock.start()].strip().rstrip(",")
    try:
        found = datetime.fromisoformat(text.strip())
    except ValueError:
        found = None
    if found is not None and clock is not None and len(said) == 10:
        return found if found.tzinfo is not None else local(found.date(), found.time(), now)
    if found is not None and found.tzinfo is not None:
        return found
    on = parse_day(said, now.date(), first=first, field=field, wanted=MOMENT) if said else now.date()
    if clock is None and on == now.date():
        return now
    return local(on, at, now)


def local(on: date, at: time, now: datetime) -> datetime:
    """A day and time on the keeper's clock, with the offset that holds on that day."""
    plain = datetime.combine(on, at)
    zone = now.tzinfo
    if type(zone).__name__ == "timezone" and now.utcoffset() == plain.astimezone().utcoffset():
        return plain.astimezone()
    return plain.replace(tzinfo=zone)


def _time(clock: re.Match[str], text: str, field: str) -> time:
    hour, minute, second = int(clock[1]), int(clock[2]), int(clock[3] or 0)
    half = (clock[4] or "").lower()
    if half and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half == "pm" else 0)
    try:
        return time(hour, minute, second)
    except ValueError:
        raise InputError(field, text, _("a time from 0:00 to 23:59")) from None


def parse_day(
    text: str, today: date, *, first: bool, field: str = "date", wanted: str = DAY, ahead: bool = False
) -> date:
    """The day that a text means; one without a year is the newest that has been, with `ahead` the nearest.

    Raises `InputError` for what can't be read, and for a date that can be two.
    """
    said = " ".join(text.lower().split())
    if said in DAYS:
        return today + timedelta(days=DAYS[said])
    number = DIGITS.sub("{n}", said)
    if number in AGO and (ago := DIGITS.search(said)) is not None:
        return today - timedelta(days=int(ago[0]))
    for n, names in enumerate(zip(WEEKDAYS, OWN_WEEKDAYS, strict=True)):
        if len(said) >= 3 and any(name.startswith(said) for name in names):
            return today - timedelta(days=(today.weekday() - n - 1) % 7 + 1)
    return _date(said, today, first, InputError(field, text, wanted), ahead=ahead)


def _date(said: str, today: date, first: bool, wrong: InputError, *, ahead: bool) -> date:
    iso = ISO.fullmatch(said)
    if iso is not None:
        return _made(int(iso[1]), int(iso[2]), int(iso[3]), wrong)
    worded = WORDED.fullmatch(said)
    if worded is not None:
        number, name = (worded[1], worded[2]) if worded[1] else (worded[4], worded[3])
        month = month_number(name)
        if month is None:
            raise wrong
        return _with_year(worded[5], month, int(number), today, wrong, ahead=ahead)
    numeric = NUMERIC.fullmatch(said)
    if numeric is None:
        raise wrong
    return _by_order(numeric, today, first, wrong, ahead=ahead)


def _by_order(numeric: re.Match[str], today: date, first: bool, wrong: InputError, *, ahead: bool) -> date:
    """A date in numbers: with dots the day comes first; else both orders are tried, and two days that can be asked."""
    one, two = int(numeric[1]), int(numeric[3])
    dotted = numeric[2] == "."
    orders = [(one, two)] if dotted else [(one, two), (two, one)] if first else [(two, one), (one, two)]
    found: list[date] = []
    for number, month in orders:
        try:
            made = _with_year(numeric[4], month, number, today, wrong, ahead=ahead)
        except InputError as error:
            wrong = error
            continue
        if made not in found and (ahead or made <= today):
            found.append(made)
    if not found:
        raise wrong
    if len(found) > 1:
        told = _(" or ").join(_spoken(d) for d in found)
        raise InputError(
            wrong.field, wrong.found, _("{told}, with the month in letters, as both can be meant").format(told=told)
        )
    return found[0]


def _with_year(year: str | None, month: int, number: int, today: date, wrong: InputError, *, ahead: bool) -> date:
    if year:
        return _made(int(year) + (2000 if len(year) == 2 else 0), month, number, wrong)
    here = _made(today.year, month, number, wrong) if (month, number) != (2, 29) else _leap(today.year, wrong)
    if ahead:
        nearest = [here, *(_made(today.year + n, month, number, wrong) for n in (-1, 1) if (month, number) != (2, 29))]
        return min(nearest, key=lambda d: abs((d - today).days))
    before = here if here <= today else _made(today.year - 1, month, number, wrong)
    if before < here and (here - today).days <= SOON_DAYS:
        told = _("{day} with its year, as it is still to come in {year}").format(day=_spoken(before), year=here.year)
        raise InputError(wrong.field, wrong.found, told)
    return before


def _spoken(day: date) -> str:
    """A day that can't be taken for another."""
    return f"{day.day} {SHOWN_MONTHS[day.month - 1].capitalize()} {day.year}"


def _leap(year: int, wrong: InputError) -> date:
    """The newest 29 February up to a year."""
    return _made(year - year % 4, 2, 29, wrong)


def _made(year: int, month: int, number: int, wrong: InputError) -> date:
    try:
        return date(year, month, number)
    except ValueError:
        raise wrong from None
