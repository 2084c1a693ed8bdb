"""docs/python.md: its example runs as printed, and every name on it is there."""

from __future__ import annotations

import contextlib
import inspect
import io
import re
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

import rackview
from rackview import Rack
from rackview.core.tables import Demand
from rackview.services.sessions import demo_session
from tests.cli import api_page

DOCS = Path(__file__).parents[2] / "docs"
PAGE = (DOCS / "python.md").read_text(encoding="utf-8")


def example() -> tuple[dict[str, Any], str]:
    code = re.findall(r"(?s)```python\n(.*?)```", PAGE)[0]
    names: dict[str, Any] = {}
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        exec(compile(code, "python.md", "exec"), names)  # noqa: S102 - our own page
    return names, out.getvalue()


def test_the_example_gives_what_its_text_says() -> None:
    names, said = example()
    # 100 per mL, 6 of 20 L replaced, 130 per mL two days later: ln(130/70)/2 = 0.31 a day, not ln(130/100)/2 = 0.13
    assert names["believed"].net_rate_per_day.median > 0.15
    assert 110 < names["believed"].density_per_ml.median < 150
    assert 0.55 < names["taken"][0, 1] / names["left"][0, 1] < 0.9
    assert names["left"].shape == (3, 3)
    assert "A1 holds 1" in said
    assert re.search(r"(?m)^\d \w+ (harvest|feed|clean|split|restart|count|test|hold) ", said)
    assert re.search(r"(?m)^2026-03-04 rotifer-L needs 300000, can give \d+$", said)


def test_the_second_example_runs_on_the_demo_rack(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    pytest.importorskip("matplotlib").use("agg")
    monkeypatch.chdir(tmp_path)
    demo_session(tmp_path / "demo.db", lambda: datetime(2026, 3, 1, 8, tzinfo=UTC), date(2026, 3, 1)).close()
    _, code = re.findall(r"(?s)```python\n(.*?)```", PAGE)
    exec(compile(code, "python.md", "exec"), {})  # noqa: S102 - our own page
    said = capsys.readouterr().out
    assert "net_rate_per_day_median" in said
    assert re.search(r"(?m)^vessel .*\bharvest\b|^kind .*\bharvest\b", said)
    assert (tmp_path / "first.png").stat().st_size > 10_000


def test_every_block_of_python_in_the_docs_is_run_by_a_test() -> None:
    with_code = {p.name for p in DOCS.glob("**/*.md") if "```python" in p.read_text(encoding="utf-8")}
    assert with_code == {"python.md"}


def test_the_api_page_is_that_of_the_docstrings() -> None:
    assert (DOCS / "api.md").read_text(encoding="utf-8") == api_page.page(), (
        "make it anew: python tests/cli/api_page.py > docs/api.md"
    )


def test_the_page_names_the_arguments_as_they_are() -> None:
    for name in ("assess", "advise", "forecast", "plan"):
        found = ", ".join(str(p) for p in inspect.signature(getattr(rackview, name)).parameters)
        shown = re.search(rf"`{name}\(([^`]*)\)`", PAGE)
        assert shown
        assert re.sub(r"=(\(\)|None)", "", shown[1]) == found
    shown = re.search(r"`Rack\.from_frames\(([^`]*)\)`", PAGE)
    assert shown
    assert re.sub(r"=None", "", shown[1]) == ", ".join(inspect.signature(Rack.from_frames).parameters)
    assert set(rackview.__all__) == {"Rack", "__version__", "advise", "assess", "forecast", "plan"}


def test_tables_are_replaced_and_the_old_rack_stays() -> None:
    rack = Rack.from_frames([], [])
    other = rack.with_demand([{"date": "2026-03-04", "strain": "rotifer-L", "animals": 5}])
    assert rack.demand == ()
    assert other.demand == (Demand.from_row({"date": "2026-03-04", "strain": "rotifer-L", "animals": 5}),)
