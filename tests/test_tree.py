"""The top of the tree holds what it is meant to hold, and nothing that was left lying there."""

from __future__ import annotations

import shutil
import subprocess
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


def test_a_wheel_takes_every_package_along() -> None:
    """An installation in place finds a folder that is in no list; one from a wheel does not start without it."""
    written = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    code = {".".join(p.parent.relative_to(ROOT).parts) for p in (ROOT / "rackview").rglob("__init__.py")}
    data = {".".join(("rackview", *p.parent.relative_to(ROOT).parts)) for p in (ROOT / "resources").rglob("*.*")}
    data = {name for name in data if "__pycache__" not in name}
    assert sorted(written["tool"]["setuptools"]["packages"]) == sorted(
        {*code, *data, "rackview.resources", "rackview.docs"}
    )
