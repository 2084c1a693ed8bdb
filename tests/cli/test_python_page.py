"""docs/python.md: its example runs as printed, and every name on it is there."""

from __future__ import annotations

import contextlib
import inspect
import io
import re
from pathlib import Path
from typing import Any

import rackview
from rackview import Rack
from rackview.core.tables import Demand

PAGE = (Path(__file__).parents[2] / "docs" / "python.md").read_text(encoding="utf-8")


def example() -> tuple[dict[str, Any], str]:
    (code,) = re.findall(r"(?s)```python\n(.*?)```", PAGE)
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
