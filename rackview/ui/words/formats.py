"""How numbers, amounts and dates are said on the rack screen: two figures, no more than a count supports."""

from __future__ import annotations

from datetime import date, datetime
from math import floor, log10

from PySide6.QtCore import QDate, QLocale, QTime

from rackview.advice.words.speech import chance_text
from rackview.core.assessment import Interval
from rackview.core.clock import calendar_days
from rackview.language import _


def decimals(value: float) -> int:
    """How many decimals show two figures of a value (0 from 10 on)."""
    if value < 0.0005 or value >= 9.95:
        return 0
    found = 1 - floor(log10(value))
    return found if round(value, found) < 10 ** (2 - found) else found - 1


def two_figures(value: float) -> str:
    """A number to two figures: 212 as 210, 9.42 as 9.4."""
    if value >= 99.5:
        step = 10 ** (floor(log10(value)) - 1)
        return f"{round(value / step) * step:.0f}"
    return f"{value:.{decimals(value)}f}"


def span(interval: Interval) -> str:
    """Both ends of an interval, the lower as fine as the upper: 180–250, 7–12."""
    low = two_figures(interval.low90)
    if decimals(interval.low90) > decimals(interval.high90) or interval.low90 <= 0:
        low = f"{max(0.0, interval.low90):.{decimals(interval.high90)}f}"
    return f"{low}–{two_figures(interval.high90)}"


def animals(number: float) -> str:
    """A number of animals in words: 4.2 million, 380 thousand, 900."""
    if number >= 9.5e8:
        return _("{n} thousand million").format(n=two_figures(number / 1e9))
    if number >= 9.95e5:
        return _("{n} million").format(n=two_figures(number / 1e6))
    if number >= 9950:
        return _("{n} thousand").format(n=two_figures(number / 1e3))
    return two_figures(number)


def animals_span(interval: Interval) -> str:
    """Both ends of a number of animals in one unit: 0.7–1.6 million."""
    unit, by = _("million"), 1e6
    if interval.high90 < 9.95e5:
        unit, by = (_("thousand"), 1e3) if interval.high90 >= 9950 else ("", 1.0)
    said = span(Interval(interval.median / by, interval.low90 / by, interval.high90 / by))
    return f"{said} {unit}".rstrip()


def animals_brief(number: float) -> str:
    """The same for letters that are read from afar: 2.6 M."""
    if number >= 9.5e4:
        return _("{n} M").format(n=two_figures(number / 1e6) if number >= 9.95e5 else f"{number / 1e6:.1f}")
    return animals(number)


def age(days: float, at: datetime) -> str:
    """How long ago, by the keeper's calendar: today, 1 d ago."""
    passed = calendar_days(days, at)
    return _("today") if passed <= 0 else _("{n} d ago").format(n=passed)


def since(days_ago: float, at: datetime) -> str:
    """How many days have passed by the keeper's calendar: today, 1 d."""
    return days(calendar_days(days_ago, at))


def days(number: float) -> str:
    """A number of whole days: 3 d."""
    if number < 1:
        return _("today")
    return _("{n} d").format(n=floor(number + 1e-9))


def weekday(day: date) -> str:
    """The day's name, such as Saturday."""
    return QLocale().toString(QDate(day.year, day.month, day.day), "dddd")


def full_date(day: date) -> str:
    """Such as Wednesday 14 May."""
    return QLocale().toString(QDate(day.year, day.month, day.day), _("dddd d MMMM"))


def clock(at: datetime) -> str:
    """Hours and minutes, such as 07:42."""
    return QLocale().toString(QTime(at.hour, at.minute), "HH:mm")


def chance(value: float) -> str:
    """A chance as people say it: about 1 in 8."""
    return chance_text(value)


def chance_brief(value: float) -> str:
    """The same where there is little room, beside a legend that says of what: 1 in 8."""
    return chance_text(value).removeprefix(_("about ")).removeprefix(_("nearly "))


def percent_of(share: float) -> str:
    """A measured share in whole percent: 28 %."""
    return _("{n} %").format(n=f"{share * 100:.0f}")


def short_date(day: date, today: date) -> str:
    """Such as today, 14 May, or 14 May 2025 for another year."""
    if day == today:
        return _("today")
    form = "d MMM" if day.year == today.year else _("d MMM yyyy")
    return QLocale().toString(QDate(day.year, day.month, day.day), form)


def moment(at: datetime, now: datetime) -> str:
    """A day and a time, as near as it can be said: today 07:42, Tuesday 07:42, 14 May 07:42."""
    passed = (now.date() - at.date()).days
    day = _("yesterday") if passed == 1 else weekday(at.date()) if 1 < passed < 7 else short_date(at.date(), now.date())
    return f"{day} {clock(at)}"


def sentence(text: str) -> str:
    """The text with a capital at its head and a stop at its end; pH stays pH."""
    head = text if text.startswith("pH") else text[:1].upper() + text[1:]
    return head if head.endswith((".", "?", "!")) else head + "."


def signed(rate: float) -> str:
    """A rate with its sign, the minus as long as the plus."""
    text = f"{rate:+.2f}"
    return "0.00" if float(text) == 0.0 else text.replace("-", "−")


def ordinal(number: int) -> str:
    """A place in an order: 1st, 2nd, 3rd, 4th."""
    return {1: _("1st"), 2: _("2nd"), 3: _("3rd")}.get(number, _("{n}th").format(n=number))
