"""A clock that is years off, as after an empty battery: nothing is recorded that could not be read again."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from rackview.core.errors import InputError
from rackview.services import rescue
from rackview.services.sessions import open_session
from rackview.store import StoreError
from rackview.store.restore import restore
from rackview.store.verify import check

COUNT = {"at": "2026-03-01T08:00", "vessel": "A1", "kind": "count", "tallies": "3 4 5"}
FAR = [
    datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC),
    datetime(2200, 1, 1, tzinfo=UTC),
    datetime(1, 1, 1, tzinfo=UTC),
    datetime(1899, 12, 31, 23, 59, tzinfo=UTC),
]


@pytest.mark.parametrize("moment", FAR)
def test_a_clock_beyond_all_dates_opens_nothing_and_says_so(session, place, moment):
    session.record(COUNT)
    with pytest.raises(StoreError, match=f"clock of this PC says {moment.date().isoformat()}") as caught:
        open_session(place, lambda: moment)
    found = rescue.trouble_of(place, caught.value)
    assert (found.what, found.choices) == ("clock", ("retry", "other"))
    assert check(place) == []


@pytest.mark.parametrize("moment", FAR)
def test_a_clock_that_leaps_meanwhile_records_nothing(session, place, clock, moment):
    session.record(COUNT)
    clock.now = moment
    for act in (lambda: session.record(COUNT), session.undo, lambda: session.retire_vessel("A1")):
        with pytest.raises(StoreError, match="clock of this PC"):
            act()
    session.save_draft("round", {"A1": "98"})
    clock.now = datetime(2026, 3, 1, 10, tzinfo=UTC)
    session.undo()
    session.close()
    done = restore(place, None, clock())
    assert done.bad_lines == 0
    assert check(place) == []


@pytest.mark.parametrize("moment", [datetime(1970, 1, 1, tzinfo=UTC), datetime(2199, 12, 31, 23, 59, tzinfo=UTC)])
def test_what_is_recorded_by_a_clock_at_either_end_is_read_again(session, place, clock, moment):
    session.record(COUNT)
    clock.now = moment
    session.undo()
    session.redo()
    session.record({**COUNT, "at": moment})
    session.close()
    assert restore(place, None, clock()).bad_lines == 0
    assert check(place) == []
    again = open_session(place, clock)
    assert [e.at.year for e in again.rack.events()] == sorted([2026, moment.year])
    again.close()


@pytest.mark.parametrize("at", ["9999-12-31T23:59", "0001-01-01", "1899-12-31T12:00", "2200-01-02"])
def test_an_entry_beyond_all_dates_is_refused_by_its_field(session, place, at):
    with pytest.raises(InputError, match=r"at: found .* needs a year from 1900 to 2199"):
        session.record({**COUNT, "at": at})
    assert check(place) == []
