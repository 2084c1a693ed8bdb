"""The keeper's pages are true: every number, key, name on the screen, command, link and picture in them is checked."""

from __future__ import annotations

import ast
import math
import re
import shlex
from functools import cache
from pathlib import Path

import pytest

from rackview.advice.words.cautions import cautions_page as safety
from rackview.cli import parser
from rackview.core.profile import groups, strains
from rackview.science import growth, larvae
from rackview.ui.commands import keys_page
from rackview.ui.help.screen import PAGES, HelpScreen, page_text
from rackview.ui.registry import SCREENS
from rackview.ui.tally import model as tally
from rackview.ui.theme import LIGHT

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
KEEPERS = ("first-hour", "counting", "choosing", "splitting", "restarting", "hatch", "crash")
L, S, SS, BENTHIC, PELAGIC = (
    strains()[n] for n in ("rotifer-L", "rotifer-S", "rotifer-SS", "copepod-benthic", "copepod-pelagic")
)
ANEMONEFISH = groups()["anemonefish"]


def within(animals: int) -> float:
    """Half-width of the 95 % interval by chance alone: the normal limit of the Poisson distribution."""
    return 1.96 / math.sqrt(animals)


CLAIMS = {
    # what a page says, and what makes it true; published values stand in the profiles with their sources
    "12 to 20 animals in an aliquot": lambda: (tally.FEWEST, tally.MOST) == (12, 20),
    "1 mL of sample made up to 5 mL is a 5-fold dilution": lambda: 5 / 1 == 5,
    "swim from 1 to 5": lambda: "swimming, 1 to 5" in strings(),
    "tint of the water before feeding from 0 to 4": lambda: "tint, 0 to 4" in strings().lower(),
    "Three aliquots of sixty animals each tell the density within about a sixth": lambda: (
        abs(within(3 * 60) - 1 / 6) < 0.03
    ),
    "three of sixteen within about a third": lambda: abs(within(3 * 16) - 1 / 3) < 0.06,
    "Count rotifers every 2 days and copepods every 3": lambda: (
        {p.count_days for p in (L, S, SS)} == {2} and {BENTHIC.count_days, PELAGIC.count_days} == {3}
    ),
    "0.066 mg/L of NH3-N, for L rotifers at 0.57": lambda: (PELAGIC.nh3_act_mg_l, L.nh3_act_mg_l) == (0.066, 0.57),
    "at\n   most 5 at a time": lambda: L.salinity_step == 5,
    "starts at about 100 per mL": lambda: L.start_per_ml == 100,
    "its floor of 60 per mL": lambda: L.floor_per_ml == 60,
    "doubles in about 2 days": lambda: round(growth.doubling_days(L.rate_per_day)) == 2,
    "Published runs lasted 10 to over 110 days": lambda: "10 to over 110 days" in L.sources["restart_days"],
    "after 42 days and of copepods after 90": lambda: (
        {p.restart_days for p in (L, S, SS)} == {42} and {BENTHIC.restart_days, PELAGIC.restart_days} == {90}
    ),
    "6.3 days after spawning at 27.5 °C": lambda: (
        round(ANEMONEFISH.hatch_days, 1) == 6.3 and ANEMONEFISH.hatch_c == 27.5
    ),
    "A tank of 60 L at 8 rotifers\nper mL takes 480,000": lambda: (
        ANEMONEFISH.prey_per_ml == 8 and 60 * 1000 * ANEMONEFISH.prey_per_ml == 480_000
    ),
    "At 6 dph a larva eats about 62 a day, at 13 dph about 301": lambda: (
        [round(larvae.eaten_per_larva(d)) for d in (6, 13)] == [62, 301]
    ),
    "such as 1 in 8": lambda: "1 in 8" in strings(),
    "grows by 0.35 a day can give 30 % of its volume": lambda: (
        L.rate_per_day == 0.35 and round(100 * growth.steady_share(0.35)) == 30
    ),
    "needs 480,000 a day asks\nfor about 1.6 million standing: two vessels of 8 L at 100 per mL": lambda: (
        round(480_000 / 0.3) == 1_600_000 == 2 * 8 * 1000 * 100
    ),
    "shows the 14 days before": lambda: "the 14 days" in strings(),
}


@cache
def strings() -> str:
    """Every text of the code, one a line."""
    trees = (ast.parse(path.read_text(encoding="utf-8")) for path in (ROOT / "rackview").rglob("*.py"))
    nodes = (node for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Constant))
    return "\n".join(node.value for node in nodes if isinstance(node.value, str))


def text(name: str) -> str:
    return (DOCS / f"{name}.md").read_text(encoding="utf-8")


