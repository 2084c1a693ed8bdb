"""docs/json.md names every key that the answers have, and no other."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from rackview.advice import rows
from rackview.core.assessment import Assessment, Interval, Plan, PlanDay, Suggestion

if TYPE_CHECKING:
    from tests.cli.conftest import Run

PAGE = (Path(__file__).parents[2] / "docs" / "json.md").read_text(encoding="utf-8")
AT = "2026-03-04T09:00+00:00"


def tables(section: str) -> list[set[str]]:
    """The keys of each table of a section, a key being what stands in code marks in a first column."""
    (text,) = re.findall(rf"(?ms)^## {section}\n(.*?)(?=^## |\Z)", PAGE)
    found = []
    for table in re.findall(r"(?m)(?:^\|.*\n)+", text):
        firsts = [line.split("|")[1] for line in table.splitlines()[2:]]
        found.append({key for first in firsts for key in re.findall(r"`(\w+)`", first)})
    return found


@pytest.fixture
def answers(run: Run, store: Path, tmp_path: Path) -> dict[str, Any]:
    """What the four commands say of a rack that has a flag, a need and a plan."""
    need = tmp_path / "demand.csv"
    need.write_text("date,strain,animals\n2026-03-05,rotifer-L,900000\n", encoding="utf-8")
    brood = tmp_path / "broods.csv"
    brood.write_text("brood,group,hatched,tank_l\none,anemonefish,2026-03-06,60\n", encoding="utf-8")
    feed = tmp_path / "stock.csv"
    feed.write_text("feed,dry_g_per_ml,amount,opened,delivery_days\npaste,0.1,500,2026-02-20,3\n", encoding="utf-8")
    assert run("--store", store, "import", need, brood, feed).status == 0
    said = {}
    for command in ("status", "advise", "plan", "stock"):
        ended = run("--store", store, command, "--json", "--at", AT)
        assert ended.status == 0
        said[command] = json.loads(ended.out)
    return said


def test_every_key_is_on_the_page_and_no_other(answers: dict[str, Any]) -> None:
    vessel, flag, water = tables("status")
    (suggestion,) = tables("advise")
    plan, day, brood = tables("plan")
    assert all(set(row) == vessel for row in answers["status"])
    flags = [f for row in answers["status"] for f in row["flags"]]
    assert flags
    assert all(set(f) == flag for f in flags)
    assert all(set(row["water"]) == water for row in answers["status"])
    assert answers["advise"]
    assert all(set(row) == suggestion for row in answers["advise"])
    assert set(answers["plan"]) == plan
    assert answers["plan"]["days"]
    assert all(set(row) == day for row in answers["plan"]["days"])
    gives = [g for row in answers["plan"]["days"] for g in row["gives"]]
    assert gives
    assert all(f"`{key}`" in PAGE for g in gives for key in g)

    assert answers["plan"]["broods"]
    assert all(set(row) == brood for row in answers["plan"]["broods"])
    assert all(f"`{key}`" in PAGE for row in answers["plan"]["water"] for key in row)


def test_every_key_of_the_stock_is_on_the_page(answers: dict[str, Any]) -> None:
    stock, feed, month = tables("stock")
    assert set(answers["stock"]) == stock
    assert answers["stock"]["feeds"]
    assert all(set(row) == feed for row in answers["stock"]["feeds"])
    assert answers["stock"]["months"]
    assert all(set(row) == month for row in answers["stock"]["months"])


def test_the_page_names_the_schema_that_is_printed(answers: dict[str, Any]) -> None:
    assert f"it is {rows.SCHEMA}." in PAGE
    assert answers["plan"]["schema"] == rows.SCHEMA


def test_the_page_knows_the_fields_of_the_results() -> None:
    """A result's field that is printed under its own name is on the page: a renamed field must not slip through."""
    for kind, section in ((Assessment, "status"), (Suggestion, "advise"), (PlanDay, "plan")):
        keys = set().union(*tables(section)) | {"schema"}
        fields = set(kind.__dataclass_fields__)
        assert len(keys & fields) > 5, section


def test_a_number_next_to_nothing_is_nothing() -> None:
    assert rows.interval_row(Interval(1e-138, -1e-12, 2.0)) == {"median": 0.0, "low90": 0.0, "high90": 2.0}
    assert rows.plan_rows(Plan(()))["days"] == []
