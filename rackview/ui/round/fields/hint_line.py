"""What stands around fields: the label above one, the line of words beneath a row of them."""

from __future__ import annotations

from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QVBoxLayout, QWidget

from rackview.core.dataclass import dataclass
from rackview.ui.paint.ink import width_of, wrapped, write
from rackview.ui.round.fields.field import Field
from rackview.ui.theme import Theme, fonts


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
    """The words beneath a row of fields: each hint below its field; what is wrong pushes the others aside.

    Its height never changes, so that nothing moves while one types. What needs more room than there is is cut, and
    told whole in a tooltip, to a screen reader, and by whoever shows the sentence of the field that has the keyboard.
    """

    def __init__(self, theme: Theme, parent: QWidget | None = None, *, lines: int = 1) -> None:
        super().__init__(parent)
        self.theme = theme
        self.lines = lines
        self._hints: tuple[Hint, ...] = ()
        self._scale = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.set_scale(1.0)

    def set_scale(self, scale: float) -> None:
        """Draw the words `scale` times as large."""
        self._scale = scale
        self.setFixedHeight(round(self._first() + 5 * scale + self._pitch() * (self.lines - 1)))

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self.update()

    def show_hints(self, hints: tuple[Hint, ...]) -> None:
        """Show these words; a screen reader gets them as the line's name."""
        if hints != self._hints:
            self._hints = hints
            told = "\n".join(h.text for h in hints if h.text)
            self.setAccessibleName(told.replace("\n", " "))
            self.setToolTip(told)
            self.update()

    def _pitch(self) -> float:
        return fonts.px(13, self._scale) * 1.31

    def _first(self) -> float:
        """Where the first line stands; type that is no smaller in a small window needs its height there too."""
        return max(15 * self._scale, fonts.px(13, self._scale) * 1.02)

    def _left_of(self, hint: Hint) -> float:
        there = hint.under.mapTo(self.window(), hint.under.rect().topLeft()).x()
        return float(there - self.mapTo(self.window(), self.rect().topLeft()).x())

    def set_out(self) -> list[tuple[float, list[str], Hint]]:
        """Every hint with where it begins and its lines, as they are painted."""
        px = fonts.px(13, self._scale)
        shown = [h for h in self._hints if h.text]
        wrong = next((h for h in shown if h.wrong), None)
        if wrong is not None:
            shown = [wrong]
        found = []
        for n, hint in enumerate(shown):
            left = 0.0 if len(shown) == 1 else self._left_of(hint)
            end = self._left_of(shown[n + 1]) - 8 * self._scale if n + 1 < len(shown) else float(self.width())
            lines = wrapped(hint.text, px, hint.weight, max(40.0, end - left), self.lines)
            if len(shown) == 1:  # alone, its words stand below its field as far as there is room
                widest = max(width_of(text, px, hint.weight) for text in lines)
                left = max(0.0, min(self._left_of(hint), self.width() - widest - 2))
            found.append((left, lines, hint))
        return found

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        px = fonts.px(13, self._scale)
        for left, lines, hint in self.set_out():
            tone = self.theme.today if hint.wrong else self.theme.middle
            for n, text in enumerate(lines):
                write(painter, left, self._first() + self._pitch() * n, text, px, tone, hint.weight)
