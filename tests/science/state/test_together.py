"""Side by side, one alone, in any order: the numbers held of a vessel are the same."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from threading import Thread

import numpy as np
import pytest

from rackview.core import events as ev
from rackview.core.log import Node
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state import steps, together
from rackview.science.state.belief import believe
from rackview.science.state.columns import Column
from rackview.science.state.held import Held, Known
from rackview.science.state.signs import EVEN, UNSHOWN

START = datetime(2026, 1, 1, 8, tzinfo=UTC)
VESSELS = [Vessel(f"V{n}", "rotifer-L" if n % 2 else "copepod-pelagic", "A", n + 1, 12.0 + n) for n in range(16)]


def eventful(seed: int, days: int = 25) -> list[ev.Event]:
    """Rounds as keepers do them and as they do not: left out, thinned out, mixed, begun anew, hardly an animal."""
    rng = np.random.default_rng(seed)
    found: list[ev.Event] = []
    for d in range(days):
        for n, vessel in enumerate(VESSELS):
            name, at = vessel.vessel, START + timedelta(days=d, minutes=n + int(rng.integers(0, 9)))
            if n % 3 and 11 < d < 16:
                continue  # nobody there
            if n % 4:
                found.append(ev.Feed(at=at + timedelta(minutes=30), vessel=name, feed="algae", amount=5.0))
            if rng.random() < 0.8:
                eggs = {"with_eggs": int(rng.integers(0, 20)), "females_checked": 40} if rng.random() < 0.7 else {}
                if rng.random() < 0.5:
                    eggs |= {"swimming": int(rng.integers(1, 6)), "ciliates": str(rng.choice(ev.CILIATES))}
                per_ml = float(rng.choice([0.0, 2.0, 80.0, 200.0, 500.0], p=[0.03, 0.07, 0.2, 0.5, 0.2]))
                found.append(ev.Count(at=at, vessel=name, tallies=tuple(rng.poisson(per_ml, 3).tolist()), **eggs))
            if rng.random() < 0.1:
                reading = {"temperature_c": 24.0 + rng.random(), "tan_mg_l": 4.0 * rng.random(), "ph": 8.0}
                found.append(ev.Reading(at=at + timedelta(minutes=10), vessel=name, **reading))
            then = at + timedelta(minutes=20)
            other = VESSELS[(n + 2 * int(rng.integers(1, 8))) % len(VESSELS)].vessel
            match int(rng.integers(0, 40)):
                case 0:
                    moved = {"to_vessel": other, "volume_l": 4.0, "refill_l": 4.0}
                    found.append(ev.Split(at=then, vessel=name, **moved))
                case 1:
                    found.append(ev.Restart(at=then, vessel=name, from_vessel=other, volume_l=3.0, reason="age"))
                case 2:
                    found.append(ev.Restart(at=then, vessel=name, density_per_ml=60.0, reason="crash"))
                case 3:
                    found.append(ev.TopUp(at=then, vessel=name, volume_l=1.0))
                case k if k < 24:
                    found.append(ev.Harvest(at=then, vessel=name, volume_l=3.0, refill_l=3.0))
    return found


def nodes(rack: Rack) -> list[tuple[Node, Held]]:
    """Every event of every vessel with what is held after it, none of it reckoned yet."""
    found = []
    for name in rack.vessels:
        for node in reversed(list(rack.log(name).back())):
            held = believe(node, rack.profile(name)).held
            if held is not None:
                found.append((node, held))
    return found


def flat(known: object) -> list[float]:
    if isinstance(known, tuple | list):
        return [x for one in known for x in flat(one)]
    return [float(known)]


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("which", ["all", "heads"])
def test_side_by_side_is_one_after_the_other(seed: int, which: str) -> None:
    events = eventful(seed)
    alone, beside = nodes(Rack.build(VESSELS, events)), nodes(Rack.build(VESSELS, events))
    heads = {node.vessel.vessel: held for node, held in beside}
    together.reckon([held for _, held in beside] if which == "all" else heads.values())
    for (_, one), (node, other) in zip(alone, beside, strict=True):
        if which == "all" or heads[node.vessel.vessel] is other:
            assert flat(other.components) == pytest.approx(flat(one.components), rel=1e-9, abs=1e-9)
            assert flat(other.known) == pytest.approx(flat(one.known), rel=1e-8, abs=1e-9)


def test_most_steps_are_done_side_by_side(monkeypatch: pytest.MonkeyPatch) -> None:
    beside = nodes(Rack.build(VESSELS, eventful(1)))
    pending = {one for _, held in beside for one in chain(held)}
    done, within = [], []

    def noted(step, work):
        def do(model, known, given):
            done.append((step, len(given)))
            return work(model, known, given)

        return do

    def inside(step, work):
        def do(table, pairs):
            within.append((step, len(pairs)))
            return work(table, pairs)

        return do

    monkeypatch.setattr(together, "BESIDE", {step: noted(step, work) for step, work in together.BESIDE.items()})
    monkeypatch.setattr(together, "WITHIN", {step: inside(step, work) for step, work in together.WITHIN.items()})
    together.reckon([held for _, held in beside])
    assert {step for step, _ in done} == set(together.BESIDE)
    assert {step for step, _ in within} == set(together.WITHIN)
    assert sum(n for _, n in done + within) > 0.75 * len(pending)


def whole(held: Held) -> float:
    """The mean log density over all parts."""
    weights, means, *_ = held.components
    return float(np.dot(weights, means))


def test_what_is_held_on_to_of_long_ago_is_taken_out_of_the_arrays() -> None:
    beside = nodes(Rack.build(VESSELS, eventful(1, days=45)))
    together.reckon([held for _, held in beside])
    newest = max(held.day for _, held in beside if held.found is not None and hasattr(held, "day"))
    old = [held for _, held in beside if getattr(held, "day", newest) < newest - 3.0 * together.LATELY]
    assert len(old) > 50
    assert not any(isinstance(held.found, Column) for held in old)
    alone = nodes(Rack.build(VESSELS, eventful(1, days=45)))
    for (_, one), (_, other) in zip(alone[::7], beside[::7], strict=True):
        assert other.stood == pytest.approx(one.stood, rel=1e-9)
        assert whole(other) == pytest.approx(whole(one), rel=1e-9, abs=1e-9)
        assert flat(other.components) == pytest.approx(flat(one.components), rel=1e-9, abs=1e-9)
        assert flat(other.known) == pytest.approx(flat(one.known), rel=1e-8, abs=1e-9)


def chain(held: Held) -> list[Held]:
    found: list[Held] = []
    one: Held | None = held
    while one is not None and one.found is None:
        found.append(one)
        one = one.before
    return found


def test_what_nobody_asks_for_is_not_reckoned() -> None:
    rack = Rack.build(VESSELS, eventful(2))
    held = believe(rack.log("V1"), rack.profile("V1")).held
    assert held is not None
    assert held.found is None
    assert len(chain(held)) > 50
    assert held.known is held.known
    assert held.before is None  # nothing is kept of what it came from


def test_a_history_of_a_lifetime_is_reckoned_without_recursion() -> None:
    rack = Rack.build(VESSELS[1:2])
    model = steps.fresh(prior := prior_of(rack), 4.0, 0.1, ())
    held = Held.of(model)
    for k in range(20_000):
        held = held.then(float(k), prior.model, steps.shifted, 1e-4)
    assert held.known.mix.fall.x == pytest.approx(6.0)


def prior_of(rack: Rack):
    from rackview.science.state.growth import Prior

    return Prior.of(rack.profile(next(iter(rack.vessels))))


def test_two_threads_may_ask_for_the_same() -> None:
    events = eventful(3)
    wanted = [held.components for _, held in nodes(Rack.build(VESSELS, events))]
    beside = nodes(Rack.build(VESSELS, events))
    found: list[list[object]] = [[], [], []]

    def ask(k: int) -> None:
        found[k] = [held.components for _, held in (beside if k else reversed(beside))]

    threads = [Thread(target=ask, args=(k,)) for k in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found[1] == found[2] == list(reversed(found[0])) == wanted


def test_a_slip_says_nothing_of_how_high_the_culture_stood() -> None:
    prior = prior_of(Rack.build(VESSELS[1:2]))
    held = Held.of(steps.fresh(prior, math.log(100.0), 0.02, (), stood=math.log(100.0)))
    likely = held.then(1.0, prior.model, steps.counted, 360.0, 3.0, 0.01, *EVEN, *UNSHOWN).known
    assert likely.stood == pytest.approx(math.log(120.0), abs=0.01)
    wild = held.then(1.0, prior.model, steps.counted, 4000.0, 1.0, 0.01, *EVEN, *UNSHOWN).known
    assert wild.miscount > steps.SLIP
    assert wild.stood == math.log(100.0)
    assert isinstance(wild, Known)
