"""The events that record a suggestion as done, and that they end the suggestion."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from rackview import advise
from rackview.advice.done import events_for
from rackview.core.assessment import Suggestion
from rackview.core.events import Clean, Feed, Harvest, Restart, Return, Split

AT = datetime(2026, 3, 8, 9, tzinfo=UTC)


def suggestion(action, amount=None, unit=None, other=None, **more):
    return Suggestion("A", action, amount, unit, other, 3, AT, "why", (), 1.0, **more)


def test_a_harvest_with_refill_mesh_and_where_to():
    found = events_for(suggestion("harvest", 6.0, "L", refill_l=6.5, mesh_um=60.0, to="fish 1"), AT)
    assert found == (Harvest(at=AT, vessel="A", volume_l=6.0, refill_l=6.5, mesh_um=60.0, to="fish 1", entered_at=AT),)


def test_a_changed_amount_changes_the_refill_by_as_much():
    (found,) = events_for(suggestion("harvest", 6.0, "L", refill_l=6.5), AT, amount=4.0)
    assert (found.volume_l, found.refill_l) == (4.0, 4.5)
    (found,) = events_for(suggestion("harvest", 6.0, "L"), AT, amount=4.0)
    assert found.refill_l == 4.0


def test_feed_and_clean_and_who_entered_it():
    (fed,) = events_for(suggestion("feed", 4.0, "mL", feed="algae"), AT, by="Ada", on="shed")
    assert (fed.kind, fed.feed, fed.amount, fed.unit) == ("feed", "algae", 4.0, "mL")
    assert (fed.entered_by, fed.entered_on, fed.entered_at) == ("Ada", "shed", AT)
    assert isinstance(fed, Feed)
    (dry,) = events_for(suggestion("feed", 1.2, "g"), AT)
    assert (dry.feed, dry.unit) == ("dry feed", "g")
    (cleaned,) = events_for(suggestion("clean", what="airline"), AT)
    assert cleaned == Clean(at=AT, vessel="A", what="airline", entered_at=AT)


@pytest.mark.parametrize("action", ["hold", "count", "test"])
def test_nothing_is_recorded_where_the_keeper_must_look(action):
    assert events_for(suggestion(action), AT) == ()


def test_no_amount_records_nothing():
    assert events_for(suggestion("feed", 4.0, "mL", feed="algae"), AT, amount=0.0) == ()


def test_a_split_fills_both_up_and_wakes_a_resting_vessel(build, at):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 300.0), "B": ("rotifer-L", "1", 2, 15.0, None)})
    rack = rack.record({"at": at(1), "vessel": "B", "kind": "rest"})
    found = events_for(suggestion("split", 6.0, "L", "B", refill_l=6.0), AT, rack=rack)
    assert [type(e) for e in found] == [Return, Split]
    assert (found[1].refill_l, found[1].fill_l) == (6.0, pytest.approx(9.0))
    alone = events_for(suggestion("split", 6.0, "L", "B", refill_l=6.0), AT)
    assert [type(e) for e in alone] == [Split]
    assert alone[0].fill_l is None, "the taker is not known"


def test_a_restart_scales_its_density_with_the_amount(build):
    rack = build({"A": ("rotifer-L", "1", 1, 20.0, 300.0), "B": ("rotifer-L", "1", 2, 20.0, 200.0)})
    made = suggestion("restart", 8.0, "L", "B", density_per_ml=120.0, code="crash")
    (restart,) = events_for(made, AT, rack=rack, amount=4.0)
    assert isinstance(restart, Restart)
    assert (restart.from_vessel, restart.volume_l, restart.density_per_ml, restart.reason) == ("B", 4.0, 60.0, "crash")
    assert (restart.refill_l, restart.fill_l) == (4.0, 16.0)


def test_all_events_can_be_recorded_and_end_what_they_answer(three, at):
    now = at(7, 60.0)
    rack = three
    for one in advise(three, now):
        rack = rack.record(*events_for(one, now, rack=rack))
    left = {(s.vessel, s.action) for s in advise(rack, at(7, 90.0))}
    assert not {x for x in left if x[1] in {"harvest", "feed", "clean", "split", "restart"}}
