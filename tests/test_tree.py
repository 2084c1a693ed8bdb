"""The top of the tree holds what it is meant to hold, and nothing that was left lying there."""

from __future__ import annotations

import ast
import importlib.metadata
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "rackview", "tests", "resources", "docs"}


@pytest.mark.skipif(not (ROOT / ".git").exists() or shutil.which("git") is None, reason="not a checkout")
def test_nothing_else_is_kept_at_the_top() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("git will not read this checkout")
    found = {name.split("/")[0] for name in listed.stdout.splitlines()}
    assert {name for name in found if not name.startswith(".")} == TOP


def test_every_file_that_the_pages_name_is_there() -> None:
    pages = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").rglob("*.md")]
    path = re.compile(r"\b(?:rackview|tests|resources)/[\w/.-]+\.(?:py|md|toml|json)\b")
    named = {name for page in pages for name in path.findall(page.read_text("utf-8"))}
    assert len(named) > 40
    assert sorted(name for name in named if not (ROOT / name).exists()) == []


def test_a_wheel_takes_every_package_along() -> None:
    """An installation in place finds a folder that is in no list; one from a wheel does not start without it."""
    written = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    code = {".".join(p.parent.relative_to(ROOT).parts) for p in (ROOT / "rackview").rglob("__init__.py")}
    data = {".".join(("rackview", *p.parent.relative_to(ROOT).parts)) for p in (ROOT / "resources").rglob("*.*")}
    data = {name for name in data if "__pycache__" not in name}
    assert sorted(written["tool"]["setuptools"]["packages"]) == sorted(
        {*code, *data, "rackview.resources", "rackview.docs"}
    )


def test_what_is_imported_is_declared_and_what_is_declared_is_imported() -> None:
    """A library that only the tests bring must not be needed by the program, nor one be carried along for nothing."""
    written = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = [re.match(r"[\w-]+", line)[0].lower() for line in written["dependencies"]]  # type: ignore[index]
    declared = set(names) - {"tzdata"}  # read by zoneinfo, on systems without one of their own
    found = _distributions("rackview") - {"matplotlib", "paho-mqtt"}  # whoever wants a plot or probes brings them
    assert found == declared


def test_what_the_tests_import_comes_with_what_they_are_installed_with() -> None:
    """`.ci/setup test` brings no more than that; who works on the program has more, and would not notice."""
    written = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = [*written["dependencies"], *written["optional-dependencies"]["test"]]
    declared = {re.match(r"[\w-]+", line)[0].lower() for line in lines}  # type: ignore[index]
    assert _distributions("tests") - declared == set()


def _distributions(folder: str) -> set[str]:
    """The libraries that the code in a folder imports, benchmarks aside, by the names that they are installed by."""
    roots = {
        root
        for path in (ROOT / folder).rglob("*.py")
        if "benchmarks" not in path.parts
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        for root in _imported(node)
    }
    homes = importlib.metadata.packages_distributions()
    own = {"rackview", "shiboken6", "tests", *(path.stem for path in (ROOT / "tests").rglob("*"))}
    found = {home for root in roots - set(sys.stdlib_module_names) - own for home in homes.get(root, [root])}
    return {re.sub(r"[-_.]+", "-", home.lower()) for home in found}


def _imported(node: ast.AST) -> set[str]:
    if isinstance(node, ast.Import):
        return {alias.name.split(".")[0] for alias in node.names}
    if isinstance(node, ast.ImportFrom) and node.module and not node.level:
        return {node.module.split(".")[0]}
    return set()
