"""The top of the tree holds what it is meant to hold, and nothing that was left lying there."""

from __future__ import annotations

import shutil
import subprocess
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
