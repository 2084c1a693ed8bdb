"""The page of formulas, the registry and the code say the same."""

import ast
import csv
import importlib
import inspect
from pathlib import Path

import pytest

from rackview.core.errors import InputError
from rackview.science import registry
from rackview.science.formula_entry import OUTSIDE
from rackview.science.formula_ranges import RANGES
from rackview.science.formula_sources import SOURCES
from rackview.science.registry import AREAS, formulas

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "formulas.md"
NO_FORMULAS = {"ammonia.one_figure", "seawater.pure_water_density", "units.units_of"}
"""Public functions of the shelf that are no formula: rounding, a memo, a list of words."""


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
    """To write the page anew: Path("docs/formulas.md").write_text(rackview.science.registry.formulas_page())."""
    assert PAGE.read_text("utf-8") == registry.formulas_page()


def test_every_public_function_has_one_entry():
    assert sorted(f.function for f in formulas()) == sorted(set(public_functions()) - NO_FORMULAS)


def test_an_entry_says_what_range_source_and_arguments():
    for entry in formulas():
        known = inspect.signature(entry.compute).parameters
        names = [i.name for i in entry.inputs]
        required = {n for n, p in known.items() if p.default is p.empty}
        assert len(entry.title) > 20, entry.function
        assert "Range" not in entry.title, entry.function
        assert len(entry.range_words) >= 8, entry.function
        assert len(entry.source) >= 5, entry.function
        assert entry.text, entry.function
        assert entry.result, entry.function
        assert names == [n for n in known if n in names], entry.function
        assert required <= set(names), entry.function


def test_what_is_to_be_translated_is_what_the_docstrings_say():
    assert sorted({f.range_words for f in formulas()}) == list(RANGES)
    assert sorted({f.source for f in formulas()}) == list(SOURCES)


def test_an_entry_is_guarded_by_checks_that_exist():
    trees = [ast.parse(file.read_text("utf-8")) for file in HERE.glob("test_*.py")]
    defined = {node.name for tree in trees for node in tree.body if isinstance(node, ast.FunctionDef)}
    rows = csv.DictReader((HERE / "data" / "outside_values.csv").read_text("utf-8").splitlines())
    outside = {".".join(row["function"].split(":")[0].split(".")[:2]) for row in rows}
    for entry in formulas():
        assert entry.checks, entry.function
        assert set(entry.checks) - {OUTSIDE} <= defined, entry.function
        assert (OUTSIDE in entry.checks) == (entry.function in outside), entry.function


def refused(entry, name, value):
    """The argument that the code refuses when this one is changed in the example; empty when it computes."""
    try:
        entry.compute(**examples(entry, **{name: value}))
    except InputError as error:
        return error.field
    return ""


def beyond(i, edge, outward):
    """A value just outside of one end of a range."""
    return edge + outward * (1 if isinstance(i.example, int) else max(abs(edge) * 1e-6, 1e-6))


@pytest.mark.parametrize("area", AREAS)
def test_the_ranges_of_the_entries_are_those_of_the_code(area):
    for entry in formulas():
        if entry.area != area:
            continue
        entry.compute(**examples(entry))
        for i in entry.inputs:
            where = f"{entry.function} {i.name}"
            if i.choices:
                assert refused(entry, i.name, "no such word") == i.name, where
            if i.low is None:
                continue
            assert refused(entry, i.name, float("nan")) == i.name, where
            assert refused(entry, i.name, "twelve") == i.name, where
            assert refused(entry, i.name, i.low if i.open_low else beyond(i, i.low, -1)) == i.name, where
            assert i.high is None or refused(entry, i.name, beyond(i, i.high, 1)) == i.name, where
            if not i.depends:
                least = beyond(i, i.low, 1) if i.open_low else i.low
                assert refused(entry, i.name, type(i.example)(least)) == "", where
                assert i.high is None or refused(entry, i.name, type(i.example)(i.high)) == "", where


def test_an_entry_is_found_by_its_function():
    assert registry.formula("units.celsius").compute(77) == 25
    with pytest.raises(KeyError):
        registry.formula("units.parsecs")
