"""docs/api.md from the docstrings: `python tests/cli/api_page.py > docs/api.md`."""

from __future__ import annotations

import inspect
import re
import sys
from collections.abc import Callable, Iterator

import rackview
from rackview.core.assessment import (
    Assessment,
    Evidence,
    Flag,
    Give,
    Interval,
    Measured,
    Plan,
    PlanDay,
    Suggestion,
    Water,
)
from rackview.core.errors import InputError

FUNCTIONS = (rackview.assess, rackview.advise, rackview.forecast, rackview.plan)
MEMBERS = (
    "open", "from_frames", "to_frames", "build", "record", "with_vessels", "with_broods", "with_stock", "with_demand",
    "with_settings", "assess_all", "plot", "vessel", "profile", "events", "title", "extent",
)  # fmt: skip
RESULTS = (Assessment, Interval, Flag, Evidence, Measured, Water, Suggestion, Plan, PlanDay, Give)


def page() -> str:
    """The whole page."""
    return "\n".join(_lines()).rstrip() + "\n"


def _lines() -> Iterator[str]:
    yield "# All of the Python interface"
    yield ""
    yield "Made from the docstrings; [Python](python.md) is the page to begin with."
    yield ""
    for function in FUNCTIONS:
        yield from _function(f"rackview.{function.__name__}", function)
    yield "## rackview.Rack"
    yield ""
    yield _text(rackview.Rack.__mro__[1])
    yield ""
    for name in MEMBERS:
        member = inspect.getattr_static(rackview.Rack, name)
        if isinstance(member, property):
            yield from (f"### rack.{name}", "", _text(member.fget), "")
        else:
            before = "Rack" if isinstance(member, classmethod) else "rack"
            yield from _function(f"{before}.{name}", getattr(rackview.Rack, name), "###")
    yield "## What they give"
    yield ""
    for kind in (*RESULTS, InputError):
        yield f"### {kind.__name__}"
        yield ""
        yield _text(kind)
        yield ""
        if kind in RESULTS:
            yield "`" + "`, `".join(kind.__dataclass_fields__) + "`"  # type: ignore[attr-defined]
            yield ""


def _function(name: str, function: Callable[..., object], mark: str = "##") -> Iterator[str]:
    parameters = [p for p in inspect.signature(function).parameters.values() if p.name != "self"]
    yield f"{mark} {name}({', '.join(map(_parameter, parameters))})"
    yield ""
    yield _text(function)
    yield ""


def _parameter(one: inspect.Parameter) -> str:
    star = "*" if one.kind is one.VAR_POSITIONAL else ""
    plain = isinstance(one.default, int | float | str | tuple | None)
    default = "" if one.default is one.empty else f"={one.default!r}" if plain else "=..."
    return f"{star}{one.name}{default}"


def _text(thing: object) -> str:
    return re.sub(r"(?<!\n)\n(?!\n)", " ", inspect.getdoc(thing) or "").strip()


if __name__ == "__main__":
    sys.stdout.write(page())
