"""How many checks are truly from outside: printed by a source, a handbook, a reference library or open data.

Counted by machine from three places: rows of data/outside_values.csv, `CHECKS` of test_against_libraries.py, and tests
with the mark `outside(area, function, region, source)`. Arithmetic of our own on a printed number does not count, nor
does what is remembered. One formula counts once a region: for the rows, numbers within half a power of ten are one.
"""

import ast
import csv
import importlib.util
import json
import math
import sys
from collections import defaultdict
from pathlib import Path

HERE = Path(__file__).parent
OUTSIDE = {"published", "handbook", "secondary", "library", "open data"}
KINDS = ("feeding", "growth", "transfer", "disinfection", "larvae")


def bucket(value):
    """Numbers within half a power of ten are one region; words and yes or no are their own."""
    if isinstance(value, list):
        return len(value) >= 20
    if isinstance(value, bool | str) or value is None:
        return value
    return "0" if value == 0 else (value > 0, math.floor(2 * math.log10(abs(value))))


def from_rows():
    rows = csv.DictReader((HERE / "data" / "outside_values.csv").read_text("utf-8").splitlines())
    for row in rows:
        if row["status"] in OUTSIDE:
            region = tuple((k, bucket(v)) for k, v in json.loads(row["arguments"]).items())
            yield row["area"], row["function"].split(":")[0], str(region)


def from_checks():
    spec = importlib.util.spec_from_file_location("against_libraries", HERE / "test_against_libraries.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    for check in module.CHECKS:
        assert len(check.source) >= 8
        yield check.area, check.function, check.region


def from_marks():
    for file in HERE.glob("test_*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "pytest.mark.outside":
                area, function, region, source = (ast.literal_eval(a) for a in node.args)
                assert len(source) >= 7
                assert "memory" not in source
                for one in region if isinstance(region, tuple) else (region,):
                    yield area, function, one


def test_at_least_two_hundred_checks_are_from_outside(capsys):
    found = defaultdict(set)
    for area, function, region in (*from_rows(), *from_checks(), *from_marks()):
        found[area].add((function, region))
    counted = {area: len(checks) for area, checks in sorted(found.items())}
    with capsys.disabled():
        sys.stdout.write(f"\noutside checks: {sum(counted.values())}, {counted}\n")
    assert sum(counted.values()) >= 200
    assert all(counted[kind] >= 10 for kind in KINDS)
