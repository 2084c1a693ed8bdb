"""Whatever was recorded, the advice stands: no failure, sane amounts, never from a reserve or a suspect vessel."""

from __future__ import annotations

import json
import math
from datetime import UTC, date, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.advice import api
from rackview.advice.done import events_for
from rackview.advice.rows import plan_rows, status_row, suggestion_row
from rackview.advice.words.suggestions import tile_sentence
from rackview.core.errors import InputError
from rackview.core.rack import Rack
from rackview.core.tables import Brood, Demand, Stock
from rackview.core.vessel import Vessel

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
NAMES = ("A", "B", "C", "D")
STRAINS = ("rotifer-L", "rotifer-L", "rotifer-S", "copepod-benthic")

at = st.floats(0.0, 20.0).map(lambda d: START + timedelta(days=round(d, 3)))
name = st.sampled_from(NAMES)
volume = st.floats(0.1, 10.0).map(lambda v: round(v, 2))


def row(kind, **fields):
    return st.fixed_dictionaries({"at": at, "vessel": name, "kind": st.just(kind), **fields})


COUNT = row(
    "count",
    tallies=st.lists(st.integers(0, 900), min_size=1, max_size=4).map(lambda t: " ".join(map(str, t))),
    aliquot_ml=st.sampled_from([0.1, 1.0, 10.0]),
    dilution=st.sampled_from([1.0, 5.0]),
    with_eggs=st.integers(0, 40),
    females_checked=st.just(40),
    stage=st.sampled_from(["all", "all", "nauplii", "adults"]),
    swimming=st.sampled_from([None, 1, 2, 3, 5]),
    ciliates=st.sampled_from(["", "none", "some", "many"]),
    tint=st.sampled_from([None, 0, 1, 2, 3, 4]),
)
READING = row(
    "reading",
    temperature_c=st.floats(-1.0, 40.0),
    sg=st.one_of(st.none(), st.floats(0.991, 1.09)),
    sg_reference=st.sampled_from(["", "unknown", "25/25", "t/4"]),
    ph=st.one_of(st.none(), st.floats(4.5, 10.5)),
    tan_mg_l=st.one_of(st.none(), st.floats(0.0, 900.0)),
    oxygen_mg_l=st.one_of(st.none(), st.floats(0.0, 20.0)),
)
OTHERS = st.one_of(
    row(
        "feed",
        feed=st.sampled_from(["algae", "other"]),
        amount=st.floats(0.0, 500.0),
        unit=st.sampled_from(["mL", "g"]),
    ),
    row("harvest", volume_l=volume, refill_l=volume),
    row("clean", what=st.sampled_from(["floss", "vessel", "airline"])),
    row("top_up", volume_l=volume),
    row("split", to_vessel=name, volume_l=volume, refill_l=volume),
    row("restart", from_vessel=name, volume_l=volume),
    row("rest"),
    row("return"),
    row("decline", action=st.sampled_from(["harvest", "feed", "count"]), days=st.floats(0.1, 9.0)),
    row("decline", code=st.sampled_from(["crash", "ciliates", "floor"]), days=st.floats(0.1, 9.0)),
)
HISTORY = st.lists(st.one_of(COUNT, COUNT, READING, OTHERS), max_size=25)


def build(rows, broods, demand):
    vessels = [Vessel(n, s, "1", k + 1, 10.0, n == "B") for k, (n, s) in enumerate(zip(NAMES, STRAINS, strict=True))]
    stock = [Stock("algae", "", 0.1, 100.0, "mL", date(2026, 2, 1), date(2026, 3, 9))]
    rack = Rack.build(vessels, broods=broods, demand=demand, stock=stock)
    for one in rows:
        try:
            rack = rack.record({k: v for k, v in one.items() if v is not None})
        except InputError:
            continue
    return rack


BROODS = st.lists(
    st.builds(
        lambda k, d, litres: Brood(f"b{k}", "anemonefish", hatched=(START + timedelta(days=d)).date(), tank_l=litres),
        st.integers(0, 9), st.integers(-5, 22), st.floats(1.0, 5000.0),
    ),
    max_size=2,
)  # fmt: skip
DEMAND = st.lists(
    st.builds(
        lambda d, s, n: Demand((START + timedelta(days=d)).date(), s, n),
        st.integers(0, 22), st.sampled_from([*STRAINS, "rotifer-SS"]), st.floats(0.0, 1e10),
    ),
    max_size=3,
)  # fmt: skip


def standing(believed):
    """Codes of the flags that stand and are neither shelved nor suppressed."""
    return {f.code for f in believed.standing_flags}


@given(HISTORY, BROODS, DEMAND, st.floats(0.0, 22.0))
@settings(max_examples=30)
def test_the_advice_stands_on_any_history(rows, broods, demand, day):
    rack = build(rows, broods, demand)
    now = START + timedelta(days=day)
    beliefs = api.assess_all(rack, now)
    found = api.advise(rack, now)
    keys = [(s.vessel, s.action) for s in found]
    assert len(keys) == len(set(keys))
    for s in found:
        json.dumps(suggestion_row(s), allow_nan=False)
        believed = beliefs[s.vessel]
        assert s.evidence
        assert 0.0 <= s.sureness <= 1.0
        if s.amount is not None:
            assert math.isfinite(s.amount)
            assert s.amount > 0.0
        if s.action == "harvest":
            assert not believed.reserve
            assert believed.state in {"rising", "level", "falling"}
            assert s.amount <= believed.level_l
        if s.action in {"split", "restart"} and s.code != "starter":
            donor = s.vessel if s.action == "split" else s.other_vessel
            assert beliefs[donor].strain == beliefs[s.other_vessel if s.action == "split" else s.vessel].strain
            assert not {f.code for f in beliefs[donor].standing_flags} & {
                "crash",
                "ciliates",
            }
        for event in events_for(s, now, rack=rack):
            rack.record(event)
    for name_, believed in beliefs.items():
        json.dumps(status_row(believed), allow_nan=False)
        assert tile_sentence([s for s in found if s.vessel == name_], believed)
    json.dumps(plan_rows(api.plan(rack, now, 3)), allow_nan=False)
    api.rack_flags(rack, now)
