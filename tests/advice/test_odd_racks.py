"""Odd racks and odd questions: an answer in plain finite numbers, or one sentence that says what would be right."""

from __future__ import annotations

import json
import math
from dataclasses import fields, is_dataclass
from datetime import datetime, timedelta

import numpy as np
import pytest

from rackview import Rack, advise, assess, forecast, plan
from rackview.advice.rows import plan_rows, status_row, suggestion_row
from rackview.core import profile as prof
from rackview.core.errors import InputError
from rackview.core.tables import Settings

NOW = "2026-03-10T08:00"
QUANTILES = (0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99)


def vessels(number=2, volume_l=20.0):
    return [
        {"vessel": f"V{i}", "strain": "rotifer-L", "shelf": "A", "position": i + 1, "volume_l": volume_l}
        for i in range(number)
    ]


def count(at, vessel, *tallies, **more):
    return {"at": at, "vessel": vessel, "kind": "count", "tallies": list(tallies), **more}


def act(at, vessel, kind, **more):
    return {"at": at, "vessel": vessel, "kind": kind, **more}


def to_and_fro():
    first = [count("2026-03-01T08:00", "V0", 98, 99), count("2026-03-01T08:00", "V1", 198, 99)]
    start = datetime(2026, 3, 1, 9)  # noqa: DTZ001 - taken as it stands
    for hour in range(60):
        giver, taker = ("V0", "V1") if hour % 2 else ("V1", "V0")
        refill = {"volume_l": 10, "refill_l": hour % 3 * 5}
        first.append(act(start + timedelta(hours=hour), giver, "split", to_vessel=taker, **refill))
    return first


SAME = "2026-03-09T08:00"
RACKS = {
    "no vessels": ([], []),
    "no events": (vessels(), []),
    "all of it later": (vessels(), [count("2027-01-01", "V0", 98, 99)]),
    "all of it at one moment": (
        vessels(),
        [count(SAME, "V0", 98, 99), count(SAME, "V0", 0)]
        + [act(SAME, "V0", "harvest", volume_l=20, refill_l=20)] * 3
        + [act(SAME, "V0", "split", to_vessel="V1", volume_l=20), act(SAME, "V1", "split", to_vessel="V0", volume_l=20)]
        * 3,
    ),
    "years between": (vessels(), [count(f"{year}-03-09", "V0", n) for year, n in ((1950, 98), (2000, 5), (2026, 10))]),
    "splits to and fro": (vessels(), to_and_fro()),
    "each started from the other": (
        vessels(),
        [act(SAME, "V0", "restart", from_vessel="V1"), act(SAME, "V1", "restart", from_vessel="V0")],
    ),
    "very dense": (vessels(), [count(SAME, "V0", *[3_000_000] * 3, aliquot_ml=1e-6, dilution=1e6, fixative=1e3)]),
    "very thin": (vessels(), [count(SAME, "V0", 0, 0, 1, aliquot_ml=10000)]),
    "numbers of numpy": (
        vessels(),
        [
            count(np.datetime64("2026-03-08T08:00"), "V0", *np.array([150, 160]), aliquot_ml=np.float64(1)),
            act(SAME, "V0", "harvest", volume_l=np.float64(4), refill_l=np.float64(3)),
            act(SAME, "V0", "reading", temperature_c=np.float32(20)),
        ],
    ),
} | {
    f"vessels of {litres} L": (
        vessels(2, litres),
        [
            count("2026-03-08T08:00", "V0", 98, 99),
            count(SAME, "V0", 150, 130),
            count(SAME, "V1", 400, 430),
            act("2026-03-09T09:00", "V0", "harvest", volume_l=litres / 2, refill_l=litres / 2),
        ],
    )
    for litres in (1e-3, 1e5)
}


def no_strange_number(value):
    if isinstance(value, float):
        assert math.isfinite(value)
    assert not isinstance(value, np.generic)
    if is_dataclass(value):
        value = [getattr(value, f.name) for f in fields(value)]
    if isinstance(value, dict):
        value = list(value.values())
    for one in value if isinstance(value, list | tuple) else ():
        no_strange_number(one)


