"""Which sign separates decimals in a sheet, and what is asked where it can't be known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from rackview.exchange.freeform import numbers
from rackview.exchange.freeform.numbers import AmbiguousError, Style, UnclearError, is_missing_value
from rackview.exchange.freeform.question import SIGN, Answers, Question
from rackview.exchange.freeform.targets import TARGETS
from rackview.exchange.sheets import Sheet
from rackview.language import _

SIGNS = {
    "“,” is the decimal sign": Style(",", "."),
    "“.” is the decimal sign": Style(".", ","),
}


def answered_style(given: Answers) -> Style | None:
    return SIGNS.get(given.get(SIGN, ""))


def sheet_style(sheet: Sheet, cells: Iterable[object]) -> Style:
    found = numbers.style_of(cells)
    if not found.decimal and sheet.delimiter == ";":
        return numbers.style_of(c for _, row in sheet.rows for c in row)
    return found


def ask_sign(
    meaning: Mapping[str, str], held: Mapping[str, Sequence[object]], given: Answers, asked: list[Question]
) -> Style | None:
    """Ask once what a separator before three digits is, if any number depends on it."""
    for header, name in meaning.items():
        target = TARGETS[name]
        if not target.numeric and name != "tallies":
            continue
        for cell in held[header]:
            if is_missing_value(cell) or not isinstance(cell, str):
                continue
            try:
                numbers.measure(cell, Style(), target.low, target.high)
            except AmbiguousError:
                guess = list(SIGNS)[1 if "," in cell else 0]
                text = _("In “{header}” stands “{cell}”: which is the decimal sign of this table?").format(
                    header=header, cell=cell.strip()
                )
                asked.append(Question(SIGN, text, tuple(SIGNS), guess))
                return SIGNS.get(given.get(SIGN, guess))
            except UnclearError:
                continue
    return None
