"""What only a process of its own can show: which modules a command loads, pipes that close, the machine's zone."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

QT = {"PySide6", "shiboken6", "pyqtgraph"}
HEAVY = QT | {"pandas", "scipy.stats", "scipy.optimize", "sqlite_utils", "python_calamine", "gsw", "logging"}
NAMES = """
import json, sys
from rackview.__main__ import main
for words in json.loads(sys.argv.pop()):
    sys.argv = ["rackview", *words]
    try:
        status = main()
    except SystemExit as end:
        status = end.code or 0
    assert status == 0, (words, status)
print("loaded", *sys.modules, file=sys.stderr)
"""


def rackview(*words: object) -> list[str]:
    """A command line in a process of its own."""
    return [sys.executable, "-m", "rackview", *map(str, words)]


def loaded(*commands: list[object]) -> set[str]:
    """The modules in memory after a process of its own has carried out these command lines."""
    words = json.dumps([[str(w) for w in command] for command in commands])
    done = subprocess.run([sys.executable, "-c", NAMES, words], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return set(done.stderr.rsplit("loaded", 1)[1].split())


def test_version_and_help_load_neither_qt_nor_numpy() -> None:
    assert not loaded(["--version"], ["--help"]) & (HEAVY | {"numpy", "sqlite3", "rackview.core.rack"})


def test_the_daily_questions_load_numpy_at_most(store: Path) -> None:
    at = ["--at", "2026-03-03T09:00", "--store", store]
    assert not loaded(["status", "--json", *at], ["status", *at]) & HEAVY
    assert not loaded(["advise", *at], ["plan", *at]) & HEAVY


def test_no_other_subcommand_loads_qt(store: Path, tables: tuple[Path, Path], tmp_path: Path) -> None:
    to = ["--store", store]
    light = loaded(["import", "--dry-run", *tables, *to], ["export", tmp_path / "out", *to], ["check", *to])
    assert not light & (HEAVY | {"numpy"})
    copy = tmp_path / "copy.db"
    assert not loaded(["import", *tables, *to], ["backup", copy, *to], ["merge", copy, *to], ["restore", *to]) & QT


def test_the_demo_rack_asked_from_its_own_store(tmp_path: Path) -> None:
    def refuse(word: str) -> None:
        raise ValueError(f"{word} is not JSON")

    assert not loaded(["demo", tmp_path / "demo.db"]) & QT
    command = rackview("status", "--json", "--store", tmp_path / "demo.db")
    said = subprocess.run(command, capture_output=True, text=True, check=True)
    rows = json.loads(said.stdout, parse_constant=refuse)
    assert 8 <= len(rows) <= 12
    assert {"rotifer-L", "rotifer-S"} <= {row["strain"] for row in rows}


def test_a_picture_is_drawn_without_a_screen(store: Path, tmp_path: Path) -> None:
    command = rackview("picture", tmp_path / "p.png", "--store", store, "--size", "640x480")
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    head = (tmp_path / "p.png").read_bytes()[:24]
    assert head.startswith(b"\x89PNG")
    assert (int.from_bytes(head[16:20], "big"), int.from_bytes(head[20:], "big")) == (640, 480)


def test_a_reader_that_stops_reading_ends_the_command_quietly(tmp_path: Path) -> None:
    rows = "".join(f"2026-03-01,A{n},rest\n" for n in range(20_000))
    (tmp_path / "many.csv").write_text("at,vessel,kind\n" + rows, encoding="utf-8")
    command = rackview("--store", tmp_path / "x.db", "import", "--dry-run", tmp_path / "many.csv")
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait() == 0


def test_times_without_an_offset_are_those_on_the_machines_wall(tables: tuple[Path, Path], tmp_path: Path) -> None:
    # POSIX spelling of a zone nine hours ahead of UTC, which needs no zone files
    env = os.environ | {"TZ": "JST-9"}
    events = "at,vessel,kind,tallies\n2026-03-01T08:00,A1,count,98\n"
    (tmp_path / "local.csv").write_text(events, encoding="utf-8")

    def ask(*words: object) -> str:
        command = rackview("--store", tmp_path / "x.db", *words)
        return subprocess.run(command, capture_output=True, text=True, check=True, env=env).stdout

    ask("import", tables[0], tmp_path / "local.csv")
    ask("export", tmp_path / "out")
    assert "2026-03-01T08:00:00+09:00,A1,count" in (tmp_path / "out" / "events.csv").read_text(encoding="utf-8")
    for moment, known in (("2026-03-01T07:59", False), ("2026-02-28T23:00Z", True)):
        a1 = json.loads(ask("status", "--json", "--at", moment))[0]
        assert (a1["days_since_count"] is not None) is known


def test_a_time_that_the_clocks_were_put_forward_over_is_asked_about(tables: tuple[Path, Path], tmp_path: Path) -> None:
    # POSIX spelling of central Europe's clocks, which needs no zone files
    env = os.environ | {"TZ": "CET-1CEST,M3.5.0,M10.5.0/3"}
    times = ("2025-03-30T01:59", "2025-03-30T02:30", "2025-03-30T03:00", "2025-10-26T02:30", "2025-03-30T02:30+01:00")
    rows = "".join(f"{at},A1,rest\n" for at in times)
    (tmp_path / "night.csv").write_text("at,vessel,kind\n" + rows, encoding="utf-8")
    command = rackview("--store", tmp_path / "x.db", "import", tables[0], tmp_path / "night.csv")
    said = subprocess.run(command, capture_output=True, text=True, check=False, env=env)
    assert said.returncode == 1
    first, _ = said.stderr.splitlines()
    assert first.startswith("night.csv, line 3: at: found “2025-03-30 02:30”, but needs a time that the clocks showed")


ENDING = """
import atexit, gc, sys
from rackview import __main__, cli
cli.main = lambda: 0
atexit.register(lambda: print(gc.get_freeze_count() > 0))
sys.modules.update({name: sys for name in sys.argv[1:]})
__main__.main()
"""


def test_no_garbage_is_searched_for_at_the_end_of_a_command_but_a_window_is_taken_down_as_ever() -> None:
    for loaded_by_then, passed_over in (([], "True"), (["PySide6"], "False")):
        command = [sys.executable, "-c", ENDING, *loaded_by_then]
        assert subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip() == passed_over


ANSWERING = """
import gc, sys
from rackview import cli
answer, searches = cli._status, []
def begun(words):
    gc.callbacks.append(lambda phase, told: searches.append(phase))
    return answer(words)
