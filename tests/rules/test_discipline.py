"""Alarm discipline: shelved, suppressed, acknowledged, stale, latched; and what makes a vessel suspect."""

from __future__ import annotations

from datetime import timedelta

import pytest

from rackview.core.assessment import Severity
from rackview.rules.catalogue.table import RULES
from rackview.rules.findings import finding
from rackview.rules.flags import vessel
from rackview.rules.flags.collapse import CODES
from rackview.rules.flags.vessel import flags, shelf_end, suspect

LOW_OXYGEN = {"day": 0.0, "kind": "reading", "oxygen_mg_l": 2.0}


def states(view):
    return {f.code: f.state for f in flags(view)}


def test_a_flag_is_active_until_somebody_acts(vessel_view, count):
    assert states(vessel_view([count(), LOW_OXYGEN], day=0.1))["oxygen"] == "active"
    cleaned = {"day": 0.05, "kind": "clean", "what": "airline"}
    assert states(vessel_view([count(), LOW_OXYGEN, cleaned], day=0.1))["oxygen"] == "acknowledged"


def test_declining_a_flag_shelves_it_with_an_end(vessel_view, count):
    said = {"day": 0.05, "kind": "decline", "code": "oxygen", "reason": "meter is off", "days": 2}
    view = vessel_view([count(), LOW_OXYGEN, said], day=0.1)
    found = next(f for f in flags(view) if f.code == "oxygen")
    assert found.state == "shelved"
    assert found.until == pytest.approx(view.today + 2.0)
    assert states(vessel_view([count(), LOW_OXYGEN, said], day=2.7))["oxygen"] == "active"


@pytest.mark.parametrize(("days", "left"), [(1.0, 1.0), (0.2, 1.0), (2.0, 2.0), (7.0, 7.0)])
def test_a_decline_ends_at_the_keepers_midnight(vessel_view, count, moment, days, left):
    said = {"day": 0.3, "kind": "decline", "action": "harvest", "days": days}
    view = vessel_view([count(), said], day=0.5)
    assert shelf_end(view.care.declines[0], view.today) == pytest.approx(view.today + left)


def test_a_flag_without_action_goes_stale_and_not_louder(vessel_view, count):
    events = [count(0.0), {"day": 0.0, "kind": "reading", "ph": 6.8}]
    for day, state in ((2.9, "active"), (3.1, "stale")):
        assert states(vessel_view([*events, count(2.8)], day=day))["ph"] == state


def test_what_must_be_done_today_never_goes_stale(vessel_view, count):
    view = vessel_view([count(0.0), LOW_OXYGEN, count(4.0)], day=4.1)
    assert states(view)["oxygen"] == "active"


def test_after_a_restart_the_slow_flags_wait_for_two_counts(vessel_view, count, believed):
    falling = believed(per_ml=70.0, net=-0.3, net_sd=0.05)
    start = {"day": 0.0, "kind": "restart", "starter": "bought", "volume_l": 5.0, "density_per_ml": 150.0}
    counts = [count(1.0, "40 42 38"), count(2.0, "25 24 26"), count(3.0, "22 21 23")]
    for n, waits in ((1, True), (2, False), (3, False)):
        view = vessel_view([start, *counts[:n]], day=float(n) + 0.1, estimate=falling)
        slow = [f for f in flags(view) if f.code in {"floor", "drop", "falling", "failing"}]
        assert slow
        assert all(f.state == "suppressed" for f in slow) is waits


def test_resting_and_empty_vessels_raise_nothing(vessel_view, count):
    rest = {"day": 0.5, "kind": "rest"}
    assert flags(vessel_view([count(), LOW_OXYGEN, rest], day=9.0)) == ()
    assert flags(vessel_view([count(), LOW_OXYGEN, rest, {"day": 1.0, "kind": "return"}], day=9.0)) == ()
    assert flags(vessel_view(day=9.0)) == ()


def test_a_crash_speaks_for_all_that_follows_from_it(vessel_view, count):
    view = vessel_view([count(0.0, "1 0 0"), count(1.0, "0 0 0")], day=1.1)
    codes = {f.code for f in flags(view)}
    assert "crash" in codes
    assert not codes & {"floor", "falling", "drop", "early"}
    assert next(f for f in flags(view) if f.code == "crash").state == "latched"


