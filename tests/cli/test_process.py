"""What only a process of its own can show: which modules a command loads, pipes that close, the machine's zone."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

QT = {"PySide6", "shiboken6", "pyqtgraph"}
HEAVY = QT | {"pandas", "scipy.stats", "scipy.optimize", "sqlite_utils", "python_calamine", "gsw", "logging"}
NAMES = """
import runpy, sys
sys.argv = ["rackview", *sys.argv[1:]]
try:
    runpy.run_module("rackview", run_name="__main__")
except SystemExit as end:
    assert not end.code, end.code
print("loaded", *sys.modules, file=sys.stderr)
"""


def loaded(*words: object) -> set[str]:
    done = subprocess.run([sys.executable, "-c", NAMES, *map(str, words)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return set(done.stderr.rsplit("loaded", 1)[1].split())


@pytest.mark.parametrize("word", ["--version", "--help"])
def test_version_and_help_load_neither_qt_nor_numpy(word: str) -> None:
    assert not loaded(word) & (HEAVY | {"numpy", "sqlite3", "rackview.core.rack"})


@pytest.mark.parametrize("command", [["status", "--json"], ["status"], ["advise"], ["plan"]])
def test_the_daily_questions_load_numpy_at_most(command: list[str], store: Path) -> None:
    assert not loaded("--store", store, *command, "--at", "2026-03-03T09:00") & HEAVY


def test_no_other_subcommand_loads_qt(store: Path, tables: tuple[Path, Path], tmp_path: Path) -> None:
    for command in (["import", *tables], ["export", tmp_path / "out"], ["backup"], ["check"], ["merge", store]):
        if command[0] == "merge":
            command = ["import", "--dry-run", *tables]
        assert not loaded("--store", store, *command) & QT
    assert not loaded("--store", store, "check") & {"pandas", "numpy"}
    assert not loaded("demo", tmp_path / "demo.db") & QT


def test_a_reader_that_stops_reading_ends_the_command_quietly(tmp_path: Path) -> None:
    rows = "".join(f"2026-03-01,A{n},rest\n" for n in range(20_000))
    (tmp_path / "many.csv").write_text("at,vessel,kind\n" + rows, encoding="utf-8")
    command = [
        sys.executable,
        "-m",
        "rackview",
        "--store",
        tmp_path / "x.db",
        "import",
        "--dry-run",
        tmp_path / "many.csv",
    ]
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
        command = [sys.executable, "-m", "rackview", "--store", tmp_path / "x.db", *words]
        return subprocess.run([*map(str, command)], capture_output=True, text=True, check=True, env=env).stdout

    ask("import", tables[0], tmp_path / "local.csv")
    ask("export", tmp_path / "out")
    assert "2026-03-01T08:00:00+09:00,A1,count" in (tmp_path / "out" / "events.csv").read_text(encoding="utf-8")
    for moment, known in (("2026-03-01T07:59", False), ("2026-02-28T23:00Z", True)):
        a1 = json.loads(ask("status", "--json", "--at", moment))[0]
        assert (a1["days_since_count"] is not None) is known
