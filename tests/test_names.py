"""One thing has one name, and one name means one thing."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

SOURCE = Path(__file__).parents[1] / "rackview"

TRANSLATORS = {"tr"}
"""The translator of each module's own context of texts; translation tools find texts by this very word."""

ON_PURPOSE = {"Rack"}
"""The rack of a notebook is the rack of the core with what needs a disk; to its user they are one."""


def trees() -> Iterator[tuple[Path, ast.Module]]:
    for path in sorted(SOURCE.rglob("*.py")):
        yield path.relative_to(SOURCE), ast.parse(path.read_text(encoding="utf-8"))


def test_no_class_name_is_given_twice() -> None:
    found = defaultdict(list)
    for path, tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef) and node.name not in ON_PURPOSE:
                found[node.name].append(str(path))
    assert {name: where for name, where in found.items() if len(where) > 1} == {}


def test_no_public_function_of_a_package_shares_its_name_with_another() -> None:
    found = defaultdict(list)
    for path, tree in trees():
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and node.name not in TRANSLATORS:
                found[path.parts[0], node.name].append(str(path))
    assert {name: where for name, where in found.items() if len(where) > 1} == {}
