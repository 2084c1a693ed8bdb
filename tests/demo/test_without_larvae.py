"""A keeper who only holds cultures: the advice followed to the letter keeps a rack steady, with little to do.

That 30 to 40 % a day is taken where cultures thrive is common practice, no source.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rackview.core.events import Harvest, Restart, Split
from rackview.core.tables import Standing
from rackview.demo.chance import Climate

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"
DAYS, SETTLED = 26, 8


@pytest.fixture
def keeper(monkeypatch):
    """Somebody who follows the advice on two calm vessels, for no larvae."""
    monkeypatch.syspath_prepend(str(BENCHMARKS))
    import replay_season
    from replay_literal import Literal

    whole = replay_season.season(2, DAYS)
    kept = tuple(v for v in whole.vessels if v.vessel in {"L1", "L2"})
    calm = Climate(hazard=0.0, ciliate_arrivals=0.0, air_failures=0.0, upsets=0.0, miscounts=0.0)
    bench = replay_season.Bench(replace(whole, vessels=kept, broods=(), missed=frozenset(), climate=calm))
    yield Literal(bench)
    for name in [n for n in sys.modules if n.startswith("replay_")]:
        del sys.modules[name]


def taken(keeper, kind=Harvest):
    """Events of a kind after the rack has settled, by vessel and day."""
    found = [e for e in keeper.rack.events() if isinstance(e, kind)]
    first = min(e.day for e in keeper.rack.events())
    return [(e.vessel, int(e.day - first), e) for e in found if e.day - first >= SETTLED]


def test_cultures_are_kept_steady_and_give_a_third_a_day(keeper):
    bench = keeper.bench
    seen: dict[str, list[float]] = {v: [] for v in bench.simulator.vessels}
    plain = keeper.day

    def watched(at, looked):
        plain(at, looked)
        for name, densities in seen.items():
            densities.append(bench.simulator.culture(name).density)

    keeper.day = watched
    tally = bench.play(keeper)
    assert tally.crashes == 0
    days = DAYS - SETTLED
    for name in seen:
        given = sum(e.volume_l for v, _, e in taken(keeper) if v == name)
        assert 0.22 <= given / bench.simulator.vessels[name].volume_l / days <= 0.42, name
        steady = np.array(seen[name][SETTLED:])
        assert steady.std() / steady.mean() < 0.35, name
        assert steady.min() > 60.0, name
    assert len({(v, d) for v, d, _ in taken(keeper)}) == len(taken(keeper)), "one harvest a vessel and day at most"
    assert len(taken(keeper, Split)) == 0
    assert len(taken(keeper, Restart)) <= 1, "for age, no more"


def test_what_they_give_goes_to_those_who_can_do_without(keeper):
    keeper.rack = keeper.rack.with_standing([Standing("display tank", "rotifer-L")])
    keeper.bench.play(keeper)
    to = {e.to for _, _, e in taken(keeper)}
    assert to == {"display tank"}
