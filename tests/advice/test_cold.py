"""A rack opened at once, its vessels reckoned side by side, is advised as one that was watched event by event."""

from __future__ import annotations

import numpy as np
import pytest

from rackview.advice import situation
from rackview.advice.api import advise, assess_all
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel

VESSELS = [Vessel(f"V{n}", "rotifer-L" if n % 3 else "copepod-benthic", "A", n + 1, 18.0 + n) for n in range(18)]
DAYS = 16


@pytest.fixture
def events(at, count):
    rng = np.random.default_rng(4)
    found = []
    for day in range(DAYS):
        for n, vessel in enumerate(VESSELS):
            if rng.random() < 0.85:
                per_ml = (20.0 if n % 3 == 0 else 200.0) * (0.7 ** max(day - 12, 0) if n == 4 else 1.0)
                looks = {"swimming": int(rng.integers(2, 6)), "with_eggs": int(rng.integers(6, 25))}
                found.append(count(at(day, n), vessel.vessel, per_ml * rng.uniform(0.8, 1.25), **looks))
            taken = {"kind": "harvest", "volume_l": 4.0, "refill_l": 4.0}
            if rng.random() < 0.5:
                found.append({"at": at(day, 30 + n), "vessel": vessel.vessel, **taken})
    found.append(
        {"at": at(9, 55), "vessel": "V1", "kind": "split", "to_vessel": "V2", "volume_l": 3.0, "refill_l": 3.0}
    )
    return found


def test_opened_at_once_or_watched_day_by_day(events, at, monkeypatch):
    now = at(DAYS - 1, 90)
    cold = Rack.build(VESSELS).record(*events)
    assessed, advised = assess_all(cold, now), advise(cold, now)
    monkeypatch.setattr(situation, "reckon", lambda wanted: None)
    watched = Rack.build(VESSELS)
    for day in range(DAYS):
        watched = watched.record(*(e for e in events if at(day).date() == e["at"].date()))
        advise(watched, at(day, 90))
    assert [(s.vessel, s.action, s.code, s.what) for s in advised] == [
        (s.vessel, s.action, s.code, s.what) for s in advise(watched, now)
    ]
    for name, one in assess_all(watched, now).items():
        other = assessed[name]
        assert [(f.code, f.state) for f in one.flags] == [(f.code, f.state) for f in other.flags]
        for what in ("density_per_ml", "net_rate_per_day"):
            mine, theirs = getattr(one, what), getattr(other, what)
            spans = [(s.median, s.low90, s.high90) for s in (mine, theirs)]
            assert spans[0] == pytest.approx(spans[1], rel=1e-9, abs=1e-9)
