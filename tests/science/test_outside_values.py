"""Values from outside the project, one row each in data/outside_values.csv with the source beside it.

status: published (printed by the source), secondary (printed in a reprint), library (a reference library), arithmetic
(exact arithmetic on what the source prints), memory (remembered, unverified).
"""

import csv
import importlib
import json
import re
from collections import Counter
from pathlib import Path

import pytest

ROWS = list(csv.DictReader((Path(__file__).parent / "data" / "outside_values.csv").read_text("utf-8").splitlines()))
AREAS = {
    "counts",
    "growth",
    "development",
    "thermal",
    "fecundity",
    "algae",
    "enrichment",
    "storage",
    "seawater",
    "ammonia",
    "oxygen",
    "mixing",
    "feeding",
    "transfer",
    "disinfection",
    "larvae",
    "units",
}


def evaluate(name, arguments):
    path, _, index = name.partition(":")
    module, function, *attributes = path.split(".")
    result = getattr(importlib.import_module(f"rackview.science.{module}"), function)(**json.loads(arguments))
    for attribute in attributes:
        result = getattr(result, attribute)
    return result[int(index)] if index else result


def complaint(row):
    """What is wrong with one row, or nothing."""
    found = evaluate(row["function"], row["arguments"])
    if isinstance(found, str):
        agrees = found == row["expected"]
    else:
        agrees = abs(found - float(row["expected"])) <= float(row["tolerance"]) + 1e-12
    return "" if agrees else f"{row['function']} {row['arguments']}: {found}, not {row['expected']} ({row['source']})"


@pytest.mark.parametrize("area", sorted(AREAS))
def test_outside_values(area):
    assert [c for c in map(complaint, (r for r in ROWS if r["area"] == area)) if c] == []


def test_there_are_enough_and_each_names_its_source():
    assert {r["area"] for r in ROWS} == AREAS
    assert all(len(r["source"]) > 8 for r in ROWS)
    remembered = [r for r in ROWS if r["status"] == "memory"]
    assert all("memory" in r["source"] or "no source" in r["source"] for r in remembered)
    known = [r for r in ROWS if r["status"] in {"published", "handbook", "secondary", "library", "arithmetic"}]
    assert len(known) + len(remembered) == len(ROWS)
    assert len(known) >= 80
    assert min(Counter(r["area"] for r in known).values()) >= 5
    assert len({(r["function"], r["arguments"]) for r in ROWS}) > 80


def test_nothing_is_cited_from_memory():
    """A source that is known but was not seen carries its mark; there are six, and they only become fewer."""
    shelf = Path(__file__).parents[2] / "rackview" / "science"
    said_elsewhere = {"registry.py", "formula_sources.py"}  # its own name for them; what docstrings say, once more
    texts = (re.sub(r'"\n\s*"', "", p.read_text("utf-8")) for p in shelf.rglob("*.py") if p.name not in said_elsewhere)
    words = " ".join(" ".join(t.split()) for t in texts)
    assert "from memory" not in words
    assert 0 < words.count("not read in print") <= 6
