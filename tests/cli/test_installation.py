"""Installed as docs/install.md says: from a folder of wheels without any network, and as one folder with Python in it.

Both build for minutes, so they run with the long runs (`pytest -m torture`).
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
pytestmark = [
    pytest.mark.torture,
    pytest.mark.timeout(1800),
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="tried on Linux"),
]


def call(*words: object, **more: str) -> str:
    """What a command prints; it must end well."""
    # pip must reach the registry, and a fresh interpreter must not load what keeps the tests from it
    known = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    ended = subprocess.run(
        [str(w) for w in words], env={**known, **more}, capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert ended.returncode == 0, ended.stderr[-2000:]
    return ended.stdout


def tried(program: Path, folder: Path) -> None:
    """The program writes the demo, answers, exports and draws."""
    store = folder / "demo.db"
    call(program, "--quiet", "demo", store)
    assert "rotifer-L" in call(program, "--store", store, "status")
    call(program, "--store", store, "export", folder / "tables", "--xlsx")
    call(program, "--store", store, "picture", folder / "rack.png", QT_QPA_PLATFORM="offscreen")
    assert (folder / "rack.png").stat().st_size > 50_000


def test_from_a_folder_of_wheels_without_a_network(tmp_path: Path) -> None:
    call(sys.executable, "-m", "pip", "wheel", "--quiet", "--wheel-dir", tmp_path / "wheels", ROOT)
    assert not list((tmp_path / "wheels").glob("scipy*"))
    call(sys.executable, "-m", "venv", tmp_path / "program")
    pip = tmp_path / "program" / "bin" / "pip"
    call(pip, "install", "--quiet", "--no-index", "--find-links", tmp_path / "wheels", "rackview")
    tried(tmp_path / "program" / "bin" / "rackview", tmp_path)


def test_one_folder_with_python_in_it(tmp_path: Path) -> None:
    call("bash", ROOT / ".ci" / "bundle", tmp_path / "dist", PYTHON=sys.executable)
    tried(tmp_path / "dist" / "rackview" / "rackview", tmp_path)
