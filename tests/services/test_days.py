"""The days to come as a calendar file, read back by a library that knows RFC 5545."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import icalendar
from hypothesis import given
from hypothesis import strategies as st

from rackview.core.events import Clean, Count, Feed
from rackview.core.rack import Rack
from rackview.core.tables import Brood, Stock
from rackview.core.vessel import Vessel
from rackview.exchange.ics import FOLD, CalendarDay, icalendar_text
from rackview.services.days import days_to_come, give_days

NOW = datetime(2026, 5, 14, 8, tzinfo=UTC)


def rack() -> Rack:
    events = [Clean(at=NOW - timedelta(days=1), vessel="A1", what="floss")]
    for day in range(6):
        at = NOW - timedelta(days=day)
        events += [
            Count(at=at, vessel="A1", tallies=(98, 104)),
            Feed(at=at, vessel="A1", feed="paste; the green, thick one", amount=10.0),
        ]
    return Rack.build(
        [Vessel("A1", "rotifer-L", "A", 1, 20.0), Vessel("A2", "rotifer-L", "A", 2, 20.0)],
        events,
        stock=[
            Stock(
                "paste; the green, thick one", dry_g_per_ml=0.08, amount=500.0, opened=date(2026, 5, 1), delivery_days=4
            )
        ],
        broods=[
            Brood("May", "anemonefish", "rotifer-L", spawned=date(2026, 5, 10)),
            Brood("April", "anemonefish", "rotifer-L", hatched=date(2026, 4, 10)),
        ],
    )


def test_hatching_ordering_and_cleaning_days_are_in_the_calendar(tmp_path) -> None:
    group = rack().groups["anemonefish"]
    read = icalendar.Calendar.from_ical(give_days(rack(), tmp_path, NOW).read_bytes())
    days = {str(e["SUMMARY"]): e["DTSTART"].dt for e in read.walk("VEVENT")}
    assert days["May hatches"] == date(2026, 5, 10) + timedelta(days=round(group.hatch_days))
    assert "April hatches" not in days
    floss = next(d for title, d in days.items() if title == "A1 A1: rinse the floss")
    assert NOW.date() <= floss <= NOW.date() + timedelta(days=14)
    assert NOW.date() < days["Order paste; the green, thick one"] < NOW.date() + timedelta(days=60)
    assert not any("A2" in title for title in days), "a vessel that was never stocked"


def test_by_when_a_culture_must_be_started_and_a_starter_ordered_is_in_the_calendar() -> None:
    from rackview import plan

    for tank_l in (100.0, 150.0, 200.0, 250.0, 300.0, 400.0):
        hatch = NOW.date() + timedelta(days=12)
        asked = replace(rack(), broods=(Brood("June", "anemonefish", hatched=hatch, tank_l=tank_l, larvae=300),))
        (one,) = plan(asked, NOW, 21).broods
        found = {d.title: d.day for d in days_to_come(asked, NOW)}
        assert ("Start one more rotifer-L" in found) == (one.last_safe is not None)
        if one.last_safe is not None:
            assert found["Start one more rotifer-L"] == one.last_safe
            assert found.get("Order a starter of rotifer-L") == (one.order_by if one.order_by >= NOW.date() else None)
            return
    raise AssertionError("no brood of these sizes could be helped")


def test_a_newer_file_moves_a_day_and_does_not_double_it() -> None:
    first, then = (
        icalendar_text([CalendarDay("hatch May", day, "May hatches")], "R", NOW)
        for day in (NOW.date(), date(2026, 6, 1))
    )
    uids = {next(iter(icalendar.Calendar.from_ical(t).walk("VEVENT")))["UID"] for t in (first, then)}
    assert len(uids) == 1


@given(st.text(max_size=120), st.text(max_size=200), st.dates(date(1990, 1, 1), date(2100, 1, 1)))
def test_any_words_stay_within_the_lines_of_the_standard(title: str, more: str, day: date) -> None:
    text = icalendar_text([CalendarDay("x", day, title, more)], "Rack", NOW)
    assert all(len(line.encode("utf-8", "surrogatepass")) <= FOLD for line in text.split("\r\n"))
    assert text.endswith("END:VCALENDAR\r\n")
    (event,) = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert event["DTSTART"].dt == day
    assert str(event.get("SUMMARY", "")) == "".join(c for c in title if c in "\n\t" or c.isprintable())


def test_what_is_overdue_stands_at_today() -> None:
    late = rack().record(Clean(at=NOW - timedelta(days=60), vessel="A2", what="floss"))
    assert all(d.day >= NOW.date() for d in days_to_come(late, NOW))
