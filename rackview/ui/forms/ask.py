"""What one box of a form asks for."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QCompleter, QLabel, QLineEdit, QWidget

from rackview.core.dataclass import dataclass
from rackview.language import _
from rackview.ui.forms.choose import Choose

DATES = frozenset({"moment", "day"})


LONG_AGO = timedelta(hours=6)
"""A draft older than this was not typed for now."""


TYPED_AT = "typed at"
"""Under this a draft holds when it was typed last."""


TYPED_IN = "volumes typed in"
"""Under this a draft holds the unit of its volumes."""


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing to ask.

    `column` is the name in the row; `choices` pairs a value with its word; `known` are words offered while typing.
    `quantity` "volume" shows litres in the keeper's unit; "file" is the path of a picture; "moment" is a day and
    time that has been, "day" a day, which the keeper writes in any usual way. `hint` stands beneath
    while nothing is wrong. `wide` takes the whole width. `only` names
    another column and the value of it with which this one is asked at all.
    """

    column: str
    label: str
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    known: tuple[str, ...] = ()
    quantity: str = ""
    hint: str = ""
    wide: bool = False
    yes: bool = False
    only: tuple[str, str] | None = None

    @property
    def large(self) -> bool:
        """Whether it holds amounts that may run into thousands."""
        return self.quantity == "volume" or self.column in {"amount", "animals", "larvae", "cost"}


def mark(made: QWidget, words: QLabel, text: str, *, wrong: bool) -> None:
    """Put words beneath an input, as a hint or as what is wrong with it; a screen reader gets them with the input."""
    words.setText(text)
    made.setAccessibleDescription(text)
    wanted = ((words, "voice", "error" if wrong else "soft"), (made, "wrong", "true" if wrong else ""))
    for widget, name, value in wanted:
        if (widget.property(name) or "") != value:  # dressing anew is dear, and a field is marked at every key
            widget.setProperty(name, value)
            widget.style().unpolish(widget)
            widget.style().polish(widget)


def unit_key(ask: Ask) -> str:
    return "harvest" if ask.quantity == "volume" else ask.column


def box(ask: Ask, parent: QWidget, edited: Callable[[], None]) -> QLineEdit | QComboBox:
    """The widget in which it is typed or chosen."""
    choices = (("", _("no")), ("yes", _("yes"))) if ask.yes else ask.choices
    if choices:
        combo = Choose(parent)
        for value, word in choices:
            combo.addItem(word, value)
        combo.activated.connect(edited)
        return combo
    line = QLineEdit(parent)
    line.textEdited.connect(edited)
    if ask.known:
        completer = QCompleter(list(ask.known), line)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        line.setCompleter(completer)
    return line
