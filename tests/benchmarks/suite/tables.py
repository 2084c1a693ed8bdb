"""Tables in and out, against pandas."""

from __future__ import annotations

import csv
import shutil
from itertools import islice
from pathlib import Path

from suite.row import Found, Row, Size, child, medians, program, run
from suite.stores import FORM, events, made, vessels

VESSELS = 250
AT_MOST = 250_000
"""Lines of a table; the program takes no table of more than `exchange.sheets.MOST_ROWS`."""
DAILY = 1.1
"""Events of a vessel a day in a made store."""

PANDAS_IN = """
import pandas, sqlite3, sys
table = pandas.concat(map(pandas.read_csv, sys.argv[2:]))
base = sqlite3.connect(sys.argv[1])
base.execute(f"CREATE TABLE events ({', '.join(table.columns)})")
marks = ", ".join("?" * len(table.columns))
base.executemany(f"INSERT INTO events VALUES ({marks})", table.itertuples(index=False))
base.commit()
"""
PANDAS_OUT = """
import pandas, sqlite3, sys
base = sqlite3.connect(f"file:{sys.argv[1]}?mode=ro", uri=True)
pandas.read_sql("SELECT * FROM events", base).to_csv(sys.argv[2], index=False)
"""
COLUMNS = ("at", "vessel", "kind", "tallies", "feed", "amount", "unit", "volume_l", "refill_l", "what")


def written(size: Size, most: int) -> list[Path]:
    """A table of vessels and tables of so many events, made once; no table is longer than the program takes."""
    folder = size.folder / f"tables-{FORM}-{most}-{AT_MOST}"
    if not folder.exists():
        part = folder.with_suffix(".part")
        shutil.rmtree(part, ignore_errors=True)
        part.mkdir(parents=True)
        with (part / "vessels.csv").open("w", newline="", encoding="utf-8") as out:
            rows = csv.writer(out)
            rows.writerow(["vessel", "strain", "shelf", "position", "volume_l"])
            rows.writerows([v.vessel, v.strain, v.shelf, v.position, v.volume_l] for v in vessels(VESSELS))
        record = islice(events(VESSELS, 1.3 * most / DAILY / VESSELS / 365), most)
        for n in range(-(-most // AT_MOST)):
            with (part / f"events-{n}.csv").open("w", newline="", encoding="utf-8") as out:
                table = csv.writer(out)
                table.writerow(COLUMNS)
                for event in islice(record, AT_MOST):
                    tallies = " ".join(map(str, getattr(event, "tallies", ())))
                    rest = (getattr(event, name, "") for name in COLUMNS[4:])
                    table.writerow([event.at.isoformat(), event.vessel, event.kind, tallies, *rest])
        part.replace(folder)
    return [folder / "vessels.csv", *sorted(folder.glob("events-*.csv"))]


def imported(size: Size, most: int) -> tuple[float, float]:
    """Processor seconds of an import of so many lines into a new store: until they are in it, and to the end."""
    taken, ended = child("importing", _emptied(size) / "rack.db", *written(size, most)).said.split()
    return float(taken), float(ended)


def _emptied(size: Size) -> Path:
    folder = size.scratch() / "tables"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    return folder


def _import(size: Size) -> Found:
    paths = written(size, size.events)
    rounds = 1 if size.name != "small" else size.rounds

    def theirs() -> float:
        return run("-c", PANDAS_IN, _emptied(size) / "pandas.db", *paths[1:]).cpu

    reference = medians(2, theirs)[0]
    ours, ended = sorted(imported(size, size.events) for _ in range(rounds))[rounds // 2]
    more = f"what is believed of them takes {ended - ours:.0f} s more"
    files = f"{len(paths) - 1} tables" if len(paths) > 2 else ""
    return Found(
        ours, reference, "s", "; ".join(filter(None, (files, f"{size.events / ours:,.0f} events a second", more)))
    )


def store_of(size: Size) -> Path:
    """A made store of about as many events as the largest tables."""
    return made(size.folder, VESSELS, round(size.events / DAILY / VESSELS / 365, 2))


def _export(size: Size) -> Found:
    store = store_of(size)
    rounds = 1 if size.name == "full" else size.rounds

    def ours() -> float:
        return program(store, "export", _emptied(size) / "out").cpu

    def theirs() -> float:
        return run("-c", PANDAS_OUT, store, _emptied(size) / "pandas.csv").cpu

    return Found(*medians(rounds, ours, theirs))


IMPORT = (
    "every line is read, checked by the parser, kept from being counted twice by what it says, and written twice, "
    "into the store and into the day book, in Python; the reference checks nothing and writes once. It is measured "
    "until every line is in the store; a table may have 300,000 lines, so a million come as four. A tenth of the time "
    "goes into reading lines and cutting them, a seventh into parsing and checking them, a seventh into ids and what "
    "is there already, a tenth into the words of both writes, a sixth is SQLite with its checks and two indexes (with "
    "those alone it would be twice the reference); the rest lies in many small steps from line to history. So a "
    "parser that took whole columns at once would gain a seventh if it took no time at all. What lines of the day "
    "book share is put together once, and what was gone through is let go: less than a tenth of the time and three "
    "tenths of the memory (219 MB for a tenth, where it was 311). All million, once and on a busy machine, took 111 s "
    "and 1.3 GB until they were in the store, where it was 121 s and 2.3 GB; the reference 8.8 s: 13 times as much, "
    "as a third of the reference's time at a tenth is the start of pandas."
)
EXPORT = (
    "the record is read and put in order vessel by vessel with its corrections first, which takes half of it; then a "
    "quarter are the rows, with times written with this machine's offset (once for what was entered at one moment), "
    "and a quarter the cells, each kept from being taken for a formula, of which hardly one needs more than a look at "
    "its first letter. A million, once and on a busy machine, took 33.7 s and the reference 9.0: 3.8 times as much, "
    "as at a tenth a third of the reference's time is the start of pandas."
)
ROWS = (
    Row("import", "Import of 1,000,000 events", "pandas.read_csv and one sqlite3 executemany", 4.0, _import, IMPORT),
    Row("export", "Export of the same", "pandas.to_csv of the same rows", 2.0, _export, EXPORT),
)
