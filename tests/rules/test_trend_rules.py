"""Every rule on counts at, just under and just over its threshold, and silent on what is missing."""

from __future__ import annotations

import math

import pytest

from rackview.advice.words.speech import Speech
from rackview.advice.words.suggestions import FLAG_WORDS
from rackview.core.profile import strains
from rackview.rules.alarm import Alarm
from rackview.rules.catalogue.table import BY_CODE
from rackview.rules.flags import trend as rules
from rackview.rules.flags.trend import alarm
from rackview.rules.signs import Signs, _expected, chance_share_under, crash_limit, floor_limit, signs_of, went_hungry
from rackview.science.state.estimate import estimate

L = strains()["rotifer-L"]
SLOW = ("crash", "failing", "floor", "drop", "eggs_held")


def signs(code, *chances):
    return [Signs(day=float(k), event=f"e{k}", **{code: c}) for k, c in enumerate(chances)]


@pytest.mark.parametrize("code", SLOW)
def test_raised_at_its_chance_and_not_just_under(code):
    at = BY_CODE[code].raise_at
    assert alarm(code, signs(code, at, at)).raised
    assert not alarm(code, signs(code, at - 0.001, at - 0.001)).raised
    assert alarm(code, signs(code, at + 0.001, at + 0.001)).raised


@pytest.mark.parametrize("code", SLOW)
def test_cleared_only_past_its_deadband(code):
    rule = BY_CODE[code]
    raised = (rule.raise_at, rule.raise_at)
    assert alarm(code, signs(code, *raised, rule.clear_at + 0.001)).raised
    assert not alarm(code, signs(code, *raised, rule.clear_at)).raised


@pytest.mark.parametrize("code", SLOW)
def test_counts_that_say_nothing_raise_nothing(code):
    assert not alarm(code, signs(code, None, None, None)).raised
    assert not alarm(code, []).raised


@pytest.mark.parametrize("code", ["floor", "eggs_held"])
def test_one_count_short_of_certain_is_not_enough(code):
    assert not alarm(code, signs(code, 0.94)).raised
    assert alarm(code, signs(code, 0.95)).raised


def test_stalled_needs_three_counts_at_its_chance():
    at, clear = BY_CODE["stalled"].raise_at, BY_CODE["stalled"].clear_at
    assert alarm("stalled", signs("stalled", at, at, at)).raised
    assert not alarm("stalled", signs("stalled", at, at)).raised
    assert not alarm("stalled", signs("stalled", at, at, at - 0.001)).raised
    assert not alarm("stalled", signs("stalled", None, None, None)).raised
    assert alarm("stalled", signs("stalled", at, at, at, clear + 0.001)).raised
    assert not alarm("stalled", signs("stalled", at, at, at, clear)).raised


def test_nothing_is_said_of_a_vessel_never_counted(vessel_view):
    assert list(rules.trend_flags(vessel_view())) == []


def test_nothing_is_said_when_the_estimate_knows_nothing(vessel_view, believed):
    fed = {"kind": "feed", "feed": "x", "amount": 1}
    assert list(rules.trend_flags(vessel_view([fed], estimate=believed(per_ml=None, net=None)))) == []


@pytest.mark.parametrize(("days", "fires"), [(3.25, False), (3.251, True), (2.5, False)])
def test_a_count_is_called_old_a_day_after_it_was_due(vessel_view, count, days, fires):
    assert L.count_days + rules.COUNT_GRACE_DAYS == 3.25
    assert (rules.count_old(vessel_view([count()], day=days)) is not None) is fires


@pytest.mark.parametrize(("gap", "days", "fires"), [(1.0, 3.3, True), (2.0, 4.4, False), (2.0, 4.6, True)])
def test_a_count_is_old_beyond_what_this_keeper_leaves_it(vessel_view, count, gap, days, fires):
    rounds = [count(-gap * k) for k in range(5)]
    assert (rules.count_old(vessel_view(rounds, day=days)) is not None) is fires


