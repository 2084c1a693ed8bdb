"""Every formula of the shelf with its inputs, range, source and the checks that guard it.

The page docs/formulas.md is `page()`, and a test keeps the two equal; the calculators show the same entries.
"""

from __future__ import annotations

from functools import cache

from rackview.science import (
    formulas_animals,
    formulas_bench,
    formulas_counts,
    formulas_culture,
    formulas_feed,
    formulas_larvae,
    formulas_water,
)
from rackview.science.formula_entry import Formula

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


@cache
def formulas() -> tuple[Formula, ...]:
    """All formulas, area by area."""
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
from the code (`rackview.science.registry.formulas_page()`), and `tests/science/test_registry.py` fails when the two
differ.

- A value outside a range is refused with a sentence that names the argument, the value, the range and the unit.
- "common practice, no source" says what has no source in hand, "not read in print" where a source is known but was not
  seen.
- `outside_values` stands for the rows of `tests/science/data/outside_values.csv`: standards, printed tables, worked
  examples and reference libraries, each with its source beside it. The other names are tests in `tests/science`.
- `tests/science/test_outside_tally.py` counts the checks that come from outside the project, a formula once a region.
- Every formula stands on the window's bench, where a keeper meets it with its range and its source.
- Where sources disagree, `docs/decisions` says which is the default and why.
"""


def formulas_page() -> str:
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
