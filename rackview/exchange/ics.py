"""Days to come as an iCalendar file that every calendar reads (RFC 5545)."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta

from rackview.core.dataclass import dataclass

FOLD = 75
"""Octets of a line after which it goes on in the next (RFC 5545, 3.1)."""
_ESCAPES = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n", "\r": None})


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """One whole day: what it is of (which keeps its place when the day moves), its title, more to say."""

    of: str
    day: date
    title: str
    more: str = ""


def icalendar_text(days: Iterable[CalendarDay], name: str, now: datetime) -> str:
    """The text of an iCalendar file with these days; `now` (aware) is when it was made.

    The identity of a day comes from what it is of, so that a newer file moves it where a calendar knows it already.
    """
    stamp = f"{now.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//rackview//EN",
        "CALSCALE:GREGORIAN",
        f"X-WR-CALNAME:{_text(name)}",
    ]
    for one in days:
        lines += [
            "BEGIN:VEVENT",
            f"UID:{hashlib.sha256(one.of.encode()).hexdigest()[:32]}",
            f"DTSTAMP:{stamp}",
            f"DTSTART;VALUE=DATE:{one.day:%Y%m%d}",
            f"DTEND;VALUE=DATE:{one.day + timedelta(days=1):%Y%m%d}",
            f"SUMMARY:{_text(one.title)}",
            *([f"DESCRIPTION:{_text(one.more)}"] if one.more else []),
            "TRANSP:TRANSPARENT",
            "END:VEVENT",
        ]
    return "".join(_folded(line) for line in [*lines, "END:VCALENDAR"])


def _text(text: str) -> str:
    plain = "".join(c for c in text if c == "\n" or c == "\t" or c.isprintable())
    return plain.translate(_ESCAPES)


def _folded(line: str) -> str:
    """The line in pieces of at most 75 octets, each after the first begun by a space; no letter is cut."""
    pieces, piece, length = [], "", 0
    for letter in line:
        size = len(letter.encode())
        if length + size > FOLD:
            pieces.append(piece)
            piece, length = " ", 1
        piece += letter
        length += size
    return "\r\n".join([*pieces, piece]) + "\r\n"
