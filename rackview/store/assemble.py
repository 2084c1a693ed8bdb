"""From the rows of the store to a rack."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from rackview.core.profile import BUILT_IN_STRAINS, group_from, strain_from
from rackview.core.rack import Rack
from rackview.core.tables import Brood, Demand, Settings, Standing, Stock, TankEntry
from rackview.core.vessel import Vessel
from rackview.store.rows import TableRow

UNKNOWN = "mixed"
"""The strain of a vessel whose own strain nobody knows any more."""


def rack_of_tables(rows: Iterable[TableRow]) -> Rack:
    """A rack without events; a vessel whose strain's profile was removed elsewhere is shown with the mixed one."""
    kept: dict[str, list[TableRow]] = {}
    for row in rows:
        if row.row is not None:
            kept.setdefault(row.table, []).append(row)
    strains = {r.key: strain_from(r.key, _body(r)) for r in kept.get("strain", ())}
    vessels = placed([(r, Vessel.from_row(_body(r))) for r in kept.get("vessel", ())])
    return Rack.build(
        [v if v.strain in BUILT_IN_STRAINS or v.strain in strains else replace(v, strain=UNKNOWN) for v in vessels],
        broods=[Brood.from_row(_body(r)) for r in kept.get("brood", ())],
        stock=[Stock.from_row(_body(r)) for r in kept.get("stock", ())],
        demand=[Demand.from_row(_body(r)) for r in kept.get("demand", ())],
        standing=[Standing.from_row(_body(r)) for r in kept.get("standing", ())],
        tanks=[TankEntry.from_row(_body(r)) for r in kept.get("tank", ())],
        settings=Settings.from_row({r.key: _body(r).get("value") for r in kept.get("setting", ())}),
        strains=strains,
        groups={r.key: group_from(r.key, _body(r)) for r in kept.get("group", ())},
    )


def placed(vessels: Iterable[tuple[TableRow, Vessel]]) -> list[Vessel]:
    """The vessels, each at a place of its own.

    Two keepers may have put different vessels at one place on different PCs; the one entered last then stands at the
    next free place of the shelf, on every PC the same.
    """
    taken: set[tuple[str, int]] = set()
    found = []
    for _, vessel in sorted(vessels, key=lambda pair: pair[0].order()):
        position = vessel.position
        while not vessel.retired and (vessel.shelf, position) in taken:
            position += 1
        if not vessel.retired:
            taken.add((vessel.shelf, position))
        found.append(vessel if position == vessel.position else replace(vessel, position=position))
    return found


def _body(row: TableRow) -> Mapping[str, object]:
    return row.row or {}
