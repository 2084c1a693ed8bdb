"""A file is looked through without evaluating the CHECKs of its events; what they ask for is seen all the same."""

from __future__ import annotations

import sqlite3
from contextlib import closing

import pytest

from rackview.store.rows import checksum, event_values
from rackview.store.sql import INSERT_EVENT
from rackview.store.sums import fault_of
from rackview.store.verify import check

OTHERWISE = {
    "an id that is too long": {0: "x" * 101},
    "no id": {0: ""},
    "a moment of another length": {1: "2026-03-04T08:15:00+00:00"},
    "a kind that there is not": {3: "dance"},
    "one that replaces itself": {4: "forged"},
    "entered at a moment of another length": {5: "2026-03-04T08:15:00+00:00"},
    "a body that is a list": {8: "[]"},
    "a withdrawal of nothing": {3: "withdraw", 8: "{}"},
}


@pytest.mark.parametrize("what", OTHERWISE)
def test_check_names_an_entry_that_sqlite_would_not_have_taken(store, tally, what):
    """Its checksum holds, as who forges a row can reckon that too."""
    store.append([tally(1)])
    values = list(event_values(tally(2, id="forged")))
    for place, value in OTHERWISE[what].items():
        values[place] = value
    values[-1] = checksum(values[:-1])
    with closing(sqlite3.connect(store.path)) as editor, editor:
        with pytest.raises(sqlite3.IntegrityError):
            editor.execute(INSERT_EVENT, (900, *values))
        editor.execute("PRAGMA ignore_check_constraints = ON")
        editor.execute(INSERT_EVENT, (900, *values))
    found = check(store.path)
    assert [f.damage for f in found][:1] == [True]
    assert "damaged" in str(found[0])


def test_what_lies_beside_the_events_keeps_to_its_checks(store):
    assert fault_of(store.connection) is None
    with closing(sqlite3.connect(store.path)) as editor, editor:
        editor.execute("PRAGMA ignore_check_constraints = ON")
        editor.execute("INSERT INTO drafts VALUES ('round', '[]')")
    assert "drafts" in fault_of(store.connection)
    assert "drafts" in fault_of(store.connection, "integrity_check")


def test_checks_are_on_again_afterwards(store, tally):
    fault_of(store.connection)
    with pytest.raises(sqlite3.IntegrityError):
        store.connection.execute(INSERT_EVENT, (900, *event_values(tally(1, id=""))))


def test_pages_that_are_not_as_they_were_are_found(store, tally, path):
    store.append([tally(n) for n in range(300)])
    store.close()
    raw = bytearray(path.read_bytes())
    raw[3 * 4096 : 3 * 4096 + 100] = bytes(100)
    path.write_bytes(raw)
    with closing(sqlite3.connect(path)) as there:
        assert fault_of(there) or fault_of(there, "integrity_check")
