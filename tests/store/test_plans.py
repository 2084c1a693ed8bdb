"""What must not grow with the record is read by index; a timed test would say the same less surely."""

from __future__ import annotations

import pytest

from rackview.store import sql

SPAN = ("2026-01-01", "9999", 10**9)


@pytest.mark.parametrize(
    ("statement", "values", "index"),
    [
        (sql.EVENTS_BETWEEN, SPAN, "events_at"),
        (sql.REPLACING_SINCE, SPAN, "events_at"),
        (sql.REPLACING_SINCE, SPAN, "events_replaces"),
        (sql.EVENTS_BY["replaces"] + " AND +n <= ?", ("x", 9), "events_replaces"),
        (sql.EVENTS_BY["id"] + " AND +n <= ?", ("x", 9), "sqlite_autoindex_events_1"),
        (sql.ONE_ROW, ("stock", "x"), "table_rows_name"),
        (sql.KNOWN_EVENTS + " (?, ?)", ("x", "y"), "sqlite_autoindex_events_1"),
        (sql.KNOWN_ROWS + " (?, ?)", ("x", "y"), "sqlite_autoindex_table_rows_1"),
        (sql.EVENTS + "WHERE n > ? ORDER BY n", (5,), "INTEGER PRIMARY KEY"),
    ],
)
def test_it_is_found_by_index(store, statement, values, index):
    plan = [row[3] for row in store.connection.execute("EXPLAIN QUERY PLAN " + statement, values)]
    assert any(index in step for step in plan), plan
    assert not any(step.startswith("SCAN") for step in plan), plan
