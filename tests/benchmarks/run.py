"""The speed of the program against its targets, each beside a reference measured in the same run.

    run.py                          every row at full size; docs/speed.md is written anew
    run.py --row start --row idle   only these; their lines of the page are written anew
    run.py --small                  a quick look at a small size; the page stays as it is
    run.py --tenth --row import     at a tenth of the longest records, where those take too long; the page says so
    run.py --entries 2000 --row memory          a shorter day, where that one takes too long; the page says so
    run.py --check                  compare with the page: status 1 where a ratio is 1.5 x as large
    run.py --list                   the names of the rows

Made stores are kept in the folder given by --stores for the next run; at full size they take some gigabytes and the
first run takes long. Run row by row, such a page comes together in pieces; a made store is used again.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

from suite import page
from suite.row import sized
from suite.rows import ROWS

SLACK = 1.5
"""How many times as large a ratio may be as the page has it; two runs differ by a fifth on a busy machine."""


def _words() -> argparse.Namespace:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--row", action="append", choices=[row.name for row in ROWS], metavar="NAME")
    words.add_argument("--small", action="store_true")
    words.add_argument("--tenth", action="store_true")
    words.add_argument("--check", action="store_true")
    words.add_argument("--entries", type=int)
    words.add_argument("--list", action="store_true")
    words.add_argument("--stores", type=Path, default=Path(tempfile.gettempdir()) / "rackview-benchmarks")
    return words.parse_args()


def main() -> int:
    words = _words()
    if words.list:
        print(*(f"{row.name:20} {row.what}" for row in ROWS), sep="\n")
        return 0
    size = sized("small" if words.small else "tenth" if words.tenth else "full", words.stores)
    if words.entries:
        size = replace(size, entries=words.entries)
    before = page.read()
    slower = []
    for row in ROWS:
        if words.row and row.name not in words.row:
            continue
        try:
            found = row.measure(size)
        except Exception as error:  # noqa: BLE001 - the other rows are measured all the same
            print(f"{row.name:20} {type(error).__name__}: {error}", flush=True)
            slower.append(f"{row.name} could not be measured")
            continue
        line = page.line(row, found, "at a tenth of that size" if words.tenth else "")
        print(f"{row.name:20} {' | '.join(line.cells[1:])} {found.said and f'({found.said})'}", flush=True)
        if words.check:
            known = before.get(row.name)
            if known is not None and known.ratio is not None and found.ratio > SLACK * known.ratio:
                slower.append(f"{row.name}: {found.ratio:.3g} x, {known.ratio:.3g} x before")
        elif not words.small:
            page.write({**page.read(), row.name: line})
    print(*slower, sep="\n")
    return int(bool(slower))


if __name__ == "__main__":
    sys.exit(main())
