"""How long commands take from nothing, in processor time beside that of importing numpy.

    python tests/benchmarks/start.py [repeats]

Prints the least of some repeats, as other programs on the machine only ever add to it; the first start of all, which
compiles the modules, does not count. POSIX only (wait4).
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path


def seconds(repeats: int, *words: str) -> float:
    """Least processor time of a Python process with these arguments, its modules compiled by one before it."""
    times = []
    for _ in range(repeats + 1):
        process = subprocess.Popen([sys.executable, *words], stdout=subprocess.DEVNULL)
        _, status, used = os.wait4(process.pid, 0)
        assert status == 0, words
        times.append(used.ru_utime + used.ru_stime)
    return min(times[1:])


def main() -> None:
    repeats = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    with tempfile.TemporaryDirectory() as folder:
        os.environ["PYTHONPYCACHEPREFIX"] = str(Path(folder) / "compiled")
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        demo, small = str(Path(folder) / "demo.db"), str(Path(folder) / "small.db")
        program = ("-m", "rackview", "--store")
        subprocess.run([sys.executable, "-m", "rackview", "demo", demo], check=True, stdout=subprocess.DEVNULL)
        table = Path(folder) / "vessels.csv"
        table.write_text("vessel,strain,shelf,position,volume_l\nA1,rotifer-L,A,1,20\n", encoding="utf-8")
        subprocess.run([sys.executable, *program, small, "import", table], check=True, stdout=subprocess.DEVNULL)
        numpy = seconds(repeats, "-c", "import numpy")
        rows = {
            "python alone": seconds(repeats, "-c", ""),
            "import numpy": numpy,
            "--version": seconds(repeats, "-m", "rackview", "--version"),
            "status, one vessel": seconds(repeats, *program, small, "status", "--json"),
            "read the demo rack": seconds(
                repeats, "-c", f"from rackview.store import Store; Store.open({demo!r}).load()"
            ),
            "status of the demo rack": seconds(repeats, *program, demo, "status", "--json"),
            "advise of the demo rack": seconds(repeats, *program, demo, "advise", "--json"),
        }
    for name, found in rows.items():
        print(f"{name:24} {1000 * found:6.0f} ms   {found / numpy:5.2f} x numpy")


if __name__ == "__main__":
    main()
