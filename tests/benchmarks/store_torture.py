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

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from torture.disk import full, pages
from torture.harness import DoesNotHoldError
from torture.malformed import malformed
from torture.power import power
from torture.programs import kills, writers

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
