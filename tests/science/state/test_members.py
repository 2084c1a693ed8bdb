"""What foretells beside the filter: regression, persistence, usual level; weights, widths, harvests."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from rackview.advice.api import forecast
from rackview.core import events as ev
from rackview.core.clock import day_number
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import constants, held, members
from rackview.science.state.belief import believe
from rackview.science.state.model import paced
from rackview.science.state.numbers import Numbers, Row, advance, new_numbers

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
VESSEL = Vessel("A", "rotifer-L", "1", 1, 20.0)
LEVELS = [0.05, 0.25, 0.5, 0.75, 0.95]


def counts(logs, ml=20.0):
    """A rack counted daily in so much water that chance hardly matters."""
    return Rack.build(
        [VESSEL],
        [
            ev.Count(at=START + timedelta(days=d), vessel="A", tallies=(round(ml * math.exp(y)),), aliquot_ml=ml)
            for d, y in enumerate(logs)
        ],
    )


def more(rack):
    return believe(rack.log("A"), rack.profile("A")).numbers.more[:, 0]


def test_the_coefficients_are_those_of_ridge_regression(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hoerl & Kennard 1970, Technometrics 12:55-67, in the batch form of the normal equations."""
    monkeypatch.setattr(constants, "DRIFT", 0.0)
    rng = np.random.default_rng(3)
    y = [5.0]
    for _ in range(40):
        y.append(5.0 + 0.5 * (y[-1] - 5.0) + 0.1 * rng.standard_normal())
    rack = counts(y)
    logs = np.log(np.array([n.event.animals for n in rack.log("A").back()][::-1]) + 0.5) - math.log(20.0)
    rest = np.diff(logs)
    rows = np.column_stack([np.ones(40), logs[:-1] - logs[0], [0, *rest[:-1]], [0, 0, *rest[:-2]]])
    wanted = np.linalg.solve(rows.T @ rows + np.diag(1 / constants.START_VAR), rows.T @ rest)
    assert more(rack)[members.COEF] == pytest.approx(wanted, abs=1e-3)


def test_a_series_that_swings_is_left_to_the_autoregression() -> None:
    t = np.arange(60)
    swings = 5.0 + 1.2 * np.sin(2 * np.pi * t / 9) + 0.05 * np.random.default_rng(1).standard_normal(60)
    near, far = members.weights(more(counts(swings))[:, None], 1.0)[:, :, 0]
    assert near[1] > 0.9
    assert far[1] > 0.5
    rack = counts(swings)
    foretold = forecast(rack, "A", START + timedelta(days=59, minutes=5), [1, 2, 3], [0.5])[:, 0]
    wanted = np.exp(5.0 + 1.2 * np.sin(2 * np.pi * np.arange(60, 63) / 9))
    assert np.log(foretold) == pytest.approx(np.log(wanted), abs=0.35)


def test_what_grows_and_is_harvested_is_left_to_the_filter() -> None:
    events, x = [], 150.0
    rng = np.random.default_rng(2)
    for d in range(40):
        at = START + timedelta(days=d)
        events.append(ev.Count(at=at, vessel="A", tallies=tuple(rng.poisson(x, 3).tolist())))
        share = float(rng.uniform(0.0, 0.5))
        events.append(ev.Harvest(at=at + timedelta(hours=1), vessel="A", volume_l=20 * share, refill_l=20 * share))
        x *= (1 - share) * math.exp(0.5 * (1 - x * (1 - share) / 350))
    weights = members.weights(more(Rack.build([VESSEL], events))[:, None], 1.0)[:, :, 0]
    assert weights.sum(1) == pytest.approx([1.0, 1.0])
    assert weights[0, 0] > 0.9


def test_who_counts_seldom_and_takes_nothing_is_told_what_was_counted_last() -> None:
    """The longer the strain could have grown unseen, the less its growth is believed; a harvested culture shows it."""
    found = more(counts([5.0, 5.1, 5.2]))[:, None]
    found[members.EVIDENCE] = 0.0

    def of_filter(gap: float, kept: float, pace: float = 1.0) -> np.ndarray:
        found[members.GAP], found[members.KEPT] = gap, kept
        return members.weights(found, pace)[:, 0, 0]

    assert (of_filter(7.0, 0.0) < 0.3 * of_filter(1.0, 0.0)).all()
    assert (of_filter(1.0, 0.0) < of_filter(1.0, 1.0)).all()
    assert of_filter(7.0, 1.0) == pytest.approx(of_filter(1.0, 1.0))
    assert of_filter(7.0, 0.0, 0.2) == pytest.approx(of_filter(1.4, 0.0))
    rack = counts([5.0, 5.1])
    for day, taken in ((1.1, 5.0), (2.1, 0.0)):
        at = START + timedelta(days=day)
        acts = [ev.Harvest(at=at, vessel="A", volume_l=taken, refill_l=taken)] if taken else []
        count = ev.Count(at=at + timedelta(hours=2), vessel="A", tallies=(100, 100))
        rack = rack.record(*acts, count)
        assert more(rack)[members.KEPT] == pytest.approx(1.0 if taken else constants.KEPT_ON)


