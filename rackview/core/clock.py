"""Moments: aware UTC inside, a running day number for arithmetic, ISO 8601 at the edges.

Nothing here reads a clock; a moment is always handed in.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from rackview.core.errors import InputError

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
SECONDS_PER_DAY = 86_400.0
WANTED = "a date and time such as 2026-03-01T08:00"


def as_utc(value: object, field: str = "at") -> datetime:
    """Return `value` (datetime, pandas Timestamp or ISO 8601 text) as an aware datetime in UTC.

    A value without an offset is taken as it stands, so that a rack built from plain times gives the same answer on
    any machine; the command line and the window attach the local offset before they come here.
    """
    if isinstance(value, str):
        try:
            value = datetime.fromisoformat(value.strip())
        except ValueError:
            raise InputError(field, value, WANTED) from None
    if isinstance(value, datetime):
        if value != value:  # pandas' NaT calls itself a datetime
            raise InputError(field, None, WANTED)
        if value.tzinfo is None:
            return datetime(*value.timetuple()[:6], value.microsecond, tzinfo=UTC)
        try:
            utc = value.astimezone(UTC)
        except OverflowError:
            raise InputError(field, value, WANTED) from None
        return datetime(*utc.timetuple()[:6], utc.microsecond, tzinfo=UTC)
    if isinstance(value, date):
        return datetime(value.year, value.month, value.day, tzinfo=UTC)
    raise InputError(field, value, WANTED)


def as_date(value: object, field: str = "date") -> date:
    """Return `value` (date, datetime or ISO 8601 text) as a calendar date."""
    if isinstance(value, datetime):
        if value != value:
            raise InputError(field, None, "a date such as 2026-03-01")
        return date(value.year, value.month, value.day)
    if isinstance(value, date):
        return value
    if isinstance(value, str):
        try:
            return date.fromisoformat(value.strip()[:10])
        except ValueError:
            pass
    raise InputError(field, value, "a date such as 2026-03-01")


def day_number(at: datetime) -> float:
    """Days since 1970-01-01T00:00Z as a float; `at` must be aware."""
    since = at - EPOCH
    return since.days + (since.seconds + since.microseconds / 1e6) / SECONDS_PER_DAY


def moment(day: float) -> datetime:
    """The inverse of `day_number`, to the microsecond."""
    return EPOCH + timedelta(days=day)
