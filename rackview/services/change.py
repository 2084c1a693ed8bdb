"""What changed, told to whoever listens."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rackview.store import Written

TABLE_NAMES = {
    "vessel": "vessels",
    "stock": "stock",
    "brood": "broods",
    "demand": "demand",
    "setting": "settings",
    "strain": "profiles",
    "group": "profiles",
}
"""The names in `Change.tables`, by the store's table; events are “events”."""


@dataclass(frozen=True, slots=True)
class Change:
    """Tables and vessels that changed, and what was done in words (empty if someone else did it)."""

    tables: frozenset[str]
    vessels: frozenset[str]
    words: str = ""


def change_of(written: Written, words: str = "") -> Change:
    """The change that a batch makes."""
    tables = {TABLE_NAMES[r.table] for r in written.rows} | ({"events"} if written.events else set())
    vessels: set[str] = {r.key for r in written.rows if r.table == "vessel"}
    for event in written.events:
        vessels.update(_names(event.vessel, event.partner))
    return Change(frozenset(tables), frozenset(vessels), words)


def _names(*names: str | None) -> Iterable[str]:
    return (n for n in names if n)
