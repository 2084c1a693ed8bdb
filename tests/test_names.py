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

ONE_THING = {
    "main": "what a program begins with",
    "now": "the one clock of a program: of the window, in UTC, and of the command line, in the keeper's time",
}
"""Names of functions that stand in several packages on purpose, and why they are one thing there."""


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


def test_no_public_function_shares_its_name_with_another() -> None:
    found = defaultdict(list)
    for path, tree in trees():
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and node.name not in TRANSLATORS:
                found[node.name].append(str(path))
    twice = {name: where for name, where in found.items() if len(where) > 1}
    assert {name: where for name, where in twice.items() if name not in ONE_THING} == {}
    assert ONE_THING.keys() - twice.keys() == set(), "said to be one thing at two floors, and there is no second"
    for name, where in twice.items():
        assert len({Path(path).parts[0] for path in where}) == len(where), f"{name} stands twice on one floor: {where}"
