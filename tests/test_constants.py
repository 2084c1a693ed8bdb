"""Every number that decides stands in one module of its package with its origin, and none lies about in the code."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, TypeGuard

import pytest
from tenth import more

SOURCE = Path(__file__).parents[1] / "rackview"
PACKAGES = ["advice", "planner", "rules", "science/risk", "science/state"]
"""Packages with a module of constants."""

NAMED = {"science/state"}
"""Packages whose modules may name rows of arrays, levels and steps of reckoning at their top."""

PLAIN = {0, 1, 2, -1, 0.5, 10, 24, 60, 100, 1000, 1e6, 1e-3, 1e-6, 1e-9, 1e-12}
"""Numbers that need no origin: signs, halves, powers of ten, and units of time."""

TABLES = ("catalogue", "page", "constants", "causes", "formulas_")
"""Modules that are tables, each row with its own source, or say numbers to a reader."""


def is_order(node: ast.AST) -> TypeGuard[ast.Assign]:
    """Whether names are given the numbers of a range, so that they can be put in order: there are as many as names."""
    return (
        isinstance(node, ast.Assign)
        and isinstance(node.targets[0], ast.Tuple)
        and isinstance(node.value, ast.Call)
        and ast.unparse(node.value.func) == "range"
    )


def numbers(tree: ast.AST) -> Iterator[ast.Constant]:
    """The numbers of a module, but for those in an index, in a text, how much a cache holds, and names in an order."""
    left: set[int] = set()
    for node in ast.walk(tree):
        parts: list[ast.AST] = []
        if isinstance(node, ast.Subscript):
            parts = [node.slice]
        elif isinstance(node, ast.JoinedStr):
            parts = [node]
        elif (isinstance(node, ast.keyword) and node.arg == "maxsize") or is_order(node):
            parts = [node.value]
        left |= {id(x) for part in parts for x in ast.walk(part)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and type(node.value) in {int, float} and id(node) not in left:
            yield node


SHELF = sorted(p for p in (SOURCE / "science").glob("*.py") if not p.name.startswith(TABLES))
"""Modules of formulas, where a published coefficient stands in the formula that it belongs to."""


def explained(body: list[ast.stmt]) -> Iterator[ast.stmt]:
    """Parts of a module that say where their numbers come from.

    A function or class whose own words name its source; assignments, alone or line by line, with words right after.
    """
    together: list[ast.stmt] = []
    for node in body:
        if isinstance(node, ast.Assign | ast.AnnAssign):
            together.append(node)
            continue
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield from together
        elif isinstance(node, ast.FunctionDef | ast.ClassDef) and "Source" in (ast.get_docstring(node) or ""):
            yield node
        together = []


@cache
def names_read() -> frozenset[str]:
    """Every name that some module of the program reads."""
    read: set[str] = set()
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
                read.add(node.id)
            elif isinstance(node, ast.Attribute):
                read.add(node.attr)
    return frozenset(read)


@pytest.mark.parametrize("path", SHELF, ids=lambda p: p.stem)
def test_a_formulas_numbers_stand_beside_their_source(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    told = {id(n) for part in explained(tree.body) for n in ast.walk(part)}
    bare = [f"{path.name}:{n.lineno}: {n.value}" for n in numbers(tree) if n.value not in PLAIN and id(n) not in told]
    assert bare == []


@pytest.mark.parametrize("package", PACKAGES)
def test_no_bare_number_lies_about(package: str) -> None:
    found = []
    for path in sorted((SOURCE / package).rglob("*.py")):
        if not path.relative_to(SOURCE / package).as_posix().startswith(TABLES):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            if package in NAMED:
                tree.body = [one for one in tree.body if not isinstance(one, ast.Assign)]
            found += [
                f"{path.relative_to(SOURCE)}:{n.lineno}: {n.value}" for n in numbers(tree) if n.value not in PLAIN
            ]
    assert found == []


@pytest.mark.parametrize("package", PACKAGES)
def test_each_constant_is_explained(package: str) -> None:
    body = ast.parse((SOURCE / package / "constants.py").read_text(encoding="utf-8")).body
    for node, after in zip(body, [*body[1:], None], strict=True):
        if isinstance(node, ast.Assign):
            told = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
            assert told, f"{ast.unparse(node)} has no origin"


@pytest.mark.parametrize("package", PACKAGES)
def test_each_constant_is_used(package: str) -> None:
    body = ast.parse((SOURCE / package / "constants.py").read_text(encoding="utf-8")).body
    targets = [name for node in body if isinstance(node, ast.Assign) for name in ast.walk(node.targets[0])]
    own = {name.id for name in targets if isinstance(name, ast.Name)}
    assert own - names_read() == set()


@pytest.mark.parametrize(
    ("value", "greater"),
    [(2.0, 2.2), (0.5, 0.55), (0.95, 0.975), (0.999, 0.9995), (3, 4), (30, 33), (-0.4, -0.44), ((0.2, 5), (0.22, 6))],
)
def test_a_tenth_more_is_one_rule_for_all_benches_and_leaves_a_share_a_share(value: Any, greater: Any) -> None:
    assert more(value) == pytest.approx(greater)
    assert more({"one": value})["one"] == more(value)
