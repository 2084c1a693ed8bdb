"""Stores that were destroyed, and files that only look like one.

    python tests/benchmarks/store_spoilt.py destroyed [COUNT [SEED]]    500 destroyed files
    python tests/benchmarks/store_spoilt.py hostile                     30 hostile databases

Each destroyed file is opened by a real window (store_windows.py), asked for its status, opened and read as a session
does, read back to its first day, checked and restored;
each hostile one also merged and restored from. Whatever is said must be one sentence of ours, nothing may take long,
and after a restore every entry must be there. Prints one line of figures; ends with status 1 if anything did not hold.
tests/store/test_spoilt.py runs the same at a small size.
"""

from __future__ import annotations

import contextlib
import io
import json
import random
import shutil
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

from rackview import cli
from rackview.core.vessel import Vessel
from rackview.services.memory import remember
from rackview.services.sessions import open_session
from rackview.store import Store, StoreError, rows, snapshot
from rackview.store.daybook import DayBook
from rackview.store.merge import merge
from rackview.store.restore import restore

sys.path.insert(0, str(Path(__file__).parent))
from store_windows import opened

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
NOW = START + timedelta(days=12)
PAGE = 4096
LONGEST_S = 10.0
PIECE = 24
"""Events between two cuts, so that a small store has several."""


class DoesNotHoldError(AssertionError):
    """A promise of the store was broken."""


def hold(promise: bool, otherwise: object) -> None:
    if not promise:
        raise DoesNotHoldError(otherwise)


def clock() -> datetime:
    return NOW


def filled(path: Path) -> set[str]:
    """A store of twelve days at three vessels, with cuts and what is believed there; return the ids of its entries."""
    vessels = [Vessel(f"V{i}", "rotifer-L", "A", i, 20.0) for i in (1, 2, 3)]
    events = []
    for day in range(12):
        for i, vessel in enumerate(vessels):
            at = START + timedelta(days=day, minutes=i)
            events.append({"at": at, "vessel": vessel.vessel, "kind": "count", "tallies": f"{90 + day} 101 97"})
            events.append({"at": at, "vessel": vessel.vessel, "kind": "feed", "feed": "paste", "amount": 2})
            events.append({"at": at, "vessel": vessel.vessel, "kind": "harvest", "volume_l": 3, "refill_l": 3})
    session = open_session(path, clock, recent=True)
    session.take(vessels=vessels, events=events)
    session.keep_beliefs()
    session.save_draft("round", {"V1": "98"})
    session.close()
    with Store.open(path) as store:
        return {entry.id for _, entry in store.numbered()}


# --- destroyed -------------------------------------------------------------------------------------------------------


WAYS = ("noise", "zeros", "bits", "cut", "swapped", "header", "text", "lengths", "doubled")


def destroy(sound: bytes, how: str, chance: random.Random) -> bytes:
    """What is left of the file."""
    raw = bytearray(sound)
    if how in {"noise", "zeros", "swapped", "lengths"}:
        spoil_pages(raw, how, chance)
    elif how == "bits":
        for _ in range(chance.choice([1, 8, 200])):
            raw[chance.randrange(len(raw))] ^= 1 << chance.randrange(8)
    elif how == "cut":
        del raw[chance.randrange(1, len(raw)) :]
    elif how == "header":
        at = chance.randrange(100)
        raw[at : at + chance.randint(1, 20)] = chance.randbytes(chance.randint(1, 20))
    elif how == "text":
        for _ in range(3):
            at = raw.find(
                chance.choice([b"tallies", b"count", b"rotifer", b"2026-03", b"refill"]), chance.randrange(len(raw))
            )
            if at >= 0:
                raw[at : at + 3] = chance.choice([b"\xff\xfe\x00", b'"]}', b"[[[", b"1e9"])
    else:
        raw += raw[chance.randrange(len(raw)) :]
    return bytes(raw)


