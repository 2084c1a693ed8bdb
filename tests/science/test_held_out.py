"""Whole experiments are held out of what constants were chosen on, and the page on the estimate says which."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parents[2]
BENCHES = HERE / "tests" / "benchmarks"
sys.path.insert(0, str(BENCHES))

from held_out import FLAG, HELD_OUT, LOOKED_AT, asked_for  # noqa: E402


def test_the_page_says_of_each_series_whether_it_was_looked_at():
    page = (HERE / "docs" / "estimate.md").read_text(encoding="utf-8").split("## Which open series were looked at")[1]
    rows = re.findall(r"^\| `(\w+)`[^|]*\| ([^|]+) \| ([^|]+) \|$", page, re.MULTILINE)
    assert {name: chosen for name, chosen, state in rows if state == "for choosing"} == LOOKED_AT
    assert {name for name, _, state in rows if state == "held out"} == set(HELD_OUT)


@pytest.mark.parametrize("name", HELD_OUT)
def test_a_bench_reads_what_is_held_out_only_when_asked_for_as_such(name):
    spec = f"somewhere/{name}.csv,time=day"
    with pytest.raises(SystemExit, match=f"held out: .*{name}"):
        asked_for(["other.csv", spec])
    assert asked_for([spec, FLAG]) == [spec]
    assert asked_for(["somewhere/rotifer_becks2010_chemostat.csv"])


def test_the_bench_itself_refuses():
    done = subprocess.run(
        [sys.executable, str(BENCHES / "estimate_series.py"), f"{HELD_OUT[0]}.csv"],
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 1
    assert done.stderr.startswith("held out: ")
    assert "Traceback" not in done.stderr
