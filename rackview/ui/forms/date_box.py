"""A box in which a day or a moment is typed: how it is understood, and the calendar that opens below it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

from PySide6.QtCore import QLocale, Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QWidget

from rackview.core.errors import InputError
from rackview.language import _
from rackview.ui.forms import dates
from rackview.ui.forms.ask import Ask
from rackview.ui.forms.calendar import CalendarPopup
from rackview.ui.widgets.fields import with_button
from rackview.ui.words import formats


def typed_date(ask: Ask, text: str, now: datetime) -> datetime | date | None:
    """What a date field means; None where it is blank. Raises `InputError`."""
    first = dates.day_first(QLocale.system().dateFormat(QLocale.FormatType.ShortFormat))
    if ask.quantity == "moment":
        return dates.parse_moment(text, now, first=first, field=ask.column)
    return dates.parse_day(text, now.date(), first=first, field=ask.column, ahead=True) if text.strip() else None


def understood_words(ask: Ask, text: str, now: datetime) -> str:
    """How a date field is understood, in words; its hint where it is not, or blank."""
    try:
        found = typed_date(ask, text, now)
    except InputError:
        return ask.hint
    if isinstance(found, datetime):
        return formats.moment(found.astimezone(), now)
    return ask.hint if found is None else f"{formats.weekday(found)} {formats.short_date(found, now.date())}"


def with_calendar(label: QLabel, cell: QWidget, opened: Callable[[], None]) -> QHBoxLayout:
    """The label of a date field with a button that opens the calendar."""
    words, tip = _("Calendar"), _("arrow down in the field")
    return with_button(label, words, cell, opened, tip)


def open_calendar(ask: Ask, made: QLineEdit, now: datetime, edited: Callable[[], None]) -> None:
    """Let a day be picked into the field; a time of day that was typed there stays."""
    try:
        found = typed_date(ask, made.text(), now)
    except InputError:
        found = now
    shown = found.date() if isinstance(found, datetime) else found or now.date()
    popup = CalendarPopup(shown, made.parentWidget(), last=now.date() if ask.quantity == "moment" else None)

    def take(picked: date) -> None:
        clock = made.text().rpartition(" ")[2]
        made.setText(f"{picked.isoformat()} {clock}" if ":" in clock else picked.isoformat())
        edited()
        made.setFocus(Qt.FocusReason.PopupFocusReason)

    popup.chosen.connect(take)
    popup.open_below(made)
