"""Files in: every line of every file is checked, and nothing is taken unless all of them can be.

Tables may come in any order and number; a table is known by its header, columns by their names. Profiles and vessels
are read first, so that the events of a vessel may come in the same call.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path

from rackview.core.rack import Rack
from rackview.core.tables import strain_scope
from rackview.exchange import tables_in
from rackview.exchange.dictionary import TABLES
from rackview.exchange.events_in import Times, take_events
from rackview.exchange.headers import rows_of
from rackview.exchange.intake import Intake, Report, Row, clear
from rackview.exchange.sheets import UnreadableError, read_sheets


def read_files(
    paths: Iterable[str | Path],
    rack: Rack,
    now: datetime,
    local: Callable[[datetime], datetime] = datetime.astimezone,
) -> Intake:
    """Read CSV, XLSX and ODS files against what `rack` knows at the aware moment `now`.

    `local` attaches an offset to a time that has none; the default takes this machine's zone as it was at that time.
    Never raises for what is in the files: each line that can't be taken is in `Intake.refused`.
    """
    report = Report()
    rows = _rows(paths, report)
    strains, groups = tables_in.take_profiles(rows["profiles"], rack, report)
    all_strains = {**rack.strains, **{p.name: p for p in strains}}
    all_groups = {**rack.groups, **{g.name: g for g in groups}}
    new, broken = tables_in.take_vessels(rows["vessels"], rack, all_strains, report)
    vessels = {**rack.vessels, **new}
    return Intake(
        vessels=tuple(new.values()),
        stock=tuple(tables_in.take_stock(rows["stock"], rack, report)),
        broods=tuple(tables_in.take_broods(rows["broods"], rack, all_strains, all_groups, report)),
        demand=tuple(tables_in.take_demand(rows["demand"], rack, all_strains, report)),
        settings=tables_in.take_settings(rows["settings"], rack, (*vessels, *map(strain_scope, all_strains)), report),
        strains=tuple(strains),
        groups=tuple(groups),
        events=tuple(take_events(rows["events"], rack, vessels, broken, Times(now, local), report)),
        lines=report.in_order(),
    )


def _rows(paths: Iterable[str | Path], report: Report) -> dict[str, list[Row]]:
    """All rows by table; each sheet is a part of its own, numbered in the order given."""
    found: dict[str, list[Row]] = {t.name: [] for t in TABLES}
    part = 0
    for path in map(Path, paths):
        try:
            for sheet in read_sheets(path):
                part += 1
                known = rows_of(sheet, part, report)
                if known is not None:
                    table, rows = known
                    found[table.name] += rows
        except UnreadableError as error:
            part += 1
            report.refused(Row(part, clear(path.name), error.line, {}), str(error))
    return found
