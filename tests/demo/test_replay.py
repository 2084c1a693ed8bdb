"""A calm fortnight of a small rack, replayed: the advice can be followed literally, and it stays quiet.

The full comparison over many seasons is tests/benchmarks/replay_advice.py.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from rackview.demo.chance import Climate

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"
DAYS = 14


@pytest.fixture
def bench(monkeypatch):
    monkeypatch.syspath_prepend(str(BENCHMARKS))
    import replay_season

    whole = replay_season.season(2, DAYS)
    kept = tuple(v for v in whole.vessels if v.vessel in {"L1", "L2", "S1"})
    calm = Climate(hazard=0.0, ciliate_arrivals=0.0, air_failures=0.0, upsets=0.0, miscounts=0.0)
    yield replay_season.Bench(replace(whole, vessels=kept, missed=frozenset(), climate=calm))
    for name in [n for n in sys.modules if n.startswith("replay_")]:
        del sys.modules[name]


def test_the_advice_followed_to_the_letter_keeps_a_calm_rack_alive_and_quiet(bench):
    """Budget on normal days: at most one new flag per ten vessels, at most one for today per twenty vessel-days."""
    from replay_literal import Literal

    tally = bench.play(Literal(bench))
    assert tally.vessel_days == 3 * DAYS
    assert tally.crashes == 0
    assert tally.flags.get("all", 0) <= 0.1 * tally.vessel_days
    assert tally.flags.get("today", 0) <= 0.05 * tally.vessel_days
    assert all(bench.simulator.culture(v).density > 60 for v in bench.simulator.vessels)


def test_two_keepers_without_a_program_meet_the_same_season(bench):
    from replay_keepers import Careful

    first = bench.play(Careful(bench))
    again = type(bench)(bench.season)
    assert again.play(Careful(again)) == first
    assert first.delivered >= 0.0
    assert first.crashes == 0
