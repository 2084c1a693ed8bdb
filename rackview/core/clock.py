"""Moments: aware UTC inside, a running day number for arithmetic, ISO 8601 at the edges.

Nothing here reads a clock; a moment is always handed in.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

from rackview.core.errors import InputError
from rackview.language import _

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
SECONDS_PER_DAY = 86_400.0
ONE_DIGIT = re.compile(r"^(\d{4}-\d\d-\d\d)[T ](\d)(?=:)")
WANTED = _("a date and time such as 2026-03-01T08:00")
WANTED_DATE = _("a date such as 2026-03-01")
FIRST_YEAR, LAST_YEAR = 1900, 2199
"""What a keeper can mean: 0026 for 2026 is a slip, and within them no reckoning runs off the calendar's ends."""
YEARS = _("a year from {first_year} to {last_year}").format(first_year=FIRST_YEAR, last_year=LAST_YEAR)


def as_utc(value: object, field: str = "at") -> datetime:
    """Return `value` (datetime, pandas Timestamp, numpy datetime64 or ISO 8601 text) as an aware datetime in UTC.

    Raises `InputError` for anything else, and for a year outside 1900 to 2199. A value without an offset is taken as
    it stands, so that a rack built from plain times gives the same answer on any machine; the command line and the
    window attach the local offset before they come here.
    """
    if type(value).__name__ == "datetime64":  # numpy's own, which writes itself as ISO 8601
        value = str(value)
    if isinstance(value, str):
        try:
            value = from_text(value)
        except ValueError:
            raise InputError(field, value, WANTED) from None
    if isinstance(value, datetime):
        if value != value:  # pandas' NaT calls itself a datetime
            raise InputError(field, None, WANTED)
        _in_reach(value, field)
        if value.tzinfo is None:
            return datetime(*value.timetuple()[:6], value.microsecond, tzinfo=UTC)
        utc = value.astimezone(UTC)
        if type(utc) is datetime:
            return utc
        return datetime(*utc.timetuple()[:6], utc.microsecond, tzinfo=UTC)
    if isinstance(value, date):
        _in_reach(value, field)
        return datetime(value.year, value.month, value.day, tzinfo=UTC)
    raise InputError(field, value, WANTED)


def from_text(text: str) -> datetime:
    """The moment that ISO 8601 text says, or one with the hour in one digit, as spreadsheets write it: 2026-03-01 8:00.

    Raises `ValueError` for any other text.
    """
    text = text.strip()
    return datetime.fromisoformat(ONE_DIGIT.sub(r"\1T0\2", text) if text[12:13] == ":" else text)


def as_date(value: object, field: str = "date") -> date:
    """Return `value` (date, datetime or ISO 8601 text) as a calendar date; a time of day is left out.

    Raises `InputError` for anything else, and for a year outside 1900 to 2199.
    """
    given = value
    if type(value).__name__ == "datetime64":
        value = str(value)
    if isinstance(value, str):
        try:
            value = from_text(value)
        except ValueError:
            raise InputError(field, given, WANTED_DATE) from None
    if isinstance(value, date):  # a datetime is one too
        if value != value:  # pandas' NaT
            raise InputError(field, None, WANTED_DATE)
        _in_reach(value, field)
        return date(value.year, value.month, value.day)
    raise InputError(field, given, WANTED_DATE)


def _in_reach(value: date, field: str) -> None:
    if not FIRST_YEAR <= value.year <= LAST_YEAR:
        raise InputError(field, value, YEARS)


def day_number(at: datetime) -> float:
    """Days since 1970-01-01T00:00Z as a float; `at` must be aware."""
    since = at - EPOCH
    return since.days + (since.seconds + since.microseconds / 1e6) / SECONDS_PER_DAY


def calendar_days(days: float, at: datetime) -> int:
    """How many of the midnights on the calendar of `at` lie between `days` before it and `at` itself."""
    return (at.date() - (at - timedelta(days=days)).date()).days


def from_day_number(day: float) -> datetime:
    """The inverse of `day_number`, to the microsecond."""
    return EPOCH + timedelta(days=day)
