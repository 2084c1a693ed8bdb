"""The sentences in which the store is read; nothing in them comes from input."""

from __future__ import annotations

from rackview.store.rows import EVENT_COLUMNS, ROW_COLUMNS

EVENTS = f"SELECT {', '.join(EVENT_COLUMNS)} FROM events "  # noqa: S608 - our own column names
ROWS = f"SELECT {', '.join(ROW_COLUMNS)} FROM table_rows "  # noqa: S608
NUMBERED_EVENTS = f"SELECT n, {', '.join(EVENT_COLUMNS)} FROM events WHERE n > ? ORDER BY n"  # noqa: S608
EVENT_SUMS = "SELECT n, id, sum FROM events WHERE n > ? ORDER BY n"
SUMS_BETWEEN = """SELECT group_concat(length(id) || id || sum || ' ') FROM
(SELECT id, sum FROM events WHERE n > ? AND n <= ? ORDER BY n)"""
"""All ids and checksums between two running numbers as one text, which is the same only where all of them are."""
EVENT_AT = EVENTS + "WHERE n = ?"
NUMBERED_ROWS = f"SELECT n, {', '.join(ROW_COLUMNS)} FROM table_rows WHERE n > ? ORDER BY n"  # noqa: S608
NEWEST = """JOIN (SELECT in_table AS t, name AS k, min(entered_at) AS since FROM table_rows GROUP BY in_table, name)
ON t = in_table AND k = name WHERE NOT EXISTS (
SELECT 1 FROM table_rows m WHERE m.in_table = table_rows.in_table AND m.name = table_rows.name
AND (m.entered_at, m.id) > (table_rows.entered_at, table_rows.id)) ORDER BY since, in_table, name"""
ONE_ROW = ROWS + "WHERE in_table = ? AND name = ? ORDER BY entered_at, id"
NEWEST_EVENTS = EVENTS + "ORDER BY n DESC LIMIT ?"
KNOWN_EVENTS = "SELECT id FROM events WHERE id IN"
KNOWN_ROWS = "SELECT id FROM table_rows WHERE id IN"
IDS = {
    table: "SELECT group_concat(length(id) || id) FROM "  # noqa: S608 - our own names
    f"(SELECT id FROM {table} WHERE n > ? AND n <= ? ORDER BY n)"
    for table in ("events", "table_rows")
}
"""All ids between two running numbers as one text, which is the same only where all of them are."""
NEWEST_ENTERED = "SELECT entered_at FROM events ORDER BY n DESC LIMIT 1"
EVENTS_BETWEEN = EVENTS + "WHERE at >= ? AND at < ? AND +n <= ? ORDER BY +n"  # + keeps it from walking through all by n
MANY_SINCE = "SELECT 1 FROM events WHERE at >= ? ORDER BY at LIMIT 1 OFFSET ?"
PARTNER = "coalesce(json_extract(body, '$.to_vessel'), json_extract(body, '$.from_vessel'))"
MOVES = f"SELECT DISTINCT vessel, {PARTNER} AS other FROM events WHERE kind IN ('split', 'restart') AND other NOT NULL"  # noqa: S608
AT = f"""n <= ? AND (vessel IN (SELECT value FROM json_each(?)) OR
kind IN ('split', 'restart') AND {PARTNER} IN (SELECT value FROM json_each(?)))"""  # noqa: S608
MENTIONS = f"SELECT 1 FROM events WHERE {AT} LIMIT 1"  # noqa: S608
EVENTS_AT = f"{EVENTS}WHERE {AT} ORDER BY n"
REPLACING = EVENTS + "WHERE replaces IS NOT NULL AND +n <= ?"
SO_MANY_ENTRIES = "SELECT (SELECT count(*) FROM events) + (SELECT count(*) FROM table_rows)"
SO_MANY_SINCE = "SELECT count(*) FROM events WHERE at >= ?"
END_OF_SO_MANY = """SELECT min(at) FROM events WHERE at >
(SELECT at FROM events WHERE at >= ? ORDER BY at LIMIT 1 OFFSET ?)"""
SO_MANY_AGO = "SELECT at FROM events ORDER BY at DESC LIMIT 1 OFFSET ?"
EVENTS_BY = {"id": EVENTS + "WHERE id = ?", "replaces": EVENTS + "WHERE replaces = ?"}
REPLACING_SINCE = (
    f"SELECT {', '.join('e.' + c for c in EVENT_COLUMNS)} FROM events t CROSS JOIN events e "  # noqa: S608
    "ON e.replaces = t.id WHERE t.at >= ? AND t.at < ? AND +e.n <= ?"
)
INSERT_EVENT = f"INSERT INTO events (n, {', '.join(EVENT_COLUMNS)}) VALUES (?{', ?' * len(EVENT_COLUMNS)})"  # noqa: S608
INSERT_ROW = f"INSERT INTO table_rows (n, {', '.join(ROW_COLUMNS)}) VALUES (?{', ?' * len(ROW_COLUMNS)})"  # noqa: S608
INSERT_VESSEL = "INSERT OR IGNORE INTO vessels (vessel) VALUES (?)"
LEAVE_REMARKS = "DELETE FROM meta WHERE name NOT IN ('id', ?) AND name NOT LIKE 'second folder of %'"
PUT_META = "INSERT OR REPLACE INTO meta (name, value) VALUES (?, ?)"
PUT_DRAFT = "INSERT OR REPLACE INTO drafts (form, body) VALUES (?, ?)"
PUT_SNAPSHOT = "INSERT INTO stumps (at, n, tip, body, sum) VALUES (?, ?, ?, ?, ?)"
PUT_MEMO = "INSERT OR REPLACE INTO memos (at, vessel, made_by, body, sum) VALUES (?, ?, ?, ?, ?)"
