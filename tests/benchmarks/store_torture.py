"""What the store must live through, at full size.

    python tests/benchmarks/store_torture.py kills      1,000 kills while entries stream in
    python tests/benchmarks/store_torture.py power      1,000 power cuts, writes since the last fsync dropped or torn
    python tests/benchmarks/store_torture.py pages      200 pages turned to noise or zeros, then restored
    python tests/benchmarks/store_torture.py writers    4 programs write 5,000 entries each
    python tests/benchmarks/store_torture.py malformed  100,000 malformed inputs
    python tests/benchmarks/store_torture.py full       a round on a disk that fills up at every place (needs root)
    python tests/benchmarks/store_torture.py all
    python tests/benchmarks/store_torture.py kills 250 7     a part of the kills, by another seed than the other parts

Each prints one line of figures and ends with status 1 if anything did not hold. tests/store/test_torture.py runs the
same functions at a small size.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import select
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from importlib import resources
from pathlib import Path

from rackview.core.errors import InputError
from rackview.core.parse import event_from_row
from rackview.core.profile import strain_from
from rackview.core.vessel import Vessel
from rackview.services.rack_session import RackSession
from rackview.store import Store, StoreError, TableRow
from rackview.store.daybook import DayBook, parsed
from rackview.store.restore import restore
from rackview.store.verify import check

MORNING = datetime(2026, 3, 1, 8, tzinfo=UTC)
PAGE, SECTOR = 4096, 512
PATIENCE_S = 5.0
"""Seconds that a program which records may take until its first entry."""
VESSELS = tuple(Vessel(f"V{i}", "rotifer-L", "A", i, 20.0) for i in range(1, 5))


class DoesNotHoldError(AssertionError):
    """A promise of the store was broken."""


def hold(promise: bool, otherwise: object) -> None:
    if not promise:
        raise DoesNotHoldError(otherwise)


def make(path: Path) -> None:
    """A new store with four vessels."""
    with Store.open(path, "write") as store:
        store.write(rows=[TableRow("vessel", v.vessel, v.row(), MORNING, id=f"row-{v.vessel}") for v in VESSELS])


def note(text: str, number: int = 0) -> dict[str, object]:
    """An entry that can be told from every other by its text."""
    at = MORNING + timedelta(seconds=number)
    return {"at": at, "vessel": f"V{number % 4 + 1}", "kind": "note", "text": text}


def texts(path: Path) -> list[str]:
    """The texts of all notes of a store, opened for writing as a keeper would next."""
    with Store.open(path, "write") as store:
        return [e.text for e in store.since(0).events if e.kind == "note"]


def fork() -> int:
    """A second process that has all loaded already; the threads of a test runner do not matter to it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        return os.fork()


# --- kills -----------------------------------------------------------------------------------------------------------


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


# --- power cuts ------------------------------------------------------------------------------------------------------


def torn(before: bytes, after: bytes, chance: random.Random) -> bytes:
    """What a disk may hold of a file whose last synced content is `before` and that was being made into `after`.

    Each sector is the old or the new one, and the file may be as long as before, as after, or between.
    """
    kept = chance.choice(
        [len(before), len(after), chance.randint(min(len(before), len(after)), max(len(before), len(after)))]
    )
    mode = chance.choice(["drop", "keep", "tear"])
    pieces = []
    for at in range(0, kept, SECTOR):
        old, new = before[at : at + SECTOR], after[at : at + SECTOR]
        pick = {"drop": False, "keep": True, "tear": chance.random() < 0.5}[mode]
        piece = (new if pick else old).ljust(min(SECTOR, kept - at), b"\0")
        pieces.append(piece[: kept - at])
    return b"".join(pieces)


def snapshot(path: Path) -> dict[str, bytes]:
    """The bytes of everything that belongs to a store, but for the shared memory, which no power cut leaves."""
    files = [path, Path(f"{path}-wal"), *DayBook.of(path).folder.glob("*")]
    return {str(f.relative_to(path.parent)): f.read_bytes() for f in files if f.is_file()}


def lay(folder: Path, files: dict[str, bytes]) -> None:
    """Write files into an empty folder."""
    shutil.rmtree(folder, ignore_errors=True)
    for name, content in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)


Moment = tuple[dict[str, bytes], dict[str, bytes]]
"""The files as they are, and the day book as it was last synced."""


