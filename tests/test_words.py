"""One quantity, one name, in plain words: what no sentence of the program or its pages may say, and what instead.

Terms are those of the trade and its textbooks (common practice, no source).
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

HERE = Path(__file__).parents[1]
KEEPERS_PAGES = sorted(p for p in (HERE / "docs").glob("*.md") if p.stem not in {"api", "changelog"})

FORBIDDEN = {
    # one name for one quantity
    r"\begg share\b|\bshare of eggs\b|\beggs?,? share\b|\bshare with eggs\b|\beggs? 0\.\d": "females with eggs, in %",
    r"\bbirths? a day\b|\blosses a day\b|\bborn and lost\b": "birth rate, loss rate per day",
    r"(?<!specific )(?<!spec\. )\bgravity\b(?! \()": "specific gravity",
    r"\bdiluted 1\b|\bdilution 1:|\bdiluted 1:": "5-fold dilution",
    r"\bday \{[a-z]*\} (?:old|of age)|\bdays old larvae": "4 dph",
    r"\bfalling short\b|\bchance short\b|\bchance of (?:a )?short\b": "chance of a shortfall",
    r"\bown word\b": "demand override",
    r"\bnothing was cleaned\b|\bnot cleaned in the\b": "no cleaning",
    r"\bodd count\b|\bdoes not fit what went\b": "implausible count",
    r"\bown tools\b|\btools of its own\b|\bits own tools\b": "separate tools",
    r"\bof it without water\b|\bwithout its water\b": "anhydrous",
    # chances
    r"%\}? (?:sure|likely)\b|\{\w*\} (?:sure|likely)\b|\b[2-8] in 10\b": "about 1 in 8",
    r"over 99 %|under 1 %": "nearly certain, under 1 in 100",
    # plain modern English
    r"\bis to be minded\b|\bto be minded\b": "mind",
    r"\bas good as lost\b|\bit bore\b|\bbore before\b": "nearly lost, held",
    r"\bof late\b|\bby and by\b|\bthereof\b|\bwhereof\b|\bhence\b|\bnought\b|\blest\b": "lately, slowly, of it, so",
    r"\bwants? (?:changing|cleaning|rinsing|a hand)\b": "needs",
    r"\bnever (?:did|was|were) (?:a|any|there)\b": "plain word order",
    r"\bno vessel but\b|\bnone but\b|\bnothing but\b": "only",
}


@cache
def sentences() -> tuple[tuple[str, str], ...]:
    return tuple(said())


def said() -> Iterator[tuple[str, str]]:
    """Every text in the code that is no docstring, and every line of the keeper's pages, with where it stands."""
    for path in sorted((HERE / "rackview").rglob("*.py")):
        if "science" in path.parts or "freeform" in path.parts:  # words of textbooks and of other people's tables
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Expr):
                continue
            for child in ast.iter_child_nodes(node):
                if isinstance(child, ast.JoinedStr):
                    whole = "".join(v.value if isinstance(v, ast.Constant) else "{}" for v in child.values)
                    yield f"{path.name}:{child.lineno}", whole
                elif isinstance(child, ast.Constant) and isinstance(child.value, str) and " " in child.value:
                    yield f"{path.name}:{child.lineno}", child.value
    for path in KEEPERS_PAGES:
        for n, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            if not line.startswith("    "):
                yield f"{path.name}:{n}", re.sub(r"`[^`]*`", "", line)


@pytest.mark.parametrize("pattern", FORBIDDEN)
def test_no_sentence_says_it_otherwise(pattern):
    found = [f"{where}: {text[:100]}" for where, text in sentences() if re.search(pattern, text, re.IGNORECASE)]
    assert not found, f"say instead: {FORBIDDEN[pattern]}"


def test_the_search_finds_what_is_wrong():
    wrong = "Own tools, served last; 84 % likely; gravity 1.022; births a day"
    assert sum(bool(re.search(p, wrong, re.IGNORECASE)) for p in FORBIDDEN) == 4
    assert len(sentences()) > 2000


def test_the_glossary_has_a_line_for_each_term():
    glossary = (HERE / "docs" / "glossary.md").read_text(encoding="utf-8")
    for term in (
        "birth rate", "loss rate", "ovigerous share", "egg ratio", "specific gravity", "5-fold dilution",
        "dph", "chance of shortfall", "demand override", "implausible count", "separate tools", "quarantine",
        "anhydrous", "TAN", "NH3-N",
    ):  # fmt: skip
        assert re.search(rf"^\| [^|]*{re.escape(term)}", glossary, re.MULTILINE), term
