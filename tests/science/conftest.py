"""Tables of reference values, each with its source in the first line."""

import csv
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def table():
    """Read data/<name>.csv as dicts of floats, leaving out the line that names the source."""

    def read(name):
        lines = (Path(__file__).parent / "data" / f"{name}.csv").read_text("utf-8").splitlines()
        return [{k: float(v) for k, v in row.items()} for row in csv.DictReader(lines[1:])]

    return read
