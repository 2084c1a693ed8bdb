"""Malformed input of every kind: a clean refusal or a clean reading."""

from __future__ import annotations

import json
import random
import time
from collections.abc import Callable
from importlib import resources
from pathlib import Path

from torture.harness import MORNING, hold, make, note

from rackview.core.errors import InputError
from rackview.core.parse import event_from_row
from rackview.core.profile import strain_from
from rackview.store import Store, StoreError
from rackview.store.daybook import DayBook, parsed
from rackview.store.verify import check


def spoil(sound: bytes, chance: random.Random) -> bytes:
    """Bytes like the sound ones, but cut, flipped, doubled, or with something odd put in."""
    raw = bytearray(sound)
    for _ in range(chance.randint(1, 6)):
        at = chance.randrange(len(raw) + 1)
        how = chance.randrange(5)
        if how == 0:
            raw[at : at + 1] = bytes([chance.randrange(256)])
        elif how == 1:
            del raw[at:]
        elif how == 2:
            raw[at:at] = chance.choice(
                [b"\0", b",", b'"', b"\n", b"\xff\xfe", b"=1+1", b"1e999", b"nan", b"{}", b"[" * 50]
            )
        elif how == 3:
            del raw[at : at + chance.randint(1, 40)]
        else:
            raw[at:at] = raw[at : at + chance.randint(1, 200)]
    return bytes(raw)


def trials(folder: Path, chance: random.Random) -> tuple[Callable[[], None], ...]:
    """Ways to spoil something sound at random and read it: a table, a line of the day book, a profile, a store."""
    from rackview.core.rack import Rack
    from rackview.exchange.draft import draft_of, read_all

    path = folder / "rack.db"
    make(path)
    with Store.open(path, "write") as store:
        store.append([event_from_row(note(f"n{i}", i)) for i in range(40)])
        rack = store.load()
    line = (DayBook.of(path).folder / "2026-03.jsonl").read_bytes().splitlines()[-1]
    table = (
        b"at,vessel,kind,tallies,aliquot_ml,volume_l,refill_l,note\n2026-03-01T08:00,V1,count,98 104,1,,,ok\n"
        b'2026-03-01T08:30,V2,harvest,,,6,6,"a, b"\n'
    )
    sound, profile = path.read_bytes(), (resources.files("rackview.resources") / "profiles" / "mixed.json").read_bytes()
    odd = folder / "odd"
    odd.mkdir()

    def csv() -> None:
        (odd / "t.csv").write_bytes(spoil(table, chance))
        draft_of(read_all([odd / "t.csv"]), rack, MORNING)

    def book() -> None:
        parsed(spoil(line, chance))

    def strain() -> None:
        try:
            table = json.loads(spoil(profile, chance))
        except (ValueError, RecursionError):
            return  # by Python's own reader
        if isinstance(table, dict):  # as a store's rows are
            strain_from("x", table)

    def file() -> None:
        raw = spoil(sound, chance)
        (odd / "s.db").write_bytes(raw)
        try:
            with Store.open(odd / "s.db") as store:
                rack = store.load()
                hold(isinstance(rack, Rack), "no rack")
            check(odd / "s.db")
        finally:
            hold((odd / "s.db").read_bytes() == raw, "reading wrote to the file")
            for beside in odd.glob("s.db-*"):  # SQLite's own, which it can't clear away beside a damaged file
                beside.unlink()
            hold({p.name for p in odd.iterdir()} <= {"t.csv", "s.db"}, "reading left files behind")

    return csv, book, strain, file


def malformed(count: int, folder: Path, seed: int = 4) -> str:
    """Spoilt tables, day-book lines, stores and profiles: a clean refusal or a clean reading, no hang, no write."""
    acts = trials(folder, random.Random(seed))  # noqa: S311 - the same at every run
    refused = 0
    slowest = 0.0
    for number in range(count):
        begun = time.perf_counter()
        try:
            acts[number % len(acts)]()
        except (InputError, StoreError) as error:
            refused += 1
            hold("\n" not in str(error), f"not one sentence: {error!r}")
        slowest = max(slowest, time.perf_counter() - begun)
    hold(slowest < 2.0, f"the slowest took {slowest:.1f} s")
    return f"{count} malformed inputs: {refused} refused by exception, no traceback, slowest {slowest:.2f} s, no write"
