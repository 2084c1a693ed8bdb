"""Courses turned into places: one scale per strain, gaps at breaks, growth instead of the daily saw-tooth."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from rackview.core.clock import day_number
from rackview.core.events import Count, Harvest, Restart, Split
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.ui import trends
from rackview.ui.trends import AHEAD, PAST, LogScale, Trends

AT = datetime(2026, 5, 14, 8, 0, tzinfo=UTC)
NOW = PAST / (PAST + AHEAD)
VESSELS = (
    Vessel("Brill", "rotifer-L", "A", 1, 20.0),
    Vessel("Dab", "rotifer-L", "A", 2, 20.0),
    Vessel("Goby", "rotifer-S", "B", 1, 20.0),
)


def count(vessel: str, days_ago: float, per_ml: int, **other: object) -> Count:
    return Count(at=AT - timedelta(days=days_ago), vessel=vessel, tallies=(per_ml, per_ml), aliquot_ml=1.0, **other)


def steady(vessel: str, per_ml: int = 200) -> list:
    """Counted each morning at 07:00 and harvested half an hour later, so that it comes back to the same density."""
    made: list = []
    for day in range(1, 13):
        made += [
            count(vessel, day + 1 / 24, per_ml),
            Harvest(at=AT - timedelta(days=day, minutes=30), vessel=vessel, volume_l=6.0, refill_l=6.0),
        ]
    return made


def rack(*events) -> Rack:
    return Rack.build(VESSELS, events)


def test_log_scale_makes_equal_ratios_equal_steps() -> None:
    scale = LogScale(10.0, 1000.0)
    assert [scale.at(v) for v in (10, 100, 1000)] == pytest.approx([0, 0.5, 1])
    assert (scale.at(0.0), scale.at(-5), scale.at(1e9)) == (0.0, 0.0, 1.0)


def test_counts_harvests_and_now_stand_at_their_times() -> None:
    trend = Trends().of(rack(*steady("Brill")), AT)["Brill"]
    assert len(trend.points) == len(trend.harvests) == 12
    assert trend.points[-1][0] == pytest.approx((PAST - 1 - 1 / 24) / (PAST + AHEAD))
    assert trend.harvests[-1] == pytest.approx((PAST - 1 - 0.5 / 24) / (PAST + AHEAD))
    assert trend.last[0] == pytest.approx(NOW)
    assert [row[0] for row in trend.fan][::6] == pytest.approx([NOW, 1.0])
    assert all(a <= b <= c <= d for _, a, b, c, d in trend.fan)


def test_a_daily_harvest_does_not_make_a_saw_of_the_line() -> None:
    trend = Trends().of(rack(*steady("Brill")), AT)["Brill"]
    (line,) = trend.lines
    days = [point for point in line if point[0] > 0.3]
    assert len(days) <= 13, "one look a day"
    heights = [y for _, y in days[:-1]]
    assert max(heights) - min(heights) < 0.15


def test_splits_and_restarts_leave_gaps() -> None:
    events = [
        *steady("Brill"),
        Restart(at=AT - timedelta(days=6, hours=12), vessel="Brill", starter="starter", density_per_ml=60.0),
    ]
    trend = Trends().of(rack(*events), AT)["Brill"]
    assert len(trend.lines) == 2
    edge = (PAST - 6.5) / (PAST + AHEAD)
    assert trend.lines[0][-1][0] == pytest.approx(edge, abs=1e-3)
    assert trend.lines[1][0][0] == pytest.approx(edge, abs=1e-3)
    both = rack(
        count("Brill", 5, 200),
        count("Brill", 4, 210),
        Split(at=AT - timedelta(days=3), vessel="Brill", to_vessel="Dab", volume_l=7.0, refill_l=7.0),
        count("Brill", 2, 190),
        count("Dab", 2, 90),
    )
    parted = Trends().of(both, AT)
    assert len(parted["Brill"].lines) == 2, "the giver's line breaks"
    assert parted["Dab"].lines[0][0][0] >= (PAST - 3) / (PAST + AHEAD) - 1e-3, "the taker's begins"


def test_tiles_of_a_strain_share_one_scale_and_other_strains_have_their_own() -> None:
    events = [*steady("Brill", 200), *steady("Dab", 100), *steady("Goby", 200)]
    found = Trends().of(rack(*events), AT)
    assert found["Brill"].band == found["Dab"].band
    assert found["Brill"].band != found["Goby"].band
    high, low = found["Brill"].points[0][1], found["Dab"].points[0][1]
    assert high > low
    dense = Trends().of(rack(*events, count("Dab", 0.2, 1500)), AT)
    assert dense["Dab"].points[-1][1] > dense["Brill"].points[-1][1]
    assert dense["Brill"].band == dense["Dab"].band != found["Brill"].band, "a denser vessel stretches the scale"


def test_counts_by_stage_are_not_whole_counts() -> None:
    found = Trends().of(rack(count("Brill", 2, 100), count("Brill", 1.99, 40, stage="nauplii")), AT)
    assert len(found["Brill"].points) == 1


def test_a_vessel_without_a_history_has_no_trend() -> None:
    assert Trends().of(rack(), AT) == {}


def test_only_what_changed_is_worked_out_again(monkeypatch) -> None:
    known = Trends()
    first = rack(*steady("Brill"), *steady("Dab"))
    known.of(first, AT)
    asked: list[str] = []
    whole = trends.course
    monkeypatch.setattr(trends, "course", lambda log, *rest: (asked.append(log.vessel.vessel), whole(log, *rest))[1])
    known.of(first.record(count("Dab", 0.1, 120)), AT + timedelta(minutes=1))
    assert asked == ["Dab"]


def test_looks_are_once_a_day_before_the_harvest_and_around_breaks() -> None:
    today = day_number(AT)
    looks = trends._looks(today, [-1.04], [-1.02, -2.02], [-3.5])
    assert looks[-1] == 0.0
    assert -1.04 in looks
    assert any(abs(t + 2.02) < 1e-3 and t < -2.02 for t in looks)
    assert sum(abs(t + 3.5) < 1e-3 for t in looks) == 2
    assert all(a < b for a, b in pairwise(looks))
    assert looks[0] >= -PAST