@pytest.mark.parametrize("name", RACKS)
def test_an_odd_rack_is_answered_in_plain_finite_numbers(name):
    rack = Rack.from_frames(*RACKS[name], stock=[{"feed": "algae concentrate", "dry_g_per_ml": 0.08, "amount": 500}])
    believed = {vessel: assess(rack, vessel, NOW) for vessel in rack.vessels}
    advised, planned = advise(rack, NOW), plan(rack, NOW, 3)
    no_strange_number([*believed.values(), *advised, planned])
    answer = [[suggestion_row(s) for s in advised], [status_row(a) for a in believed.values()], plan_rows(planned)]
    assert json.loads(json.dumps(answer, allow_nan=False))
    for one in advised:
        if one.action in {"harvest", "split"} and one.amount is not None:
            assert 0 < one.amount <= believed[one.vessel].level_l + 1e-9
    for vessel in rack.vessels:
        found = forecast(rack, vessel, NOW, [0, 0.5, 3, 60], QUANTILES)
        assert np.isfinite(found).all()
        assert (np.diff(found, axis=1) >= 0).all()
        assert (found >= 0).all()


@pytest.mark.parametrize("field", prof.THRESHOLDS)
def test_a_threshold_at_the_ends_of_its_reach_is_answered_too(field):
    rack = Rack.from_frames(
        vessels(),
        [count("2026-03-08T08:00", "V0", 98, 99), count(SAME, "V0", 150, 140), count(SAME, "V1", 400, 430)],
        stock=[{"feed": "algae concentrate", "dry_g_per_ml": 0.08, "amount": 500}],
    )
    for value in (prof.LEAST.get(field, 0.0), prof.MOST.get(field, 1e6)):
        changed = rack.with_settings(Settings(overrides={("", field): value}))
        no_strange_number([*advise(changed, NOW), plan(changed, NOW, 2), assess(changed, "V0", NOW)])
        assert np.isfinite(forecast(changed, "V0", NOW, [1, 5], QUANTILES)).all()


def test_a_shelf_of_two_hundred_is_answered_too():
    rack = Rack.from_frames(vessels(200), [count(SAME, f"V{i}", 5 * i) for i in range(200)])
    no_strange_number([*advise(rack, NOW), plan(rack, NOW, 2)])


RACK = Rack.from_frames(vessels(), [count(SAME, "V0", 150, 140)])


@pytest.mark.parametrize(
    ("field", "days", "quantiles"),
    [
        *(("days", bad, [0.5]) for bad in (1, "12", None, [-1], [math.nan], [math.inf], [1e9], ["x"], [None])),
        *(("quantiles", [1], bad) for bad in (0.5, None, [0], [1], [-0.1], [1.5], [math.nan], ["x"])),
    ],
)
def test_days_ahead_and_quantiles_that_cannot_be_are_refused(field, days, quantiles):
    with pytest.raises(InputError) as caught:
        forecast(RACK, "V0", NOW, days, quantiles)
    assert caught.value.field == field


def test_days_ahead_and_quantiles_may_be_any_list_of_numbers():
    assert forecast(RACK, "V0", NOW, [], [0.5]).size == 0
    plain = forecast(RACK, "V0", NOW, [1, 2], [0.1, 0.9])
    assert forecast(RACK, "V0", NOW, np.array([1, 2]), np.array([0.1, 0.9])).tolist() == plain.tolist()
    assert forecast(RACK, "V0", NOW, (2, 1), (0.9, 0.1)).tolist() == plain[::-1, ::-1].tolist()


@pytest.mark.parametrize(
    ("field", "action"),
    [
        ("volume_l", act("2026-03-11", "V0", "harvest", volume_l=500)),
        ("volume_l", act("2026-03-11", "V1", "split", to_vessel="V0", volume_l=500)),
        ("vessel", act("2026-03-11", "Z9", "harvest", volume_l=5)),
        ("to_vessel", act("2026-03-11", "V0", "split", to_vessel="Z9", volume_l=5)),
        ("event", 5),
    ],
)
def test_a_planned_action_that_cannot_be_is_refused(field, action):
    with pytest.raises(InputError) as caught:
        forecast(RACK, "V0", NOW, [1], [0.5], actions=[action])
    assert caught.value.field == field


@pytest.mark.parametrize("days", [0, -1, 367, 10**9, 1.5, "x", None, math.nan])
def test_a_plan_for_days_that_cannot_be_is_refused(days):
    with pytest.raises(InputError, match=r"days: found .* needs a whole number of days from 1 to 366"):
        plan(RACK, NOW, days)


@pytest.mark.parametrize("at", ["9999-12-31T23:59", "0001-01-01", "2199-12-31T23:59-14:00", None, 5, math.nan])
@pytest.mark.parametrize("ask", [advise, plan, lambda rack, at: assess(rack, "V0", at)])
def test_a_moment_out_of_reach_is_refused_or_answered(ask, at):
    if at == "2199-12-31T23:59-14:00":
        no_strange_number(ask(RACK, at))
        return
    with pytest.raises(InputError, match="at: found"):
        ask(RACK, at)
