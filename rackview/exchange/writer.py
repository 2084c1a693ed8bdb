"""Files out: every table as CSV, and a dictionary that says what each column means.

Importing the folder gives the same store back, corrections and withdrawals included.
"""

from __future__ import annotations

import csv
import io
import os
import tempfile
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from functools import lru_cache
from itertools import islice
from pathlib import Path

from rackview.core import profile as prof
from rackview.core.garbage import uncollected
from rackview.core.parse import row_of
from rackview.core.profile import LarvalGroup, StrainProfile
from rackview.core.profile_rows import rows_of_profile
from rackview.core.rack import Rack
from rackview.core.tables import Settings, strain_scope
from rackview.exchange.dictionary import TABLES, TableSpec, dictionary_rows
from rackview.exchange.guard import RISKY, guarded
from rackview.exchange.ledger import every_event
from rackview.exchange.sheets import MOST_BYTES

Rows = Iterable[Mapping[str, object]]

PART_ROWS = 100_000
"""Rows of one file: an import takes three times as many, but no more than three million filled cells."""
AT_A_TIME = 500
"""Rows that are made into text at once; with every cell as long as an import takes them, they fit into a file."""
EXACT = 1e15
"""Whole numbers below it are written without a decimal point or an exponent."""


@uncollected()
def export(rack: Rack, folder: str | Path, local: Callable[[datetime], datetime] = datetime.astimezone) -> list[Path]:
    """Write every table of `rack` to `folder` as CSV (UTF-8) and return the files.

    Times are written with the offset that `local` gives them, by default this machine's. A table that an import would
    find too large goes on in a second file, such as events-2.csv. Files of an earlier export are replaced, each in one
    step and only after all of them could be written. Raises `OSError`.
    """
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    rows = tables_of(rack, local)
    files: list[Path] = []
    with tempfile.TemporaryDirectory(dir=folder, prefix=".export-") as staging:
        for table in TABLES:
            for number, lines in enumerate(_parts(table, rows[table.name]), 1):
                files.append(folder / (f"{table.name}-{number}.csv" if number > 1 else f"{table.name}.csv"))
                with (Path(staging) / files[-1].name).open("wb") as out:
                    out.writelines(lines)
                    out.flush()
                    os.fsync(out.fileno())
        for file in files:
            (Path(staging) / file.name).replace(file)
    _clear_parts(folder, {*files})
    return files


def _parts(table: TableSpec, rows: Rows) -> Iterator[list[bytes]]:
    """One table as CSV in files that an import takes, each with the names of the columns first."""
    cells = _cells(rows, {name: i for i, name in enumerate(table.names)})
    part = [_csv_text([table.names])]
    size = lines = 0
    while some := list(islice(cells, AT_A_TIME)):
        text = _csv_text(some)
        if lines + len(some) > PART_ROWS or (lines and size + len(text) > MOST_BYTES - len(part[0])):
            yield part
            part, size, lines = [part[0]], 0, 0
        part.append(text)
        size, lines = size + len(text), lines + len(some)
    yield part


def _csv_text(rows: Iterable[Iterable[object]]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(rows)
    return out.getvalue().encode()


def _clear_parts(folder: Path, written: Collection[Path]) -> None:
    """Take away the further files of a longer table that an earlier export left; nothing but our own tables."""
    for table in TABLES:
        head = _csv_text([table.names])
        for path in folder.glob(f"{table.name}-*.csv"):
            if path not in written and path.stem[len(table.name) + 1 :].isdecimal():
                with path.open("rb") as file:
                    ours = file.read(len(head)) == head
                if ours:
                    path.unlink()


def _cells(rows: Rows, places: Mapping[str, int]) -> Iterator[list[object]]:
    """The cells of each row in their places, text guarded against being taken for a formula.

    Spelled out, as it runs for every cell of a long record.
    """
    blank: list[object] = [None] * len(places)
    for row in rows:
        cells = blank.copy()
        for name, value in row.items():
            if name in places:
                if type(value) is str:
                    cells[places[name]] = guarded(value) if value[:1] in RISKY else value
                else:
                    cells[places[name]] = plain_number(value) if isinstance(value, float) else value
        yield cells


def plain_number(value: object) -> object:
    """A whole float as an integer, as far as that is exact: 7 and 7.0 are one number; anything else as it is."""
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < EXACT else value


def tables_of(rack: Rack, local: Callable[[datetime], datetime]) -> dict[str, Rows]:
    """The rows of every table by its name; times with the offset that `local` gives them."""
    moment = lru_cache(maxsize=64)(lambda at: str(local(at).isoformat()))  # what was entered together says the same
    return {
        "vessels": [v.row() for v in rack.known_vessels.values()],
        "events": (row_of(e, moment) for e in every_event(rack)),
        "stock": [s.row() for s in rack.stock],
        "broods": [b.row() for b in rack.broods],
        "demand": [d.row() for d in rack.demand],
        "standing": [s.row() for s in rack.standing],
        "tanks": [t.row() for t in rack.tanks],
        "settings": [{"setting": k, "value": v} for k, v in _settings(rack).row().items()],
        "profiles": [
            *_profile_rows(rack.strains, prof.strains()),
            *_profile_rows(rack.groups, prof.groups()),
        ],
        "dictionary": dictionary_rows(),
    }


def _settings(rack: Rack) -> Settings:
    """The settings without thresholds of vessels that are no longer there."""
    here = {"", *rack.known_vessels, *map(strain_scope, rack.strains)}
    return replace(rack.settings, overrides={k: v for k, v in rack.settings.overrides.items() if k[0] in here})


def _profile_rows(
    profiles: Mapping[str, StrainProfile] | Mapping[str, LarvalGroup],
    shipped: Mapping[str, StrainProfile] | Mapping[str, LarvalGroup],
) -> list[dict[str, object]]:
    changed = [p for name, p in profiles.items() if p is not shipped.get(name)]
    return [row for p in changed for row in rows_of_profile(p)]
