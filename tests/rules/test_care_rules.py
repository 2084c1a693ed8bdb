"""Rules on care at, just under and just over their thresholds: floss, age, feeding, stages, expired feed."""

from __future__ import annotations

from datetime import date

import pytest

from rackview.core.profile import strains
from rackview.core.tables import Stock
from rackview.rules.constants import LEAST_G_PER_L_DAY, RATION_CUTS
from rackview.rules.flags import care as rules
from rackview.rules.ration import ration

L = strains()["rotifer-L"]
BENTHIC = strains()["copepod-benthic"]
STOCK = (Stock("algae", "concentrate", 0.1, 1000.0, "mL", date(2026, 2, 1), date(2026, 3, 10)),)


def feeds(grams_per_l_day, days, volume_l=20.0, first=0.1):
    amount = grams_per_l_day * volume_l / 0.1
    return [{"day": first + d, "kind": "feed", "feed": "algae", "amount": amount, "unit": "mL"} for d in range(days)]


def rinse(day=0.0, what="floss"):
    return {"day": day, "kind": "clean", "what": what}


@pytest.mark.parametrize(
    ("load", "due"),
    [
        (L.heavy_feed_g_per_l_day * 1.01, L.floss_days_heavy),
        (L.heavy_feed_g_per_l_day * 0.99, L.floss_days),
        (L.heavy_feed_g_per_l_day * 0.51, L.floss_days),
        (L.heavy_feed_g_per_l_day * 0.49, L.floss_days_longest),
        (None, L.floss_days),
    ],
)
def test_floss_by_feed_load(vessel_view, count, load, due):
    assert rules.floss_due_days(vessel_view([count()]).profile, load) == due
    given = [] if load is None else feeds(load, 12, first=0.5)
    for over, fires in ((-0.01, False), (0.01, True)):
        day = due + 1.0 + over
        view = vessel_view([count(), rinse(), *[f for f in given if f["day"] < day]], day=day, stock=STOCK)
        if load is not None:
            found = rules.feed_load(view, view.care.clean_base("floss"))
            assert found == pytest.approx(load, rel=0.35)
        if load is None or due != L.floss_days_heavy:
            assert (rules.floss(view) is not None) is fires, (load, over)


def test_heavy_feeding_brings_the_floss_forward(vessel_view, count):
    heavy = [f for f in feeds(3 * L.heavy_feed_g_per_l_day, 4, first=0.5) if f["day"] < 3.1]
    assert rules.floss(vessel_view([count(), rinse(), *heavy], day=2.99, stock=STOCK)) is None
    assert rules.floss(vessel_view([count(), rinse(), *heavy], day=3.01, stock=STOCK)) is not None


def test_no_floss_flag_where_nothing_was_ever_recorded(vessel_view):
    assert list(rules.care_flags(vessel_view(day=100.0))) == []


@pytest.mark.parametrize("restarted", [True, False])
@pytest.mark.parametrize(
    ("days", "due"), [(L.restart_days - 0.1, False), (L.restart_days, True), (3.0 * L.restart_days, True)]
)
def test_age_counts_from_the_start_or_from_the_first_record_and_is_no_flag(vessel_view, count, days, due, restarted):
    start = {"day": 0.0, "kind": "restart", "starter": "bought", "volume_l": 5.0}
    view = vessel_view([start, count(1.0)] if restarted else [count(0.0), count(1.0)], day=days)
    assert (rules.aged(view) is not None) is due
    assert "age" not in {f.code for f in rules.care_flags(view)}
    assert rules.aged(vessel_view(day=days)) is None


def tinted(*tints, fed=True):
    events = []
    for day, tint in enumerate(tints):
        events.append({"day": float(day), "kind": "count", "tallies": "200", "tint": tint})
        if fed:
            events.append({"day": day + 0.1, "kind": "feed", "feed": "algae", "amount": 5.0, "unit": "mL"})
    return events


@pytest.mark.parametrize(
    ("tints", "dark"),
    [((2, 3, 3, 3, 3), True), ((2, 2, 3, 3, 3), False), ((3, 3, 3, 3, 2), False), ((1, 4, 3, 4, 3), True)],
)
def test_water_stays_dark_at_four_tints_in_a_row(vessel_view, tints, dark):
    assert rules.stays_dark(vessel_view(tinted(*tints), day=4.05, stock=STOCK)) is dark


def test_water_that_is_always_dark_is_news_for_some_days_and_then_usual(vessel_view):
    dark = [rules.stays_dark(vessel_view(tinted(*[3] * n), day=n - 0.95, stock=STOCK)) for n in range(1, 9)]
    assert dark == [False, False, False, False, True, True, False, False]


@pytest.mark.parametrize("tint", [0, 1, 2, 3, 4])
def test_a_tint_is_answered_by_the_ration_and_by_no_flag(vessel_view, tint):
    """ "No response, no alarm": the ration follows the tint by itself."""
    view = vessel_view(tinted(2, *[tint] * 4), day=4.05, stock=STOCK)
    assert not list(rules.care_flags(view))
    reasons = set(ration(view, ())[1])
    assert ("cut" in reasons) is (tint >= L.tint_dark)
    assert reasons & {"tint_low", "tint_high"} == {0: {"tint_low"}, 1: set()}.get(tint, {"tint_high"})


