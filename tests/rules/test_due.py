"""Counts, tests and cleaning: due by the keeper's days, sooner in trouble, never twice a day."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from scipy.stats import norm

from rackview.core.profile import strains
from rackview.rules.due import clean_due, count_due, water_test_due, whole_days
from rackview.rules.findings import finding

Z90 = norm.ppf(0.95)
L = strains()["rotifer-L"]


def code(found):
    return None if found is None else found.code


@pytest.mark.parametrize(("then", "today", "days"), [(10.3, 10.0, 0), (9.99, 10.0, 1), (9.0, 10.0, 1), (8.9, 10.0, 2)])
def test_days_are_the_keepers_midnights(then, today, days):
    assert whole_days(then, today) == days


@pytest.mark.parametrize(
    ("day", "expected"), [(0.2, None), (1.0, None), (2.0, "count_interval"), (1.7, "count_interval")]
)
def test_a_count_is_due_on_its_day_at_whatever_hour(vessel_view, count, day, expected):
    assert code(count_due(vessel_view([count()], day=day), ())) == expected


def test_first_count(vessel_view, count):
    assert code(count_due(vessel_view(), ())) == "first_count"
    fed = {"kind": "feed", "feed": "x", "amount": 1}
    assert code(count_due(vessel_view([fed], day=0.1), ())) == "first_count"
    assert count_due(vessel_view([count(), {"day": 0.1, "kind": "rest"}], day=3.0), ()) is None


@pytest.mark.parametrize(("hungry", "said"), [(0.0, "count_interval"), (0.9, "count_interval"), (1.0, "unfed")])
def test_a_count_after_days_without_anybody_says_so(vessel_view, count, believed, hungry, said):
    view = vessel_view([count()], day=4.0, estimate=believed(hungry_days=hungry))
    due = count_due(view, ())
    assert (due.code, due.routine) == (said, said == "count_interval")
    old = count_due(view, (finding("count_old", 3.0, "e"),))
    assert (old.code, old.why) == (said, "count_old")


@pytest.mark.parametrize("per_ml", [0.2, 200.0])
@pytest.mark.parametrize(("width", "asks"), [(2.9, None), (3.1, "doubt")])
def test_a_density_known_to_a_factor_of_three_is_counted_a_day_early(vessel_view, count, believed, per_ml, width, asks):
    doubted = believed(per_ml=per_ml, sd=math.log(width) / (2 * Z90))
    assert code(count_due(vessel_view([count()], day=1.0, estimate=doubted), ())) == asks


def test_trouble_asks_for_a_count_sooner_but_not_twice_a_day(vessel_view, count):
    trouble = (finding("drop", 0.0, "e"),)
    assert count_due(vessel_view([count()], day=0.1), trouble) is None
    assert code(count_due(vessel_view([count()], day=1.0), trouble)) == "recount"
    late = count_due(vessel_view([count()], day=4.0), (finding("count_old", 3.0, "e"),))
    assert (late.code, late.why, late.routine) == ("count_interval", "count_old", False), "nothing to doubt"
    assert count_due(vessel_view([count(0.9), count(1.0)], day=1.1), trouble) is None, "it stood before today"


@pytest.mark.parametrize(
    ("code_", "counts", "since", "asks"),
    [
        ("drop", (1.1,), 1.1, True),
        ("eggs_low", (1.1,), 1.1, True),
        ("misfit", (1.1,), 1.1, True),
        ("clumped", (1.1,), 1.1, True),
        ("eggs_held", (1.1,), 1.1, False),  # no suspicion: nothing is held back for it
        ("swimming", (1.1,), 1.1, False),  # not a matter of counting
        ("drop", (1.1,), 0.6, False),  # not new today
        ("drop", (1.1, 1.15), 1.1, False),  # counted twice already
    ],
)
def test_a_count_that_raises_a_doubt_is_repeated_at_once_and_only_once(vessel_view, count, code_, counts, since, asks):
    view = vessel_view([count(c) for c in counts], day=1.2)
    base = view.day - 1.2
    found = count_due(view, (finding(code_, base + since, "e"),))
    assert (found is not None) is asks
    if found is not None:
        assert (found.code, found.why, found.days, found.routine) == ("recount", code_, 0, False)
    shelved = count_due(view, (replace(finding(code_, base + since, "e"), state="shelved"),))
    assert shelved is None


def test_doubt_asks_for_a_count(vessel_view, count, believed):
    assert code(count_due(vessel_view([count()], day=1.0, estimate=believed(sd=0.5)), ())) == "doubt"
    few = vessel_view([count(tallies="3 2 4")], day=1.0, estimate=believed(sd=0.5))
    assert code(count_due(few, ())) == "few"
    assert count_due(vessel_view([count()], day=1.0, estimate=believed(sd=0.2)), ()) is None


def reading(day):
    return {"day": day, "kind": "reading", "temperature_c": 25.0}


@pytest.mark.parametrize(("day", "expected"), [(6.0, None), (7.0, "test_interval"), (8.0, "test_interval")])
def test_water_is_tested_by_its_interval(vessel_view, count, day, expected):
    assert L.test_days == 7.0
    assert code(water_test_due(vessel_view([count(), reading(0.0)], day=day), ())) == expected


def test_never_tested_is_told_after_two_days(vessel_view, count):
    assert water_test_due(vessel_view([count()], day=1.0), ()) is None
    assert code(water_test_due(vessel_view([count()], day=2.0), ())) == "never_tested"


def test_trouble_asks_for_a_test_unless_there_is_a_fresh_one(vessel_view, count):
    trouble = (finding("falling", 0.0, "e"),)
    assert code(water_test_due(vessel_view([count()], day=0.1), trouble)) == "trouble"
    assert water_test_due(vessel_view([count(), reading(0.0)], day=1.0), trouble) is None
    assert code(water_test_due(vessel_view([count(), reading(0.0)], day=2.0), trouble)) == "trouble"


def cleaned(day, what="floss"):
    return {"day": day, "kind": "clean", "what": what}


@pytest.mark.parametrize(("day", "expected"), [(2.0, None), (3.0, "floss_days")])
def test_floss_by_days_without_recorded_feeding(vessel_view, count, day, expected):
    assert L.floss_days == 3.0
    assert code(clean_due(vessel_view([count(), cleaned(0.0)], day=day), ())) == expected


def test_heavy_feeding_means_every_couple_of_days(vessel_view, count):
    # rinse the floss every couple of days when feeding is heavy: common practice, no source
    grams = 1.5 * L.heavy_feed_g_per_l_day * 20.0
    feeds = [{"day": 0.1 + d, "kind": "feed", "feed": "x", "amount": grams / 0.1} for d in range(2)]
    assert L.floss_days_heavy == 2.0
    view = vessel_view([count(), cleaned(0.0), *feeds], day=2.0)
    assert code(clean_due(view, ())) == "floss_heavy"
    assert clean_due(vessel_view([count(), cleaned(0.0), *feeds[:1]], day=1.0), ()) is None


def test_trouble_cleans_floss_then_walls_and_air_for_want_of_oxygen(vessel_view, count):
    foul = (finding("ammonia", 0.0, "e"),)
    found = clean_due(vessel_view([count(), cleaned(-3.0)], day=0.0), foul)
    assert (found.code, found.what, found.why) == ("dirty", "floss", "ammonia")
    found = clean_due(vessel_view([count(), cleaned(-2.0)], day=0.0), foul)
    assert found.what == "vessel"
    found = clean_due(vessel_view([count(), cleaned(-2.0)], day=0.0), (finding("oxygen", 0.0, "e"),))
    assert found.what == "airline"


def test_walls_and_air_line_have_a_longest_interval(vessel_view, count):
    """They are cleaned on a day on which hands go in for the floss anyway."""
    recent = [cleaned(26.0), {"day": 0.0, "kind": "clean", "what": "vessel"}]
    found = clean_due(vessel_view([count(), *recent], day=30.0), ())
    assert found.what == "airline"
    found = clean_due(vessel_view([count(), *recent, cleaned(29.0, "airline")], day=30.0), ())
    assert found.what == "vessel"


def test_the_longest_intervals_of_walls_and_air_line_are_the_keepers_own(vessel_view, count):
    def due(**profile):
        rinsed = [{"day": 6.0, "kind": "clean", "what": "floss"}]
        done = [{"day": 0.0, "kind": "clean", "what": what} for what in ("vessel", "airline")]
        found = clean_due(vessel_view([count(), *done, *rinsed], day=10.0, profile=profile), ())
        return None if found is None else found.what

    assert due() == "floss"
    assert due(vessel_days=10.0) == "vessel"
    assert due(airline_days=10.0) == "airline"
