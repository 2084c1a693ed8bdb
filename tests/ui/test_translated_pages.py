"""The keeper's pages in another language say what the English ones do: headings, lists, links, commands, numbers."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

from rackview import translations
from rackview.cli import parser
from rackview.ui.help.screen import PAGES

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
KEEPERS = (
    "first-hour",
    "guide",
    "counting",
    "choosing",
    "splitting",
    "restarting",
    "hatch",
    "crash",
    "reading",
    "safety",
    "glossary",
)
OTHERS = [code for code in translations.NAMES if code != translations.ENGLISH]
SAID = """
import sys
from rackview import translations
translations.install_language(["--language", sys.argv[1]])
from rackview.ui.help.screen import page_text
sys.stdout.write(page_text(sys.argv[2]))
"""


def text(name: str, code: str = "") -> str:
    return (DOCS / code / f"{name}.md").read_text(encoding="utf-8")


def shown(code: str, name: str) -> str:
    """The page as the help shows it in a program that speaks the language."""
    made = subprocess.run([sys.executable, "-c", SAID, code, name], capture_output=True, check=True)
    return made.stdout.decode()


def numbers(page: str) -> list[str]:
    """The numbers of a page, in order of size; 480,000 and 480 000 are the same. Names with a figure are left out."""
    plain = re.sub(r"(?<=\d)[, ](?=\d{3}(?!\d))", "", re.sub(r"\]\([^)]*\)|\*\*(?:Ctrl\+)?F?\d?\*\*|NH3", "", page))
    return sorted(re.findall(r"\d+(?:\.\d+)?", plain), key=float)


def shape(page: str) -> list[str]:
    """What each block of a page begins with: headings by their level, points, rows of tables, pictures, commands."""
    starts = re.findall(r"^(#+ |\* (?!\*)|\* \*\*|\d+\. |\||!\[|    (?=\S))", page, re.MULTILINE)
    return [re.sub(r"\* \*\*", "* ", s) for s in starts]


def targets(page: str) -> list[str]:
    """Where links and pictures lead, seen from the folder of all pages."""
    return sorted(t.removeprefix("../") for t in re.findall(r"\]\(([^)]+)\)", page))


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("name", KEEPERS)
def test_a_page_says_what_the_english_one_does(code: str, name: str) -> None:
    english, other = text(name), text(name, code)
    assert shape(other) == shape(english)
    assert targets(other) == targets(english)
    assert numbers(other) == numbers(english)
    assert re.findall(r"^    \S.*", other, re.MULTILINE) == re.findall(r"^    \S.*", english, re.MULTILINE)
    keys = re.compile(r"\*\*((?:Ctrl\+)?(?:F\d+|[A-Z+]|\d))\*\*")
    assert keys.findall(other) == keys.findall(english)
    assert sorted(re.findall(r"`[^`]+`", other)) == sorted(re.findall(r"`[^`]+`", english))
    for line in re.findall(r"^    (rackview.*)", other, re.MULTILINE):
        parser().parse_args(shlex.split(line)[1:])


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("name", KEEPERS)
def test_no_sentence_is_left_in_english(code: str, name: str) -> None:
    """Rows and paragraphs differ from the English ones, but for commands, empty table heads and numbers alone."""
    both = set(text(name).splitlines()) & set(text(name, code).splitlines())
    assert [line for line in both if re.search(r"[A-Za-z]{3,}", line) and not line.startswith("    rackview")] == []


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("name", KEEPERS)
def test_links_and_pictures_lead_somewhere(code: str, name: str) -> None:
    for target in re.findall(r"\]\(([^)#]+)[^)]*\)", text(name, code)):
        assert (DOCS / code / target).exists(), target


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("name", [name for name in KEEPERS if name != "safety"])
def test_names_are_those_on_the_screen(code: str, name: str) -> None:
    with (translations.FOLDER / code / "LC_MESSAGES" / "rackview.po").open("rb") as file:
        entries = [m.string for m in read_po(file, locale=code) if m.id]
    said = "\n".join(t for e in entries for t in ([e] if isinstance(e, str) else e)).replace("&", "").lower()
    named = re.findall(r"(?<![*\w])\*([^\W\d_][^*\n]+)\*(?!\*)", text(name, code))
    english = re.findall(r"(?<![*\w])\*([A-Za-z][^*\n]+)\*(?!\*)", text(name))
    assert len(named) == len(english)
    assert [words for words in named if words.lower() not in said] == []


@pytest.mark.parametrize("code", OTHERS)
def test_the_help_shows_them(code: str) -> None:
    assert set(KEEPERS) <= set(PAGES)
    assert shown(code, "crash") == text("crash", code).replace("](../", "](")
    assert shown(code, "safety") == text("safety", code), "made by advice.words.cautions.page() in that language"
    assert shown(code, "estimate") == text("estimate"), "a page that is not translated is in English"
    assert shown(translations.ENGLISH, "crash") == text("crash")


def test_a_wheel_takes_them_along() -> None:
    written = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    carried = written["tool"]["setuptools"]["package-data"]["rackview.docs"]
    assert {f"{code}/*.md" for code in OTHERS} <= set(carried)
