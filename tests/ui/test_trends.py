"""Courses turned into places: a scale of its own for each vessel, gaps at breaks, steps at harvests."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from math import log

import pytest

from rackview.core.clock import day_number
from rackview.core.events import Count, Harvest, Restart, Split
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state.past import Lately, looks
from rackview.ui.rack import trends
from rackview.ui.rack.trends import AHEAD, PAST, LogScale, Trends, courses

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


def test_counts_and_now_stand_at_their_times() -> None:
    trend = Trends().of(rack(*steady("Brill")), AT)["Brill"]
    assert len(trend.points) == 12
    assert trend.points[-1][0] == pytest.approx((PAST - 1 - 1 / 24) / (PAST + AHEAD))
    assert trend.last[0] == pytest.approx(NOW)
    assert [row[0] for row in trend.fan][::6] == pytest.approx([NOW, 1.0])
    assert all(a <= b <= c <= d for _, a, b, c, d in trend.fan)


def test_a_harvest_is_a_step_down_as_high_as_what_was_taken() -> None:
    of = rack(*steady("Brill"))
    trend = Trends().of(of, AT)["Brill"]
    (line,) = trend.lines
    steps = [(b[0], b[1] - a[1]) for a, b in pairwise(line) if b[0] - a[0] < 1e-4]
    assert len(steps) == 12
    scale = courses(of, ["Brill"], AT)[0].scale(of.profile("Brill"))
    taken = log(0.7) / log(scale.high / scale.low)
    assert [height for _, height in steps[-5:]] == pytest.approx([taken] * 5, rel=0.02)
    assert steps[-1][0] == pytest.approx((PAST - 1 - 0.5 / 24) / (PAST + AHEAD), abs=1e-4)


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


def test_each_vessel_has_a_scale_that_its_course_uses() -> None:
    events = [*steady("Brill", 200), *steady("Dab", 100)]
    found = Trends().of(rack(*events), AT)
    other = Trends().of(rack(*events, count("Dab", 0.2, 1500)), AT)
    assert other["Brill"] == found["Brill"], "what another vessel does changes nothing"
    for trend in found.values():
        heights = [y for line in trend.lines for _, y in line]
        assert max(heights) - min(heights) > 0.2, "a daily harvest of a third is no thread"
        assert all(0.0 < y < 1.0 for y in heights)


def test_a_quiet_culture_is_not_blown_up_and_the_band_shows_where_the_culture_is_far_from_it() -> None:
    """The band of rotifer-L is 120 to 300 per mL."""
    quiet = Trends().of(rack(*[count("Brill", k, 200 + k % 2) for k in range(1, 12)]), AT)["Brill"]
    heights = [y for _, y in quiet.points]
    assert max(heights) - min(heights) < 0.01
    low, high = quiet.band
    assert 0.0 <= low < high <= 1.0
    for per_ml in (8, 2400):
        far = Trends().of(rack(*[count("Brill", k, per_ml) for k in range(1, 12)]), AT)["Brill"]
        low, high = far.band
        assert (low < 1.0) if per_ml < 100 else (high > 0.0), "an edge of the band is there"


def test_a_wide_fan_is_cut_rather_than_the_line_made_flat() -> None:
    trend = Trends().of(rack(count("Brill", 12, 200), count("Brill", 11, 60)), AT)["Brill"]
    assert trend.points[0][1] - trend.points[1][1] > 0.2
    assert min(row[1] for row in trend.fan) == 0.0


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
    whole = trends.courses
    monkeypatch.setattr(trends, "courses", lambda of, names, at: (asked.extend(names), whole(of, names, at))[1])
    known.of(first.record(count("Dab", 0.1, 120)), AT + timedelta(minutes=1))
    assert asked == ["Dab"]


def test_looks_are_once_a_day_and_around_harvests_and_breaks() -> None:
    now = day_number(AT)
    known = Lately(now - PAST, ((now - 1.04, 200.0),), (now - 2.02, now - 1.02), (now - 3.5,))
    found = looks(now, 0.0, known)
    assert found[-1] == now
    assert now - 1.04 in found
    assert all(sum(abs(t - now - move) < 1e-3 for t in found) == 2 for move in (-1.02, -2.02, -3.5))
    assert len(found) == 1 + 1 + 6 + 11, "now, the count, both sides of what was moved, and the days without either"
    assert all(a < b for a, b in pairwise(found))
    assert found[0] >= now - PAST
    later = looks(now + 0.1, 0.0, known)
    assert found[:-1] == later[:-1], "later in the day the same days are looked at again"
