"""A keeper's table understood: what each column is, what must be asked, and the answers that settle it.

Everything here is plain values in and out, so that window and command line ask the same questions.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from typing import cast

from rackview.core.dataclass import dataclass
from rackview.core.rack import Rack
from rackview.exchange.freeform import numbers
from rackview.exchange.freeform.dates import (
    DateOrder,
    Order,
    day_and_time,
    day_of_month,
    has_no_year,
    looks_like_day,
    month_in,
    parts_of,
    proven_order,
)
from rackview.exchange.freeform.guess import Guess, guesses
from rackview.exchange.freeform.logger import is_logger, zone_in
from rackview.exchange.freeform.numbers import Style, UnclearError, is_missing_value
from rackview.exchange.freeform.question import (
    CLEANED,
    COLUMN,
    CRASHED,
    DATE_ORDER,
    THIN,
    THINNING,
    WIDE,
    YEAR,
    Answers,
    Question,
)
from rackview.exchange.freeform.separators import answered_style, ask_sign, sheet_style
from rackview.exchange.freeform.table import (
    FoundTable,
    days_across,
    headings,
    lengthened,
    names_in,
    plain_name,
    wide_columns,
)
from rackview.exchange.freeform.targets import NOTE, OUT, TARGETS, kind_of, role_of, split_or_restart
from rackview.exchange.freeform.which_vessel import ask_vessels
from rackview.exchange.sheets import Sheet
from rackview.language import _

IN_WIDE = ("density /mL", "tallies", "temperature °C", "temperature °F", "harvest L", "feed mL", "ph", "sg", "salinity")


@dataclass(frozen=True, slots=True)
class Understanding:
    """A table with all that may be asked about it, and the answers in force: the given ones, else the guesses."""

    label: str
    header_key: str
    table: FoundTable
    questions: tuple[Question, ...]
    answers: Answers
    remarks: tuple[str, ...]
    style: Style
    calendar: DateOrder
    offset: str = ""

    @property
    def open(self) -> tuple[Question, ...]:
        """Questions that must be answered before anything can be taken."""
        return tuple(q for q in self.questions if not q.plain and q.key not in self.answers)

    def answer(self, key: str) -> str:
        """The answer in force, or blank."""
        given = self.answers.get(key)
        return given if given is not None else next((q.guess for q in self.questions if q.key == key), "")

    @property
    def columns(self) -> dict[str, str]:
        """The meaning of each column by its header."""
        return {h: self.answer(COLUMN + h) for h in self.table.header if COLUMN + h in {q.key for q in self.questions}}


def understand(
    sheet: Sheet, found: FoundTable, rack: Rack, today: date, answers: Answers | None = None
) -> Understanding:
    """What a sheet with the table `found` says, as far as it tells it itself, with the rack and the answers so far."""
    given = dict(answers or {})
    asked: list[Question] = []
    own = names_in(rack)
    table = _shaped(found, sheet, own, given, asked)
    cells = [c for _, row in table.rows for c in row]
    style = answered_style(given) or sheet_style(sheet, cells)
    month = month_in((*table.titles, sheet.title, sheet.label))
    feeds, unit = [s.feed for s in rack.stock], rack.settings.volume_unit
    columns = guesses(table, style, own, feeds, unit, monthly=month is not None)
    asked += _column_questions(columns, given)
    meaning = {h: given.get(COLUMN + h, g.target) for h, g in columns.items()}
    for name in meaning.values():
        if name not in TARGETS:
            meaning = {h: m if m in TARGETS else OUT for h, m in meaning.items()}
    held = {h: [row[n] for _, row in table.rows] for n, h in enumerate(table.header)}
    calendar = _calendar(meaning, held, today, given, asked, month)
    if (style.decimal, style.thousands) == ("", ""):
        style = ask_sign(meaning, held, given, asked) or style
    days = [c for h, name in meaning.items() if name == "date" for c in held[h] if not is_missing_value(c)]
    if is_logger(days, meaning.values()):
        asked.append(
            Question(THIN, _("This is a logger’s file. What shall be recorded?"), THINNING, THINNING[0], plain=True)
        )
    ask_vessels(sheet, table.titles, meaning, held, rack, given, asked)
    _ask_words(meaning, held, own, asked)
    return Understanding(
        sheet.label,
        header_key(found.header),
        table,
        tuple(asked),
        given,
        (*sheet.remarks, *table.remarks, *_conversions(meaning)),
        style,
        calendar,
        zone_in((*table.titles, *(h for h, name in meaning.items() if name in {"date", "time"}))),
    )


def header_key(header: Sequence[str]) -> str:
    """A short key by which a mapping is remembered for tables with the same names of columns."""
    text = "\x1f".join(" ".join(h.lower().split()) for h in header)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


# --- shape --------------------------------------------------------------------------------------------------------


def _shaped(
    table: FoundTable, sheet: Sheet, own: Mapping[str, str], given: Answers, asked: list[Question]
) -> FoundTable:
    across = days_across(table)
    if across is not None:
        return _valued(across, sheet, given, asked)
    named = {
        role_of(h)
        for n, h in enumerate(table.header)
        if not all(looks_like_day(row[n]) for _, row in table.rows if not is_missing_value(row[n]))
    }
    wide = {} if "vessel" in named else wide_columns(table, own)
    if wide:
        if any(not role_of(w.rest) for w in wide.values()):
            value = _wide_value(table, sheet, [w.rest for w in wide.values()], given, asked)
            return lengthened(table, wide, value)
        return lengthened(table, wide, "value")
    if "vessel" not in named:
        table = headings(table, own)
    return table


def _valued(table: FoundTable, sheet: Sheet, given: Answers, asked: list[Question]) -> FoundTable:
    value = _wide_value(table, sheet, [], given, asked)
    header = tuple(value if h == "value" else h for h in table.header)
    return FoundTable(header, table.rows, table.line, table.remarks, table.titles, wide=True)


def _wide_value(table: FoundTable, sheet: Sheet, rests: Iterable[str], given: Answers, asked: list[Question]) -> str:
    """What stands under the names of vessels, as a header that the guess understands."""
    hints = [*rests, *table.titles, sheet.title]
    guess, plain = "density /mL", False
    for hint in hints:
        unit = numbers.unit_in(f"x ({hint})") or numbers.unit_in(hint)
        if unit in {"/mL", "/L"}:
            guess, plain = f"density {unit}", True
        elif unit in {"°C", "°F"}:
            guess, plain = f"temperature {unit}", True
    if not plain and any(w in hint.lower() for hint in hints for w in ("density", "densities", "dichte", "densidad")):
        guess, plain = "density /mL", True
    question = Question(WIDE, _("What are the numbers under the vessels’ names?"), IN_WIDE, guess, plain)
    asked.append(question)
    chosen = TARGETS.get(given.get(WIDE, guess), TARGETS[guess])
    return _HEADERS.get(chosen.name, chosen.name)


_HEADERS = {"harvest L": "harvest (L)", "feed mL": _("fed (mL)"), "density /mL": _("density (/mL)"),
            "density /L": "density (/L)",
            "temperature °C": "temperature (°C)", "temperature °F": "temperature (°F)"}  # fmt: skip


# --- columns ------------------------------------------------------------------------------------------------------


def _column_questions(columns: Mapping[str, Guess], given: Answers) -> list[Question]:
    found = []
    for header, guess in columns.items():
        others = tuple(t for t in TARGETS if t not in guess.choices)
        shown = f"“{header}”" if header else _("without a name")
        text = _("What is in the column {shown}?").format(shown=shown)
        found.append(Question(COLUMN + header, text, guess.choices + others, guess.target, guess.plain))
    return found


def _conversions(meaning: Mapping[str, str]) -> tuple[str, ...]:
    remarks = []
    for header, name in meaning.items():
        target = TARGETS[name]
        if target.numeric and (target.factor != 1.0 or target.offset or target.of_volume):
            remarks.append(
                _("{header}: {label}, converted to {column}").format(
                    header=header, label=target.label, column=target.column
                )
            )
        elif name == OUT and header:
            remarks.append(_("{header}: left out").format(header=header))
    return tuple(remarks)


# --- numbers and days ---------------------------------------------------------------------------------------------


def _calendar(
    meaning: Mapping[str, str],
    held: Mapping[str, Sequence[object]],
    today: date,
    given: Answers,
    asked: list[Question],
    month: tuple[int, int] | None,
) -> DateOrder:
    days = [c for h, name in meaning.items() if name == "date" for c in held[h] if not is_missing_value(c)]
    order: Order = "year first"
    if any(parts_of(c) is not None for c in days):
        proven, likely = proven_order(days, today)
        sample = next(str(c) for c in days if parts_of(c) is not None)
        text = _("Which comes first in days such as “{sample}”?").format(sample=sample.strip())
        asked.append(Question(DATE_ORDER, text, ("day first", "month first"), likely, plain=bool(proven)))
        answer = given.get(DATE_ORDER, likely)
        order = cast("Order", answer) if answer in {"day first", "month first"} else likely
    if month is not None and days and all(map(day_of_month, days)):
        return DateOrder("year first", *month)
    year: int | None = None
    if any(has_no_year(c) for c in days):
        year = _likely_year(days, order, today)
        answer = given.get(YEAR, "")
        asked.append(Question(YEAR, _("Of which year are the days without one?"), (), str(year)))
        if answer.isascii() and answer.isdecimal() and len(answer) == 4:
            year = int(answer)
    return DateOrder(order, year)


def _likely_year(days: Iterable[object], order: Order, today: date) -> int:
    calendar = DateOrder(order if order != "year first" else "day first", today.year)
    for cell in days:
        try:
            if day_and_time(cell, calendar)[0] > today:
                return today.year - 1
        except UnclearError:
            continue
    return today.year


# --- words ----------------------------------------------------------------------------------------------


def _ask_words(
    meaning: Mapping[str, str],
    held: Mapping[str, Collection[object]],
    own: Collection[str],
    asked: list[Question],
) -> None:
    counts = [h for h, name in meaning.items() if name in {"tallies", "density /mL", "density /L"}]
    dead = next((c for h in counts for c in held[h] if numbers.crashed(c)), None)
    if dead is not None:
        text = _("Where “{dead}” stands instead of a count, what shall be recorded?").format(dead=dead)
        asked.append(Question(CRASHED, text, ("a count of 0", NOTE), "a count of 0"))
    for header, name in meaning.items():
        if name == "kind":
            words = dict.fromkeys(" ".join(str(c).split()) for c in held[header] if not is_missing_value(c))
            if any(kind_of(word) == "clean" for word in words) and "cleaned" not in meaning.values():
                text = _("What was cleaned where nothing more is said?")
                asked.append(Question(CLEANED, text, ("floss", "vessel", "airline"), "floss"))
            for word in words:
                if not kind_of(word) and plain_name(split_or_restart(word)[2]) not in own:
                    options = (
                        "count",
                        "reading",
                        "feed",
                        "harvest",
                        "exchange",
                        "clean",
                        "top_up",
                        "split",
                        "restart",
                        NOTE,
                    )
                    asked.append(
                        Question(
                            f"kind {word}",
                            _("What was done where “{word}” stands?").format(word=word),
                            options,
                            NOTE,
                        )
                    )
        if name == "cleaned" and any(_only_yes(c) for c in held[header]):
            what = cleaned_part(header)
            text = _("What was cleaned where “{header}” is ticked?").format(header=header)
            asked.append(Question(CLEANED, text, ("floss", "vessel", "airline"), what or "floss", plain=bool(what)))


def cleaned_part(words: str) -> str:
    """What was cleaned, as far as words name it."""
    return next((what for what, named in _CLEANED if named.search(words)), "")


_CLEANED = (
    ("floss", re.compile(r"floss|filter|sponge", re.IGNORECASE)),
    ("airline", re.compile(r"air|luft", re.IGNORECASE)),
    ("vessel", re.compile(r"vessel|tank|wall|bottom|bucket", re.IGNORECASE)),
)
YES = frozenset({"x", "yes", "y", "ja", "j", "si", "sí", "1", "1.0", "true", "✓", "✔", "done", "ok", "cleaned"})


def _only_yes(cell: object) -> bool:
    return not is_missing_value(cell) and str(cell).strip().lower() in YES
