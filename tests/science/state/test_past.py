"""What is remembered of the past days is what a history that remembers nothing gives, whatever came after."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackview.core.clock import day_number
from rackview.core.events import Count, Event, Harvest, Note, Split
from rackview.core.rack import Rack
from rackview.core.vessel import Vessel
from rackview.science.state.past import lately, medians

START = datetime(2026, 5, 1, 8, tzinfo=UTC)
VESSELS = (Vessel("A", "rotifer-L", "A", 1, 20.0), Vessel("B", "rotifer-L", "A", 2, 20.0))


def event(kind: str, hours: float, vessel: str) -> Event:
    said = {"at": START + timedelta(hours=hours), "vessel": vessel}
    match kind:
        case "count":
            return Count(tallies=(200, 190 + round(hours) % 20), **said)
        case "harvest":
            return Harvest(volume_l=4.0, refill_l=4.0, **said)
        case "split":
            return Split(to_vessel="B" if vessel == "A" else "A", volume_l=2.0, refill_l=2.0, **said)
    return Note(text="looked at", **said)


drawn = st.builds(
    event,
    st.sampled_from(["count", "count", "harvest", "split", "note"]),
    st.floats(0, 24 * 12).map(lambda h: round(h, 2)),
    st.sampled_from("AB"),
)


@settings(max_examples=25, deadline=None)
@given(first=st.lists(drawn, max_size=12), later=st.lists(drawn, max_size=5))
def test_remembered_and_worked_out_anew_are_equal(first, later):
    """Late entries, and corrections of the past with them, are among `later`."""
    rack, days = Rack.build(VESSELS, first), [day_number(START) + n / 2 for n in range(26)]
    for n in range(3):
        looked = [(rack.log(v.vessel), rack.profile(v.vessel), days) for v in VESSELS]
        anew = Rack.build(VESSELS, rack.events())
        fresh = [(anew.log(v.vessel), anew.profile(v.vessel), days) for v in VESSELS]
        for mine, theirs in zip(medians(looked), medians(fresh), strict=True):
            assert list(mine) == list(theirs) == days
            assert [v or 0.0 for v in mine.values()] == pytest.approx([v or 0.0 for v in theirs.values()], rel=1e-9)
        since = days[4 * n]
        for (log, *_), (other, *_) in zip(looked, fresh, strict=True):
            assert lately(log, since) == lately(other, since)
        rack = rack.record(*later[2 * n : 2 * n + 2])


def test_what_is_remembered_is_not_worked_out_again(monkeypatch):
    from rackview.science.state import past

    rack = Rack.build(VESSELS, [event("count", 24 * n, "A") for n in range(10)])
    days = [day_number(START) + n for n in range(10)]
    medians([(rack.log("A"), rack.profile("A"), days)])
    asked = []
    whole = past.estimate
    monkeypatch.setattr(past, "estimate", lambda log, profile, day: (asked.append(day), whole(log, profile, day))[1])
    rack = rack.record(event("count", 24 * 10, "A"))
    medians([(rack.log("A"), rack.profile("A"), [*days, days[-1] + 1])])
    assert asked == [days[-1] + 1]
