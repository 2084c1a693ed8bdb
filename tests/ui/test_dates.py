"""Days and times as a keeper writes them; one that can be two days is asked about."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.errors import InputError
from rackview.ui.forms.dates import day_first, parse_day, parse_moment

NOW = datetime(2026, 5, 14, 7, 42, 31, tzinfo=UTC)  # a Thursday
TODAY = NOW.date()


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("today", "2026-05-14"), ("Yesterday", "2026-05-13"), ("3 days ago", "2026-05-11"), ("mon", "2026-05-11"),
        ("thursday", "2026-05-07"), ("2026-05-01", "2026-05-01"), ("3 Apr", "2026-04-03"), ("April 3", "2026-04-03"),
        ("20 Dec", "2025-12-20"), ("3 apr 2025", "2025-04-03"), ("3.4.", "2026-04-03"), ("3.4.25", "2025-04-03"),
        ("13/5", "2026-05-13"), ("5/13", "2026-05-13"), ("5/13/2026", "2026-05-13"), ("4/4", "2026-04-04"),
        ("10/5", "2026-05-10"), ("29 feb", "2024-02-29"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("first", [True, False])
def test_a_day_is_understood_as_it_is_written(text: str, wanted: str, first: bool) -> None:
    if text == "10/5":  # 10 May has been, 5 October of last year too
        with pytest.raises(InputError, match="5 Oct 2025"):
            parse_day(text, TODAY, first=first)
        return
    assert parse_day(text, TODAY, first=first) == date.fromisoformat(wanted)


@pytest.mark.parametrize("text", ["3/4", "03/04/2026", "3-4-26"])
def test_a_date_that_can_be_two_days_is_asked_about_the_systems_own_first(text: str) -> None:
    with pytest.raises(InputError, match="3 Apr 2026 or 4 Mar 2026, with the month in letters"):
        parse_day(text, TODAY, first=True)
    with pytest.raises(InputError, match="4 Mar 2026 or 3 Apr 2026"):
        parse_day(text, TODAY, first=False)


def test_a_reading_that_is_still_to_come_is_not_meant_by_what_has_happened() -> None:
    assert parse_day("6/5/2026", TODAY, first=True) == date(2026, 5, 6), "5 June is still to come"
    with pytest.raises(InputError):
        parse_day("6/5/2026", TODAY, first=True, ahead=True)


@pytest.mark.parametrize("text", ["3 Jun", "june 3", "3.6.", "3 jun 7:30"])
def test_a_day_soon_to_come_is_not_taken_for_that_of_last_year(text: str) -> None:
    with pytest.raises(InputError, match="needs 3 Jun 2025 with its year, as it is still to come in 2026"):
        parse_moment(text, NOW, first=True)
    assert parse_day("3 Jun 2025", TODAY, first=True) == date(2025, 6, 3)
    assert parse_day("3 Jun", TODAY, first=True, ahead=True) == date(2026, 6, 3)
    assert parse_day("6/5", TODAY, first=False) == date(2026, 5, 6), "5 June is still to come"


@pytest.mark.parametrize("text", ["31 feb", "the other day", "13/13", "0/5", "2026-13-01", "smarch 3", "7"])
def test_what_is_no_day_is_named(text: str) -> None:
    with pytest.raises(InputError, match="a day such as yesterday"):
        parse_day(text, TODAY, first=True)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", "2026-05-14 07:42:31"), ("now", "2026-05-14 07:42:31"), ("7:30", "2026-05-14 07:30"),
        ("yesterday 18:05", "2026-05-13 18:05"), ("yesterday, 6:05 pm", "2026-05-13 18:05"),
        ("2026-05-01 07:30", "2026-05-01 07:30"), ("2026-05-01T07:30:15", "2026-05-01 07:30:15"),
        ("3.4. 7:30", "2026-04-03 07:30"), ("yesterday", "2026-05-13 07:42"), ("3 Apr 12:00 am", "2026-04-03 00:00"),
    ],
)  # fmt: skip
def test_a_moment_is_understood(text: str, wanted: str) -> None:
    assert parse_moment(text, NOW, first=True) == datetime.fromisoformat(wanted).replace(tzinfo=UTC)


def test_a_time_that_is_none_is_named() -> None:
    with pytest.raises(InputError, match="0:00 to 23:59"):
        parse_moment("yesterday 25:10", NOW, first=True)


def test_the_systems_order_is_read_off_its_short_format() -> None:
    assert day_first("dd.MM.yyyy")
    assert day_first("d/M/yy")
    assert not day_first("M/d/yy")
    assert not day_first("yyyy-MM-dd")


@given(on=st.dates(date(2000, 1, 1), TODAY), first=st.booleans())
def test_every_day_can_be_written_without_a_doubt(on: date, first: bool) -> None:
    assert parse_day(on.isoformat(), TODAY, first=first) == on
    assert parse_day(f"{on.day}.{on.month}.{on.year}", TODAY, first=first) == on
    assert parse_day(f"{on:%d %B %Y}", TODAY, first=first) == on
    if TODAY - on < timedelta(days=360) and (on.month, on.day) != (2, 29):
        assert parse_day(f"{on:%d %b}", TODAY, first=first) == on
