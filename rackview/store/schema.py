"""The tables of the store, as named migrations from version 1 on.

Imported only to write: sqlite-utils loads pandas where that is installed.
"""

from __future__ import annotations

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from rackview.store.shape import TABLES_1

MIGRATIONS = Migrations("rackview")


@MIGRATIONS()
def version_1(db: Database) -> None:
    """Events, the tables beside them, drafts."""
    for statement in TABLES_1:
        db.execute(statement)
    db.execute("PRAGMA user_version = 1")


@MIGRATIONS()
def version_2(db: Database) -> None:
    """Splits and restarts may say how much new water giver and taker got; one that does not is read as filled up.

    An older program would stumble over the new columns, so the format goes up. What was remembered of the estimates
    rests on the old reading.
    """
    db.execute("DELETE FROM stumps")
    db.execute("DELETE FROM memos")
    db.execute("PRAGMA user_version = 2")


@MIGRATIONS()
def version_3(db: Database) -> None:
    """Standing needs and larval tanks are listed too.

    SQLite can't change a CHECK, so the table of rows is made anew and its rows are put over as they stand.
    """
    db.execute("ALTER TABLE table_rows RENAME TO rows_before")
    for kind, name in db.execute(
        "SELECT type, name FROM sqlite_master WHERE tbl_name = 'rows_before' AND type <> 'table' AND sql IS NOT NULL"
    ).fetchall():
        db.execute(f"DROP {kind} {name}")
    mine = [sql for sql in TABLES_1 if " table_rows" in sql.partition("BEGIN")[0]]
    db.execute(mine[0])
    db.execute("INSERT INTO table_rows SELECT * FROM rows_before")
    db.execute("DROP TABLE rows_before")
    for sql in mine[1:]:
        db.execute(sql)
    db.execute("PRAGMA user_version = 3")