def test_what_stands_as_full_as_it_ever_did_is_not_told_that_it_grows_too_little(monkeypatch, vessel_view, count):
    both = [finding("stalled", 0.0), finding("dense", 0.0)]
    monkeypatch.setattr(vessel, "trend_flags", lambda view: both[:1])
    monkeypatch.setattr(vessel, "collapse", lambda view: both[1])
    assert {f.code for f in flags(vessel_view([count()], day=1.0))} == {"dense"}
    monkeypatch.setattr(vessel, "collapse", lambda view: None)
    assert {f.code for f in flags(vessel_view([count()], day=1.0))} == {"stalled"}


def test_suspect_is_what_the_catalogue_says_and_a_shelved_flag_is_no_suspicion(vessel_view, count):
    seen = count(0.0, ciliates="some")
    assert "ciliates" in {f.code for f in suspect(flags(vessel_view([seen], day=0.1)))}
    said = {"day": 0.05, "kind": "decline", "code": "ciliates", "reason": "harmless kind"}
    assert "ciliates" not in {f.code for f in suspect(flags(vessel_view([seen, said], day=0.1)))}
    dirty = [count(0.0), {"day": 0.0, "kind": "reading", "ph": 6.8}]
    assert suspect(flags(vessel_view(dirty, day=0.1))) == ()


def test_the_most_urgent_comes_first(vessel_view, count):
    events = [count(0.0, ciliates="some"), {"day": 0.0, "kind": "reading", "oxygen_mg_l": 2.0, "ph": 6.8}]
    severities = [f.severity for f in flags(vessel_view(events, day=0.1))]
    assert severities == sorted(severities, reverse=True)
    assert severities[0] is Severity.today


def test_every_finding_names_the_events_behind_it(vessel_view, count):
    events = [
        count(0.0, ciliates="many", swimming=1, tint=3),
        {"day": 0.1, "kind": "feed", "feed": "algae", "amount": 900, "unit": "mL"},
        {"day": 0.2, "kind": "reading", "oxygen_mg_l": 2.0, "ph": 9.0, "temperature_c": 35.0, "salinity": 45.0},
        count(1.0, "2 1 3", ciliates="many", swimming=1, tint=4),
    ]
    found = flags(vessel_view(events, day=1.1))
    assert len(found) >= 5
    for one in found:
        assert one.events, one.code


def test_alarms_have_all_that_must_be_written_down_before_they_exist():
    for rule in RULES:
        for part in (rule.looks_at, rule.fires, rule.cause, rule.consequence, rule.response, rule.source):
            assert part.strip(), rule.code
        assert rule.within > 0
        assert 0.0 < rule.clear_at <= rule.raise_at <= 1.0
    assert len({r.code for r in RULES}) == len(RULES)
    assert timedelta(days=max(r.within for r in RULES)) <= timedelta(days=30)


@pytest.mark.parametrize("code", sorted(CODES | {"failing"}))
@pytest.mark.parametrize("lesser", ["floss", "ph", "salinity"])
def test_a_culture_in_danger_comes_before_what_is_due_longer(code, lesser):
    older, newer = finding(lesser, 0.0, severity=Severity.week), finding(code, 9.0, chance=0.3, severity=Severity.week)
    assert sorted((older, newer), key=vessel.urgency) == [newer, older]


def test_upkeep_comes_last_among_equals_and_severity_before_all():
    floss, warm, ph = finding("floss", 0.0), finding("warm", 2.0), finding("ph", 1.0)
    assert sorted((floss, ph, warm), key=vessel.urgency) == [warm, ph, floss]  # a day, two days, upkeep
    today = finding("oxygen", 3.0)
    assert min((floss, finding("early", 0.0), today), key=vessel.urgency) is today


def test_what_was_seen_to_comes_after_what_was_not():
    early = finding("early", 0.0).standing("stale")
    assert min((early, finding("floss", 1.0)), key=vessel.urgency).code == "floss"


def test_a_fall_is_named_before_a_floss_that_is_due_longer(vessel_view, count):
    """Both at one vessel, by its own counts."""
    well = {"with_eggs": 18, "females_checked": 60, "swimming": 4, "ciliates": "none"}
    ill = {**well, "with_eggs": 1, "swimming": 2}
    view = vessel_view([*(count(float(k), **well) for k in range(29)), count(29.0, **ill)], day=29.1)
    assert [f.code for f in flags(view)][-1:] == ["floss"]
    assert flags(view)[0].code in CODES
