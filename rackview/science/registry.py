"""Every formula of the shelf with its inputs, range, source and the checks that guard it.

The page docs/formulas.md is `page()`, and a test keeps the two equal; the calculators show the same entries. Title,
range and source are read from the function's own docstring, so that they stand in one place.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any

OUTSIDE = "outside_values"
AREAS = {
    "counts": "Counts",
    "growth": "Growth",
    "development": "Development",
    "fecundity": "Eggs and nauplii",
    "thermal": "Temperature",
    "seawater": "Seawater",
    "ammonia": "Ammonia",
    "oxygen": "Oxygen",
    "mixing": "Mixing",
    "feeding": "Feed",
    "algae": "Live algae",
    "balance": "Tomorrow's water",
    "transfer": "Transfer",
    "enrichment": "Enrichment",
    "storage": "Cold storage",
    "disinfection": "Disinfection",
    "larvae": "Larvae",
    "units": "Units",
}
"""The areas of the shelf, module name to heading, in the order of the page."""


@dataclass(frozen=True, slots=True)
class Input:
    """One argument of a formula: its name in the code, its label, an example, unit and range.

    `open_low` says that `low` itself is not allowed; `depends` that not every value in the range goes with every other
    argument; `choices` lists the words of an argument that is a choice.
    """

    name: str
    label: str
    example: Any
    unit: str = ""
    low: float | None = None
    high: float | None = None
    open_low: bool = False
    depends: bool = False
    choices: tuple[str, ...] = ()

    @property
    def range_words(self) -> str:
        """The range in words, such as ``5 to 35 degC``; empty where it is told by the words of the formula."""
        if self.choices:
            return "one of " + ", ".join(self.choices)
        if self.low is None:
            return self.unit
        start = f"above {self.low:g}" if self.open_low else f"{self.low:g}"
        words = f"{start} or more" if self.high is None else f"{start} to {self.high:.10g}"
        return f"{words} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula: the function that computes it, its text, the unit of its result, inputs and the names of its checks.

    `checks` are functions of the tests by name, or `OUTSIDE` for rows of the table of outside values.
    """

    function: str
    text: str
    result: str
    inputs: tuple[Input, ...]
    checks: tuple[str, ...]

    @property
    def area(self) -> str:
        """The module, which is the area of the shelf."""
        return self.function.split(".")[0]

    @property
    def compute(self) -> Callable[..., Any]:
        """The function itself."""
        module, name = self.function.split(".")
        found: Callable[..., Any] = getattr(import_module(f"rackview.science.{module}"), name)
        return found

    @property
    def title(self) -> str:
        """What it gives, in a sentence: the first of the docstring."""
        return re.split(r" Ranges?: | Sources?: ", self._words.split("\n\n")[0])[0].replace("\n", " ")

    @property
    def range_words(self) -> str:
        """The valid range, in the words of the docstring."""
        return self._part(r"Range: (.*?)(?= Sources?(?: disagree[^:]*)?: |$)")

    @property
    def source(self) -> str:
        """Where the formula comes from, in the words of the docstring."""
        return self._part(r"(Sources?(?: disagree[^:]*)?: .*)").removeprefix("Source: ").removeprefix("Sources: ")

    @property
    def _words(self) -> str:
        return inspect.getdoc(self.compute) or ""

    def _part(self, pattern: str) -> str:
        found = re.search(pattern, " ".join(self._words.split()))
        return found.group(1).strip() if found else ""


@cache
def formulas() -> tuple[Formula, ...]:
    """All formulas, area by area."""
    from rackview.science import (
        formulas_animals,
        formulas_bench,
        formulas_counts,
        formulas_culture,
        formulas_feed,
        formulas_larvae,
        formulas_water,
    )

    parts = (
        formulas_counts,
        formulas_culture,
        formulas_water,
        formulas_bench,
        formulas_animals,
        formulas_feed,
        formulas_larvae,
    )
    known = [f for part in parts for f in part.FORMULAS]
    return tuple(f for area in AREAS for f in known if f.area == area)


def formula(function: str) -> Formula:
    """The entry of a function, such as ``ammonia.unionised_fraction``; raises `KeyError` for one that has none."""
    for one in formulas():
        if one.function == function:
            return one
    raise KeyError(function)


HEAD = """\
# Formulas

Every number that rackview works out, with its source, its valid range and the check that guards it. The page is made
from the code (`rackview.science.registry.page()`), and `tests/science/test_registry.py` fails when the two differ.

- A value outside a range is refused with a sentence that names the argument, the value, the range and the unit.
- "from memory, unverified" and "common practice, no source" say what has no source in hand.
- `outside_values` stands for the rows of `tests/science/data/outside_values.csv`: standards, printed tables, worked
  examples and reference libraries, each with its source beside it. The other names are tests in `tests/science`.
- `tests/science/test_outside_tally.py` counts the checks that come from outside the project, a formula once a region.
- Every formula stands on the window's bench, where a keeper meets it with its range and its source.
- Where sources disagree, `docs/decisions` says which is the default and why.
"""


def page() -> str:
    """The page docs/formulas.md."""
    parts = [HEAD]
    for area, heading in AREAS.items():
        parts.append(f"## {heading}\n")
        parts += [_entry(f) for f in formulas() if f.area == area]
    return "\n".join(parts)


def _entry(f: Formula) -> str:
    inputs = "\n".join(f"| {i.label} | `{i.name}` | {i.range_words} |" for i in f.inputs)
    checks = ", ".join(f"`{c}`" for c in f.checks)
    return (
        f"### {f.function}\n\n{f.title}\n\n    {f.text}\n\nGives: {f.result}\n\n"
        f"| input | argument | range |\n|---|---|---|\n{inputs}\n\n"
        f"Range: {f.range_words}\n\nSource: {f.source}\n\nChecked by: {checks}\n"
    )
