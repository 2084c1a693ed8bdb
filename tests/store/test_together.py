"""tests/benchmarks/store_together.py at a size for every day: a real window, importers and commands on one store."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture(scope="module")
def bench() -> ModuleType:
    """The benchmark as a module."""
    place = Path(__file__).parents[1] / "benchmarks" / "store_together.py"
    spec = importlib.util.spec_from_file_location("store_together", place)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.timeout(600)
def test_a_window_two_importers_and_the_command_line(bench, quick_folder):
    assert bench.together(3, 150, quick_folder)


def test_a_lost_entry_would_be_noticed(bench, quick_folder):
    bench.make(quick_folder / "rack.db")
    with pytest.raises(bench.DoesNotHoldError, match="1 lost, 0 doubled"):
        bench.sound(quick_folder / "rack.db", ["window-0"], 0)


@pytest.mark.torture
@pytest.mark.timeout(3600)
@pytest.mark.parametrize("programs", [2, 4])
def test_at_full_size(bench, tmp_path, programs):
    assert bench.together(programs, 5000, tmp_path)