def test_the_interval_is_the_keepers_own(vessel_view, count):
    assert rules.count_old(vessel_view([count()], day=4.0, profile={"count_days": 2.8})) is None
    assert rules.count_old(vessel_view([count()], day=4.0, profile={"count_days": 2.7})) is not None


@pytest.mark.parametrize(
    ("tallies", "fires"),
    [("20 22 19", False), ("5 20 60", True), ("200 240 180", False), ("30", False), ("0 0 0", False)],
)
def test_clumped_when_scatter_is_more_than_chance_and_matters(vessel_view, count, tallies, fires):
    assert (rules.clumped(vessel_view([count(tallies=tallies)])) is not None) is fires


@pytest.mark.parametrize(("ciliates", "severity"), [("", None), ("none", None), ("some", "notice"), ("many", "week")])
def test_ciliates_by_how_many(vessel_view, count, ciliates, severity):
    found = rules.ciliates(vessel_view([count(ciliates=ciliates)]))
    assert (None if found is None else found.severity.name) == severity


def test_ciliates_clear_when_looked_for_and_not_found_and_stay_when_not_looked_for(vessel_view, count):
    seen = count(0.0, ciliates="some")
    assert rules.ciliates(vessel_view([seen, count(1.0)], day=1.0)) is not None
    assert rules.ciliates(vessel_view([seen, count(1.0, ciliates="none")], day=1.0)) is None


@pytest.mark.parametrize(("score", "fires"), [(None, False), (1, True), (2, True), (3, False), (5, False)])
def test_swimming_of_a_culture_whose_habit_is_not_known(vessel_view, count, score, fires):
    more = {} if score is None else {"swimming": score}
    assert (rules.swimming(vessel_view([count(**more)])) is not None) is fires


@pytest.mark.parametrize(("score", "fires"), [(1, True), (2, False), (3, False)])
def test_swimming_of_a_culture_that_is_known_goes_by_the_chance_of_a_fall(vessel_view, count, score, fires):
    view = vessel_view([*(count(float(k), swimming=4) for k in range(3)), count(3.0, swimming=score)], day=3.0)
    assert (rules.swimming(view) is not None) is fires


def test_a_culture_from_another_strain_is_told(vessel_view, count):
    from rackview.core.vessel import Vessel

    other = Vessel("S", "rotifer-S", "A", 2, 20.0)
    same = Vessel("K", "rotifer-L", "A", 3, 20.0)
    for donor, fires in (("S", True), ("K", False)):
        restart = {"day": 0.0, "kind": "restart", "from_vessel": donor, "volume_l": 6.0}
        view = vessel_view([restart, count(1.0)], day=1.0, others=(other, same))
        found = rules.mixed_strain(view)
        assert (found is not None) is fires
        assert found is None or view.day - found.since == 1.0, "since it was put in"


# --- a culture begun thin ---


@pytest.mark.parametrize(
    ("highest", "crash", "floor"),
    [
        (None, 20.0, 60.0),  # nothing was ever seen in it
        (250.0, 20.0, 60.0),
        (60.0, 20.0, 60.0),
        (59.9, 19.97, 29.95),  # it never stood at its floor
        (6.0, 2.0, 3.0),
        (0.3, 1.0, 1.5),  # stragglers
    ],
)
def test_who_never_stood_at_the_floor_is_measured_by_what_it_had(believed, highest, crash, floor):
    assert L.floor_per_ml == 60.0
    found = believed(highest_per_ml=highest)
    assert crash_limit(found, L) == pytest.approx(crash, rel=1e-3)
    assert floor_limit(found, L) == pytest.approx(floor, rel=1e-3)


def test_a_culture_begun_thin_that_grows_has_not_crashed(count, real_view):
    thin = [count(float(k), f"{n} {n + 1} {n - 1}") for k, n in enumerate((5, 6, 8, 10, 13))]
    assert not {"crash", "floor", "failing"} & {f.code for f in rules.trend_flags(real_view(thin, day=4.1))}
    gone = [count(5.0, "1 0 1"), count(5.1, "0 1 1")]
    assert "crash" in {f.code for f in rules.trend_flags(real_view([*thin, *gone], day=5.2))}