@contextlib.contextmanager
def watched(path: Path, seen: list[Moment]) -> Iterator[None]:
    """Note the files before and after each fsync of the day book, and at the end."""
    real = os.fsync
    synced = snapshot(path)

    def fsync(handle: int) -> None:
        nonlocal synced
        seen.append((snapshot(path), synced))
        real(handle)
        synced = snapshot(path)
        seen.append((synced, synced))

    os.fsync = fsync
    try:
        yield
    finally:
        os.fsync = real
        seen.append((snapshot(path), synced))


def power(count: int, folder: Path, seed: int = 2) -> str:
    """Cut the power during entries: every acknowledged one survives.

    Half of the cuts take from the files only what came after the last acknowledged entry, as the store syncs each.
    The other half believe nothing the database ever synced: its file and its log are torn between their state at the
    start of the session and now, and the day book alone must answer for every entry.
    """
    chance = random.Random(seed)  # noqa: S311 - the same at every run
    done = restored = 0
    session = 0
    while done < count:
        session += 1
        path = folder / f"power-{session}" / "rack.db"
        path.parent.mkdir()
        make(path)
        acknowledged: list[str] = []
        with Store.open(path, "write") as store:
            if session % 2:
                store.connection.execute("PRAGMA wal_autocheckpoint = 4")  # so that the file itself is written to often
            begun = synced = snapshot(path)
            for number in range(12):
                moments: list[Moment] = []
                text = f"p{session}-{number}"
                with watched(path, moments):
                    store.append([event_from_row(note(text, number))])
                for now, book in chance.sample(moments, min(3, len(moments))):
                    cut = folder / "cut"
                    wild = chance.random() < 0.5
                    restored += _survives(cut, path.name, (begun, synced, book, now), acknowledged, chance, wild=wild)
                    done += 1
                acknowledged.append(text)
                synced = moments[-1][0]
        shutil.rmtree(path.parent)
    return f"{done} power cuts: every acknowledged entry survived, {restored} of them through restore"


def _survives(
    cut: Path,
    name: str,
    states: tuple[dict[str, bytes], ...],
    acknowledged: list[str],
    chance: random.Random,
    *,
    wild: bool,
) -> bool:
    begun, synced, book, now = states
    files = {}
    checkpointed = now[name] != synced[name]
    for one, content in now.items():
        base = book if "daybook" in one else begun if wild else synced
        # SQLite writes into the file itself only what its log holds on the disk already
        safe = checkpointed and one.endswith("-wal") and not wild
        files[one] = content if safe else torn(base.get(one, b""), content, chance)
    lay(cut, files)
    path = cut / name
    there: list[str] = []
    try:
        there = texts(path)
        clean = not any(f.damage for f in check(path)) and set(acknowledged) <= set(there)
    except StoreError as error:
        hold(wild, f"without the database's fsync denied: {error}")
        clean = False
    if not clean:
        hold(wild, f"without the database's fsync denied: lost {set(acknowledged) - set(there)} or damaged")
        restore(path, None, MORNING)
        there = texts(path)
    hold(set(acknowledged) <= set(there), f"lost {set(acknowledged) - set(there)}")
    hold(len(there) == len(set(there)), "doubled")
    found = check(path)
    hold(not found, [str(f) for f in found])
    return not clean


# --- pages -----------------------------------------------------------------------------------------------------------


def pages(count: int, folder: Path, seed: int = 3) -> str:
    """Overwrite or blank pages of the file: check says so, restore brings every entry back."""
    chance = random.Random(seed)  # noqa: S311 - the same at every run
    path = folder / "rack.db"
    make(path)
    with Store.open(path, "write") as store:
        store.append([event_from_row(note(f"n{i} " + "x" * (600 + i % 90), i)) for i in range(max(40, 5 * count))])
    before = sorted(texts(path))
    sound = path.read_bytes()
    whole = len(sound) // PAGE
    for number in [0, *(chance.sample(range(1, whole), min(count, whole) - 1))]:
        noise = chance.randbytes(PAGE) if chance.random() < 0.5 else bytes(PAGE)
        path.write_bytes(sound[: number * PAGE] + noise + sound[(number + 1) * PAGE :])
        found = check(path)
        hold(bool(found) and found[0].damage and "restore" in str(found[0]), f"page {number}: {found}")
        restore(path, None, MORNING)
        hold(sorted(texts(path)) == before, f"page {number}: not everything came back")
        hold(not check(path), f"page {number}: not clean after restore")
    tried = min(count, whole)
    return f"{tried} of {whole} pages spoilt one by one: each named by check, all {len(before)} entries restored"


