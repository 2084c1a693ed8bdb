"""Files and functions stay small enough to be read at one go, in tests too; ruff holds their complexity (C901)."""

from __future__ import annotations

import ast
from pathlib import Path

ROOT = Path(__file__).parents[1]
FILES = sorted(path for folder in ("rackview", "tests") for path in (ROOT / folder).rglob("*.py"))
LONGEST_FILE = 400
LONGEST_FUNCTION = 60


def test_no_file_is_long() -> None:
    found = {}
    for path in FILES:
        name, lines = path.relative_to(ROOT).as_posix(), len(path.read_text(encoding="utf-8").splitlines())
        if lines > LONGEST_FILE:
            found[name] = lines
    assert found == {}


def test_no_function_is_long() -> None:
    found = {}
    for path in FILES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                lines = (node.end_lineno or 0) - node.lineno + 1
                if lines > LONGEST_FUNCTION:
                    found[f"{path.relative_to(ROOT).as_posix()}: {node.name}"] = lines
    assert found == {}


def test_the_words_of_the_code_fit_on_a_page() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert len(guide.split("## Words of the code", 1)[1].split("\n## ", 1)[0].strip().splitlines()) <= 40