def test_a_planned_harvest_passes_through_all_that_foretells() -> None:
    rng = np.random.default_rng(4)
    rack = counts(5.0 + 0.3 * rng.standard_normal(30))  # nothing but scatter: the level and persistence count
    at = START + timedelta(days=29, minutes=5)
    weights = members.weights(more(rack)[:, None], 1.0)[0, :, 0]
    assert weights[1:].sum() > 0.2
    act = {"at": at + timedelta(hours=1), "vessel": "A", "kind": "harvest", "volume_l": 10.0, "refill_l": 10.0}
    without, halved = (forecast(rack, "A", at, [0.1], LEVELS, actions=acts)[0] for acts in ((), [act]))
    assert halved == pytest.approx(0.5 * without, rel=0.1)


def test_the_interval_widens_where_counts_erred_more_than_was_said_and_narrows_where_less() -> None:
    calm, noise = np.full(60, 5.0), 0.5 * np.random.default_rng(3).standard_normal(20)
    wild = np.concatenate([calm[:40], 5.0 + noise])
    before, calmly, wildly = (members.spreads(more(counts(logs))[:, None])[:, 0] for logs in (calm[:40], calm, wild))
    assert (calmly < before).all()
    assert (before < constants.SPREAD_PRIOR).all()
    assert (wildly > before).all()
    assert wildly[0] > 1.5 * before[0]


def test_who_is_reckoned_beside_others_is_reckoned_the_same() -> None:
    rng = np.random.default_rng(6)
    vessels = [Vessel(f"V{i}", "rotifer-L", "1", i + 1, 20.0) for i in range(4)]
    events = []
    for i, v in enumerate(vessels):
        for d in range(6 + 3 * i):
            if rng.random() < 0.8:
                at = START + timedelta(days=d, minutes=i)
                tallies = tuple(rng.poisson(120, 3).tolist())
                looks = {"with_eggs": 10, "females_checked": 40} if rng.random() < 0.5 else {}
                events.append(ev.Count(at=at, vessel=v.vessel, tallies=tallies, **looks))
                events.append(ev.Harvest(at=at + timedelta(hours=2), vessel=v.vessel, volume_l=4.0, refill_l=4.0))
    together, alone = (Rack.build(vessels, events) for _ in range(2))
    beliefs = [believe(together.log(v.vessel), together.profile(v.vessel)).held for v in vessels]
    held.reckon(beliefs)
    for v, one in zip(vessels, beliefs, strict=True):
        other = believe(alone.log(v.vessel), alone.profile(v.vessel)).held.numbers
        assert one.numbers.now.s == pytest.approx(other.now.s, rel=1e-9, abs=1e-12)
        assert one.numbers.more == pytest.approx(other.more, rel=1e-9, abs=1e-12, nan_ok=True)


def test_hundreds_side_by_side_are_reckoned_as_one_is() -> None:
    """Of many, arrays are gone through in other ways than of a few; not all are counted on the same days."""
    rng, many = np.random.default_rng(8), 240
    model = paced(1.0)
    begun = [new_numbers(model, float(x), 0.5, 6.0, -np.inf) for x in rng.normal(5.0, 0.5, many)]
    beside, alone = Numbers.joined(begun), begun[7]
    for _ in range(12):
        rows = np.repeat(np.array(Row(dt=1.0, warmth=0.9, ml=3.0))[:, None], many, axis=1)
        rows[Row._fields.index("n")] = np.where(rng.random(many) < 0.7, rng.poisson(400, many), -1)
        rows[Row._fields.index("dt")] = rng.choice([0.4, 1.0, 3.0], many)
        rows[Row._fields.index("shift")] = np.where(rng.random(many) < 0.5, -0.2, 0.0)
        rows[Row._fields.index("births")] = np.where(rng.random(many) < 0.5, 0.3, -1.0)
        beside, alone = advance(model, beside, rows), advance(model, alone, rows[:, 7:8])
    own = beside.part(slice(7, 8))
    assert own.now.s == pytest.approx(alone.now.s, rel=1e-9, abs=1e-12)
    assert own.then.s == pytest.approx(alone.then.s, rel=1e-9, abs=1e-12)
    going = slice(None) if alone.more[members.AGE, 0] >= 0.0 else slice(members.AGE)
    assert own.more[going] == pytest.approx(alone.more[going], rel=1e-9, abs=1e-12, nan_ok=True)


def test_a_checkpoint_is_a_list_of_numbers_and_comes_back_as_it_was() -> None:
    found = believe(counts([5.0, 5.1, 5.2, 5.0, 4.9]).log("A"), counts([5.0]).profile("A")).held
    known = found.numbers.known()
    assert {type(one) for one in known} == {float}
    again = Numbers.of(known)
    assert np.array_equal(again.now.s, found.numbers.now.s)
    assert np.array_equal(again.more, found.numbers.more, equal_nan=True)
    with pytest.raises(ValueError, match="numbers of a vessel"):
        Numbers.of(known[:-1])


def test_nothing_that_came_later_moves_a_forecast() -> None:
    logs = [*np.linspace(4.5, 5.2, 20), 3.0, 2.0, 6.0]
    at = START + timedelta(days=19, minutes=5)
    whole, past = (forecast(counts(some), "A", at, [1, 3, 5], LEVELS) for some in (logs, logs[:20]))
    assert np.array_equal(whole, past)
    assert day_number(at) > 0
