"""Files in: every line of every file is checked, and nothing is taken unless all of them can be.

Tables may come in any order and number; a table is known by its header, columns by their names. Profiles and vessels
are read first, so that the events of a vessel may come in the same call.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from rackview.core.rack import Rack
from rackview.core.tables import strain_scope
from rackview.exchange import tables_in
from rackview.exchange.dictionary import TABLES
from rackview.exchange.events_in import Times, take_events
from rackview.exchange.headers import recognised_rows
from rackview.exchange.intake import Intake, Report, SourceRow
from rackview.exchange.sheets import Sheet

Local = Callable[[datetime], datetime]
"""Attaches an offset to a time that has none."""
Rows = dict[str, list[SourceRow]]
"""Rows by the name of their table."""


def no_rows() -> Rows:
    """No row of any table yet."""
    return {t.name: [] for t in TABLES}


def own_rows(sheet: Sheet, part: int, report: Report, found: Rows) -> None:
    """Add the rows of one of our own tables to `found`; each sheet is a part of its own, in the order given."""
    known = recognised_rows(sheet, part, report)
    if known is not None:
        table, rows = known
        found[table.name] += rows


def intake_of(rows: Rows, rack: Rack, now: datetime, local: Local, report: Report) -> Intake:
    """All rows checked against the rack and against each other."""
    strains, groups = tables_in.take_profiles(rows["profiles"], rack, report)
    all_strains = {**rack.strains, **{p.name: p for p in strains}}
    all_groups = {**rack.groups, **{g.name: g for g in groups}}
    new, broken = tables_in.take_vessels(rows["vessels"], rack, all_strains, report)
    vessels = {**rack.known_vessels, **new}
    return Intake(
        vessels=tuple(new.values()),
        stock=tuple(tables_in.take_stock(rows["stock"], rack, report)),
        broods=tuple(tables_in.take_broods(rows["broods"], rack, all_strains, all_groups, report)),
        demand=tuple(tables_in.take_demand(rows["demand"], rack, all_strains, report)),
        standing=tuple(tables_in.take_standing(rows["standing"], rack, all_strains, report)),
        tanks=tuple(tables_in.take_tanks(rows["tanks"], rack, report)),
        settings=tables_in.take_settings(rows["settings"], rack, (*vessels, *map(strain_scope, all_strains)), report),
        strains=tuple(strains),
        groups=tuple(groups),
        events=tuple(take_events(rows["events"], rack, vessels, broken, Times(now, local), report)),
        lines=report.in_order(),
    )
