"""What changed, told to whoever listens."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from rackview.core.dataclass import dataclass
from rackview.core.vessel import Vessel
from rackview.services.validation import Row, RowKey
from rackview.store import TableRow, Written

TABLE_NAMES = {
    "vessel": "vessels",
    "stock": "stock",
    "brood": "broods",
    "demand": "demand",
    "standing": "standing",
    "tank": "tanks",
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


@dataclass(frozen=True, slots=True)
class Step:
    """One thing done, with what it takes to undo it: the ids of its events, which the store holds, and the rows as they
    were before."""

    words: str
    events: tuple[str, ...] = ()
    rows: tuple[TableRow, ...] = ()
    before: tuple[Row | None, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether it changed nothing."""
        return not self.events and not self.rows


def renamed(step: Step) -> bool:
    """Whether a step gave a vessel another name: one row of a vessel came and one went."""
    of_vessels = [(r.row, b) for r, b in zip(step.rows, step.before, strict=True) if r.table == "vessel"]
    return any(b is None for _, b in of_vessels) and any(row is None for row, _ in of_vessels)


def called_back(rows: Mapping[RowKey, Row | None]) -> dict[RowKey, Row | None]:
    """The rows that give a vessel its former name back; what was recorded under the other name stays its own."""
    gone = [key for (table, key), row in rows.items() if table == "vessel" and row is None]
    found: dict[RowKey, Row | None] = {}
    for (table, key), row in rows.items():
        if table == "vessel" and row is not None:
            before = Vessel.from_row(row)
            row = replace(before, formerly=(*before.formerly, *(n for n in gone if n not in before.formerly))).row()
        found[table, key] = row
    return found