def test_water_that_stays_dark_is_fed_a_fifth_less_than_by_its_tint(vessel_view):
    stays = ration(vessel_view(tinted(2, 3, 3, 3, 3), day=4.05, stock=STOCK), ())[0]
    dark = ration(vessel_view(tinted(2, 2, 3, 3, 3), day=4.05, stock=STOCK), ())[0]
    assert stays == pytest.approx(RATION_CUTS["overfed"] * dark)


@pytest.mark.parametrize(("counted", "fires"), [(200, False), (100, True)])
def test_who_fed_what_was_counted_did_not_overfeed(vessel_view, count, believed, counted, fires):
    """The culture fell since: that is another flag's to say."""
    grams = 1.5 * L.ration_most_g_per_million * 100.0 * 20.0 / 1000.0
    feed = {"day": 0.1, "kind": "feed", "feed": "algae", "amount": grams / 0.1, "unit": "mL"}
    view = vessel_view(
        [count(0.0, str(counted)), feed, count(1.0, "100")], day=1.01, stock=STOCK, estimate=believed(100.0)
    )
    assert (rules.overfed(view) is not None) is fires


@pytest.mark.parametrize(("factor", "fires"), [(0.99, False), (1.01, True)])
def test_a_ration_beyond_all_published_ones_asks_about_the_unit(vessel_view, count, believed, factor, fires):
    animals_million = 200.0 * 20.0 / 1000.0
    grams = factor * L.ration_most_g_per_million * animals_million
    feed = {"day": 0.1, "kind": "feed", "feed": "algae", "amount": grams / 0.1, "unit": "mL"}
    view = vessel_view([count(), feed], day=0.2, stock=STOCK, estimate=believed(200.0))
    assert (rules.overfed(view) is not None) is fires


@pytest.mark.parametrize(("factor", "fires"), [(0.99, False), (1.01, True)])
def test_the_least_that_a_thin_culture_is_fed_is_not_too_much(vessel_view, count, believed, factor, fires):
    """What the program itself suggests for a thin culture, 50 ug per mL of food, is no slip of the unit."""
    grams = factor * LEAST_G_PER_L_DAY * 20.0
    feed = {"day": 0.1, "kind": "feed", "feed": "algae", "amount": grams / 0.1, "unit": "mL"}
    view = vessel_view([count(0.0, "3 4 2"), feed], day=0.2, stock=STOCK, estimate=believed(3.0))
    assert rules.last_ration(view) > L.ration_most_g_per_million
    assert (rules.overfed(view) is not None) is fires


def test_no_ration_without_feeding_or_density(vessel_view, count, believed):
    assert rules.last_ration(vessel_view([count()])) is None
    assert rules.last_ration(vessel_view(tinted(2), day=0.2, estimate=believed(per_ml=None))) is None


def staged(nauplii, copepodites, adults, ml=10.0):
    return [
        {"kind": "count", "tallies": str(n), "aliquot_ml": ml, "stage": s}
        for s, n in (("nauplii", nauplii), ("copepodites", copepodites), ("adults", adults))
    ]


@pytest.mark.parametrize(("adults", "fires"), [(199, False), (200, True), (201, True)])
def test_crowded_adults(vessel_view, adults, fires):
    assert BENTHIC.crowded_adults_per_ml == 20.0
    view = vessel_view(staged(300, 100, adults), strain="copepod-benthic")
    assert (rules.crowded(view) is not None) is fires


def test_stage_rules_are_for_copepods_and_need_stages(vessel_view, count):
    assert rules.crowded(vessel_view(staged(0, 0, 9999))) is None
    assert rules.crowded(vessel_view([count()], strain="copepod-benthic")) is None
    assert rules.ageing(vessel_view([count()], strain="copepod-benthic")) is None


@pytest.mark.parametrize(("nauplii", "fires"), [(5, True), (11, True), (20, False), (60, False)])
def test_few_nauplii(vessel_view, nauplii, fires):
    view = vessel_view(staged(nauplii, 30, 50), strain="copepod-benthic")
    assert (rules.ageing(view) is not None) is fires


@pytest.mark.parametrize(("day", "fires"), [(9.1, False), (10.1, True)])
def test_feed_past_its_date(vessel_view, count, day, fires):
    feed = {"day": day, "kind": "feed", "feed": "algae", "amount": 5.0, "unit": "mL"}
    view = vessel_view([count(), feed], day=day + 0.1, stock=STOCK)
    assert (rules.feed_expired(view) is not None) is fires


def test_an_unlisted_feed_has_no_date(vessel_view, count):
    feed = {"day": 20.0, "kind": "feed", "feed": "other", "amount": 5.0, "unit": "mL"}
    assert rules.feed_expired(vessel_view([count(), feed], day=20.1, stock=STOCK)) is None


def test_the_tint_that_is_dark_is_the_keepers_own(vessel_view):
    def over(tints, **profile):
        return rules.stays_dark(vessel_view(tinted(2, *tints), day=4.05, stock=STOCK, profile=profile))

    assert not over((2, 2, 2, 2))
    assert over((2, 2, 2, 2), tint_dark=2.0)
    assert not over((2, 3, 3, 3), tint_dark=4.0)
