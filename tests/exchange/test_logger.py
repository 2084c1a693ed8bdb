"""Files of loggers: a preamble, a time zone, gaps; the day's mean is recorded, its low and high told beside it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from rackview.core import events as ev
from rackview.core.clock import as_utc
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.exchange.draft import ImportDraft, draft_of, read_bytes

NOW = datetime(2026, 3, 10, 8, tzinfo=UTC)
FIRST = datetime(2026, 3, 1, tzinfo=UTC)
RACK = Rack.build([Vessel("A1", "rotifer-L", "A", 1, 20.0), Vessel("A2", "rotifer-L", "A", 2, 20.0)])
PREAMBLE = "Device: shelf probe\nSerial: 0042\nInterval: 10 min\n\n"
HEAD = "Date Time,Temp (°C)\n"


def rows(hours: list[float]) -> list[tuple[datetime, float]]:
    """A value at each hour from the first day on: 24 degrees at midnight, a tenth more each hour until the next."""
    return [(FIRST + timedelta(hours=h), 24.0 + 0.1 * (h % 24)) for h in hours]


def draft(text: str, answers: dict[str, str], rack: Rack = RACK) -> ImportDraft:
    return draft_of(read_bytes(text.encode(), "probe.csv"), rack, NOW, as_utc, {"": answers})


def table(values: list[tuple[datetime, float]], head: str = HEAD) -> str:
    return PREAMBLE + head + "".join(f"{at:%Y-%m-%d %H:%M:%S},{value:.2f}\n" for at, value in values)


def readings(found: ImportDraft) -> list[ev.Reading]:
    assert [q.text for q in found.open] == []
    assert [str(line) for line in found.intake.refused] == []
    return [e for e in found.intake.events if isinstance(e, ev.Reading)]


A1 = {"vessel": "A1"}


def test_two_days_become_two_readings() -> None:
    found = readings(draft(table(rows([h / 6 for h in range(288)])), A1))
    assert [(e.at, e.vessel) for e in found] == [(datetime(2026, 3, d, 12, tzinfo=UTC), "A1") for d in (1, 2)]
    assert found[0].temperature_c == pytest.approx(24 + 0.1 * (24 - 1 / 6) / 2, abs=0.01)
    assert found[0].note == "day's low to high: temperature 24 to 26.38; 144 values, 00:00 to 23:50"


def test_every_value_where_the_keeper_wants_them() -> None:
    text = table(rows([float(h) for h in range(48)]))
    assert len(readings(draft(text, {**A1, "logger": "every value"}))) == 48


def test_a_zone_in_the_header_moves_the_times_and_fahrenheit_is_converted() -> None:
    warm = [(at, 1.8 * v + 32) for at, v in rows([float(h) for h in range(24)])]
    (one,) = readings(draft(table(warm, '"Date Time, GMT-05:00","Temp, °F"\n'), A1))
    assert one.at == datetime(2026, 3, 1, 17, tzinfo=UTC)
    assert one.temperature_c == pytest.approx(25.15, abs=0.01)


def test_a_gap_is_told_and_nothing_is_put_into_it() -> None:
    hours = [float(h) for h in (*range(8), *range(72, 96))]
    found = readings(draft(table(rows(hours)), A1))
    assert [e.at.day for e in found] == [1, 4]
    assert found[0].note.endswith("8 values, 00:00 to 07:00")


def test_several_values_of_several_vessels_and_a_few_a_day_by_hand() -> None:
    text = "Date,Time,Vessel,Temp (C),pH,DO (mg/L)\n" + "".join(
        f"2026-03-01,{h:02}:00,A{v},{24 + v},{8 + 0.01 * h:.2f},6\n" for h in range(12) for v in (1, 2)
    )
    found = readings(draft(text, {}))
    assert sorted((e.vessel, e.temperature_c, e.ph, e.oxygen_mg_l) for e in found) == [
        ("A1", 25.0, 8.055, 6.0),
        ("A2", 26.0, 8.055, 6.0),
    ]
    by_hand = "Date,Time,Vessel,Temp (C)\n2026-03-01,08:00,A1,24\n2026-03-01,18:00,A1,25\n"
    assert [e.temperature_c for e in readings(draft(by_hand, {}))] == [24.0, 25.0]


def test_the_same_file_again_adds_nothing() -> None:
    text = table(rows([float(h) for h in range(48)]))
    first = draft(text, A1).intake
    assert draft(text, A1, RACK.record(*first.events)).intake.count("taken") == 0