def spoil_pages(raw: bytearray, how: str, chance: random.Random) -> None:
    """Spoil whole pages, or bytes at their heads."""
    pages = len(raw) // PAGE
    if how == "swapped":
        a, b = (chance.randrange(pages) * PAGE for _ in "ab")
        raw[a : a + PAGE], raw[b : b + PAGE] = raw[b : b + PAGE], raw[a : a + PAGE]
    elif how == "lengths":
        for _ in range(chance.randint(1, 6)):
            raw[chance.randrange(pages) * PAGE + chance.randrange(12)] = chance.randrange(256)
    else:
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(pages) * PAGE
            raw[at : at + PAGE] = chance.randbytes(PAGE) if how == "noise" else bytes(PAGE)


def said(words: list[str]) -> tuple[int, str]:
    """What a command answers: its status and all that it prints."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        status = cli.main(words)
    return status, out.getvalue()


def command(path: Path, *words: str) -> str:
    """Carry out a command; it may fail, but only with a sentence of ours."""
    status, text = said(["--store", str(path), *words])
    hold("inside rackview" not in text and "Traceback" not in text, f"{words}: {text}")
    hold(status in {0, 1}, f"{words} ended with {status}: {text}")
    return "answered" if status == 0 else "refused"


def sentence(act: Callable[[], object]) -> str:
    """Do what the window does; it may be refused, but only with a sentence of ours."""
    try:
        act()
    except StoreError as error:
        hold("\n" not in str(error) and str(error).endswith("."), f"no sentence: {error!r}")
        return "refused"
    return "answered"


def session(path: Path) -> None:
    """Open a session as the window does, look at the first picture, the history and the drafts, and close."""
    here = open_session(path, clock, recent=True)
    try:
        here.assessments()
        here.suggestions()
        for name in here.rack.vessels:
            here.rack.log(name).events()
        here.drafts()
        here.poll()
    finally:
        here.close()


def history(path: Path) -> None:
    """Read back to the first day, piece by piece."""
    with Store.open(path) as store:
        rack, _ = store.read(remember)
        for name in rack.vessels:
            rack.log(name).events()


BATCH = 25
"""Files that one process with a window opens."""


def destroyed(count: int, folder: Path, seed: int = 6) -> str:
    """Destroy a store again and again; see the module's text."""
    chance = random.Random(seed)  # noqa: S311 - the same at every run
    snapshot.PIECE = PIECE
    before = filled(folder / "rack.db")
    told: Counter[str] = Counter()
    slowest = 0.0
    for begin in range(0, count, BATCH):
        batch = [_spoilt(folder, number, chance) for number in range(begin, min(begin + BATCH, count))]
        seen = {str(one["store"]): one for one in opened([path for _, path in batch], folder)}
        for how, path in batch:
            name = f"file {path.parent.name} ({how})"
            hold(not seen[str(path)]["wrong"], f"{name}: window: {seen[str(path)]['wrong']}")
            told[f"real window {seen[str(path)]['what']}"] += 1
            slowest = max(slowest, float(str(seen[str(path)]["seconds"])), _asked(path, name, told))
            restore(path, None, NOW)
            with Store.open(path) as store:
                there = {entry.id for _, entry in store.numbered()}
            hold(there == before, f"{name}: {len(before - there)} entries did not come back")
            shutil.rmtree(path.parent)
    hold(slowest < LONGEST_S, f"the slowest took {slowest:.1f} s")
    counts = ", ".join(f"{name} {number}" for name, number in sorted(told.items()))
    return f"{count} destroyed files: {counts}; all {len(before)} entries restored each time, slowest {slowest:.1f} s"


def _spoilt(folder: Path, number: int, chance: random.Random) -> tuple[str, Path]:
    """A folder with a destroyed store and its day book; what was done to it, and the file."""
    path = folder / str(number) / "rack.db"
    path.parent.mkdir()
    book = DayBook.of(folder / "rack.db").folder
    shutil.copytree(book, path.with_name(book.name))
    how = WAYS[number % len(WAYS)]
    path.write_bytes(destroy((folder / "rack.db").read_bytes(), how, chance))
    return how, path


