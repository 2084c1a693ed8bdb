"""What the planner's numbers are by their own words: shares and chances lie between 0 and 1, spreads above 0."""

from __future__ import annotations

from rackview.planner import constants as c

SHARES = (
    "MET_LINE", "THRIFT", "LATER_LESS", "LINE", "SAFE", "LEFT_SHARE", "LEFT_STOCK", "SEED_SHARE", "STRAIN_SHARE",
    "EMPTY_SHARE", "LEAST_GONE", "SHARE_MOST", "SHARE_OVER", "DENSE", "CAUGHT", "MEMORY", "SHARED", "ALIKE", "SWIFT",
    "DEPTH", "SHARED_PER_DAY", "SHARED_HITS", "CROWD_HAZARD", "OVER_CEILING", "LEAST_FILL", "HATCH_SHIFT", "EARLY",
    "BUILT_FOR", "HEIGHT", "RAMP", "FADES", "NEAR", "NEAR_WIDTH", "SICK_GROWTH", "WEAK_GROWTH", "MENDS", "GONE",
    "GONE_GROWTH", "GIVES", "GIVEN", "IDLE", "TOP", "KEPT", "SPARE_AIM", "SUSTAINED", "THINNED", "WORTH_HANDS",
    "LEVELS", "DEEPEST", "LATER", "LESS", "DEEP_WANTS", "SMALLEST", "GIVES_MOST", "RESERVE_GIVES", "GIVER_SHARE",
    "GIVER_LEAST", "SLOW_SHARE", "ENDANGERED", "LIVES", "BAND",
)  # fmt: skip
SPREADS = (
    "USUAL_SD", "LOOK_SD", "NEED_SD", "NEED_DAY_SD", "HANDS_SD", "NEW_RATE_SD", "NEW_DAILY_SD", "NEW_CEILING_SD",
    "USUAL_CV", "MET_WIDTH",
)  # fmt: skip


def parts(name: str) -> tuple[float, ...]:
    value = getattr(c, name)
    return value if isinstance(value, tuple) else (value,)


def test_a_share_is_more_than_nothing_and_less_than_all() -> None:
    assert [name for name in SHARES if not all(0.0 < part < 1.0 for part in parts(name))] == []


def test_a_spread_is_above_nothing_and_below_a_factor_of_e() -> None:
    assert [name for name in SPREADS if not 0.0 < getattr(c, name) < 1.0] == []


def test_numbers_that_go_together_stand_in_order() -> None:
    assert c.IDLE < c.KEPT < c.SPARE_AIM < c.TOP, "more is kept the more is needed"
    assert c.GONE < c.GIVES < c.NEAR < c.TOP
    assert min(c.LEVELS) > c.DEEPEST
    assert list(c.LEVELS) == sorted(c.LEVELS, reverse=True)
    assert min(c.LATER) >= c.DEEPEST
    assert c.RAMP[0] + c.RAMP[1] * (c.BROOD_DAYS - 1.0) >= 1.0, "a brood comes to its greatest need"
    assert c.FED_DAYS[0] <= c.BROOD_DAYS <= c.FED_DAYS[1] <= c.DAYS <= c.DAYS_MOST
    assert c.COARSE < c.FINE
    assert c.COARSE_MANY < c.FINE_MANY < c.FINE
    assert c.EARLY + c.HATCH_SHIFT < 1.0
    assert 1.0 < c.MARGIN < c.WANT_MORE
    assert -1.0 < c.SWIFT_UNDER_LOW < 0.0 > c.SHRINKS
    assert list(c.SCALES) == sorted({1.0, *c.SCALES}), "all different, and what a sound keeper does among them"
    assert {*c.FEW_SCALES, c.SHORT_SCALE} <= set(c.SCALES)


def test_what_a_brood_is_worth_stands_over_what_saving_it_costs() -> None:
    """A brood is raised rather than a culture spared, and a strain kept rather than a brood."""
    assert c.VESSEL < c.STARTER < c.STRAIN < c.BROOD
    assert max(c.MINUTES.values()) * c.MINUTE < c.VESSEL