cli._status = begun
cli.main(["status", "--store", sys.argv[1]])
print(len(searches), gc.isenabled())
"""


def test_no_garbage_is_searched_for_while_a_command_answers_nor_made_up_for_right_behind(store: Path) -> None:
    command = [sys.executable, "-c", ANSWERING, str(store)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "0 True"


DOCUMENTED = """
import sys
if len(sys.argv) > 1:
    from rackview import __main__
    __main__.spare_docs()
else:
    import rackview
    rackview.assess
import numpy
print(all(one.__doc__ for one in (numpy.array, numpy.ndarray.sum, numpy.float64.real)))
print(numpy.array([1.0, 2.0]).sum(), numpy.linalg.norm([3.0, 4.0]), numpy.ma.masked_array([1, 2], [0, 1]).sum())
"""


def test_the_program_spares_numpy_its_docstrings_and_a_notebook_has_them() -> None:
    """Where this fails as numpy makes them elsewhere, `spare_docs` is of no use any more."""
    for words, documented in ((["program"], "False"), ([], "True")):
        command = [sys.executable, "-c", DOCUMENTED, *words]
        said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        assert said.splitlines() == [documented, "3.0 5.0 1"]


WORKING = """
import atexit, threading
from rackview import __main__, cli
def run():
    threading.Thread(target=threading.Event().wait, daemon=True).start()
    atexit.register(print, "the interpreter was taken down")
    print("closed")
    return 3
cli.main = run
raise SystemExit(__main__.main())
"""


def test_a_thread_that_still_works_behind_is_not_ended_in_the_midst_of_it() -> None:
    """Where Python is taken down under a thread that is within Qt, the process ends as crashed."""
    done = subprocess.run([sys.executable, "-c", WORKING], capture_output=True, text=True, check=False, timeout=60)
    assert (done.returncode, done.stdout) == (3, "closed\n"), done.stderr
