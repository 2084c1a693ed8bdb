"""Programs that use one store at once: killed at any moment, or all writing."""

from __future__ import annotations

import contextlib
import os
import random
import select
import signal
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from torture.harness import MORNING, fork, hold, make, note, texts

from rackview.services.rack_session import RackSession
from rackview.store import Store, StoreError
from rackview.store.verify import check

PATIENCE_S = 5.0
"""Seconds that a program which records may take until its first entry."""


def stream(path: Path, out: int, tag: str) -> None:
    """Record entries, singly and in batches, with corrections and undo, and say so after each."""
    session = RackSession(Store.open(path, "write"), lambda: MORNING + timedelta(days=1), pc="shed")
    number = 0
    while True:
        batch = [f"{tag}-{number + i}" for i in range(1 + number % 3)]
        session.record([note(t, number) for t in batch])
        os.write(out, "".join(f"{t}\n" for t in batch).encode())
        if number % 5 == 4:
            session.undo()
            session.redo()
        if number % 7 == 6:
            session.save_draft("round", {"V1": str(number)})
        number += len(batch)


def visits(path: Path, out: int) -> None:
    """Come and go as a command does: open, read, check, close; say so only if something is wrong."""
    while True:
        try:
            with Store.open(path) as store:
                store.load()
            # that a program was ended between the day book and the store may be seen, and is mended at the next opening
            wrong = [str(f) for f in check(path) if f.damage]
        except StoreError as error:
            wrong = [str(error)]
        if wrong:
            os.write(out, f"{wrong}\n".encode())


def begun(work: Callable[[int], None]) -> tuple[int, int]:
    """A program that does this and tells on a pipe; its number, and where to listen."""
    read, write = os.pipe()
    child = fork()
    if child == 0:
        os.close(read)
        with contextlib.suppress(BaseException):
            work(write)
        os._exit(1)
    os.close(write)
    return child, read


def killed(child: int, read: int) -> list[str]:
    """End a program at once; the lines that it told."""
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(read) as told:
        return told.read().splitlines()


def kills(count: int, folder: Path, seed: int = 1) -> str:
    """SIGKILL at random moments: every entry that was said to be recorded is there, none doubled, check is clean.

    Beside the program that records, others come and go as commands do, and are killed too.
    """
    chance = random.Random(seed)  # noqa: S311 - the same at every run
    acknowledged = 0
    for number in range(count):
        if number % 25 == 0:
            path = folder / f"kill-{number}.db"
            make(path)
            said: list[str] = []
        writer = begun(lambda out, path=path, number=number: stream(path, out, f"k{number}"))
        readers = [begun(lambda out, path=path: visits(path, out)) for _ in range(2)]
        if chance.random() < 0.8:  # the others are killed while they still open the store
            select.select([writer[1]], [], [], PATIENCE_S)
        time.sleep(chance.uniform(0.0, 0.15))
        first, second = readers if chance.random() < 0.5 else readers[::-1]
        wrong = killed(*first)
        fresh = [line for line in killed(*writer) if line]
        time.sleep(chance.uniform(0.0, 0.02))
        wrong += killed(*second)
        hold(not wrong, f"kill {number}: a reader was told {wrong[:1]}")
        said += fresh
        acknowledged += len(fresh)
        there = texts(path)
        hold(len(there) == len(set(there)), f"kill {number}: doubled")
        hold(set(said) <= set(there), f"kill {number}: lost {set(said) - set(there)}")
        found = check(path)
        hold(not found, f"kill {number}: {[str(f) for f in found]}")
    said = f"{acknowledged} acknowledged entries all there, none doubled, every check clean"
    return f"{count} kills, two readers coming and going: {said}"


def writers(programs: int, each: int, folder: Path) -> str:
    """Several programs write to one store at once: everything there once, and nobody hears of a lock."""
    path = folder / "rack.db"
    make(path)
    begun = time.perf_counter()
    children = []
    for program in range(programs):
        child = fork()
        if child == 0:
            status = 1
            with contextlib.suppress(BaseException):
                session = RackSession(Store.open(path, "write"), lambda: MORNING + timedelta(days=1), pc=f"pc{program}")
                for i in range(each):
                    session.record(note(f"w{program}-{i}", i))
                status = 0
            os._exit(status)
        children.append(child)
    failed = [c for c in children if os.waitpid(c, 0)[1]]
    hold(not failed, f"{len(failed)} of {programs} programs were told of a fault")
    there = texts(path)
    hold(sorted(there) == sorted(f"w{p}-{i}" for p in range(programs) for i in range(each)), f"{len(there)} there")
    hold(not check(path), [str(f) for f in check(path)])
    seconds = time.perf_counter() - begun
    return f"{programs} programs x {each} entries: {len(there)} there, none twice, in {seconds:.0f} s"
