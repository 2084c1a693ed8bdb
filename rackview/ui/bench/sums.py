"""What a sum on the bench is: a question, its formula on the shelf, its inputs, and how its answer is told.

Knows no Qt. Formula, range and source are those of the science shelf; nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from rackview.core import read
from rackview.core.dataclass import dataclass
from rackview.core.errors import InputError
from rackview.core.tables import Settings
from rackview.language import _
from rackview.science.formula_entry import Formula, Input
from rackview.science.registry import formula
from rackview.ui.words import keeper_units as ku

Values = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Result:
    """One number or sentence that a sum gives; `main` is drawn large, `soft` small, as for a source."""

    value: str
    unit: str = ""
    main: bool = False
    soft: bool = False


@dataclass(frozen=True, slots=True)
class SumAnswer:
    """What a sum gives, with the cautions that always go with it."""

    results: tuple[Result, ...]
    cautions: tuple[str, ...] = ()


Tell = Callable[[Any, Settings], SumAnswer]
"""From what a formula gives to what is shown, in the keeper's units."""


@dataclass(frozen=True, slots=True)
class Sum:
    """One sum: the question it answers, the formula on the shelf, its inputs, and how its answer is told."""

    question: str
    function: str
    tell: Tell
    inputs: tuple[Input, ...] = ()
    call: Callable[[Values], Any] | None = None

    @property
    def formula(self) -> Formula:
        """The entry of the science shelf."""
        return formula(self.function)

    @property
    def asks(self) -> tuple[Input, ...]:
        """What it asks for."""
        return self.inputs or self.formula.inputs

    def work_out(self, values: Values, settings: Settings) -> SumAnswer:
        """The answer; raises `InputError` naming the input that can't be right."""
        found = self.formula.compute(**values) if self.call is None else self.call(values)
        return self.tell(found, settings)


def input_of(function: str, name: str) -> Input:
    """One input of a formula by its name."""
    return next(i for i in formula(function).inputs if i.name == name)


def result_figures(value: float, digits: int = 3) -> str:
    """A number with so many figures and no exponent within reason."""
    if value == 0:
        return "0"
    if abs(value) >= 1e6:
        return _("{value:.{digits}g} million").format(value=value / 1e6, digits=digits)
    if abs(value) >= 10**digits:
        return f"{value:.0f}"
    text = f"{value:.{digits}g}"
    return f"{value:.6f}".rstrip("0") if "e" in text else text


def to_keeper(ask: Input, value: float, settings: Settings) -> float:
    """A value of an input in the keeper's unit."""
    if ask.unit == "degC":
        return ku.temperature(value, settings)
    return ku.volume(value, settings) if ask.unit == "L" else value


def from_keeper(ask: Input, value: float, settings: Settings) -> float:
    """A value as typed in the keeper's unit, in the unit of the formula."""
    if ask.unit == "degC":
        return ku.to_celsius(value, settings)
    return ku.to_litres(value, settings) if ask.unit == "L" else value


def unit_words(ask: Input, settings: Settings) -> str:
    """The unit as the keeper reads it."""
    if ask.unit == "degC":
        return "°F" if settings.temperature_unit == "degF" else "°C"
    if ask.unit == "um":
        return "µm"
    return settings.volume_unit if ask.unit == "L" else ask.unit.strip("()")


def is_list(ask: Input) -> bool:
    """Whether an input takes several numbers, one after the other."""
    return isinstance(ask.example, tuple) and all(isinstance(v, int | float) for v in ask.example)


def list_text(values: Iterable[float]) -> str:
    """Several numbers as they are typed, with spaces between."""
    return " ".join(f"{v:.10g}" for v in values)


def list_from(ask: Input, text: str) -> tuple[float, ...]:
    """Several numbers from what was typed, with spaces or semicolons between; raises `InputError` naming the input."""
    wanted = _("numbers with spaces between, such as ") + list_text(ask.example)
    found = []
    for part in text.replace(";", " ").split():
        row = {ask.name: part}
        found.append(read.required(read.number_in(row, ask.name, wanted), row, ask.name, wanted))
    if not found:
        raise InputError(ask.name, text, wanted)
    whole = all(isinstance(v, int) for v in ask.example) and all(v == int(v) for v in found)
    return tuple(int(v) for v in found) if whole else tuple(found)