def _asked(path: Path, name: str, told: Counter[str]) -> float:
    """Ask everything of one file, count what was answered, and return the most seconds that an answer took."""
    slowest = 0.0
    for leg, act in {
        "status": lambda: command(path, "status"),
        "session": lambda: sentence(lambda: session(path)),
        "history": lambda: sentence(lambda: history(path)),
        "check": lambda: command(path, "check"),
    }.items():
        began = time.process_time()
        try:
            told[f"{leg} {act()}"] += 1
        except Exception as error:
            raise DoesNotHoldError(f"{name}: {leg}: {type(error).__name__}: {error}") from error
        slowest = max(slowest, time.process_time() - began)
    return slowest


# --- hostile ---------------------------------------------------------------------------------------------------------

ENDLESS = "WITH RECURSIVE c (x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c) SELECT "
STAY = "events_stay_delete"

SCHEMAS = {
    "a view that never ends in place of the entries": [
        "DROP TABLE events",
        f"CREATE VIEW events AS {ENDLESS} x AS n, 'i' || x AS id, '' AS at, '' AS vessel, 'note' AS kind FROM c",
    ],
    "a view that never ends in place of meta": [
        "DROP TABLE meta",
        f"CREATE VIEW meta AS {ENDLESS} 'id' || x AS name, '' AS value FROM c",
    ],
    "a view beside": [f"CREATE VIEW more AS {ENDLESS} x FROM c"],
    "a trigger that writes": ["CREATE TRIGGER more AFTER INSERT ON events BEGIN DELETE FROM drafts; END"],
    "one of our triggers with other words": [
        f"DROP TRIGGER {STAY}",
        f"CREATE TRIGGER {STAY} BEFORE DELETE ON events BEGIN SELECT 1; END",
    ],
    "a trigger with an endless question": [
        f"CREATE TRIGGER more BEFORE INSERT ON meta BEGIN {ENDLESS} x FROM c; END",
    ],
    "an unknown column": ["ALTER TABLE events ADD COLUMN more TEXT"],
    "a computed column": ["ALTER TABLE drafts ADD COLUMN more TEXT AS (hex(zeroblob(500000000)))"],
    "a column that lacks": ["DROP INDEX table_rows_name", "ALTER TABLE memos DROP COLUMN sum"],
    "a table beside": ["CREATE TABLE more (x)"],
    "a virtual table": ["CREATE VIRTUAL TABLE more USING fts5 (x)"],
    "a virtual table in place of the drafts": [
        "DROP TABLE drafts",
        "CREATE VIRTUAL TABLE drafts USING fts5 (form, body)",
    ],
    "an index over an expression": ["CREATE INDEX more ON events (length(hex(body)))"],
    "an index in part": ["CREATE INDEX more ON events (at) WHERE length(hex(at)) > 9"],
    "the log of migrations as a view": [
        "DROP TABLE _sqlite_migrations",
        f"CREATE VIEW _sqlite_migrations AS {ENDLESS} x AS id, 'rackview' AS migration_set, x AS name FROM c",
    ],
    "the log of migrations with a computed column": [
        "ALTER TABLE _sqlite_migrations ADD COLUMN more TEXT AS (hex(zeroblob(500000000)))"
    ],
    "tables without types": ["DROP TABLE drafts", "CREATE TABLE drafts (form, body)"],
    "a rule that never ends": [
        "DROP TABLE drafts",
        "CREATE TABLE drafts (form TEXT NOT NULL CHECK (length(hex(zeroblob(100000000))) > 0), body TEXT) STRICT",
    ],
}
"""What a schema can hold that we never make."""