def test_a_culture_that_stood_at_its_floor_has_crashed_where_a_young_one_has_not(count, real_view):
    low = [count(3.0, "6 5 7"), count(3.1, "7 5 6")]
    full, thin = ([count(float(k), f"{n} {n + 4} {n - 4}") for k in range(3)] for n in (200, 8))
    assert "crash" in {f.code for f in rules.trend_flags(real_view([*full, *low], day=3.2))}
    assert "crash" not in {f.code for f in rules.trend_flags(real_view([*thin, *low], day=3.2))}


@pytest.mark.parametrize(
    ("fall", "under", "said"),
    [
        ((140, 100, 72, 52, 38, 27, 20), True, "Under 60 /mL. Harvest nothing, count again."),
        ((220, 170, 130, 100, 77), False, "Likely under 60 /mL by tomorrow. Count again, leave it to grow."),
    ],
)
def test_a_thin_culture_is_said_to_be_under_its_floor_only_where_it_is(count, real_view, fall, under, said):
    view = real_view([count(float(k), f"{n} {n + 2} {n - 2}") for k, n in enumerate(fall)], day=len(fall) - 0.7)
    assert (view.per_ml < L.floor_per_ml) == under
    sure = Alarm(raised=True, chance=0.9, since=0.0)
    found = rules._floor(view, {"floor": sure})
    assert FLAG_WORDS["floor"](found.values, Speech()) == said


# --- signs of a real count ---


def signs_after(vessel_view, count, *days):
    view = vessel_view([count(d, t) for d, t in days], day=days[-1][0])
    return signs_of(view.count_nodes[-1], view.profile)


def test_a_sudden_fall_is_judged_against_what_was_expected(vessel_view, count):
    steady = [(float(d), "200 205 195") for d in range(6)]
    assert (signs_after(vessel_view, count, *steady, (6.0, "200 198 202")).drop or 0.0) < 0.1
    assert signs_after(vessel_view, count, *steady, (6.0, "60 62 58")).drop > 0.9
    assert signs_after(vessel_view, count, *steady, (6.0, "0 0 0")).drop == 1.0


def test_a_first_count_can_be_no_fall(vessel_view, count):
    assert signs_after(vessel_view, count, (0.0, "3 2 4")).drop is None


def test_a_harvest_is_no_fall(vessel_view, count):
    events = [count(float(d)) for d in range(5)]
    harvest = {"day": 4.0, "kind": "harvest", "volume_l": 10.0, "refill_l": 10.0}
    view = vessel_view([*events, harvest, count(4.2, "108 104 110")], day=4.2)
    assert (signs_of(view.count_nodes[-1], view.profile).drop or 0.0) < 0.5


def fed(*days):
    return [{"day": d, "kind": "feed", "feed": "x", "amount": 1} for d in days]


@pytest.mark.parametrize(
    ("feeds", "hungry"),
    [
        ((0.1, 1.1, 2.1, 3.1, 4.1), False),
        ((0.1, 1.1, 2.1, 3.6), False),  # 1.4 days, just within the habit
        ((0.1, 1.1, 2.1, 3.1), True),  # 1.9 days without food
        ((0.1, 1.1, 2.1, 4.1), True),  # fed again, but only 0.9 days ago
        ((-1.0, 0.0, 1.0, 3.7), False),  # fed again 1.3 days ago: the eggs since then were laid on it
        ((-1.0, 0.0, 1.0, 3.8), True),  # only 1.2 days ago
        ((0.1, 1.1, 3.1, 3.6), False),  # the gap is past by two feedings
        ((0.1, 1.1), False),  # too few to know a habit
        ((), False),
        ((-5.9, -3.9, -1.9, 0.1, 2.1, 4.1), False),  # every other day is this one's habit
        ((-5.9, -3.9, -1.9, 0.1, 2.1), False),
        ((-5.9, -3.9, -1.9, 0.1), True),
    ],
)
def test_a_feeding_left_out_is_known_as_a_reason_for_few_eggs(vessel_view, count, feeds, hungry):
    view = vessel_view([count(0.0), *fed(*feeds)], day=5.0)
    assert went_hungry(view.care, view.day) is hungry


