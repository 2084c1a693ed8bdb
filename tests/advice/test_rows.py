"""Rows for JSON: the documented keys, plain values, nothing that JSON can't say."""

from __future__ import annotations

import json

import pytest

from rackview import advise, assess, plan
from rackview.advice.rows import plan_rows, status_row, suggestion_row
from rackview.core.tables import Brood

STATUS = {
    "vessel", "strain", "shelf", "position", "volume_l", "state", "density_per_ml", "net_rate_per_day",
    "birth_rate_per_day", "loss_rate_per_day", "ovigerous_share", "egg_ratio", "days_since_count",
    "days_since_cleaning", "days_since_restart", "flags",
}  # fmt: skip
SUGGESTION = {
    "vessel", "action", "amount", "unit", "other_vessel", "priority", "before", "why", "evidence", "sureness",
    "cautions",
}  # fmt: skip


def test_status_rows(three, at, count):
    rack = three.record(count(at(7, 20), "B", 60.0, ciliates="some"))
    for name in rack.vessels:
        row = json.loads(json.dumps(status_row(assess(rack, name, at(7, 60.0))), allow_nan=False))
        assert set(row) >= STATUS
        for flag in row["flags"]:
            assert {"code", "severity", "text"} <= set(flag)
            assert flag["severity"] in {"today", "week", "notice"}
        density = row["density_per_ml"]
        assert density["low90"] <= density["median"] <= density["high90"]


def test_a_vessel_of_which_nothing_is_known(build, at):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, None)})
    row = json.loads(json.dumps(status_row(assess(rack, "A", at(0))), allow_nan=False))
    assert row["state"] == "unknown"
    assert row["density_per_ml"] is None
    assert row["days_since_count"] is None
    assert row["flags"] == []


@pytest.mark.parametrize(("kind", "state"), [("rest", "resting"), ("return", "empty")])
def test_states_of_vessels_out_of_use(three, at, kind, state):
    rack = three.record({"at": at(7, 30), "vessel": "A", "kind": kind})
    assert status_row(assess(rack, "A", at(7, 60.0)))["state"] == state


def test_suggestion_rows(three, at):
    for one in advise(three, at(7, 60.0)):
        row = json.loads(json.dumps(suggestion_row(one), allow_nan=False))
        assert set(row) >= SUGGESTION
        assert row["evidence"]


def test_plan_rows(three, at):
    rack = three.with_broods([Brood("fish", "anemonefish", hatched=at(7).date(), tank_l=60.0)])
    row = json.loads(json.dumps(plan_rows(plan(rack, at(7, 60.0), 3)), allow_nan=False))
    assert [d["date"] for d in row["days"]] == ["2026-03-08", "2026-03-09", "2026-03-10"]
    assert row["days"][0]["for_broods"] == ["fish"]