DEEP = '{"text":' + "[" * 50_000 + "]" * 50_000 + "}"
BODIES = {
    "tallies that are none": ("count", '{"tallies":[-4,"x"]}'),
    "more animals than there are": ("count", '{"tallies":[' + "9" * 400 + "]}"),
    "a volume without end": ("harvest", '{"volume_l":1e999,"refill_l":0}'),
    "no number": ("harvest", '{"volume_l":NaN,"refill_l":0}'),
    "an unknown column in a body": ("note", '{"text":"a","more":1}'),
    "a body that says the id anew": ("note", '{"text":"a","id":"b"}'),
    "a body that is deep": ("note", DEEP),
    "a body that ends another": ("note", '{"text":"a"},{"text":"b"}'),
    "a body that is a list": ("note", "[]"),
    "a body that is no JSON": ("note", "{"),
    "a body of eighty megabytes": ("note", json.dumps({"text": "y" * 80_000_000})),
    "a split into itself": ("split", '{"to_vessel":"V1","volume_l":1}'),
}
"""What an entry with a good checksum can say that no parser accepts."""


def hostile(folder: Path) -> str:
    """Open, check, merge and restore from each; see the module's text."""
    mine = folder / "mine.db"
    filled(mine)
    kept = mine.read_bytes()
    template = folder / "template.db"
    filled(template)
    slowest, names = 0.0, [*SCHEMAS, *BODIES]
    for number, name in enumerate(names):
        place = folder / f"hostile-{number}.db"
        shutil.copy(template, place)
        (spoil_schema if name in SCHEMAS else spoil_body)(place, name)
        before = place.read_bytes()
        began = time.process_time()
        new = folder / f"new-{number}.db"
        answers = [command(place, "check"), command(new, "restore", str(place))]
        with Store.open(mine, "write") as store:
            answers.append(sentence(lambda store=store, place=place: merge(store, place)))
        sentence(lambda place=place: history(place))
        try:
            command(place, "status")
        except DoesNotHoldError as error:
            raise DoesNotHoldError(f"{name}: {error}") from error
        slowest = max(slowest, time.process_time() - began)
        hold(answers[1:] == ["refused", "refused"], f"{name}: {answers}")
        hold(not new.exists(), f"{name}: it was restored from")
        hold(name in BODIES or place.read_bytes() == before, f"{name}: it was written to")
    with Store.open(mine) as store, Store.open(template) as same:
        hold(len(store.numbered()) == len(same.numbered()), "something was taken in")
    hold(bool(kept), "nothing to compare with")
    hold(slowest < LONGEST_S, f"the slowest took {slowest:.1f} s")
    return f"{len(names)} hostile databases: each refused with a sentence, nothing taken, slowest {slowest:.1f} s"


def spoil_schema(place: Path, name: str) -> None:
    with closing(sqlite3.connect(place, isolation_level=None)) as editor:
        editor.execute("PRAGMA foreign_keys = OFF")
        for statement in SCHEMAS[name]:
            editor.execute(statement)


def spoil_body(place: Path, name: str) -> None:
    """Put an entry in behind SQLite's own rules, with the checksum that belongs to it."""
    kind, body = BODIES[name]
    stamp = rows.stamp(START)
    values = ("odd", stamp, "V1", kind, None, stamp, "", "", body)
    with closing(sqlite3.connect(place, isolation_level=None)) as editor:
        editor.execute("PRAGMA ignore_check_constraints = ON")
        editor.execute(
            "INSERT INTO events VALUES (9999, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", (*values, rows.checksum(values))
        )


def main(words: list[str]) -> int:
    """Run what is named; see the module's text."""
    count, seed = (int(w) for w in (*words[1:], *("500", "6")[len(words[1:]) :]))
    run = {"destroyed": lambda folder: destroyed(count, folder, seed), "hostile": hostile}.get(
        words[0] if words else ""
    )
    if run is None:
        print(__doc__)
        return 2
    memory = "/dev/shm" if Path("/dev/shm").is_dir() else None  # noqa: S108
    with tempfile.TemporaryDirectory(dir=memory, prefix="rackview-spoilt-") as folder:
        try:
            print(run(Path(folder)), flush=True)
        except DoesNotHoldError as error:
            print(f"{words[0]} DOES NOT HOLD: {error}")
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
