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
        self.label.setFont(fonts.font(fonts.px(15, scale), fonts.MEDIUM))
        self.field.set_scale(scale)


@dataclass(frozen=True, slots=True)
class Hint:
    """Words beneath the field `under`; `wrong` words take the whole line."""

    under: QWidget
    text: str
    wrong: bool = False

    @property
    def weight(self) -> int:
        """How heavy its words are set."""
        return fonts.SEMIBOLD if self.wrong else fonts.REGULAR


class HintLine(QWidget):
    """The line of words beneath a row of fields: each hint below its field; what is wrong pushes the others aside.

    What is wrong, or a hint that stands alone, takes as many lines as it needs.
    """

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

    def _alone(self) -> tuple[Hint | None, list[str]]:
        """The hint that has the whole line, what is wrong before others, and its words line by line."""
        shown = [h for h in self._hints if h.text]
        hint = next((h for h in shown if h.wrong), shown[0] if len(shown) == 1 else None)
        if hint is None:
            return None, []
        return hint, wrapped(hint.text, fonts.px(13, self._scale), hint.weight, max(60, self.width() - 2), 3)

    def _fit(self) -> None:
        self.setFixedHeight(round(20 * self._scale + self._pitch() * max(0, len(self._alone()[1]) - 1)))

    def _pitch(self) -> float:
        return fonts.px(13, self._scale) * 1.31

    def resizeEvent(self, event: QResizeEvent) -> None:
        if event.size().width() != event.oldSize().width():
            self._fit()

    def _left_of(self, hint: Hint) -> float:
        there = hint.under.mapTo(self.window(), hint.under.rect().topLeft()).x()
        return float(there - self.mapTo(self.window(), self.rect().topLeft()).x())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        k, px = self._scale, fonts.px(13, self._scale)
        alone, lines = self._alone()
        if alone is not None:
            widest = max(width_of(text, px, alone.weight) for text in lines)
            left = max(0.0, min(self._left_of(alone), self.width() - widest - 2))
            tone = self.theme.today if alone.wrong else self.theme.middle
            for n, text in enumerate(lines):
                write(painter, left, 15 * k + self._pitch() * n, text, px, tone, alone.weight)
            return
        shown = [h for h in self._hints if h.text]
        for n, hint in enumerate(shown):
            left = self._left_of(hint)
            end = self._left_of(shown[n + 1]) - 8 * k if n + 1 < len(shown) else float(self.width())
            write(painter, left, 15 * k, hint.text, px, self.theme.middle, room=end - left)