def prose(name: str) -> str:
    """A page without commands, link targets, ordinals, tables and keys."""
    kept = [s for s in text(name).splitlines() if not s.startswith(("    ", "|", "#"))]
    found = re.sub(r"\]\([^)]*\)", "]", "\n".join(kept))
    found = re.sub(r"^\d+\. ", "", found, flags=re.MULTILINE)
    return re.sub(r"\*\*(?:Ctrl\+)?\w+\d?\*\*", "", found)


@pytest.mark.parametrize("claim", CLAIMS)
def test_a_claim_stands_on_a_page_and_is_true(claim):
    assert any(claim in text(name) for name in KEEPERS), "no page says it any more"
    assert CLAIMS[claim]()


@pytest.mark.parametrize("name", KEEPERS)
def test_every_number_is_part_of_a_claim(name):
    left = prose(name)
    for claim in CLAIMS:
        left = left.replace(claim, "")
    assert re.findall(r"[^\n]*(?<![A-Za-z])\d[^\n]*", left.replace("NH3", "")) == []


def test_the_table_of_animals_is_that_of_the_profiles():
    rows = {
        cells[0]: cells[1:]
        for line in text("choosing").splitlines()
        if line.startswith("| ") and "---" not in line
        for cells in [[c.strip() for c in line.strip("|").split("|")]]
    }
    every = (L, S, SS, BENTHIC, PELAGIC)
    assert rows["temperature, °C"] == [f"{p.temperature_low_c:g} to {p.temperature_high_c:g}" for p in every]
    assert rows["salinity"] == [f"{p.salinity_low:g} to {p.salinity_high:g}" for p in every]
    assert rows["working band, per mL"] == [f"{p.band_low_per_ml:g} to {p.band_high_per_ml:g}" for p in every]
    assert rows["usual growth, per day"] == [f"{p.rate_per_day:g}" for p in every]
    assert rows["sieve, µm"] == [f"{p.mesh_um:g}" for p in every]


@pytest.mark.parametrize("name", KEEPERS)
def test_keys_are_keys_and_names_stand_on_the_screen(name):
    keys = keys_page()
    for key in re.findall(r"\*\*((?:Ctrl\+)?(?:F\d+|[A-Z+]|\d))\*\*", text(name)):
        assert re.search(rf"^\|[^|]*(?<![\w+]){re.escape(key)}(?!\w)[^|]*\|", keys, re.MULTILINE), key
    for words in re.findall(r"(?<![*\w])\*([A-Za-z][^*\n]+)\*(?!\*)", text(name)):
        assert words.lower() in strings().lower(), words


@pytest.mark.parametrize("name", KEEPERS)
def test_commands_parse(name):
    for line in text(name).splitlines():
        if line.startswith("    rackview"):
            parser().parse_args(shlex.split(line)[1:])


@pytest.mark.parametrize(
    "name", [*KEEPERS, "guide", "reading", "glossary", "alarms", "rules", "command-line", "tables"]
)
def test_links_lead_to_pages(name):
    for target in re.findall(r"(?<!!)\[[^\]]+\]\(([^)]+)\)", text(name)):
        if target.startswith(("http", "#")):
            continue
        assert (DOCS / target.split("#")[0]).exists(), target


def test_the_safety_page_is_the_table():
    assert text("safety") == safety(), "make it anew: rackview.advice.words.cautions.page() > docs/safety.md"


def test_the_keepers_pages_stand_in_the_help():
    assert set(KEEPERS) <= set(PAGES)
    for name in KEEPERS:
        assert page_text(name).startswith("# ")
        assert "[Safety](safety.md)" in text(name) or name == "choosing"
        assert len(text(name)) < 4000, "a page that is read standing"
        assert name in {"first-hour", "hatch", "crash"} or "pictures/" not in text(name)


def test_pictures_are_of_screens():
    for name in KEEPERS:
        for picture in re.findall(r"!\[[^\]]+\]\(pictures/([\w-]+)\.png\)", text(name)):
            assert picture.rsplit("-", 1)[0] in SCREENS


@pytest.mark.parametrize("wide", [1024, 1366])
def test_a_picture_of_a_page_is_no_wider_than_the_page(qtbot, wide):
    screen = HelpScreen(LIGHT)
    qtbot.addWidget(screen)
    screen.resize(wide, 600)
    screen.open("hatch")
    screen.show()
    qtbot.waitExposed(screen)
    page = screen._text
    qtbot.waitUntil(lambda: page.horizontalScrollBar().maximum() == 0)
    assert page.document().size().height() > 900, "the picture is there"
    assert screen._list.horizontalScrollBar().maximum() == 0
