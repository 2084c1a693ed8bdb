"""Fields for wet hands: large boxes to type a number in or to choose with a digit, and the suggestion that waits there.

A field never judges and never blocks a key; it shows the text, the unit, and whether the text can be taken. What is
only suggested stands light between brackets where nothing is typed. It is no value: it becomes one when the keeper
takes it, and then exactly as it was painted.
"""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QFrame, QSizePolicy, QWidget

from rackview.ui.round.fields.line_edit import CARET, BareLineEdit, ChoiceLine, Choices
from rackview.ui.theme import Theme, fonts


class Field(QFrame):
    """A box with a line to type in and a unit at its right; a suggestion stands in it while nothing is typed.

    Signals
    -------
    edited(str, str) : key and text, when the keeper changes it
    taken(str, str) : key and the suggestion as it was painted, when the keeper takes it

    Attributes
    ----------
    ghost : what is suggested, "" for nothing; `painted` is the suggestion that the keeper saw last
    """

    edited = Signal(str, str)
    taken = Signal(str, str)

    def __init__(
        self,
        key: str,
        name: str,
        theme: Theme,
        *,
        unit: str = "",
        size: int = 22,
        weight: int = fonts.SEMIBOLD,
        height: int = 48,
        choices: Choices = (),
        first: int = 0,
        centred: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.key = key
        self.theme = theme
        self.name = name
        self.unit = unit
        self.presumed = False
        self.ghost = self.painted = ""
        self.moved_on = False
        self.best_width = 80
        self._base = (size, weight, height)
        self._scale = 1.0
        self._wrong = ""
        self.line: BareLineEdit = ChoiceLine(choices, first, self) if choices else BareLineEdit(self)
        self.line.setAccessibleName(name)
        self.line.textEdited.connect(self._on_edit)
        self.line.textChanged.connect(self._fit)
        self.line.take_wanted.connect(self.take)
        if centred:
            self.line.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.setFocusProxy(self.line)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.set_theme(theme)
        self.set_scale(1.0)

    def _on_edit(self, text: str) -> None:
        self.presumed = False
        self._ink()
        self.update()
        self.edited.emit(self.key, self.text())

    def text(self) -> str:
        """What stands in the field; of a choice, the value."""
        return self.line.value() if isinstance(self.line, ChoiceLine) else self.line.text()

    def show_text(self, text: str, *, presumed: bool = False) -> None:
        """Show a text that the keeper did not type just now; one that is only `presumed` is drawn in a lighter ink."""
        if self.text() != text:
            if isinstance(self.line, ChoiceLine):
                self.line.show_value(text)
            else:
                self.line.setText(text)
            if self.line.hasFocus():
                self.line.selectAll()
                self.line.settle()
        if presumed != self.presumed:
            self.presumed = presumed
            self._ink()

    def show_ghost(self, value: str, *, moved_on: bool = False) -> None:
        """Suggest a value, "" for none; `moved_on` marks one that changed since the keeper came to the vessel."""
        if (value, moved_on) == (self.ghost, self.moved_on):
            return
        self.ghost, self.moved_on = value, moved_on
        self.line.suggests = bool(value)
        self.update()

    def ghost_words(self) -> str:
        """The suggestion as it is shown."""
        line = self.line
        if isinstance(line, ChoiceLine) and self.ghost in line.values:
            return line.words[line.values.index(self.ghost)]
        return self.ghost

    def suggested(self) -> str:
        """The suggestion that the keeper sees here now: as it was painted last, "" where something is typed."""
        return self.painted if self.isVisible() and not self.line.text() else ""

    def take(self) -> None:
        """Take the suggestion as it was painted."""
        seen = self.suggested()
        if seen:
            self.taken.emit(self.key, seen)

    def set_wrong(self, sentence: str) -> None:
        """Mark the field as one whose text can't be taken, with the sentence for a screen reader; "" clears."""
        if sentence != self._wrong:
            self._wrong = sentence
            self.line.setAccessibleDescription(sentence)
            self.update()

    def set_unit(self, unit: str) -> None:
        """Change the words at the right end of the box."""
        if unit != self.unit:
            self.unit = unit
            self._place()
            self.update()

    def set_size(self, size: int, height: int) -> None:
        """Change how large the digits and the box are at scale 1."""
        self._base = (size, self._base[1], height)
        self.set_scale(self._scale)

    def set_theme(self, theme: Theme) -> None:
        """Take other colours."""
        self.theme = theme
        self._ink()
        self.update()

    def _ink(self) -> None:
        palette = self.line.palette()
        palette.setColor(palette.ColorRole.Text, self.theme.middle if self.presumed else self.theme.ink)
        palette.setColor(palette.ColorRole.Highlight, self.theme.press)
        palette.setColor(palette.ColorRole.HighlightedText, self.theme.on_press)
        self.line.setPalette(palette)
        self._fit()

    def set_scale(self, scale: float) -> None:
        """Draw everything `scale` times as large."""
        self._scale = scale
        self.setFixedHeight(round(self._base[2] * scale))
        self._place()

    def _unit_font(self) -> QFontMetricsF:
        return QFontMetricsF(fonts.font(fonts.px(15, self._scale)))

    def _place(self) -> None:
        pad = round(12 * self._scale)
        room = round(self._unit_font().horizontalAdvance(self.unit)) + round(6 * self._scale) if self.unit else 0
        self.line.setGeometry(pad, 2, max(10, self.width() - 2 * pad - room), self.height() - 4)
        self._fit()

    def _fit(self) -> None:
        """Draw the text smaller, down to a half, where it would not be seen whole."""
        size, weight, _ = self._base
        if self.presumed:
            weight = fonts.REGULAR
        px = fonts.px(size, self._scale)
        wide = QFontMetricsF(fonts.font(px, weight)).horizontalAdvance(self.line.text()) + CARET
        fits = min(1.0, max(0.5, self.line.width() / wide))
        face = fonts.font(max(10, int(px * fits)), weight)
        if face != self.line.font():
            self.line.setFont(face)

    def sizeHint(self) -> QSize:
        return QSize(round(self.best_width * self._scale), self.height())

    def minimumSizeHint(self) -> QSize:
        return QSize(round(44 * self._scale), self.height())

    def resizeEvent(self, event: object) -> None:
        self._place()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if isinstance(self.line, ChoiceLine) and self.line.hasFocus():
            self.line.step()
        self.line.setFocus(Qt.FocusReason.MouseFocusReason)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        focus = self.line.hasFocus()
        edge: QColor = self.theme.today if self._wrong else self.theme.focus if focus else self.theme.rim
        width = 2.5 if focus or self._wrong else 1.0
        box = QRectF(self.rect()).adjusted(width / 2, width / 2, -width / 2, -width / 2)
        painter.setPen(QPen(edge, width))
        painter.setBrush(self.theme.entry)
        painter.drawRoundedRect(box, 6 * self._scale, 6 * self._scale)
        if focus and self._wrong:
            painter.setPen(QPen(self.theme.focus, 2.0))
            painter.drawRoundedRect(box.adjusted(3.5, 3.5, -3.5, -3.5), 4 * self._scale, 4 * self._scale)
        self.painted = "" if self.line.text() else self.ghost
        if self.painted:
            self._paint_ghost(painter)
        if self.unit:
            painter.setPen(self.theme.middle)
            painter.setFont(fonts.font(fonts.px(15, self._scale)))
            right = QRectF(self.rect()).adjusted(0, 0, -12 * self._scale, 0)
            painter.drawText(right, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, self.unit)

    def _paint_ghost(self, painter: QPainter) -> None:
        """What is suggested, light between brackets, which are heavier where it changed since the keeper came."""
        k, words = self._scale, self.ghost_words()
        size, _, _ = self._base
        px = fonts.px(size, k)
        room = self.line.width() - 16 * k
        wide = QFontMetricsF(fonts.font(px, fonts.REGULAR)).horizontalAdvance(words)
        face = fonts.font(max(10, int(px * min(1.0, max(0.5, room / max(wide, 1.0))))), fonts.REGULAR)
        wide = min(room, QFontMetricsF(face).horizontalAdvance(words))
        left, middle = self.line.x() + 8 * k, self.height() / 2
        painter.setPen(self.theme.middle)
        painter.setFont(face)
        place = QRectF(left, 0, wide + 2, self.height())
        painter.drawText(place, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)
        pen = QPen(self.theme.middle, (2.6 if self.moved_on else 1.4) * k)
        pen.setCapStyle(Qt.PenCapStyle.SquareCap)
        painter.setPen(pen)
        high, deep = 11 * k, 4 * k
        for x, inward in ((left - 6 * k, deep), (left + wide + 6 * k, -deep)):
            painter.drawPolyline(
                [
                    QPointF(x + inward, middle - high),
                    QPointF(x, middle - high),
                    QPointF(x, middle + high),
                    QPointF(x + inward, middle + high),
                ]
            )
