"""The moment for which something is asked: its day number, and where the keeper's day begins."""

from __future__ import annotations

import datetime as dt
from datetime import datetime, timedelta, timezone

from rackview.core.clock import as_utc, day_number, from_day_number, from_text
from rackview.core.dataclass import dataclass


@dataclass(frozen=True, slots=True)
class When:
    """A moment as days since 1970-01-01T00:00Z, the last midnight where the keeper is, and the date there.

    A moment without an offset is taken as it stands, so its midnight is that of the same plain time.
    """

    day: float
    today: float
    date: dt.date
    offset: timedelta = timedelta(0)

    @property
    def at(self) -> datetime:
        """The moment as an aware datetime in UTC."""
        return from_day_number(self.day)

    @property
    def tonight(self) -> datetime:
        """The end of the keeper's day, aware UTC."""
        return from_day_number(self.today + 1.0)

    def local(self, at: datetime) -> datetime:
        """A moment in UTC as the keeper's clock shows it."""
        return at.astimezone(timezone(self.offset))

    def date_of(self, day: float) -> dt.date:
        """The keeper's date at a day number."""
        return (from_day_number(day) + self.offset).date()

    def days_ahead(self, days: int) -> dt.date:
        """The keeper's date `days` days on."""
        return self.date + timedelta(days=days)


def when(at: object) -> When:
    """Read a datetime or ISO 8601 text; raises `InputError` for anything else."""
    utc = as_utc(at)
    offset = _offset(at)
    local = utc + offset
    midnight = utc - (local - local.replace(hour=0, minute=0, second=0, microsecond=0))
    return When(day_number(utc), day_number(midnight), local.date(), offset)


def _offset(at: object) -> timedelta:
    if isinstance(at, str):
        at = from_text(at)
    if isinstance(at, datetime):
        return at.utcoffset() or timedelta(0)
    return timedelta(0)
