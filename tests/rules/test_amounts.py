"""How much may be taken and how much is fed: growth share, safe share, ration."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rackview.core.profile import strains
from rackview.core.tables import Stock
from rackview.rules import harvest, ration
from rackview.rules.findings import finding
from rackview.rules.water import nh3_of

L = strains()["rotifer-L"]
STOCK = (Stock("algae", "concentrate", 0.1, 1000.0, "mL"),)


@pytest.mark.parametrize(("start", "stays"), [(100.0, 100.0), (75.1, 75.1), (74.9, 75.0), (50.0, 75.0)])
def test_what_stays_is_a_start_and_at_least_a_quarter_over_the_floor(vessel_view, count, start, stays):
    assert L.floor_per_ml == 60.0
    view = vessel_view([count()], profile={"start_per_ml": start})
    assert harvest.remainder_per_ml(view) == pytest.approx(stays)


@given(st.floats(5.0, 900.0), st.floats(0.02, 1.0), st.floats(-1.0, 0.8), st.floats(0.01, 0.5))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_the_safe_share_leaves_the_remainder_and_little_risk(counted, believed, per_ml, sd, net, net_sd):
    estimate = believed(per_ml, sd=sd, net=net, net_sd=net_sd)
    view = replace(counted, estimate=estimate, memo={})
    share = harvest.safe_share(view)
    assert 0.0 <= share <= L.share_most
    if share > 0.0:
        assert per_ml * (1.0 - share) >= harvest.remainder_per_ml(view) - 1e-6
        assert estimate.chance_below(L.floor_per_ml / (1.0 - share), 1.0) <= harvest.HARVEST_RISK + 1e-6


@pytest.fixture
def counted(vessel_view, count):
    """A view of one counted vessel."""
    return vessel_view([count()])


def test_more_doubt_never_allows_more(vessel_view, count, believed):
    shares = [
        harvest.safe_share(vessel_view([count()], estimate=believed(220.0, sd=sd))) for sd in (0.05, 0.3, 0.5, 0.8)
    ]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.4


def view_with_tint(vessel_view, tint, fed=None, **more):
    events = [] if fed is None else [{"day": -1.0, "kind": "feed", "feed": "algae", "amount": fed, "unit": "mL"}]
    seen = {} if tint is None else {"tint": tint}
    return vessel_view([*events, {"kind": "count", "tallies": "200", **seen}], day=0.01, stock=STOCK, **more)


def test_without_a_history_the_ration_is_the_profiles(vessel_view):
    found, reasons = ration.ration(view_with_tint(vessel_view, None), ())
    assert found == pytest.approx(L.ration_g_per_million)
    assert reasons == ()


def test_tint_moves_the_ration_the_right_way(vessel_view):
    by_tint = [ration.ration(view_with_tint(vessel_view, t), ())[0] for t in range(5)]
    assert by_tint == sorted(by_tint, reverse=True)
    assert by_tint[0] > L.ration_g_per_million > by_tint[3] > by_tint[4]


def test_the_ration_follows_what_was_fed_and_worked(vessel_view):
    generous = L.ration_g_per_million * 1.6 * 4.0 / 0.1  # 4 million animals, 0.1 g dry per mL
    found, _ = ration.ration(view_with_tint(vessel_view, 1, fed=generous), ())
    assert 1.2 * L.ration_g_per_million < found < 1.6 * L.ration_g_per_million


def test_the_ration_stays_within_its_bounds(vessel_view, believed):
    for fed in (0.001, 5000.0):
        for tint in range(5):
            found, _ = ration.ration(view_with_tint(vessel_view, tint, fed=fed), ())
            assert ration.LEAST_OF_USUAL * 0.99 <= found / L.ration_g_per_million <= ration.MOST_OF_USUAL * 1.01


def test_feed_is_cut_while_something_is_wrong_but_not_from_the_hungry(vessel_view):
    plain, _ = ration.ration(view_with_tint(vessel_view, 2), ())
    assert ration.ration(view_with_tint(vessel_view, 2), (finding("ammonia", 0.0),))[0] == pytest.approx(0.5 * plain)
    assert ration.ration(view_with_tint(vessel_view, 2), (finding("eggs_low", 0.0),))[0] < plain
    clear, _ = ration.ration(view_with_tint(vessel_view, 0), ())
    assert ration.ration(view_with_tint(vessel_view, 0), (finding("eggs_low", 0.0),))[0] == pytest.approx(clear)


def test_warmth_scales_the_ration_by_the_published_q10(vessel_view, count):
    # filtration +42 % from 18 to 23.5 degC: Schlosser & Anger 1982, Helgolander Meeresunters. 35:215-225
    def at(celsius):
        reading = {"kind": "reading", "temperature_c": celsius}
        return ration.ration(vessel_view([count(), reading], day=0.01), ())[0]

    assert at(23.5) / at(18.0) == pytest.approx(1.42, abs=0.01)


def test_the_ration_lies_in_the_published_range():
    # 0.19 to 0.76 g dry per million and day: Navarro 1999, J. Exp. Mar. Biol. Ecol. 237:75-87 (share of body weight);
    # 0.8 to 2.0 g of a yeast mix: Attramadal & Sandvand 1993; outside 0.1 to 3 g a unit must be wrong
    for name, profile in strains().items():
        if profile.animal == "rotifer":
            assert 0.19 <= profile.ration_g_per_million <= 2.0, name
            assert (profile.ration_least_g_per_million, profile.ration_most_g_per_million) == (0.1, 3.0)


def test_a_well_standing_reserve_is_fed_to_live(vessel_view, believed):
    kept = ration.ration(view_with_tint(vessel_view, 1, reserve=True, estimate=believed(200.0)), ())[0]
    assert kept == pytest.approx(0.5 * L.ration_g_per_million)
    thin = ration.ration(view_with_tint(vessel_view, 1, reserve=True, estimate=believed(100.0)), ())[0]
    assert thin == pytest.approx(L.ration_g_per_million)


def test_the_dose_is_for_the_animals_that_stay(vessel_view, believed):
    view = view_with_tint(vessel_view, 1, estimate=believed(200.0, net=0.0))
    all_of_them, per_million, _ = ration.dry_dose_g(view, (), 0.0)
    assert all_of_them == pytest.approx(per_million * 4.0)
    assert ration.dry_dose_g(view, (), 0.35)[0] == pytest.approx(0.65 * all_of_them)


def test_a_thin_culture_gets_what_keeps_food_within_reach_and_is_told_that_ration(vessel_view, count, believed):
    """30 mg/L a day, near the optimum of 50 ug per mL at any moment: Hirayama & Watanabe 1976 (see the constants)."""
    thin = vessel_view([count(tallies="5 4 6")], estimate=believed(per_ml=5.0, net=0.0))
    dose, per_million, reasons = ration.dry_dose_g(thin, (), 0.0)
    assert "least" in reasons
    assert dose == pytest.approx(0.03 * 20.0)
    assert per_million * thin.animals / 1e6 == pytest.approx(dose)


def test_a_dose_rises_by_half_at_most_until_somebody_counts(vessel_view, count, believed):
    def dose(*events):
        view = vessel_view([count(0.0), *events], day=9.0, estimate=believed(400.0, net=0.0), stock=STOCK)
        return ration.dry_dose_g(view, (), 0.0)

    halves = [{"day": d, "kind": "feed", "feed": "algae", "amount": 5.0} for d in (0.1, 0.5)]  # 0.5 g of dry feed each
    unseen, per_million, reasons = dose(*halves)
    assert unseen == pytest.approx(1.5)
    assert per_million * 8.0 == pytest.approx(unseen)
    assert reasons == ("unseen",)
    assert dose()[2] == (), "never fed"
    assert dose()[0] > 2.0 * unseen
    assert dose(*halves, count(8.9))[0] > unseen


def test_what_a_tint_does_to_the_ration_is_the_keepers_own(vessel_view):
    def given(tint, **profile):
        return ration.ration(view_with_tint(vessel_view, tint, profile=profile or None), ())[0]

    assert given(0, ration_clear=1.5) == pytest.approx(given(0) * 1.5 / 1.2)
    assert given(3, ration_green=0.9) == pytest.approx(given(3) * 0.9 / 0.7)
    assert given(4, ration_dark=0.5) == pytest.approx(given(4) * 0.5 / 0.35)
    assert given(1) == given(1, ration_dark=0.5)


@pytest.mark.parametrize(
    ("celsius", "may"), [(25.0, True), (16.0, True), (10.0, False), (33.0, False), (36.0, False), (30.0, True)]
)
def test_nothing_grows_back_far_outside_the_band_of_temperature(vessel_view, count, believed, celsius, may):
    reading = {"kind": "reading", "temperature_c": celsius}
    view = vessel_view([count(), reading], day=0.01, estimate=believed(220.0, net=0.2))
    assert harvest.grows_back(view) is may
    old = vessel_view([count(), reading, count(day=9.0)], day=9.01, estimate=believed(220.0, net=0.2))
    assert harvest.grows_back(old)


@pytest.mark.parametrize(("times", "may"), [(0.98, True), (1.02, False)])
def test_nothing_grows_back_while_ammonia_is_over_its_acting_limit(vessel_view, count, believed, times, may):
    water = {"ph": 8.2, "temperature_c": 25.0, "salinity": 30.0}
    total = times * L.nh3_act_mg_l / nh3_of(1.0, 8.2, 25.0, 30.0)
    view = vessel_view([count(), {"kind": "reading", "tan_mg_l": total, **water}], estimate=believed(220.0, net=0.2))
    assert harvest.grows_back(view) is may


def test_nothing_is_fed_where_nothing_grows(vessel_view, count, believed):
    def fed(celsius):
        events = [count(), {"kind": "reading", "temperature_c": celsius}]
        view = vessel_view(events, day=0.01, estimate=believed(200.0), stock=STOCK)
        return ration.dry_dose_g(view, (), 0.0)

    usual, warm, hot, cold = fed(25.0), fed(30.0), fed(36.0), fed(5.0)
    assert hot[0] == cold[0] == 0
    assert 0 < warm[0] < usual[0]
    assert "hot" in warm[2]
    assert "cool" in fed(15.0)[2]
    assert not {"cool", "warm", "hot"} & set(fed(24.5)[2])


def test_the_ration_of_a_cool_culture_does_not_sink_day_by_day(vessel_view, count):
    degrees = {"kind": "reading", "temperature_c": 20.0}
    first = ration.ration(vessel_view([count(), degrees], day=0.01), ())[0]
    fed = {"kind": "feed", "feed": "algae", "amount": first * 4.0 / 0.1, "day": 0.1}  # 4 million animals, 0.1 g per mL
    view = vessel_view([count(), degrees, fed, count(day=1.0)], day=1.01, stock=STOCK)
    assert ration.ration(view, ())[0] == pytest.approx(first, rel=0.02)


def test_of_several_tints_the_newest_tells(vessel_view, count):
    seen = [count(day=float(k), tint=tint) for k, tint in enumerate((4, 2, 0))]
    assert [ration.tint_now(vessel_view(seen[: n + 1], day=n + 0.1)) for n in range(3)] == [4, 2, 0]


@pytest.mark.parametrize(("tint", "raised"), [(None, True), (0, True), (1, True), (2, False), (3, False), (4, False)])
def test_a_thin_culture_in_which_food_is_left_gets_no_more_than_its_animals_eat(vessel_view, believed, tint, raised):
    thin = view_with_tint(vessel_view, tint, estimate=believed(per_ml=5.0, net=0.0))
    assert ("least" in ration.dry_dose_g(thin, (), 0.0)[2]) is raised


@pytest.mark.parametrize(("net", "grows"), [(None, 0.0), (-0.4, 0.0), (0.2, 0.2), (9.0, L.rate_most_per_day)])
def test_what_grows_back_is_between_nothing_and_what_the_strain_can_do(vessel_view, count, believed, net, grows):
    assert harvest.regrowth_per_day(vessel_view([count()], estimate=believed(200.0, net=net))) == grows