def stall(vessel_view, count, per_ml, rate):
    series = [count(float(d), " ".join([f"{round(per_ml * math.exp(rate * (d - 7)))}"] * 3)) for d in range(8)]
    view = vessel_view(series, day=7.0)
    return signs_of(view.count_nodes[-1], view.profile).stalled


def test_thin_and_not_growing_is_stalled_and_either_alone_is_not(vessel_view, count):
    at = BY_CODE["stalled"].raise_at
    assert stall(vessel_view, count, 80.0, 0.0) > at
    assert stall(vessel_view, count, 80.0, 0.4) < at, "it grows"
    assert stall(vessel_view, count, 200.0, 0.0) < at, "it stands in its band"
    assert stall(vessel_view, count, L.band_low_per_ml, 0.0) < at, "at the very edge of it"


def test_slow_growth_in_a_cool_room_is_no_stalling(vessel_view, count):
    series = [count(float(d), " ".join([f"{round(80.0 * math.exp(0.12 * (d - 7)))}"] * 3)) for d in range(8)]
    found = []
    for celsius in (25.0, 18.0):
        readings = [{**{k: c[k] for k in ("at", "vessel") if k in c}, "kind": "reading", "temperature_c": celsius}
                    for c in series]  # fmt: skip
        view = vessel_view([*series, *readings], day=7.0)
        found.append(signs_of(view.count_nodes[-1], view.profile).stalled)
    assert found[1] < found[0] - 0.1


def test_stalled_names_its_limit_and_its_counts(vessel_view, count):
    view = vessel_view([count(float(d), "80 81 79") for d in range(9)], day=8.0)
    found = next(f for f in rules.trend_flags(view) if f.code == "stalled")
    assert found.values["limit"] == L.band_low_per_ml
    assert set(found.events) <= {c.id for c in view.care.counts}
    assert len(found.events) >= 3
    assert not found.suspect


def test_no_sign_of_eggs_without_females_checked(vessel_view, count):
    view = vessel_view([count(float(d)) for d in range(4)], day=3.0)
    found = signs_of(view.count_nodes[-1], view.profile)
    assert found.eggs_held is None


def test_the_chance_of_a_share_is_the_beta_distribution():
    # Beta(k + 1, n - k + 1) at x: closed forms for k = 0 and k = n, and the symmetric case
    assert chance_share_under(0, 10, 0.2) == pytest.approx(1 - 0.8**11)
    assert chance_share_under(10, 10, 0.8) == pytest.approx(0.8**11)
    assert chance_share_under(15, 30, 0.5) == pytest.approx(0.5)
    assert chance_share_under(0, 0, 0.3) == pytest.approx(0.3)
    assert chance_share_under(600, 5000, 0.13) == pytest.approx(0.98, abs=0.01)


def test_the_chance_of_a_share_agrees_with_scipy():
    from scipy.special import betainc

    for found, looked_at, limit in ((3, 50, 0.13), (0, 40, 0.13), (30, 60, 0.5), (80, 900, 0.1), (250, 1900, 0.13)):
        expected = betainc(found + 1, looked_at - found + 1, limit)
        assert chance_share_under(found, looked_at, limit) == pytest.approx(expected, abs=1e-9)


# --- latch ---


