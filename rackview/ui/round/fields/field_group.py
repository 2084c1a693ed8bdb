"""A group of fields that speaks with one voice to the screen it stands on."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from rackview.ui.round.entry.model import Entry
from rackview.ui.round.fields.field import Field
from rackview.ui.round.fields.hint_line import Captioned, Hint, HintLine
from rackview.ui.theme import Theme

CRAMPED = 0.7
"""Below this scale the air above and below goes first: full HD at 200 %."""


class FieldGroup(QWidget):
    """Fields by key, their captions and hint lines, all dressed and scaled together.

    Signals
    -------
    edited(str, str) : key and text
    taken(str, str) : key and the suggestion that was seen and taken
    moved(str, str) : key and next, up, down, left or right
    commanded(str) : record, undo, skip, back or leave
    left() : the keyboard left a field
    """

    edited = Signal(str, str)
    taken = Signal(str, str)
    moved = Signal(str, str)
    commanded = Signal(str)
    left = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.scale = 1.0
        self.fields: dict[str, Field] = {}
        self._captions: list[Captioned] = []
        self._lines: list[tuple[HintLine, list[str]]] = []

    def add_field(self, field: Field) -> Field:
        """Take a field in and listen to it; the caller places it."""
        field.setParent(self)
        field.edited.connect(self.edited)
        field.taken.connect(self.taken)
        field.line.moved.connect(lambda where, k=field.key: self.moved.emit(k, where))
        field.line.commanded.connect(self.commanded)
        field.line.left.connect(self.left)
        self.fields[field.key] = field
        return field

    def captioned(self, label: str, field: Field) -> Captioned:
        """The field taken in, with its label above."""
        made = Captioned(label, self.add_field(field), self)
        self._captions.append(made)
        return made

    def hint_line(self, keys: list[str], *, lines: int = 1) -> HintLine:
        """The words beneath the fields `keys`, with room for so many lines."""
        line = HintLine(self.theme, self, lines=lines)
        self._lines.append((line, keys))
        return line

    def show_fields(self, entry: Entry, hints: dict[str, str], errors: dict[str, str]) -> None:
        """Show text, suggestions, hints and errors of every field."""
        for key, field in self.fields.items():
            field.show_text(entry.text(key), presumed=entry.presumed(key))
            field.show_ghost(entry.ghost(key), moved_on=entry.moved_on(key))
            field.set_wrong(errors.get(key, ""))
        for line, keys in self._lines:
            line.show_hints(
                tuple(
                    Hint(self.fields[k], errors.get(k) or hints.get(k, ""), k in errors)
                    for k in keys
                    if k in self.fields and (errors.get(k) or hints.get(k))
                )
            )

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        for field in self.fields.values():
            field.set_theme(theme)
        for line, _ in self._lines:
            line.set_theme(theme)
        self.update()

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self.scale = scale
        for field in self.fields.values():
            field.set_scale(scale)
        for caption in self._captions:
            caption.set_scale(scale)
        for line, _ in self._lines:
            line.set_scale(scale)
