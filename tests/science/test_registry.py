"""The page of formulas, the registry and the code say the same."""

import ast
import csv
import importlib
import inspect
from functools import cache
from pathlib import Path

import pytest

from rackview.core.errors import InputError
from rackview.science import registry
from rackview.science.registry import AREAS, OUTSIDE, formulas

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "formulas.md"
HELPERS = {"ammonia.one_figure", "seawater.pure_water_density", "units.units_of"}
"""Public functions of the shelf that are no formula: rounding, a memo, a list of words."""

ENTRIES = pytest.mark.parametrize("entry", formulas(), ids=lambda f: f.function)


def public_functions():
    for area in AREAS:
        module = importlib.import_module(f"rackview.science.{area}")
        for name, value in vars(module).items():
            own = callable(value) and not inspect.isclass(value) and getattr(value, "__module__", "") == module.__name__
            if own and not name.startswith("_"):
                yield f"{area}.{name}"


def examples(entry, **changed):
    return {i.name: i.example for i in entry.inputs} | changed


def test_the_page_is_the_code():
    """To write the page anew: Path("docs/formulas.md").write_text(rackview.science.registry.page())."""
    assert PAGE.read_text("utf-8") == registry.page()


def test_every_public_function_has_one_entry():
    assert sorted(f.function for f in formulas()) == sorted(set(public_functions()) - HELPERS)


@ENTRIES
def test_an_entry_says_what_range_source_and_argument(entry):
    assert len(entry.title) > 20
    assert "Range" not in entry.title
    assert len(entry.range_words) >= 8
    assert len(entry.source) >= 5
    assert entry.text
    assert entry.result
    known = inspect.signature(entry.compute).parameters
    assert [i.name for i in entry.inputs] == [n for n in known if n in {i.name for i in entry.inputs}]
    required = {n for n, p in known.items() if p.default is p.empty}
    assert required <= {i.name for i in entry.inputs}


@cache
def defined_tests():
    trees = [ast.parse(file.read_text("utf-8")) for file in HERE.glob("test_*.py")]
    return {node.name for tree in trees for node in tree.body if isinstance(node, ast.FunctionDef)}


@cache
def functions_with_outside_values():
    rows = csv.DictReader((HERE / "data" / "outside_values.csv").read_text("utf-8").splitlines())
    return {".".join(row["function"].split(":")[0].split(".")[:2]) for row in rows}


@ENTRIES
def test_an_entry_is_guarded_by_checks_that_exist(entry):
    assert entry.checks
    assert set(entry.checks) - {OUTSIDE} <= defined_tests()
    if OUTSIDE in entry.checks or entry.function in functions_with_outside_values():
        assert OUTSIDE in entry.checks
        assert entry.function in functions_with_outside_values()


@ENTRIES
def test_the_ranges_of_an_entry_are_those_of_the_code(entry):
    entry.compute(**examples(entry))
    for i in entry.inputs:
        if i.choices:
            with pytest.raises(InputError):
                entry.compute(**examples(entry, **{i.name: "no such word"}))
        if i.low is None:
            continue
        for edge, outward in ((i.low, -1), (i.high, 1)):
            if edge is None:
                continue
            beyond = edge + outward * max(abs(edge) * 1e-6, 1e-6)
            if isinstance(i.example, int):
                beyond = edge + outward
            outside = edge if i.open_low and outward < 0 else beyond
            with pytest.raises(InputError):
                entry.compute(**examples(entry, **{i.name: outside}))
            if not i.depends:
                inside = beyond - 2 * (beyond - edge) if i.open_low and outward < 0 else edge
                entry.compute(**examples(entry, **{i.name: type(i.example)(inside)}))
        with pytest.raises(InputError):
            entry.compute(**examples(entry, **{i.name: float("nan")}))


def test_an_entry_is_found_by_its_function():
    assert registry.formula("units.celsius").compute(77) == 25
    with pytest.raises(KeyError):
        registry.formula("units.parsecs")
