"""tests/benchmarks/store_spoilt.py at a size for every day; marked torture, at full size."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

from rackview.store import snapshot


@pytest.fixture(scope="module")
def spoilt() -> ModuleType:
    """The benchmark as a module."""
    place = Path(__file__).parents[1] / "benchmarks" / "store_spoilt.py"
    spec = importlib.util.spec_from_file_location("store_spoilt", place)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(autouse=True)
def usual_pieces(monkeypatch):
    """What a run sets is set back."""
    monkeypatch.setattr(snapshot, "PIECE", snapshot.PIECE)


def test_destroyed_files_are_refused_or_answered_in_a_sentence(spoilt, quick_folder):
    assert spoilt.destroyed(len(spoilt.WAYS), quick_folder), "one for each way to destroy a file"


def test_hostile_databases_are_refused(spoilt, quick_folder):
    assert spoilt.hostile(quick_folder)


@pytest.mark.torture
@pytest.mark.timeout(7200)
def test_five_hundred_destroyed_files(spoilt, quick_folder):
    assert spoilt.destroyed(500, quick_folder)
