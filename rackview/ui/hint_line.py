"""What stands around fields: the label above one, the line of words beneath a row of them."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QVBoxLayout, QWidget

from rackview.ui import fonts
from rackview.ui.fields import Field
from rackview.ui.paint.ink import width_of, wrapped, write
from rackview.ui.theme import Theme


class Captioned(QWidget):
    """A field with its label above it; the label is the field's buddy."""

    def __init__(self, label: str, field: Field, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = field
        self.label = QLabel(label, self)
        self.label.setBuddy(field.line)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.label)
        column.addWidget(field)
        self.set_scale(1.0)

    def set_scale(self, scale: float) -> None:
        """Draw label and field `scale` times as large."""
        self.label.setFont(fonts.font(round(15 * scale), fonts.MEDIUM))
        self.field.set_scale(scale)


@dataclass(frozen=True, slots=True)
class Hint:
    """Words beneath the field `under`; `wrong` words take the whole line."""

    under: QWidget
    text: str
    wrong: bool = False


class HintLine(QWidget):
    """The line of words beneath a row of fields: each hint below its field; what is wrong pushes the others aside."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self._hints: tuple[Hint, ...] = ()
        self._scale = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.set_scale(1.0)

    def set_scale(self, scale: float) -> None:
        """Draw the words `scale` times as large."""
        self._scale = scale
        self._fit()

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def show_hints(self, hints: tuple[Hint, ...]) -> None:
        """Show these words; a screen reader gets them as the line's name."""
        if hints != self._hints:
            self._hints = hints
            self.setAccessibleName(" ".join(h.text for h in hints if h.text))
            self._fit()
            self.update()

    def _wrong(self) -> list[str]:
        """The sentence of what is wrong, in as many lines as it needs."""
        wrong = next((h.text for h in self._hints if h.wrong), "")
        return wrapped(wrong, round(13 * self._scale), fonts.SEMIBOLD, max(60, self.width() - 2), 3) if wrong else []

    def _fit(self) -> None:
        self.setFixedHeight(round((20 + 17 * max(0, len(self._wrong()) - 1)) * self._scale))

    def resizeEvent(self, event: QResizeEvent) -> None:
        if event.size().width() != event.oldSize().width():
            self._fit()

    def _left_of(self, hint: Hint) -> float:
        there = hint.under.mapTo(self.window(), hint.under.rect().topLeft()).x()
        return float(there - self.mapTo(self.window(), self.rect().topLeft()).x())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        k, px = self._scale, round(13 * self._scale)
        lines = self._wrong()
        if lines:
            hint = next(h for h in self._hints if h.wrong)
            widest = max(width_of(text, px, fonts.SEMIBOLD) for text in lines)
            left = max(0.0, min(self._left_of(hint), self.width() - widest - 2))
            for n, text in enumerate(lines):
                write(painter, left, (15 + 17 * n) * k, text, px, self.theme.today, fonts.SEMIBOLD)
            return
        shown = [h for h in self._hints if h.text]
        for n, hint in enumerate(shown):
            left = self._left_of(hint)
            end = self._left_of(shown[n + 1]) - 8 * k if n + 1 < len(shown) else float(self.width())
            write(painter, left, 15 * k, hint.text, px, self.theme.middle, room=end - left)
