"""Bringing an older file up to today's tables, with a copy of it kept first."""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING

from rackview.language import _
from rackview.store.backup import copy_place, copy_to
from rackview.store.damaged_copy import DamagedCopyError, damaged_place

if TYPE_CHECKING:
    from pathlib import Path

    from rackview.store.store import Store


NAMED = 5
"""How many entries a notice names before it only counts them."""


def migrate(store: Store, version: int) -> None:
    """Apply the pending migrations in one transaction, after a backup if the file holds anything."""
    from sqlite_utils import Database

    from rackview.store.schema import MIGRATIONS

    if version:
        copy = copy_place(store.connection, store.path, f"before-format-{version + 1}")
        try:
            copy_to(store.connection, copy, keep_damaged=True)
        except DamagedCopyError as damage:  # today's tables take such a row as it stands, and restoring mends it
            copy = damaged_place(copy)
            store.notices += (str(damage),)
        if version < 2:
            store.notices += _read_anew(store, copy)
    with store.transaction():  # taken before looking what is pending, so that two programs don't both migrate
        MIGRATIONS.apply(Database(store.connection))
        if store.meta("id") is None:
            store.set_meta("id", str(uuid.uuid4()))
        store.connection.execute("COMMIT")


def _read_anew(store: Store, copy: Path) -> tuple[str, ...]:
    """What format 2 reads in another way: moves of culture of which no new water was told."""
    rows = store.connection.execute(
        """SELECT vessel, kind, substr(at, 1, 10) FROM events WHERE kind IN ('split', 'restart')
        AND CASE WHEN json_valid(body) THEN json_extract(body, '$.refill_l') IS NULL
        AND (kind = 'split' OR json_extract(body, '$.from_vessel') IS NOT NULL) END ORDER BY at DESC"""
    ).fetchall()
    if not rows:
        return ()
    named = ", ".join(
        _("the {kind} of {vessel} on {day}").format(kind=kind, vessel=vessel, day=day)
        for vessel, kind, day in rows[:NAMED]
    )
    more = _(" and {rows} more").format(rows=len(rows) - NAMED) if len(rows) > NAMED else ""
    said = _(
        "Earlier entries that said nothing of new water are now read as filled up again, as is "
        "usual: {named}{more}. If a vessel did stay lower, correct that entry and write 0 for the "
        "new water. The store as it was is in {copy}."
    ).format(named=named, more=more, copy=copy)
    return (said,)