def test_a_crash_stays_until_handled(vessel_view, count):
    low = [count(-1.0), count(0.0, "1 0 2"), count(1.0, "0 1 0")]
    back = [count(2.0 + k, "200 205 195") for k in range(6)]
    assert "crash" in {f.code for f in rules.trend_flags(vessel_view([*low, *back], day=7.0))}
    said = {"day": 7.0, "kind": "decline", "code": "crash", "reason": "miscounted"}
    assert "crash" not in {f.code for f in rules.trend_flags(vessel_view([*low, *back, said], day=7.1))}
    anew = {"day": 7.0, "kind": "restart", "starter": "bought", "volume_l": 5.0, "density_per_ml": 100.0}
    assert "crash" not in {f.code for f in rules.trend_flags(vessel_view([*low, *back, anew], day=7.1))}


def test_samples_that_are_always_clumped_are_said_twice_and_then_known(vessel_view, count):
    uneven = [count(float(k), "5 40 12") for k in range(4)]
    assert rules.clumped(vessel_view(uneven[:2], day=1.0)) is not None
    assert rules.clumped(vessel_view(uneven[:3], day=2.0)) is None


def test_what_is_clumped_is_the_keepers_own(vessel_view, count):
    uneven = [count(tallies="5 40 12")]
    assert rules.clumped(vessel_view(uneven)) is not None
    assert rules.clumped(vessel_view(uneven, profile={"clumped_p": 1e-9})) is None
    assert rules.clumped(vessel_view(uneven, profile={"scattered_times": 9.0})) is None


@pytest.mark.parametrize(("eggs", "held"), [(90, True), (5, False)])
def test_eggs_without_growth_are_said_of_a_culture_that_shrinks_with_many_eggs(real_view, count, eggs, held):
    fields = {"with_eggs": eggs, "females_checked": 100, "eggs": eggs}
    shrinking = (400, 300, 220, 160, 120, 90, 66, 48, 36, 27)
    view = real_view([count(float(d), f"{n} {n + 3} {n - 3}", **fields) for d, n in enumerate(shrinking)], day=9.1)
    assert ("eggs_held" in {f.code for f in rules.trend_flags(view)}) is held


def test_many_eggs_in_a_culture_that_grows_are_as_they_should_be(real_view, count):
    fields = {"with_eggs": 90, "females_checked": 100, "eggs": 90}
    growing = (27, 36, 48, 66, 90, 120, 160, 220, 300, 400)
    view = real_view([count(float(d), f"{n} {n + 3} {n - 3}", **fields) for d, n in enumerate(growing)], day=9.1)
    assert "eggs_held" not in {f.code for f in rules.trend_flags(view)}


def test_an_expected_density_has_the_spread_of_its_interval(vessel_view, count):
    view = vessel_view([count(0.0), count(1.0, "201 199 204")], day=1.5)
    median, var = _expected(view.log, view.profile, view.day, 3)
    believed = estimate(view.log, view.profile, view.day)
    found, sd = believed.density_per_ml, math.sqrt((var - believed.aliquot_cv**2 / 3) / believed.surprise)
    assert (median * math.exp(1.6449 * sd), median * math.exp(-1.6449 * sd)) == pytest.approx(
        (found.high90, found.low90), rel=0.05
    )


def test_a_count_must_be_farther_off_where_this_keepers_counts_scatter(vessel_view, count) -> None:
    """The bar of a sudden fall is the vessel's own: aliquots that differ, or counts that were off before."""

    def said(*counts):
        return signs_after(vessel_view, count, *counts, (8.0, "70 72")).drop

    calm = [(float(d), "200 202") for d in range(8)]
    poor = [(float(d), "140 262") for d in range(8)]
    wild = [(float(d), "140 142" if d % 2 else "280 283") for d in range(8)]
    assert said(*calm) > 0.999
    assert said(*poor) < 0.999
    assert said(*wild) < 0.999


def test_what_went_down_by_and_by_since_the_last_count_is_no_sudden_fall(vessel_view, count) -> None:
    steady = [(float(d), "400 402 398") for d in range(6)]
    assert signs_after(vessel_view, count, *steady, (6.0, "150 152 148")).drop > 0.999
    assert signs_after(vessel_view, count, *steady, (7.9, "150 152 148")).drop < 0.9
