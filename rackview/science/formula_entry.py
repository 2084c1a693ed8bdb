"""What an entry of the shelf of formulas is: its function, text, inputs, range, source and checks.

Title, range and source are read from the function's own docstring, so that they stand in one place.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from importlib import import_module
from typing import Any

from rackview.core.dataclass import dataclass
from rackview.language import _

OUTSIDE = "outside_values"
"""The checks of a formula that are rows of the table of outside values."""


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
            return _("one of ") + ", ".join(self.choices)
        if self.low is None:
            return self.unit
        start = _("above {low:g}").format(low=self.low) if self.open_low else f"{self.low:g}"
        words = (
            _("{start} or more").format(start=start)
            if self.high is None
            else _("{start} to {high:.10g}").format(start=start, high=self.high)
        )
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
        """The valid range, in the words of the docstring, translated."""
        return _(self._part(r"Range: (.*?)(?= Sources?(?: disagree[^:]*)?: |$)"))

    @property
    def source(self) -> str:
        """Where the formula comes from, in the words of the docstring, translated."""
        return _(self._part(r"(Sources?(?: disagree[^:]*)?: .*)").removeprefix("Source: ").removeprefix("Sources: "))

    @property
    def _words(self) -> str:
        return inspect.getdoc(self.compute) or ""

    def _part(self, pattern: str) -> str:
        found = re.search(pattern, " ".join(self._words.split()))
        return found.group(1).strip() if found else ""
