"""The sheets of a workbook: small ones are read here, large ones in a process of their own that can be stopped.

The native reader can't be interrupted, and running out of memory ends the whole process. So what may be large is read
by a child that has limits on memory, processor time and time, and hands the rows over line by line.
"""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterable, Iterator
from contextlib import suppress
from datetime import date, datetime, time, timedelta
from itertools import islice
from pathlib import Path
from typing import Any

from rackview import translations
from rackview.exchange import archive
from rackview.exchange.archive import ArchiveError, Limits, TooMuchError
from rackview.language import _

SMALL = Limits(size=4_000_000, elements=150_000, cells=200_000, text=5_000_000)
"""What the reader here can neither take long over nor run out of memory with."""
LARGE = Limits()
SMALL_FILE = 1_000_000
MEMORY = 420_000_000
"""Bytes of address space for the child; 100 000 rows of 12 columns need under half of it (measured)."""
SECONDS = 60
"""After this the child is stopped; the largest workbook within the limits takes under 10 s (measured)."""

BATCH = 200
"""Rows that the child hands over in one line."""

Filled = tuple[int, list[Any]]
_DATES: dict[str, Any] = {"datetime": datetime, "date": date, "time": time}


class DamagedError(ArchiveError):
    """The reader could make nothing of it."""


def sheet_rows(path: Path) -> Iterator[tuple[str, Iterable[Filled]]]:
    """Title and filled rows of each sheet, each row with its number from 1; raises `ArchiveError`."""
    if path.stat().st_size <= SMALL_FILE:
        with suppress(TooMuchError):
            yield from read_workbook(path, SMALL)
            return
    if getattr(sys, "frozen", False):  # a bundle has no interpreter to start; the limits of the measure hold
        yield from read_workbook(path, LARGE)
        return
    yield from _by_child(path)


def read_workbook(path: Path, limits: Limits) -> Iterator[tuple[str, Iterable[Filled]]]:
    """Measure a workbook against `limits` and only then read it; raises `ArchiveError`."""
    import python_calamine

    with tempfile.TemporaryFile() if limits is LARGE else io.BytesIO() as fresh:
        with path.open("rb") as source:
            archive.repack(source, fresh, limits)
        fresh.seek(0)
        try:
            book = python_calamine.CalamineWorkbook.from_filelike(fresh)
            titles = book.sheet_names
        except BaseException as error:  # noqa: BLE001 - a panic of native code is no Exception
            raise _damaged(error) from None
        for title in titles:
            yield title, _sheet(book, title)


def _sheet(book: Any, title: str) -> Iterator[Filled]:
    try:
        sheet = book.get_sheet_by_name(title)
        first = sheet.start
        for number, cells in enumerate(sheet.iter_rows() if first else (), 1):
            if cells.count("") < len(cells):
                yield number, cells
    except BaseException as error:  # noqa: BLE001
        raise _damaged(error) from None


def _damaged(error: BaseException) -> BaseException:
    """The reader is native code, and a panic in it is no Exception."""
    if isinstance(error, KeyboardInterrupt | SystemExit | MemoryError | GeneratorExit):
        return error
    return DamagedError(_("is a damaged workbook; open and save it again, or save it as CSV"))


# --- the other process --------------------------------------------------------------------------------------------


def _by_child(path: Path) -> Iterator[tuple[str, Iterable[Filled]]]:
    home = str(Path(__file__).parents[2])
    surroundings = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, [home, os.environ.get("PYTHONPATH")]))}
    child = subprocess.Popen(  # noqa: S603 - this interpreter on a module of ours
        [sys.executable, "-P", "-m", __name__, str(path.absolute())],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=surroundings,
    )
    late = threading.Event()

    def stop() -> None:
        late.set()
        child.kill()

    watch = threading.Timer(SECONDS, stop)
    watch.daemon = True
    watch.start()
    try:
        assert child.stdout is not None  # noqa: S101 - it was asked for
        yield from _received(child.stdout)
    except EOFError:
        if late.is_set():
            raise TooMuchError(
                _("takes longer than {seconds} s to read; keep less in one workbook").format(seconds=SECONDS)
            ) from None
        raise TooMuchError(
            _("needs more than {memory} MB of memory to read; keep less in one workbook").format(
                memory=MEMORY // 1000000
            )
        ) from None
    finally:
        watch.cancel()
        child.kill()
        child.wait()
        if child.stdout is not None:
            child.stdout.close()


def _received(lines: Iterable[bytes]) -> Iterator[tuple[str, Iterable[Filled]]]:
    """What the child says: a title, then rows, then the next title; at the end null, or why not."""
    title = ""
    rows: list[Filled] = []
    for line in lines:
        try:
            said = json.loads(line, object_hook=_dated)
        except ValueError:
            break
        if isinstance(said, list):
            rows += said
            continue
        if title:
            yield title[1:], rows
        if said is None:
            return
        if said.startswith("!"):
            kind, _, why = said[1:].partition(" ")
            raise {"TooMuchError": TooMuchError, "DamagedError": DamagedError}.get(kind, ArchiveError)(why)
        title, rows = said, []
    raise EOFError


def _dated(said: dict[str, Any]) -> Any:
    ((kind, value),) = said.items()
    return timedelta(seconds=value) if kind == "timedelta" else _DATES[kind].fromisoformat(value)


def _said(cell: Any) -> dict[str, Any]:
    if isinstance(cell, timedelta):
        return {"timedelta": cell.total_seconds()}
    return {type(cell).__name__: cell.isoformat()}


def _batches(rows: Iterable[Filled]) -> Iterator[list[Filled]]:
    """Some rows at a time: a line for each would cost more than the reading."""
    left = iter(rows)
    while some := list(islice(left, BATCH)):
        yield some


def _bind() -> None:
    """Limit what this process may use, where the system can."""
    with suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def main(path: str) -> None:
    """Read a workbook within limits and write its rows to standard output."""
    _bind()
    write = sys.stdout.write
    try:
        for title, rows in read_workbook(Path(path), LARGE):
            write(json.dumps("=" + title) + "\n")
            for some in _batches(rows):
                write(json.dumps(some, default=_said) + "\n")
        write("null\n")
    except ArchiveError as error:
        write(json.dumps(f"!{type(error).__name__} {error}") + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    translations.install_language(())
    main(sys.argv[1])
