"""Bringing an older file up to today's tables, with a copy of it kept first."""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING

from rackview.store.backup import copy_to, folder_of

if TYPE_CHECKING:
    from sqlite_utils import Database

    from rackview.store.store import Store


def migrate(store: Store, database: Database, version: int) -> None:
    """Apply the pending migrations in one transaction, after a backup if the file holds anything."""
    from rackview.store.schema import MIGRATIONS

    if version:
        copy_to(store.connection, folder_of(store.path) / f"before-format-{version + 1}.db")
    with store.transaction():  # taken before looking what is pending, so that two programs don't both migrate
        MIGRATIONS.apply(database)
        if store.meta("id") is None:
            store.set_meta(database, "id", str(uuid.uuid4()))
        database.execute("COMMIT")