# --- writers ---------------------------------------------------------------------------------------------------------


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


# --- malformed -------------------------------------------------------------------------------------------------------


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


def malformed(count: int, folder: Path, seed: int = 4) -> str:
    """Spoilt tables, day-book lines, stores and profiles: a clean refusal or a clean reading, no hang, no write."""
    from rackview.core.rack import Rack
    from rackview.exchange.draft import draft_of, read_all

    chance = random.Random(seed)  # noqa: S311 - the same at every run
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
    slowest = 0.0

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

    refused = 0
    for number in range(count):
        act: Callable[[], None] = (csv, book, strain, file)[number % 4]
        begun = time.perf_counter()
        try:
            act()
        except (InputError, StoreError) as error:
            refused += 1
            hold("\n" not in str(error), f"not one sentence: {error!r}")
        slowest = max(slowest, time.perf_counter() - begun)
    hold(slowest < 2.0, f"the slowest took {slowest:.1f} s")
    return f"{count} malformed inputs: {refused} refused by exception, no traceback, slowest {slowest:.2f} s, no write"


# --- a full disk -----------------------------------------------------------------------------------------------------


def full(steps: int, folder: Path) -> str:
    """A round on a small disk with ever more room left: each entry is kept whole or refused with the right sentence."""
    disk = folder / "small"
    disk.mkdir()
    refused = kept = 0
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(disk)], check=True)
    try:
        for step in range(steps):
            for rest in disk.iterdir():
                shutil.rmtree(rest) if rest.is_dir() else rest.unlink()
            path = disk / "rack.db"
            make(path)
            session = RackSession(Store.open(path, "write"), lambda: MORNING + timedelta(days=1), pc="shed")
            ballast = shutil.disk_usage(disk).free - step * PAGE
            (disk / "ballast").write_bytes(bytes(max(ballast, 0)))
            said: list[str] = []
            for number in range(30):
                text = f"f{number} " + "y" * 300
                session.save_draft("round", {"V1": text})
                try:
                    session.record(note(text, number))
                    said.append(text)
                except StoreError as error:
                    refused += 1
                    hold(error.kind == "full" and "is full" in str(error), f"{error.kind}: {error}")
                    hold(session.draft("round") == {"V1": text}, "the draft was lost")
                hold([e.text for e in session.rack.events()] == said, "the window shows something else")
            (disk / "ballast").unlink()
            session.record(note("after", 99))
            session.close()
            hold(texts(path) == [*said, "after"], "half-written")
            hold(not check(path), [str(f) for f in check(path)])
            kept += len(said)
    finally:
        subprocess.run(["umount", str(disk)], check=True)
    return f"{steps} sizes of a full disk: {refused} entries refused with the right sentence, {kept} kept, none by half"


FULL: dict[str, Callable[[Path], str]] = {
    "kills": lambda folder: kills(1000, folder),
    "power": lambda folder: power(1000, folder),
    "pages": lambda folder: pages(200, folder),
    "writers": lambda folder: writers(4, 5000, folder),
    "malformed": lambda folder: malformed(100_000, folder),
    "full": lambda folder: full(60, folder),
}


def main(words: list[str]) -> int:
    """Run what is named; see the module's text."""
    import sqlite_utils  # noqa: F401 - loaded once, so that the programs started here need not

    if words[:1] == ["kills"] and len(words) == 3:
        count, seed = int(words[1]), int(words[2])
        return _run("kills", lambda folder: kills(count, folder, seed))
    names = list(FULL) if words == ["all"] else words
    if not names or not set(names) <= set(FULL):
        print(__doc__)
        return 2
    return max(_run(name, FULL[name]) for name in names)


def _run(name: str, work: Callable[[Path], str]) -> int:
    memory = "/dev/shm" if Path("/dev/shm").is_dir() else None  # noqa: S108
    with tempfile.TemporaryDirectory(dir=memory, prefix="rackview-torture-") as folder:
        start = time.perf_counter()
        try:
            print(f"{work(Path(folder))} ({time.perf_counter() - start:.0f} s)", flush=True)
        except DoesNotHoldError as error:
            print(f"{name} DOES NOT HOLD: {error}", flush=True)
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
