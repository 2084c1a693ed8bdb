"""The estimate along histories: one more event is one step, the order of entry is nothing, anything legal is sane."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.core import events as ev
from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import belief
from rackview.science.state.estimate import Estimate, estimate
from rackview.science.state.forecast import project
from rackview.science.state.track import estimates, track

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
VESSELS = [Vessel("A1", "rotifer-L", "A", 1, 20.0), Vessel("A2", "rotifer-L", "A", 2, 15.0)]
QUANTILES = [0.05, 0.25, 0.5, 0.75, 0.95]


def at(days: float) -> datetime:
    return START + timedelta(minutes=round(1440 * days))


def now(days: float) -> float:
    return day_number(at(days))


def month() -> list[ev.Event]:
    rng = np.random.default_rng(5)
    found: list[ev.Event] = []
    for d in range(30):
        for v, density in (("A1", 200.0), ("A2", 90.0)):
            tallies = tuple(rng.poisson(density, 3).tolist())
            signs = {"with_eggs": 12, "females_checked": 40, "swimming": 4, "ciliates": "none", "tint": 2}
            found.append(ev.Count(at=at(d), vessel=v, tallies=tallies, **signs))
            if d % 5 == 0:
                found.append(ev.Reading(at=at(d + 0.001), vessel=v, temperature_c=24.5, ph=7.9, tan_mg_l=1.0))
            if d < 9 or d > 13:
                found.append(ev.Feed(at=at(d + 0.03), vessel=v, feed="algae", amount=8.0))
            if d % 2:
                found.append(ev.Harvest(at=at(d + 0.02), vessel=v, volume_l=4.0, refill_l=4.0))
    found.append(ev.Split(at=at(12.3), vessel="A1", to_vessel="A2", volume_l=5.0, refill_l=5.0))
    found.append(ev.TopUp(at=at(15.3), vessel="A1", volume_l=1.0))
    found.append(ev.Restart(at=at(20.4), vessel="A2", from_vessel="A1", volume_l=4.0, reason="dirty"))
    return found


def numbers(found: Estimate) -> list[float]:
    spans = (found.density_per_ml, found.net_per_day, found.birth_per_day, found.loss_per_day)
    values = [v for s in spans if s is not None for v in (s.median, s.low90, s.high90)]
    return [*values, found.ceiling_per_ml or 0.0, found.collapse_chance, found.ovigerous_share or 0.0, found.level_l]


def test_the_medians_alone_are_those_of_the_intervals():
    rack = Rack.build(VESSELS, month())
    for days in (-1.0, 3.5, 20.41, 45.0):
        for vessel in rack.vessels:
            one, other = (estimate(rack.log(vessel, now(days)), rack.profile(vessel), now(days)) for _ in range(2))
            medians = one.median_per_ml, one.median_net_per_day
            assert medians == tuple(s and s.median for s in (other.density_per_ml, other.net_per_day))


def believed(rack: Rack, days: float) -> list[float]:
    return [x for v in rack.vessels for x in numbers(estimate(rack.log(v), rack.profile(v), now(days)))]


def test_event_by_event_equals_all_at_once() -> None:
    events = sorted(month(), key=ev.Event.order)
    at_once = Rack.build(VESSELS, events)
    growing = Rack.build(VESSELS)
    for event in events:
        growing = growing.record(event)
        believed(growing, 31.0)
    assert believed(growing, 31.0) == pytest.approx(believed(at_once, 31.0), abs=1e-9, rel=1e-9)


@given(st.randoms(use_true_random=False))
@settings(max_examples=5, deadline=None)
def test_the_order_of_entry_is_nothing(random) -> None:
    events = month()
    in_time = believed(Rack.build(VESSELS, events), 31.0)
    random.shuffle(events)
    rack = Rack.build(VESSELS, events[:40])
    believed(rack, 31.0)
    rack = rack.record(*events[40:])
    assert believed(rack, 31.0) == pytest.approx(in_time, abs=1e-9, rel=1e-9)


def test_one_more_event_is_one_more_step(monkeypatch: pytest.MonkeyPatch) -> None:
    rack = Rack.build(VESSELS, month())
    believed(rack, 31.0)
    steps = 0
    real = belief.step

    def counted(*args):
        nonlocal steps
        steps += 1
        return real(*args)

    monkeypatch.setattr(belief, "step", counted)
    believed(rack.record(ev.Count(at=at(32.0), vessel="A1", tallies=(150,))), 33.0)
    assert steps == 1


def test_corrections_and_withdrawals_leave_no_trace() -> None:
    events = month()
    wrong = ev.Count(at=at(10.0), vessel="A1", tallies=(999,), id="wrong")
    rack = Rack.build(VESSELS, [*events, wrong])
    believed(rack, 31.0)
    rack = rack.record(ev.Withdraw(at=at(31.0), vessel="A1", replaces="wrong"))
    assert believed(rack, 31.0) == pytest.approx(believed(Rack.build(VESSELS, events), 31.0), abs=1e-9)


# --- anything legal --------------------------------------------------------------------------------------------------

moments = st.floats(0, 60).map(at)
names = st.sampled_from(["A1", "A2"])
counts = st.builds(
    ev.Count,
    at=moments,
    vessel=names,
    tallies=st.lists(st.one_of(st.integers(0, 5), st.integers(0, 1_000_000)), min_size=1, max_size=4).map(tuple),
    aliquot_ml=st.sampled_from([0.05, 1.0, 20.0]),
    dilution=st.sampled_from([1.0, 10.0]),
    with_eggs=st.integers(0, 30),
    females_checked=st.integers(30, 60),
    swimming=st.one_of(st.none(), st.integers(1, 5)),
    ciliates=st.sampled_from(["", *ev.CILIATES]),
    tint=st.one_of(st.none(), st.integers(0, 4)),
    stage=st.sampled_from(ev.STAGES),
)
volumes = st.floats(0.1, 15.0)
actions = st.one_of(
    st.builds(ev.Harvest, at=moments, vessel=names, volume_l=volumes, refill_l=st.one_of(st.just(0.0), volumes)),
    st.builds(ev.TopUp, at=moments, vessel=names, volume_l=volumes),
    st.builds(ev.Split, at=moments, vessel=st.just("A1"), to_vessel=st.just("A2"), volume_l=volumes, refill_l=volumes),
    st.builds(ev.Restart, at=moments, vessel=st.just("A2"), from_vessel=st.just("A1"),
              volume_l=st.one_of(st.none(), volumes), density_per_ml=st.one_of(st.none(), st.floats(0, 1e6))),
    st.builds(ev.Restart, at=moments, vessel=names, starter=st.just("a friend's")),
    st.builds(ev.Rest, at=moments, vessel=names),
    st.builds(ev.Feed, at=moments, vessel=names, feed=st.just("algae"), amount=volumes),
    st.builds(ev.Note, at=moments, vessel=names, text=st.just("seen")),
    st.builds(ev.Return, at=moments, vessel=names),
    st.builds(ev.Reading, at=moments, vessel=names, temperature_c=st.floats(-2, 45),
              ph=st.one_of(st.none(), st.floats(4, 11)), tan_mg_l=st.floats(0, 1000)),
)  # fmt: skip


def assert_sane(rack: Rack, vessel: str, days: float) -> None:
    log, profile = rack.log(vessel), rack.profile(vessel)
    found = estimate(log, profile, now(days))
    assert all(math.isfinite(v) for v in numbers(found))
    for span in (found.density_per_ml, found.net_per_day, found.birth_per_day, found.loss_per_day):
        assert span is None or span.low90 <= span.median <= span.high90
    if found.density_per_ml is not None:
        assert found.density_per_ml.low90 >= 0.0
        assert found.density_per_ml.high90 < 1e9
    assert found.level_l >= 0.0
    assert 0.0 <= found.chance_below(50.0, 1.0) <= 1.0
    assert 0.0 <= found.collapse_chance <= 1.0
    for hazard in (None, 0.1):
        ahead = project(log, profile, now(days), [0.5, 1, 3, 5], QUANTILES, hazard_per_day=hazard)
        assert np.isfinite(ahead).all()
        assert (ahead >= 0).all()
        assert (np.diff(ahead, axis=1) >= 0).all()


@given(st.lists(st.one_of(counts, actions), min_size=1, max_size=14))
@settings(max_examples=60, deadline=None)
def test_any_legal_history_gives_a_sane_estimate(events: list[ev.Event]) -> None:
    rack = Rack.build(VESSELS, events)
    for vessel in rack.vessels:
        assert_sane(rack, vessel, 61.0)
        line = track(rack.log(vessel), rack.profile(vessel), now(0.0), now(61.0), 7)
        assert (np.isnan(line.median) | (line.low90 <= line.high90)).all()


STORIES = {
    "weeks of nothing": [ev.Count(at=at(d), vessel="A1", tallies=(0, 0, 0)) for d in range(40)],
    "one count": [ev.Count(at=at(0), vessel="A1", tallies=(37,))],
    "one count of nothing": [ev.Count(at=at(0), vessel="A1", tallies=(0,))],
    "one feed": [ev.Feed(at=at(0), vessel="A1", feed="algae", amount=3.0)],
    "ten years": [ev.Count(at=at(0), vessel="A1", tallies=(200,)), ev.Count(at=at(3650), vessel="A1", tallies=(180,))],
    "fed daily, then ten years": [
        ev.Count(at=at(0), vessel="A1", tallies=(200,)),
        *(ev.Feed(at=at(d), vessel="A1", feed="algae", amount=3.0) for d in range(30)),
    ],
    "a million per mL": [ev.Count(at=at(d), vessel="A1", tallies=(1_000_000,)) for d in range(5)],
    "from nothing to a million": [
        ev.Count(at=at(d), vessel="A1", tallies=(n,)) for d, n in enumerate((0, 0, 1_000_000, 0, 1_000_000))
    ],
}


@pytest.mark.parametrize("story", STORIES)
def test_strange_stories(story: str) -> None:
    """The other vessel has the same story, so that each hears of it."""
    events = STORIES[story]
    rack = Rack.build(VESSELS, [*events, *(replace(event, vessel="A2", id="") for event in events)])
    for days in (0.0, 41.0, 3651.0, 7300.0):
        assert_sane(rack, "A1", days)


def test_nothing_known_is_said_so() -> None:
    rack = Rack.build(VESSELS, [ev.Feed(at=at(0), vessel="A1", feed="algae", amount=3.0)])
    found = estimate(rack.log("A1"), rack.profile("A1"), now(1.0))
    assert found.density_per_ml is None
    assert found.net_per_day is None
    assert found.ceiling_per_ml is None
    assert found.counts_so_far == 0
    assert found.newest_count is None


def test_a_rested_vessel_is_empty_until_something_comes_in() -> None:
    events = [*month(), ev.Rest(at=at(35.0), vessel="A1")]
    rested = Rack.build(VESSELS, events)
    assert estimate(rested.log("A1"), rested.profile("A1"), now(36.0)).density_per_ml.high90 == 0.0
    back = rested.record(
        ev.Return(at=at(37.0), vessel="A1"),
        ev.Split(at=at(37.1), vessel="A2", to_vessel="A1", volume_l=5.0, refill_l=5.0),
        ev.TopUp(at=at(37.2), vessel="A1", volume_l=15.0),
    )
    donor = estimate(back.log("A2", now(37.05)), back.profile("A2"), now(37.05)).density_per_ml.median
    found = estimate(back.log("A1"), back.profile("A1"), now(37.2))
    assert found.level_l == 20.0
    # what comes over is one normal distribution with the donor's mean, which lies off its median after days unseen
    assert found.density_per_ml.median == pytest.approx(donor / 4, rel=0.2)


def test_a_gap_widens_the_interval() -> None:
    rack = Rack.build(VESSELS, month())
    spans = [estimate(rack.log("A1"), rack.profile("A1"), now(d)).density_per_ml for d in (29.5, 31.0, 33.0, 40.0)]
    widths = [math.log(s.high90 / s.low90) for s in spans]
    assert widths == sorted(widths)


@given(st.lists(st.one_of(counts, actions), min_size=1, max_size=14))
@settings(max_examples=30, deadline=None)
def test_one_walk_gives_what_each_day_asked_alone_gives(events: list[ev.Event]) -> None:
    """The page of a vessel goes through its history once for all the days that it draws."""
    rack = Rack.build(VESSELS, events)
    days = [now(d) for d in range(-1, 62, 4)]
    for vessel in rack.vessels:
        together = estimates(rack.log(vessel), rack.profile(vessel), days)
        for day, one in zip(days, together, strict=True):
            alone = estimate(rack.log(vessel), rack.profile(vessel), day)
            for said, told in ((one.density_per_ml, alone.density_per_ml), (one.birth_per_day, alone.birth_per_day)):
                assert (said is None) == (told is None)
                if said is not None and told is not None:
                    assert (said.low90, said.median, said.high90) == pytest.approx(
                        (told.low90, told.median, told.high90), rel=1e-9
                    )
